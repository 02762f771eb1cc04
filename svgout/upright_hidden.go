package svgout

import (
	"math"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// curtain is what hides things from the reader: the endocardium of wall and leaflets, as triangles seen by the camera.
type curtain struct{ faces [][3]geom.Vec }

// How finely the curtain is woven: stretches along the rim, and steps up the wall or onto the leaflet.
const (
	curtainAlong = 96
	curtainUp    = 6
)

// curtain weaves it for a heart whose wall ends at an edge.
func (a anatomy) curtain(edge []geom.Vec) (c curtain) {
	rim := a.heart.Rim.LengthMM()
	tops := make([]float64, len(edge))
	for i, v := range edge {
		spot, _ := a.heart.Chart.Spot(v)
		tops[i] = spot.OffMM
	}
	meet := a.meeting()
	node := func(i, j int) geom.Vec { // j counts up from the hinge, or in from it when negative
		along := rim * float64(i) / curtainAlong
		if j < 0 {
			return a.seen(a.heart.Rim.At(along).Lerp(meet, float64(-j)/curtainUp))
		}
		top := tops[(i*len(tops)/curtainAlong)%len(tops)]
		return a.seen(a.heart.Chart.Frame(atlas.Spot{AlongMM: along, OffMM: top * float64(j) / curtainUp}))
	}
	for i := range curtainAlong {
		for j := -curtainUp; j < curtainUp; j++ {
			p, q, r, s := node(i, j), node(i+1, j), node(i+1, j+1), node(i, j+1)
			c.faces = append(c.faces, [3]geom.Vec{p, q, r}, [3]geom.Vec{p, r, s})
		}
	}
	return c
}

// hides tells whether the curtain hangs between the reader and a point, as seen, by more than slackMM.
func (c curtain) hides(p geom.Vec, slackMM float64) bool {
	for _, f := range c.faces {
		if z, ok := depthOver(f, p); ok && z > p.Z+slackMM {
			return true
		}
	}
	return false
}

// depthOver is how near the reader a triangle is where it covers a point.
func depthOver(f [3]geom.Vec, p geom.Vec) (z float64, ok bool) {
	ab, ac, ap := f[1].Sub(f[0]), f[2].Sub(f[0]), p.Sub(f[0])
	det := ab.X*ac.Y - ab.Y*ac.X
	if math.Abs(det) < 1e-12 {
		return 0, false
	}
	u := (ap.X*ac.Y - ap.Y*ac.X) / det
	v := (ab.X*ap.Y - ab.Y*ap.X) / det
	if u < 0 || v < 0 || u+v > 1 {
		return 0, false
	}
	return f[0].Z + u*ab.Z + v*ac.Z, true
}

// stretch is a part of a line that is all hidden, or all to be seen.
type stretch struct {
	points []geom.Vec
	hidden bool
}

// stretches parts a line where it goes behind the curtain or comes out; neighbouring parts share their end.
func (a anatomy) stretches(line []geom.Vec, c curtain, slackMM float64) (parts []stretch) {
	for i, v := range line {
		hidden := c.hides(a.seen(v), slackMM)
		if n := len(parts); n > 0 && parts[n-1].hidden == hidden {
			parts[n-1].points = append(parts[n-1].points, v)
			continue
		}
		part := stretch{hidden: hidden}
		if i > 0 {
			part.points = append(part.points, line[i-1])
		}
		part.points = append(part.points, v)
		parts = append(parts, part)
	}
	return parts
}
