package svgout

import (
	"os"
	"path/filepath"
	"testing"
)

// withChance is a bite's label with one figure more: behind its last line where that has room, else on a line of its own.
func withChance(l Label) Label {
	if l.Mark == NoLevel {
		return l
	}
	const chance = "12 %"
	last := len(l.Lines) - 1
	lines := append([]string(nil), l.Lines...)
	if longer := lines[last] + " · " + chance; MeasureIn(l.Class, longer) <= LabelRoomMM(leftColumn, l.Mark) {
		lines[last] = longer
	} else {
		lines = append(lines, chance)
	}
	l.Lines = lines
	return l
}

// The atrial view has room for one figure more on the label of every bite, such as a chance, without any example's labels
// being shared more than they are.
func TestLabelsLeaveRoomForAChance(t *testing.T) {
	files, err := filepath.Glob("../examples/*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		report := reportOf(t, file, data)
		camera, _ := cameraFor(atrialExtent(report.Laid.Heart), atrialPicture)
		s := stitches{anatomy: anatomy{camera: camera, heart: report.Laid.Heart}, bites: report.Bites, line: report.Line}
		placed, err := s.layLabels()
		if err != nil {
			t.Fatal(err)
		}
		var labels []Label
		for _, l := range placed.Labels {
			labels = append(labels, withChance(l.Label))
		}
		if _, err := Layout(labels, LabelFrame{Left: leftColumn, Right: rightColumn, MiddleX: middleTarget(labels)}); err != nil {
			t.Errorf("%s: %d labels: %v", file, len(labels), err)
		}
	}
}
