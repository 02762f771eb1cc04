// Package growth says what the size of a body tells about the tricuspid rim: body surface area by published
// formulas, the size of the rim by published regressions, z-scores, what separates one method of measurement from
// another, how a rim dilates, and the limits a size is judged by.
//
// # Units
//
// Heights are in cm, weights in kg, body surface area (BSA) in m². Lengths are in mm and areas in mm² wherever they
// enter or leave the package, whatever unit a regression was printed in.
//
// # Datasets are never mixed
//
// Two regressions made from different children give different z-scores for the same valve: 30 mm at 1.0 m² is
// z +0.69 by one and +2.21 by the other. So every [Prediction] and every [Score] carries the name of the one dataset
// it comes from, nothing is averaged over datasets, and no dataset is chosen for the caller.
//
// # Outside the range
//
// A dataset is used within a stated range of BSA, a method's offset above a stated size. Outside, the answer is an
// [OutOfRangeError] and not an extrapolation.
//
// # How well a figure is known
//
// Each figure is kept in data/*.yaml with a source and a grade: abstract, secondary, derived, memory, assumption or
// practice (common practice without a published source). Loading fails if a figure is graded better than its source
// was read.
package growth
