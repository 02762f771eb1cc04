package placement

import (
	"fmt"
	"math"
	"testing"

	"fairlead/atlas"
)

const everyStitch = `  bites:
    count: 17
    rim: { kind: mattress, lie: across, travel: 3 mm, depth: 1 mm, apart: 3 mm, pledget: atrial }
    wall: { kind: single, lie: along, travel: 2 mm, depth: 0.9 mm }
    leaflet: { kind: single, lie: across, travel: 3 mm, depth: 0.8 mm }
`

func middleOf(p Pass) atlas.Spot {
	return atlas.Spot{AlongMM: (p.In.AlongMM + p.Out.AlongMM) / 2, OffMM: (p.In.OffMM + p.Out.OffMM) / 2}
}

// Stitches lie evenly along the line, the first at its first place, each with its middle on the line.
func TestLineBitesLieEvenly(t *testing.T) {
	laid := mustLay(t, mustRead(t, lineText("  ostium: atrial\n"+noSample+everyStitch, roundPlaces(1.6)...)))
	line := laid.Line
	if len(laid.Bites) != 17 {
		t.Fatalf("%d stitches", len(laid.Bites))
	}
	near(t, "stitch to stitch", line.EveryMM, line.LengthMM/17, 1e-12)
	heart := laid.Heart
	for i, b := range laid.Bites {
		if b.Name != fmt.Sprintf("L%d", i+1) || !b.OnLine {
			t.Errorf("stitch %d is called %s", i+1, b.Name)
		}
		at := line.spotAt(float64(i) * line.EveryMM)
		if want := tissueAt(at.OffMM); b.Tissue != want && b.Tissue != Rim {
			t.Errorf("%s takes %s, its place lies on %s", b.Name, b.Tissue, want)
		}
		near(t, b.Name+": on the line", line.course.tissueDistance(at), 0, 1e-6)
		middle := middleOf(b.Passes[0])
		if len(b.Passes) == 2 {
			a, c := middle, middleOf(b.Passes[1])
			middle = leg{a, c}.at(0.5)
			// The line may turn a corner between the arms.
			near(t, b.Name+": arms apart", heart.Chart.Frame(a).Distance(heart.Chart.Frame(c)), 3, 0.25)
		}
		if b.Tissue != Leaflet { // that one is set down to the hinge
			near(t, b.Name+": about its place", heart.Chart.Frame(middle).Distance(heart.Chart.Frame(at)), 0, 0.4)
		}
		for _, p := range b.Passes {
			// Travel is measured on the tissue, and straight across the hinge's hollow a little less.
			near(t, b.Name+": travel", p.Arc.At(0).Distance(p.Arc.At(1)), map[Tissue]float64{Rim: 3, Wall: 2, Leaflet: 3}[tissueAt(at.OffMM)], 0.35)
		}
	}
	near(t, "first place", laid.Bites[0].Passes[0].In.AlongMM-line.Corners[0].AlongMM, 0, 4)
}

// Where the line runs on a leaflet, its stitches take leaflet alone, and go in at the hinge at the highest.
func TestLineBitesOnLeaflet(t *testing.T) {
	for _, off := range []float64{-0.2, -1, -3} {
		laid := mustLay(t, mustRead(t, lineText("  ostium: atrial\n"+noSample+everyStitch, hingePlaces(off)...)))
		for _, b := range laid.Bites {
			p := b.Passes[0]
			if b.Tissue != Leaflet || max(p.In.OffMM, p.Out.OffMM) > 1e-9 || b.DepthMM != 0.8 {
				t.Errorf("%s: %s, %.2f to %.2f off, %g mm deep", b.Name, b.Tissue, p.In.OffMM, p.Out.OffMM, b.DepthMM)
			}
			if !(p.In.OffMM >= off && p.Out.OffMM <= off) {
				t.Errorf("%s: %.2f to %.2f does not hold the line at %.2f", b.Name, p.In.OffMM, p.Out.OffMM, off)
			}
		}
	}
}

// Across goes in on the atrial side and out on the ventricular one, at right angles to the line; along goes clockwise.
func TestLineBitesLie(t *testing.T) {
	for _, lie := range []Lie{Across, Along} {
		stitch := fmt.Sprintf("{ kind: single, lie: %s, travel: 2 mm, depth: 1 mm }", lie)
		text := lineText("  ostium: atrial\n"+noSample+"  bites: { every: 5 mm, rim: "+stitch+", wall: "+stitch+" }\n", roundPlaces(2)...)
		laid := mustLay(t, mustRead(t, text))
		if most := laid.Line.EveryMM; most > 5 || most < 4.5 {
			t.Errorf("stitches %.2f mm apart", most)
		}
		for _, b := range laid.Bites {
			p := b.Passes[0]
			in, out := laid.Line.course.below(p.In), laid.Line.course.below(p.Out)
			switch {
			case lie == Across && (in || !out):
				t.Errorf("%s goes in below: %v, out below: %v", b.Name, in, out)
			case lie == Along:
				// Both ends lie near the line, but where it turns a corner.
				for _, s := range []atlas.Spot{p.In, p.Out} {
					if far := laid.Line.course.tissueDistance(s); far > 0.6 {
						t.Errorf("%s: an end lies %.2f mm off the line", b.Name, far)
					}
				}
			}
		}
	}
}

// The line's spots follow its length: going round once more leads to the same place, a turn on.
func TestSpotAt(t *testing.T) {
	line := mustLay(t, mustRead(t, lineText("  ostium: atrial\n"+noSample, roundPlaces(2)...))).Line
	heart := line.course.heart
	for i := range 50 {
		mm := line.LengthMM * float64(i) / 50
		here, again := line.spotAt(mm), line.spotAt(mm-line.LengthMM)
		near(t, "a turn back", here.AlongMM-again.AlongMM, heart.Rim.LengthMM(), 1e-6)
		near(t, "as high", here.OffMM, again.OffMM, 1e-6)
		step := heart.Chart.Frame(here).Distance(heart.Chart.Frame(line.spotAt(mm + 0.1)))
		if math.Abs(step-0.1) > 0.02 {
			t.Errorf("a tenth along the line is %.3f mm at %.1f", step, mm)
		}
	}
}

// Stitches farther apart than the least bridge are not said to be at it, whatever the least is: 0.3 mm and a needle of
// 0.6 mm add up to a rounding less than they are.
func TestBridgeBeyondTheLeast(t *testing.T) {
	for _, least := range []float64{0.1, 0.3, 0.5, 0.7} {
		plan := spaced(least, 50, quiet(mattress(20, 3), mattress(26, 3)))
		for _, b := range mustCheck(t, plan).Bites {
			if len(ruleIDs(b.Reasons)) > 0 {
				t.Errorf("least %g mm: %+v", least, b.Reasons)
			}
		}
	}
}
