package placement

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fairlead/atlas/growth"
	"fairlead/atlas/strictyaml"
)

// ProposedBite is a bite and the space to the next one.
type ProposedBite struct {
	BiteReport
	// Clockwise from its middle to that of the next, on the rim and on the device; 0: none is next. Of a run from where
	// the needle first goes in to where it last comes out, as sewn and as tied.
	NextMM, NextOnDeviceMM float64
}

// propose lays bites for what is to be taken, and checks them and the repair as a plan with their text in it would be.
func (s *sizer) propose(sized *Sized) (err error) {
	if s.Form == PurseString {
		sized.Bites = s.proposedRuns(sized.Line, sized.TakesMM)
	} else {
		sized.Bites = s.proposedBites(sized.Line, sized.TakesMM)
	}
	for _, b := range sized.Bites {
		sized.DeviceMM = tenth(sized.DeviceMM + b.NextOnDeviceMM)
	}
	sized.Text = bitesText(sized.Bites) + s.repairText(sized)
	if sized.Report, err = s.checked(sized.Text); err != nil {
		return fmt.Errorf("bites and repair cannot be laid on this heart: %w", err)
	}
	for i, b := range sized.Report.Bites {
		sized.Bites[i].BiteReport = b
	}
	return nil
}

// proposedBites are the bites of a device, one in the middle of which each part begins and ends.
func (s *sizer) proposedBites(line BiteLine, take growth.Segments) (bites []ProposedBite) {
	at := line.Parts[0].FromMM
	lay := func() {
		bites = append(bites, ProposedBite{BiteReport: s.centred(strconv.Itoa(len(bites)+1), at)})
	}
	lay()
	for _, part := range line.Parts {
		for range part.Spaces {
			at += part.ForMM / float64(part.Spaces)
			lay()
		}
	}
	s.spaceBites(bites, line, take)
	return bites
}

// spaceBites finds the spaces between bites, on the rim as they came to lie on it and on the device. A device is marked
// in tenths of a millimetre; what is rounded off one space is made up in the next. Where nothing is to be taken the
// device leaves a little more than the rim has, which takes nothing.
func (s *sizer) spaceBites(bites []ProposedBite, line BiteLine, take growth.Segments) {
	rim, first := s.Laid.Heart.Rim, 0
	middle := func(i int) float64 { return bites[i].middleMM() }
	for _, part := range line.Parts {
		last, marked, exactly := first+part.Spaces, 0.0, 0.0
		held := rim.Span(middle(first), middle(last))
		for i := first; i < last; i++ {
			b := &bites[i]
			b.NextMM = rim.Span(middle(i), middle(i+1))
			if part.Segment == Septal {
				b.NextOnDeviceMM = tenthUp(b.NextMM)
				continue
			}
			exactly += b.NextMM * (1 - part.takes(take)/held)
			b.NextOnDeviceMM = max(tenth(exactly-marked), s.leastMM(b.NextMM))
			marked += b.NextOnDeviceMM
		}
		first = last
	}
	if s.Form == Ring {
		b := &bites[first]
		b.NextMM = rim.Span(middle(first), middle(0))
		b.NextOnDeviceMM = tenthUp(b.NextMM)
	}
}

// leastMM is the least that a stretch of rim may be drawn to, by the marks of a device.
func (s *sizer) leastMM(stretchMM float64) float64 { return tenthUp((1 - s.bunched) * stretchMM) }

// proposedRuns are the runs of a purse-string, the passes of each as far apart as bring the last one to its end.
func (s *sizer) proposedRuns(line BiteLine, take growth.Segments) (bites []ProposedBite) {
	for _, part := range line.Parts {
		run := Bite{Name: part.Segment, Kind: Running, TravelMM: line.TravelMM, Passes: part.Spaces + 1}
		spaces := float64(part.Spaces)
		run.PitchMM = tenth((part.ForMM - line.TravelMM) / spaces)
		low, high := alongRange(s.clearest(run, part.FromMM).Passes[:1])
		run.PitchMM = math.Floor(10*(part.ForMM-(high-low))/spaces) / 10
		bite := ProposedBite{BiteReport: s.clearest(run, part.FromMM)}
		low, high = alongRange(bite.Passes)
		bite.NextMM = high - low
		bite.NextOnDeviceMM = max(tenth(bite.NextMM-part.takes(take)), s.leastMM(bite.NextMM))
		bites = append(bites, bite)
	}
	return bites
}

// bitesText writes bites as a plan does, each in two lines.
func bitesText(bites []ProposedBite) string {
	var t strings.Builder
	t.WriteString("bites:\n")
	for _, b := range bites {
		fmt.Fprintf(&t, "  - { name: %q, kind: %s, tissue: %s, travel: %s mm, heading: clockwise, depth: %s mm,\n      ", b.Name, b.Kind, b.Tissue, plain(b.TravelMM), plain(b.DepthMM))
		if b.Kind == Running {
			fmt.Fprintf(&t, "passes: %d, pitch: %s mm,\n      ", b.Bite.Passes, plain(b.PitchMM))
		}
		fmt.Fprintf(&t, "in: { from: %s, toward: %s, by: %s mm", b.In.From, b.In.Toward, plain(b.In.ByMM))
		if b.In.OffMM != 0 {
			fmt.Fprintf(&t, ", off: %s mm", plain(b.In.OffMM))
		}
		t.WriteString(" } }\n")
	}
	return t.String()
}

// repairText writes the repair with those bites as a plan does.
func (s *sizer) repairText(sized *Sized) string {
	var t strings.Builder
	t.WriteString("repair:\n")
	if s.Form == PurseString {
		for _, b := range sized.Bites {
			fmt.Fprintf(&t, "  - purse-string: { bites: [%q], to: %s mm }\n", b.Name, plain(b.NextOnDeviceMM))
		}
		return t.String()
	}
	var names, gaps []string
	for _, b := range sized.Bites {
		names = append(names, strconv.Quote(b.Name))
		if b.NextOnDeviceMM > 0 {
			gaps = append(gaps, plain(b.NextOnDeviceMM)+" mm")
		}
	}
	fmt.Fprintf(&t, "  - device:\n      form: %s\n      holds: flexible\n      length: %s mm\n", s.Form, plain(sized.DeviceMM))
	t.WriteString(flowList("      bites", names) + flowList("      spacing", gaps))
	return t.String()
}

// flowList writes a list under a key, folded so that no line is wider than a table's.
func flowList(key string, items []string) string {
	lines := wrap(strings.Join(items, ", "), tableWidth-columns(key)-len(": []"))
	return key + ": [" + strings.Join(lines, "\n"+strings.Repeat(" ", columns(key)+3)) + "]\n"
}

// checked reads the text as part of a plan, lays it on the heart in place of the plan's own bites and repair, and checks it.
func (s *sizer) checked(text string) (*Report, error) {
	head := fmt.Sprintf("fairlead: %d\ncase: proposal\noperation: %s\n", FileVersion, s.Form)
	part, problems := Read("the proposal", []byte(head+text), WordsOf(s.catalogue))
	if err := problems.Err(); err != nil {
		return nil, err
	}
	laid := *s.Laid
	laid.Plan.Operation, laid.Plan.Bites, laid.Plan.Repair, laid.Plan.Line, laid.Plan.Patches = part.Operation, part.Bites, part.Repair, nil, nil
	laid.Bites, laid.Repair, laid.Line, laid.Patches = nil, nil, nil, nil
	problems = strictyaml.Problems{}
	for _, bite := range laid.Plan.Bites {
		laid.Bites = append(laid.Bites, layBite(bite, laid.Heart, &problems))
	}
	laid.layRepair(&problems)
	if err := problems.Err(); err != nil {
		return nil, err
	}
	return Check(&laid, s.examiner.rules), nil
}
