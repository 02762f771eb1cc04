package contour

import (
	"fairlead/atlas/geom"
	"fairlead/atlas/strictyaml"
)

// The limits of what is read.
const (
	FewestPoints = 8
	MostPoints   = 500
	MostBytes    = 1 << 20
)

// The commissures, as Points.Landmark and a file's landmark column name them.
const (
	anteroseptal = iota
	anteroposterior
	posteroseptal
)

// commissures are the names in the order in which a clockwise walk in the atrial view meets them.
var commissures = [3]string{"anteroseptal", "anteroposterior", "posteroseptal"}

// Points is a contour as read: the points of a rim in order around it, either way round.
type Points struct {
	File       string
	At         []geom.Vec // mm, in the pose of the imaging
	Line       []int      // of each point in the file; without them, points count from line 1
	Landmark   [3]int     // which points are the anteroseptal, anteroposterior and posteroseptal commissures
	Atrium     *geom.Vec  // a place off the rim on its atrial side, if one was given
	AtriumLine int
}

// line is the place of a point's row.
func (p *Points) line(i int) strictyaml.Position {
	line := i + 1
	if i < len(p.Line) {
		line = p.Line[i]
	}
	return strictyaml.Position{File: p.File, Line: line, Column: 1}
}

func (p *Points) atriumLine() strictyaml.Position {
	return strictyaml.Position{File: p.File, Line: max(1, p.AtriumLine), Column: 1}
}
