package placement

import (
	"fmt"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/strictyaml"
	"fairlead/atlas/words"
)

// layBites lays the stitches of a line along it, evenly. They become bites like any others.
func (l *LaidLine) layBites(problems *strictyaml.Problems) (bites []LaidBite) {
	if l.Bites == nil {
		return nil
	}
	count := l.Bites.Count
	if count == 0 {
		count = int(math.Ceil(l.LengthMM/l.Bites.EveryMM - rounding))
	}
	l.EveryMM = l.LengthMM / float64(count)
	var bare []Tissue // run on without a word of how to stitch there
	for i := range count {
		at := l.spotAt(float64(i) * l.EveryMM)
		tissue := tissueAt(at.OffMM)
		stitch := l.Bites.on(tissue)
		if stitch == nil {
			if !slices.Contains(bare, tissue) {
				bare = append(bare, tissue)
				problems.Add(l.At, fmt.Sprintf("line: its stitch L%d comes to lie on %s (%s), and `bites` does not say how to stitch there", i+1, tissue, l.course.where(at)),
					fmt.Sprintf("%s: with kind, lie, travel and depth", tissue), "add it under `bites`, or move the line")
			}
			continue
		}
		bites = append(bites, l.layStitch(stitch, tissue, float64(i)*l.EveryMM, fmt.Sprintf("L%d", i+1)))
	}
	return bites
}

// layStitch lays one stitch about a place of the line.
func (l *LaidLine) layStitch(stitch *LineStitch, tissue Tissue, alongLineMM float64, name string) LaidBite {
	here := Place{At: l.At}
	bite := LaidBite{OnLine: true, Bite: Bite{Name: name, Kind: stitch.Kind, Tissue: tissue, In: here, Out: here, HasOut: true, DepthMM: stitch.DepthMM, ApartMM: stitch.ApartMM, Pledget: stitch.Pledget, At: l.At}}
	low, high := math.Inf(1), math.Inf(-1)
	for _, arm := range stitch.arms() {
		in, out := l.armAt(stitch, alongLineMM, arm)
		if tissue == Leaflet { // the needle is not to take rim: it goes in at the hinge at the highest
			lower := max(in.OffMM, out.OffMM, 0)
			in, out = shifted(in, 0, -lower), shifted(out, 0, -lower)
		}
		low, high = min(low, in.OffMM, out.OffMM), max(high, in.OffMM, out.OffMM)
		bite.Passes = append(bite.Passes, NewPass(l.course.heart, in, out, stitch.DepthMM))
	}
	if !tissue.allows(low, high) {
		bite.Tissue = Rim // it reaches over the hinge
	}
	return bite
}

// arms are how far each pass of a stitch lies from its place, at right angles to its travel.
func (s *LineStitch) arms() []float64 {
	if s.Kind == Mattress {
		return []float64{-s.ApartMM / 2, s.ApartMM / 2}
	}
	return []float64{0}
}

// armAt is where a pass goes in and out whose middle lies armMM from a place of the line.
func (l *LaidLine) armAt(stitch *LineStitch, alongLineMM, armMM float64) (in, out atlas.Spot) {
	heart, half := l.course.heart, stitch.TravelMM/2
	if stitch.Lie == Across {
		at, heading := l.spotAt(alongLineMM+armMM), l.headingAt(alongLineMM+armMM)
		return travelled(heart, at, turnedBy(heading, 90), half), travelled(heart, at, turnedBy(heading, -90), half)
	}
	at, heading := l.spotAt(alongLineMM), l.headingAt(alongLineMM)
	if armMM != 0 {
		at = travelled(heart, at, turnedBy(heading, math.Copysign(90, armMM)), math.Abs(armMM))
	}
	return travelled(heart, at, turnedBy(heading, 180), half), travelled(heart, at, heading, half)
}

func turnedBy(h Heading, degrees float64) Heading { return Heading{h.Degrees + degrees} }

// spotAt is the spot a length along the line from its first place, measured on the endocardium; before it where
// negative.
func (l *LaidLine) spotAt(mm float64) atlas.Spot {
	turns := math.Floor(mm / l.LengthMM)
	left := mm - turns*l.LengthMM
	last := l.Stretches[len(l.Stretches)-1]
	spot := last.Spots[len(last.Spots)-1]
search:
	for _, s := range l.Stretches {
		for i := 1; i < len(s.Surface); i++ {
			piece := s.Surface[i].Distance(s.Surface[i-1])
			if left < piece {
				spot = leg{s.Spots[i-1], s.Spots[i]}.at(left / piece)
				break search
			}
			left -= piece
		}
	}
	return shifted(spot, turns*l.course.heart.Rim.LengthMM(), 0)
}

// secantMM is how far to either side the direction of a line is taken over, so that a stitch at a corner lies between
// the two ways.
const secantMM = 1.0

// headingAt is the direction of the line on the tissue.
func (l *LaidLine) headingAt(mm float64) Heading {
	before, after := l.spotAt(mm-secantMM), l.spotAt(mm+secantMM)
	spread := l.course.heart.Chart.Spread(l.spotAt(mm))
	return Heading{math.Atan2(after.OffMM-before.OffMM, (after.AlongMM-before.AlongMM)*spread) * 180 / math.Pi}
}

// adviseOnLine says of a line's stitch that the line is to be moved: by itself it would leave it.
func adviseOnLine(reasons []Reason) {
	for i := range reasons {
		if reasons[i].Level > Clear {
			reasons[i].Instead = words.Of("instead.line.lead-elsewhere")
		}
	}
}
