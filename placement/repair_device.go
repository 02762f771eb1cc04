package placement

import (
	"fmt"
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/strictyaml"
)

// called says what a device is.
func (d Device) called() string { return d.Holds + " " + d.Form }

// former is the outline of a rigid device; nil for a flexible one. Read has seen to its axes.
func (d Device) former() *atlas.Former {
	if d.Holds != Rigid {
		return nil
	}
	former, err := atlas.NewFormer(d.LongMM, d.ShortMM)
	if err != nil {
		return nil
	}
	return former
}

// lengthMM is the length of the device: a rigid one's follows from its ellipse.
func (d Device) lengthMM(former *atlas.Former) float64 {
	if former != nil {
		return former.LengthMM() - d.OpeningMM
	}
	return d.LengthMM
}

// gapsOf is how many gaps so many stitches have on the device: a closed one goes on from the last to the first.
func (d Device) gapsOf(stitches int) int {
	if d.Form == RingForm {
		return stitches
	}
	return stitches - 1
}

func holdsDevice(b LaidBite) bool {
	return (b.Kind == Single || b.Kind == Mattress) && (b.Tissue == Rim || b.Tissue == Wall)
}

// sew draws the rim onto a device, interval by interval, and lays it on a rigid one.
func (r *repairLayer) sew(step RepairStep) {
	d, wrong := step.Device, len(*r.problems)
	if d.HasOpeningAt {
		checkPlace("repair: opening-at", d.OpeningAt, r.Heart, r.problems)
	}
	listed := r.stitches(d.Bites, holdsDevice, r.problems)
	if len(*r.problems) > wrong {
		return
	}
	least := 2
	if d.Form == RingForm {
		least = 3
	}
	if len(listed) < least {
		r.problems.Add(step.At, fmt.Sprintf("repair: the %s is held by %d bites", d.called(), len(listed)), "two bites at least for a band, three for a ring, single or mattress, of rim or wall", "add bites, or name them in `bites`")
		return
	}
	stitches, turned, ok := oneWayRound(r.Heart.Rim, listed, r.problems, step.At)
	if !ok {
		return
	}
	former := d.former()
	gaps, ok := d.gaps(len(stitches), former, r.problems, step.At)
	if !ok {
		return
	}
	if turned {
		gaps = againstTheList(gaps, len(stitches))
	}
	starts := r.placesOn(d, former, stitches, gaps)
	for i, gap := range gaps {
		a, b := stitches[i], stitches[(i+1)%len(stitches)]
		interval := Interval{Step: SewDevice, Between: [2]string{a.name, b.name}, FromMM: a.atMM, ForMM: r.Heart.Rim.Span(a.atMM, b.atMM), HoldsMM: gap, StitchesMM: a.halfMM + b.halfMM}
		r.draw(interval)
		if former != nil {
			r.drawing.layOn(interval.FromMM, interval.ForMM, starts[i], gap)
		}
	}
	if r.repair.Former = former; former != nil && r.drawing.drawnBeside() {
		r.problems.Add(step.At, "repair: rim beside the rigid device was drawn together, but not taken away", "what lies beside a rigid device left alone, or folded to 0 mm", "sew the device over it, or fold it away")
	}
	if former != nil && d.Form == BandForm {
		r.repair.openingMM = former.LengthMM() - sumOf(gaps)
	}
	if d.Form == BandForm {
		r.repair.ends = []stitchAt{stitches[0], stitches[len(stitches)-1]}
	}
}

// againstTheList turns gaps listed anticlockwise into clockwise order. On a ring the last one, from the last stitch on
// to the first, stays last.
func againstTheList(gaps []float64, stitches int) []float64 {
	turned := slices.Clone(gaps)
	slices.Reverse(turned[:stitches-1])
	return turned
}

// gapsAgreeMM is how far the gaps on a device may add up to something else than it is long.
const gapsAgreeMM = 0.5

// gaps are the ways on the device from stitch to stitch, in the order the bites are listed. Without a word on them they
// divide the device evenly, a band from end to end.
func (d Device) gaps(stitches int, former *atlas.Former, problems *strictyaml.Problems, at strictyaml.Position) ([]float64, bool) {
	count, length := d.gapsOf(stitches), d.lengthMM(former)
	gaps := make([]float64, count)
	switch len(d.GapsMM) {
	case 0:
		for i := range gaps {
			gaps[i] = length / float64(count)
		}
		return gaps, true
	case 1:
		for i := range gaps {
			gaps[i] = d.GapsMM[0]
		}
	case count:
		copy(gaps, d.GapsMM)
	default:
		problems.Add(d.SpacingAt, fmt.Sprintf("repair: %d gaps in spacing for %d stitches", len(d.GapsMM), stitches), fmt.Sprintf("%d gaps, or one that stands for all", count), "one gap from each stitch to the next; a ring has one more, from the last to the first")
		return nil, false
	}
	sum := sumOf(gaps)
	if over := sum - length; over > gapsAgreeMM || d.Form == RingForm && over < -gapsAgreeMM {
		expected := fmt.Sprintf("at most %.1f mm together", length)
		if d.Form == RingForm {
			expected = fmt.Sprintf("%.1f mm together, within %s mm", length, exact(gapsAgreeMM))
		}
		problems.Add(d.SpacingAt, fmt.Sprintf("repair: gaps of %.1f mm together on a %s of %.1f mm", sum, d.called(), length), expected, "correct the spacing or the length")
		return nil, false
	}
	return gaps, true
}

func sumOf(lengths []float64) (sum float64) {
	for _, l := range lengths {
		sum += l
	}
	return sum
}

// placesOn are the places on the former where each stitch comes to lie. The middle of a band's opening faces the place
// it is said to, or the middle of the rim left free; what the stitches leave of the band is shared by its two ends. A
// closed ring is turned so that its stitches face their places on the rim as nearly as they can, by the mean of what
// each would want.
func (r *repairLayer) placesOn(d Device, former *atlas.Former, stitches []stitchAt, gaps []float64) []float64 {
	if former == nil {
		return nil
	}
	rim := r.Heart.Rim
	first := 0.0
	if d.Form == BandForm {
		a, b := stitches[0].atMM, stitches[len(stitches)-1].atMM
		facing := b + rim.Span(b, a)/2
		if d.HasOpeningAt {
			facing = resolve(d.OpeningAt, r.Heart).AlongMM
		}
		spare := d.lengthMM(former) - sumOf(gaps)
		first = former.Facing(rim.At(facing)) + d.OpeningMM/2 + spare/2
	} else {
		first = ringTurn(rim, former, stitches, gaps)
	}
	starts := make([]float64, len(gaps))
	for i, gap := range gaps {
		starts[i] = first
		first += gap
	}
	return starts
}

// ringTurn is where the first stitch of a closed ring comes to lie: the mean, round the ring, of where each stitch
// would have it.
func ringTurn(rim *atlas.Rim, former *atlas.Former, stitches []stitchAt, gaps []float64) float64 {
	var sin, cos, way float64
	for i, s := range stitches {
		wants := 2 * math.Pi * (former.Facing(rim.At(s.atMM)) - way) / former.LengthMM()
		sin, cos = sin+math.Sin(wants), cos+math.Cos(wants)
		way += gaps[i]
	}
	return math.Atan2(sin, cos) / (2 * math.Pi) * former.LengthMM()
}
