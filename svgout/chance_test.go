package svgout

import (
	"os"
	"path/filepath"
	"testing"

	"fairlead/placement"
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

// The atrial view has room for one figure more on the label of every bite, such as a chance, beside the names of the anatomy:
// where the plate is full, clear bites share a label then.
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
		apart := func(placement.BiteReport) bool { return false }
		clear := func(b placement.BiteReport) bool { return b.Verdict == placement.Clear }
		if !s.fitsWithChances(apart) && !s.fitsWithChances(clear) {
			t.Errorf("%s: no room for one figure more on each label", file)
		}
	}
}

func (s stitches) fitsWithChances(together func(placement.BiteReport) bool) bool {
	labels := append(s.landmarkLabels(), s.labels(together)...)
	if s.line != nil {
		labels = append(labels, s.lineLabel(s.line))
	}
	for i, l := range labels {
		labels[i] = withChance(l)
	}
	_, err := Layout(labels, LabelFrame{Left: leftColumn, Right: rightColumn, MiddleX: middleTarget(labels)})
	return err == nil
}
