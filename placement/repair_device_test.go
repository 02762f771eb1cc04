package placement

import (
	"math"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// bearing is the direction of a point from the origin, degrees.
func bearing(x, y float64) float64 { return math.Atan2(y, x) * 180 / math.Pi }

// aside is the angle between two directions, degrees.
func aside(a, b float64) float64 { return math.Abs(math.Remainder(a-b, 360)) }

func rimBearing(p geom.Vec) float64 { return bearing(p.X, p.Y) }

func formerBearing(f *atlas.Former, mm float64) float64 {
	p := f.At(mm)
	return bearing(p.X, p.Y)
}

// The middle of a band's opening faces the place it is said to, or else the middle of the rim left free, and its two
// ends stand as far from the stitches beside them.
func TestOpeningFacesItsPlace(t *testing.T) {
	heart := usualHeart(t)
	segments := heart.Segments()
	free := segments[0].ForMM + segments[1].ForMM
	sewn := func(change func(*Device)) (*atlas.Former, []atlas.Gather) {
		step := rigid(BandForm, 34, 26, 22)
		change(&step.Device)
		laid := mustLay(t, repairing(stitchedAt(evenly(9, 8, free+2)...), step))
		return laid.Repair.Former, laid.Repair.Gathers
	}
	middle := free + 2 + (segments[2].ForMM-2+8)/2 // of the rim left free
	for _, c := range []struct {
		name   string
		change func(*Device)
		facing float64
	}{
		{"left alone", func(*Device) {}, middle},
		{"said", func(d *Device) { d.OpeningAt, d.HasOpeningAt = placeAt(-6, 0), true }, -6},
		{"spare at the ends", func(d *Device) { d.GapsMM = []float64{8} }, middle},
	} {
		former, gathers := sewn(c.change)
		first, last := gathers[0], gathers[0]
		for _, g := range gathers { // in the order of the rim
			if heart.Rim.Span(8, g.FromMM) < 1e-6 {
				first = g
			}
			if math.Abs(heart.Rim.Span(8, g.FromMM+g.ForMM)-(free-6)) < 1e-6 {
				last = g
			}
		}
		end := last.OnMM + last.OnForMM
		opening := former.LengthMM() - (end - first.OnMM)
		if got, want := formerBearing(former, end+opening/2), rimBearing(heart.Rim.At(c.facing)); aside(got, want) > 2 {
			t.Errorf("%s: the opening faces %v°, want %v°", c.name, got, want)
		}
		if c.name == "spare at the ends" {
			near(t, "from end stitch to end stitch", end-first.OnMM, 64, 1e-6)
		} else {
			near(t, "opening", opening, 22, 1e-6)
		}
	}
}

// On a round flat rim with even stitches, each stitch of a round ring can face its own place, and does.
func TestRingIsTurnedToItsStitches(t *testing.T) {
	for _, start := range []float64{0, 3.3, -28} {
		plan := flatRound(repairing(stitchedAt(evenly(12, start, start+11./12*math.Pi*36)...), rigid(RingForm, 30, 30, 0)), 36)
		laid := mustLay(t, plan)
		for i, interval := range laid.Repair.Intervals {
			var on float64
			for _, g := range laid.Repair.Gathers {
				if math.Abs(shorterWay(laid.Heart.Rim, g.FromMM, interval.FromMM)) < 1e-6 {
					on = g.OnMM
				}
			}
			got, want := formerBearing(laid.Repair.Former, on), rimBearing(laid.Heart.Rim.At(interval.FromMM))
			if aside(got, want) > 2 {
				t.Errorf("stitch %d lies at %v° of the ring, its place at %v°", i+1, got, want)
			}
		}
	}
}

// Two bites to be brought together may be named either way; the shorter way between them is folded.
func TestFoldBetweenBites(t *testing.T) {
	fold := func(a, b string) *Outcome {
		step := RepairStep{Kind: FoldRim, Fold: Fold{Between: []Named{{Name: a}, {Name: b}}, ToMM: 5}}
		return outcomeFor(t, repairing(stitchedAt(-6, 10), step))
	}
	there, back := fold("1", "2"), fold("2", "1")
	for _, o := range []*Outcome{there, back} {
		near(t, "folded", o.Before.LengthMM-o.After.LengthMM, 11, exactMM)
		near(t, "from", o.Intervals[0].FromMM, o.Before.LengthMM-6, 0.001)
		if o.Intervals[0].Between != [2]string{"1", "2"} {
			t.Errorf("between %v", o.Intervals[0].Between)
		}
	}
	near(t, "area", back.After.AreaMM2, there.After.AreaMM2, 1e-9)
}

// A mattress is one stitch in the middle of its arms; each pass of a run is one.
func TestStitchesOfABite(t *testing.T) {
	mattress := fromTo(Rim, 30, 1, 30, -1, 1)
	mattress.Kind, mattress.ApartMM, mattress.Name = Mattress, 6, "m"
	plan := repairing([]Bite{fromTo(Rim, 10, 0, 14, 0, 1), mattress, row(50, 7, 3)})
	laid := mustLay(t, plan)
	got := laid.stitches(nil, func(LaidBite) bool { return true }, nil)
	want := []stitchAt{{name: "1", atMM: 12, halfMM: 2}, {name: "m", atMM: 33, halfMM: 3}, {name: "3/1", atMM: 52, halfMM: 2}, {name: "3/2", atMM: 59, halfMM: 2}, {name: "3/3", atMM: 66, halfMM: 2}}
	if len(got) != len(want) {
		t.Fatalf("got %+v", got)
	}
	for i, w := range want {
		if got[i].name != w.name || math.Abs(got[i].atMM-w.atMM) > 1e-9 || math.Abs(got[i].halfMM-w.halfMM) > 1e-9 {
			t.Errorf("stitch %d: %+v, want %+v", i+1, got[i], w)
		}
	}
	if held := laid.stitches(nil, holdsDevice, nil); len(held) != 2 {
		t.Errorf("a device is held by %+v", held)
	}
}
