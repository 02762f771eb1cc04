// Package atlas is the heart: the right atrioventricular rim and its chart, landmarks, zones, the conduction axis
// and its neighbours, and where each number comes from.
//
// Numbers are data, in data/parameters.yaml and data/sources.yaml; Catalogue reads them. Catalogue.Heart builds one
// Heart from them, with what a plan measured in place of the usual adult values. The frame, in mm: origin in the
// rim's centroid, x toward the feet, y toward the front, z out of the valve into the right atrium. The Chart says
// places as a surgeon says them: along the rim, off the hinge, deep under the endocardium.
//
// The atlas knows no bites. Plain geometry lives in atlas/geom, strict reading of files in atlas/strictyaml.
package atlas
