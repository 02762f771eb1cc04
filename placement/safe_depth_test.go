package placement

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fairlead/atlas"
	"fairlead/atlas/geom"
	"fairlead/atlas/words"
)

// kept is what a needle's middle must keep from a structure's surface, worked out from the plan and the rulebook
// without the band's own code: the margin and half the wider of needle and thread, and for a clear bite the stretch of
// caution as well.
func kept(t testing.TB, laid *Laid, rules *Rulebook, s atlas.Structure) (clear, caution float64) {
	t.Helper()
	half := math.Max(laid.Plan.Needle.NeedleMM, laid.Plan.Needle.ThreadMM) / 2
	switch s.Kind {
	case atlas.Coronary:
		caution = laid.Plan.Margins.CoronaryMM + half
		return caution + rules.Rule("coronary-artery").Figures["beyond"], caution
	case atlas.Aorta:
		caution = laid.Plan.Margins.AortaMM + half
		return caution + rules.Rule("aortic-root").Figures["beyond"], caution
	case atlas.Conduction, atlas.NodalArtery:
		caution = laid.Plan.Margins.ConductionMM + half
		return caution + s.SpreadMM, caution
	}
	t.Fatalf("no margin is known to a %s", s.Kind)
	return 0, 0
}

// Against brute force: the way in is walked in steps of 0.01 mm and measured to every solid whole. No step before the
// band's depth breaks a distance to keep, and at that depth one is reached, unless the band looked to its end.
func TestSafeDepthIsTheFirstLimitOnTheWayIn(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 27))
	hearts, each := 8, 25
	if testing.Short() {
		hearts = 3
	}
	rules, reached := loadRules(t), map[string]int{}
	for range hearts {
		heart := randomHeart(r, loadCatalogue(t))
		laid := laidOn(heart)
		e := newExaminer(laid, rules)
		for range each {
			at := atlas.Spot{AlongMM: heart.Rim.LengthMM() * r.Float64(), OffMM: -3 + 6*r.Float64()}
			got := e.safeDepth(at)
			inBody := e.zones[atlas.FibrousBody].depth(Pass{In: at, Out: at}, 0) < 0
			for _, level := range []struct {
				depth float64
				end   DepthEnd
				keep  func(clear, caution float64) float64
			}{
				{got.ClearMM, got.ClearEnd, func(clear, _ float64) float64 { return clear }},
				{got.CautionMM, got.CautionEnd, func(_, caution float64) float64 { return caution }},
			} {
				spare := func(depth float64) float64 {
					p, least := heart.Chart.Frame(atlas.Spot{AlongMM: at.AlongMM, OffMM: at.OffMM, DeepMM: depth}), math.Inf(1)
					for _, s := range heart.Structures {
						least = math.Min(least, s.Solid.Distance(p)-level.keep(kept(t, laid, rules, s)))
					}
					return least
				}
				for d := 0.0; d < level.depth; d += 0.01 {
					if spare(d) < 0 {
						t.Fatalf("%v: %v mm is called safe, but %.2f mm is %v mm too near", at, level.depth, d, -spare(d))
					}
				}
				switch {
				case level.end.ID == "fibrous-body":
					if !inBody || level.depth != 1.5 {
						t.Fatalf("%v: ends in the fibrous body at %v mm; in it: %v", at, level.depth, inBody)
					}
				case level.end.ID == "":
					if level.depth != safeDeepestMM {
						t.Fatalf("%v: ends at %v mm by nothing", at, level.depth)
					}
				default:
					if left := spare(level.depth); left > safeTouchMM+1e-9 {
						t.Fatalf("%v: ends at %v mm with %v mm to spare", at, level.depth, left)
					}
				}
				reached[level.end.ID]++
			}
		}
	}
	t.Logf("ends met: %v", reached)
	for _, id := range []string{"", "bundle", "right-coronary", "aortic-root"} {
		if reached[id] == 0 {
			t.Errorf("no depth ended at %q: the test does not reach it", id)
		}
	}
}

// ballHeart is the usual heart with a ball for its only structure, straight under a place of the hinge and moved aside
// by so many mm in space, along the rim's wall.
func ballHeart(t testing.TB, kind atlas.Kind, along, deepMM, asideMM, radiusMM, spreadMM float64) *atlas.Heart {
	heart := *usualHeart(t)
	under := atlas.Spot{AlongMM: along}
	centre := heart.Chart.Frame(under).Add(heart.Chart.Inward(under).Scale(deepMM)).Add(heart.Chart.Up(under).Scale(asideMM))
	heart.Structures = []atlas.Structure{{ID: "ball", Label: words.Text("ball"), Kind: kind, Solid: geom.Tube{Axis: []geom.Vec{centre}, RadiusMM: radiusMM}, SpreadMM: spreadMM, SharePercent: 100}}
	return &heart
}

// A ball of radius R, D under the surface and s aside, is R+k away where d = D − √((R+k)² − s²): Pythagoras.
func TestSafeDepthOverABall(t *testing.T) {
	rules := loadRules(t)
	for _, c := range []struct {
		name                        string
		kind                        atlas.Kind
		deep, aside, radius, spread float64
		wantClear, wantCaution      float64
		clearEnd, cautionEnd        string
	}{
		// keep 2 + 0.3, and 1 more of spread: 5 − (0.5+3.3) and 5 − (0.5+2.3)
		{name: "conduction, straight under", kind: atlas.Conduction, deep: 5, radius: 0.5, spread: 1, wantClear: 1.2, wantCaution: 2.2, clearEnd: "ball", cautionEnd: "ball"},
		// keep 0.5 + 0.3, and 0.5 of caution: 3 − √(1.8²−1²), 3 − √(1.3²−1²)
		{name: "artery, aside", kind: atlas.Coronary, deep: 3, aside: 1, radius: 0.5, wantClear: 3 - math.Sqrt(1.8*1.8-1), wantCaution: 3 - math.Sqrt(1.3*1.3-1), clearEnd: "ball", cautionEnd: "ball"},
		// keep 1 + 0.3, and 1 of caution: passed at 2.1 mm, so caution alone, from 4 − √(2.3²−2.1²) on
		{name: "root, passed by", kind: atlas.Aorta, deep: 4, aside: 2.3, radius: 0.2, wantClear: 4 - math.Sqrt(2.5*2.5-2.3*2.3), wantCaution: safeDeepestMM, clearEnd: "ball"},
		{name: "at the surface", kind: atlas.Conduction, deep: 1, radius: 0.5, spread: 1, clearEnd: "ball", cautionEnd: "ball"},
		{name: "far below", kind: atlas.Conduction, deep: 12, radius: 0.5, spread: 1, wantClear: safeDeepestMM, wantCaution: safeDeepestMM},
	} {
		t.Run(c.name, func(t *testing.T) {
			const along = 20 // mid anterior, away from the fibrous body
			e := newExaminer(laidOn(ballHeart(t, c.kind, along, c.deep, c.aside, c.radius, c.spread)), rules)
			got := e.safeDepth(atlas.Spot{AlongMM: along})
			near(t, "clear", got.ClearMM, c.wantClear, 0.005)
			near(t, "caution", got.CautionMM, c.wantCaution, 0.005)
			if got.ClearEnd.ID != c.clearEnd || got.CautionEnd.ID != c.cautionEnd {
				t.Errorf("ends at %q and %q, want %q and %q", got.ClearEnd.ID, got.CautionEnd.ID, c.clearEnd, c.cautionEnd)
			}
		})
	}
}

// The fibrous body may be pierced no deeper than its rule says, however far everything else lies.
func TestSafeDepthInTheFibrousBody(t *testing.T) {
	heart := *usualHeart(t)
	heart.Structures = nil
	e := newExaminer(laidOn(&heart), loadRules(t))
	deepest := loadRules(t).Rule("fibrous-body").Figures["deepest"]
	for _, c := range []struct {
		at   atlas.Spot
		want float64
		end  string
	}{
		{atlas.Spot{OffMM: 1}, deepest, "fibrous-body"},
		{atlas.Spot{AlongMM: heart.Rim.LengthMM() - 1}, deepest, "fibrous-body"},
		{atlas.Spot{OffMM: -1}, safeDeepestMM, ""},
		{atlas.Spot{AlongMM: 12}, safeDeepestMM, ""},
	} {
		if got := e.safeDepth(c.at); got.ClearMM != c.want || got.CautionMM != c.want || got.ClearEnd.ID != c.end || got.CautionEnd.ID != c.end {
			t.Errorf("%v: %+v, want %v mm by %q", c.at, got, c.want, c.end)
		}
	}
}

// meets is the depth at which a straight way in comes within a distance of a straight line: the smaller root of
// |(s + d·u − a) × w| = r, w the line's unit direction. It is NaN where the way passes by.
func meets(surface, inward geom.Vec, line geom.Segment, r float64) float64 {
	w := line.B.Sub(line.A).Unit()
	flat := func(v geom.Vec) geom.Vec { return v.Sub(w.Scale(v.Dot(w))) } // what is left of a vector across the line
	q, u := flat(surface.Sub(line.A)), flat(inward)
	a, b, c := u.Dot(u), q.Dot(u), q.Dot(q)-r*r
	return (-b - math.Sqrt(b*b-a*c)) / a
}

// By hand, over the bundle where it dives under the hinge, with margins that leave something to go. The bundle's piece
// nearest the way in is taken for a straight line; it bends by less than the 0.02 mm allowed.
func TestSafeDepthOverTheBundle(t *testing.T) {
	heart := usualHeart(t)
	laid := laidOn(heart)
	laid.Plan.Margins.ConductionMM, laid.Plan.Needle = 0.1, Needle{NeedleMM: 0.3, ThreadMM: 0.2}
	tube, piece := pieceUnderHinge(t, heart, "bundle")
	crossing, _ := heart.Chart.Spot(piece.A)
	at := atlas.Spot{AlongMM: crossing.AlongMM}
	want := meets(heart.Chart.Frame(at), heart.Chart.Inward(at), piece, tube.RadiusMM+0.1+0.15)
	if !(want > 0.2 && want < crossing.DeepMM-1.2) {
		t.Fatalf("the hand's %v mm does not lie above the bundle, %v mm deep", want, crossing.DeepMM)
	}
	got := newExaminer(laid, loadRules(t)).safeDepth(at)
	near(t, "caution depth", got.CautionMM, want, 0.02)
	if got.CautionEnd.ID != "bundle" {
		t.Errorf("ends at %q", got.CautionEnd.ID)
	}
	// With the usual margins, 2 mm and half the needle beyond a bundle whose near wall lies under 1 mm deep, nothing goes.
	if usual := newExaminer(laidOn(heart), loadRules(t)).safeDepth(at); usual.ClearMM != 0 || usual.CautionMM != 0 {
		t.Errorf("with the usual margins %v mm clear and %v mm with caution over the bundle", usual.ClearMM, usual.CautionMM)
	}
}

// pieceUnderHinge is the piece of a structure's axis that passes under the hinge.
func pieceUnderHinge(t testing.TB, heart *atlas.Heart, id string) (geom.Tube, geom.Segment) {
	t.Helper()
	for _, s := range heart.Structures {
		tube, ok := s.Solid.(geom.Tube)
		if s.ID != id || !ok {
			continue
		}
		for i := 1; i < len(tube.Axis); i++ {
			before, _ := heart.Chart.Spot(tube.Axis[i-1])
			after, _ := heart.Chart.Spot(tube.Axis[i])
			if before.OffMM >= 0 && after.OffMM < 0 {
				return tube, geom.Segment{A: tube.Axis[i-1], B: tube.Axis[i]}
			}
		}
	}
	t.Fatalf("the %s does not pass under the hinge", id)
	return geom.Tube{}, geom.Segment{}
}

// By hand, beside the coronary artery where it comes nearest the hinge from the side. Margin 0.5, caution 0.5 beyond it,
// half the needle 0.3.
func TestSafeDepthBesideTheCoronaryArtery(t *testing.T) {
	heart := usualHeart(t)
	for _, s := range heart.Structures {
		tube, ok := s.Solid.(geom.Tube)
		if s.ID != "right-coronary" || !ok {
			continue
		}
		beside, closest := atlas.Spot{OffMM: math.Inf(1)}, geom.Segment{}
		for i := 1; i < len(tube.Axis); i++ {
			if spot, _ := heart.Chart.Spot(tube.Axis[i-1]); spot.OffMM < beside.OffMM {
				beside, closest = spot, geom.Segment{A: tube.Axis[i-1], B: tube.Axis[i]}
			}
		}
		at := atlas.Spot{AlongMM: beside.AlongMM}
		want := meets(heart.Chart.Frame(at), heart.Chart.Inward(at), closest, tube.RadiusMM+0.5+0.5+0.3)
		// In the plane across the rim wall and depth stand at right angles: Pythagoras, but for the artery's slant.
		near(t, "the two hands", want, beside.DeepMM-math.Sqrt(math.Pow(tube.RadiusMM+1.3, 2)-beside.OffMM*beside.OffMM), 0.05)
		got := newExaminer(laidOn(heart), loadRules(t)).safeDepth(at)
		near(t, "clear depth", got.ClearMM, want, 0.02)
		if got.ClearEnd.ID != "right-coronary" || got.CautionEnd.ID != "" {
			t.Errorf("ends at %q and %q", got.ClearEnd.ID, got.CautionEnd.ID)
		}
		return
	}
	t.Fatal("there is no right coronary artery")
}

// The band and the judge agree: a needle each place of which stands above the band at that place has nothing said
// against it for its distances. The needle is read every 0.2 mm, and of distances no place between two readings knows
// more than 0.1 mm less than they do; so the band is that of a needle 0.2 mm thicker.
func TestWhatTheBandCallsClearIsJudgedClear(t *testing.T) {
	const stepMM = 0.2
	r := rand.New(rand.NewPCG(8, 3))
	rules, clear, careful := loadRules(t), 0, 0
	hearts, each := 8, 60
	if testing.Short() {
		hearts = 3
	}
	for range hearts {
		heart := randomHeart(r, loadCatalogue(t))
		thick := laidOn(heart)
		thick.Plan.Needle.NeedleMM += stepMM
		e := newExaminer(thick, rules)
		for range each {
			pass := randomPass(r, heart)
			level := bandLevel(e, pass, stepMM)
			if level == Avoid {
				continue
			}
			for _, reason := range Check(laidOn(heart, pass), rules).Bites[0].Reasons {
				switch reason.Rule {
				case "conduction-margin", "coronary-artery", "aortic-root":
					if reason.Level > level {
						t.Errorf("the band calls a needle %s that is judged %s: %s", level, reason.Level, reason.Text)
					}
				}
			}
			if level == Clear {
				clear++
			} else {
				careful++
			}
		}
	}
	t.Logf("%d needles clear by the band, %d with caution", clear, careful)
	if clear < 50*hearts/8 || careful < 10*hearts/8 {
		t.Error("too few needles to say anything")
	}
}

// bandLevel reads the band all along a needle. Beyond what ends a depth the way may be free again: that is Avoid here.
func bandLevel(e *examiner, pass Pass, stepMM float64) (level Level) {
	pieces := int(math.Ceil(pass.Arc.Length() / stepMM))
	for i := range pieces + 1 {
		spot, ok := e.heart.Chart.Spot(pass.Arc.At(float64(i) / float64(pieces)))
		depth := spot.DeepMM
		spot.DeepMM = 0
		switch here := e.safeDepth(spot); {
		case !ok || depth > here.CautionMM:
			return Avoid
		case depth > here.ClearMM:
			level = Caution
		}
	}
	return level
}

// Read as it stands: caution never ends before clear, and who keeps more is never let deeper.
func TestSafeBandReadsMonotonely(t *testing.T) {
	plan := codePlan()
	loose := mustCheck(t, plan).SafeDepth(0)
	plan.Margins = Margins{ConductionMM: 3, CoronaryMM: 1.5, AortaMM: 2, OstiumMM: 1}
	wary := mustCheck(t, plan).SafeDepth(0)
	plan.Margins, plan.Needle = DefaultMargins, Needle{NeedleMM: 1.2, ThreadMM: 0.3}
	thick := mustCheck(t, plan).SafeDepth(0)
	for i, d := range loose.Depths {
		for name, other := range map[string]SafeDepth{"wider margins": wary.Depths[i], "a thicker needle": thick.Depths[i]} {
			if other.ClearMM > d.ClearMM+safeTouchMM || other.CautionMM > d.CautionMM+safeTouchMM {
				t.Errorf("%.1f mm along: %s let it deeper: %v, was %v", d.AlongMM, name, other, d)
			}
		}
	}
}

// Of any heart the band is whole: a turn in equal steps of at most half a millimetre, everything finite, depths
// between nothing and as deep as was looked, what ends a depth named.
func TestSafeBandIsWholeInEveryHeart(t *testing.T) {
	wholeBand(t, "usual", mustCheck(t, codePlan()).SafeDepth(0))
	for _, variant := range atlas.VariantNames() {
		if variant == "discordant-connections" { // refused, with its reason
			continue
		}
		for _, surface := range []float64{0.25, 1, 2.2} {
			plan := codePlan()
			plan.Variant, plan.Patient.SurfaceM2 = variant, surface
			wholeBand(t, fmt.Sprintf("%s of %v m2", variant, surface), mustCheck(t, plan).SafeDepth(-1))
		}
	}
	r := rand.New(rand.NewPCG(2, 9))
	for i := range 10 {
		report := &Report{Laid: laidOn(randomHeart(r, loadCatalogue(t))), Rules: loadRules(t)}
		wholeBand(t, fmt.Sprintf("random heart %d", i), report.SafeDepth(1))
	}
}

func wholeBand(t *testing.T, name string, b SafeBand) {
	t.Helper()
	n := len(b.Depths) - 1
	turn := b.Depths[n].AlongMM - b.Depths[0].AlongMM
	if step := turn / float64(n); !(step > 0 && step <= 0.5) {
		t.Fatalf("%s: steps of %v mm", name, step)
	}
	for i, d := range b.Depths {
		near(t, name+": step", d.AlongMM-b.Depths[0].AlongMM, turn*float64(i)/float64(n), 1e-9)
		if !(d.ClearMM >= 0 && d.ClearMM <= d.CautionMM && d.CautionMM <= b.DeepestMM) {
			t.Errorf("%s: at %v mm clear to %v, caution to %v mm", name, d.AlongMM, d.ClearMM, d.CautionMM)
		}
		if (d.ClearMM < b.DeepestMM) != (d.ClearEnd.ID != "") || (d.CautionMM < b.DeepestMM) != (d.CautionEnd.ID != "") {
			t.Errorf("%s: at %v mm ends %v and %v", name, d.AlongMM, d.ClearEnd, d.CautionEnd)
		}
	}
	near(t, name+": the turn closes", b.Depths[n].ClearMM, b.Depths[0].ClearMM, 0.01)
	least, from, to, _ := b.Least()
	if !(least >= 0 && from >= b.Depths[0].AlongMM && to >= from && to-from < turn) {
		t.Errorf("%s: least %v mm from %v to %v", name, least, from, to)
	}
}

// The least stretch may run over the band's end, and of two the longer counts.
func TestLeastSafeDepth(t *testing.T) {
	band := func(clear ...float64) SafeBand {
		b := SafeBand{DeepestMM: 5}
		for i, mm := range append(clear, clear[0]) {
			b.Depths = append(b.Depths, SafeDepth{AlongMM: -10 + float64(i), ClearMM: mm, ClearEnd: DepthEnd{ID: string(rune('a' + i))}})
		}
		return b
	}
	for _, c := range []struct {
		name            string
		band            SafeBand
		least, from, to float64
		end             string
	}{
		{"one place", band(5, 5, 1, 5), 1, -8, -8, "c"},
		{"a stretch, to a tenth", band(5, 0.05, 0, 0.1, 5, 0.2), 0, -9, -7, "c"},
		{"the longer", band(0, 5, 5, 0, 0, 0, 5), 0, -7, -5, "e"},
		{"over the end", band(0, 0, 5, 5, 0), 0, -6, -4, "a"},
		{"all alike", band(2, 2, 2), 2, -10, -8, "b"},
	} {
		least, from, to, end := c.band.Least()
		if least != c.least || from != c.from || to != c.to || end.ID != c.end {
			t.Errorf("%s: got %v from %v to %v by %q, want %v from %v to %v by %q", c.name, least, from, to, end.ID, c.least, c.from, c.to, c.end)
		}
	}
}
