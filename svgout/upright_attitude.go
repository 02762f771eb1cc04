package svgout

import (
	"math"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// assumedAngle is an angle of the drawing that no figure of the atlas gives.
type assumedAngle struct {
	degrees float64
	grade   atlas.Grade
}

// How the valve stands in the body. Anatomists describe it as almost upright, the atrium to the right of it and somewhat
// behind, the ventricle to the left and in front (recalled, no figure confirmed); the angles are assumptions of the drawing.
// The atrial side of the rim faces back from the right, and up: turned back by 0 the rim would stand in a sagittal plane,
// tipped up by 0 exactly upright.
var (
	turnedBack = assumedAngle{30, atlas.Assumption}
	tippedUp   = assumedAngle{10, atlas.Assumption}
)

// rightAnteriorOblique is how far to the patient's right the reader stands from straight in front. At this angle the rim
// lies open and the septum is seen almost square on.
var rightAnteriorOblique = assumedAngle{75, atlas.Assumption}

// attitude carries directions of the frame into the body: X to the patient's right, Y to the front, Z to the head.
type attitude struct{ x, y, z geom.Vec }

// standing turns the frame back about the body's long axis, then tips it up about its own y. Unturned, the frame's x
// runs to the feet, its y to the front and its z to the right.
func standing(back, up assumedAngle) attitude {
	sinBack, cosBack := math.Sincos(back.degrees * math.Pi / 180)
	sinUp, cosUp := math.Sincos(up.degrees * math.Pi / 180)
	toward := geom.Vec{X: cosBack, Y: -sinBack} // where the atrial side faces before it is tipped up
	toHead := geom.Vec{Z: 1}
	return attitude{
		x: toHead.Scale(-cosUp).Add(toward.Scale(sinUp)),
		y: geom.Vec{X: sinBack, Y: cosBack},
		z: toward.Scale(cosUp).Add(toHead.Scale(sinUp)),
	}
}

// body is a direction of the frame in the body.
func (a attitude) body(v geom.Vec) geom.Vec {
	return a.x.Scale(v.X).Add(a.y.Scale(v.Y)).Add(a.z.Scale(v.Z))
}

// frame is a direction of the body in the frame: the way back, since the axes stand square.
func (a attitude) frame(b geom.Vec) geom.Vec {
	return geom.Vec{X: b.Dot(a.x), Y: b.Dot(a.y), Z: b.Dot(a.z)}
}

// from is the gaze of a reader who stands so far to the patient's right of straight in front, level, head up.
func (a attitude) from(oblique assumedAngle) gaze {
	sin, cos := math.Sincos(oblique.degrees * math.Pi / 180)
	return gaze{
		right:  a.frame(geom.Vec{X: -cos, Y: sin}),
		up:     a.frame(geom.Vec{Z: 1}),
		toward: a.frame(geom.Vec{X: sin, Y: cos}),
	}
}

// said is an angle in degrees.
func (a assumedAngle) said() words.Number { return decimal(a.degrees) }
