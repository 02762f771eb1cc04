package placement

import (
	"fmt"
	"math"

	"fairlead/atlas"
	"fairlead/atlas/strictyaml"
)

// leastPitchMM is the least distance, either way, between the starts of two
// passes of a running stitch.
const leastPitchMM = 0.5

// Read reads a plan file strictly and fills in what it leaves out. The
// words are the atlas's own that it may use. When there are problems
// the plan must not be used.
func Read(file string, data []byte, words Words) (Plan, strictyaml.Problems) {
	value, problems := strictyaml.Parse(file, data, planShape(words))
	checkSpacing(value, &problems)
	checkNames(value.Get("bites").Items(), &problems)
	for _, bite := range value.Get("bites").Items() {
		checkBite(bite, &problems)
	}
	checkRepair(value.Get("repair"), &problems)
	checkLine(value.Get("line"), &problems)
	checkPatches(value.Get("patches"), &problems)
	if len(problems) > 0 {
		return Plan{File: file}, problems.Sorted()
	}
	plan := planFrom(file, value)
	plan.Digest = atlas.Digest(data)
	return plan, nil
}

func planFrom(file string, v strictyaml.Value) Plan {
	plan := Plan{
		File:      file,
		Case:      v.Get("case").Text(),
		Operation: Operation(v.Get("operation").Text()),
		Note:      v.Get("note").Text(),
		Patient:   patientFrom(v.Get("patient")),
		Measured:  measuredFrom(v.Get("heart")),
		Contour:   v.Get("rim").Get("contour").Text(),
		ContourAt: v.Get("rim").Get("contour").Position(),
		Stretch:   v.Get("rim").Get("stretch").Text(),
		StretchAt: v.Get("rim").Get("stretch").Position(),
		Valve:     valveFrom(v.Get("valve")),
		Variant:   v.Get("variant").Text(),
		VariantAt: v.Get("variant").Position(),
		Margins:   marginsFrom(v.Get("margins")),
		Needle:    needleFrom(v.Get("needle")),
		Spacing:   spacingFrom(v.Get("spacing")),
	}
	for _, bite := range v.Get("bites").Items() {
		plan.Bites = append(plan.Bites, biteFrom(bite))
	}
	for _, step := range v.Get("repair").Items() {
		plan.Repair = append(plan.Repair, repairStepFrom(step))
	}
	if v.Has("line") {
		plan.Line = lineFrom(v.Get("line"))
	}
	for _, patch := range v.Get("patches").Items() {
		plan.Patches = append(plan.Patches, patchFrom(patch))
	}
	for _, look := range v.Get("look-at").Items() {
		plan.Looks = append(plan.Looks, look.Text())
	}
	return plan
}

func patientFrom(v strictyaml.Value) Patient {
	return Patient{
		HeightCM: v.Get("height").Number(), WeightKG: v.Get("weight").Number(), SurfaceM2: v.Get("surface").Number(),
		Formula: v.Get("formula").Text(), Dataset: v.Get("sizes").Text(), At: v.Position(),
	}
}

func valveFrom(v strictyaml.Value) Valve {
	return Valve{
		Leaflets: int(numberOr(v, "leaflets", 3)), Cleft: v.Get("cleft").Bool(), CommissureMM: v.Get("commissure-width").Number(),
	}
}

func measuredFrom(v strictyaml.Value) []Measured {
	var all []Measured
	for _, name := range v.Keys() {
		one := v.Get(name)
		all = append(all, Measured{
			Name: name, Value: one.Get("value").Number(), Method: one.Get("by").Text(), Error: one.Get("error").Number(), At: one.Position(),
		})
	}
	return all
}

// numberOr is the number under a key, or what stands in for it.
func numberOr(v strictyaml.Value, key string, otherwise float64) float64 {
	if !v.Has(key) {
		return otherwise
	}
	return v.Get(key).Number()
}

func marginsFrom(v strictyaml.Value) Margins {
	return Margins{
		ConductionMM: numberOr(v, "conduction", DefaultMargins.ConductionMM),
		CoronaryMM:   numberOr(v, "coronary", DefaultMargins.CoronaryMM),
		AortaMM:      numberOr(v, "aorta", DefaultMargins.AortaMM),
		OstiumMM:     numberOr(v, "ostium", DefaultMargins.OstiumMM),
	}
}

func needleFrom(v strictyaml.Value) Needle {
	return Needle{
		NeedleMM: numberOr(v, "width", DefaultNeedle.NeedleMM),
		ThreadMM: numberOr(v, "thread", DefaultNeedle.ThreadMM),
	}
}

func spacingFrom(v strictyaml.Value) Spacing {
	return Spacing{
		MinMM: numberOr(v, "least", DefaultSpacing.MinMM),
		MaxMM: numberOr(v, "most", DefaultSpacing.MaxMM),
	}
}

func biteFrom(v strictyaml.Value) Bite {
	bite := Bite{
		Name:    v.Get("name").Text(),
		Kind:    Kind(v.Get("kind").Text()),
		Tissue:  Tissue(v.Get("tissue").Text()),
		In:      placeFrom(v.Get("in")),
		HasOut:  v.Has("out"),
		DepthMM: v.Get("depth").Number(),
		ApartMM: v.Get("apart").Number(),
		Pledget: NoPledget,
		Passes:  v.Get("passes").Whole(),
		PitchMM: v.Get("pitch").Number(),
		Note:    v.Get("note").Text(),
		At:      v.Position(),
	}
	if v.Has("pledget") {
		bite.Pledget = Pledget(v.Get("pledget").Text())
	}
	if bite.HasOut {
		bite.Out = placeFrom(v.Get("out"))
	} else {
		bite.TravelMM, bite.Heading = v.Get("travel").Number(), headingFrom(v.Get("heading"))
	}
	return bite
}

func placeFrom(v strictyaml.Value) Place {
	return Place{
		Way:          wayOf(v),
		From:         v.Get("from").Text(),
		Toward:       v.Get("toward").Text(),
		ByMM:         v.Get("by").Number(),
		Segment:      v.Get("segment").Text(),
		SharePercent: v.Get("share").Number(),
		ClockHour:    v.Get("clock").Clock(),
		OffMM:        v.Get("off").Number(),
		At:           v.Position(),
	}
}

func wayOf(v strictyaml.Value) Way {
	for _, way := range []Way{FromLandmark, OfSegment} {
		if v.Has(string(way)) {
			return way
		}
	}
	return AtClock
}

func headingFrom(v strictyaml.Value) Heading {
	for _, h := range headingWords {
		if v.Text() == h.word {
			return Heading{Degrees: h.degrees}
		}
	}
	return Heading{Degrees: v.Number()}
}

func checkSpacing(v strictyaml.Value, problems *strictyaml.Problems) {
	gap := v.Get("spacing")
	if s := spacingFrom(gap); s.MinMM > s.MaxMM {
		problems.Add(gap.Position(), fmt.Sprintf("spacing: the least gap, %g mm, is more than the greatest, %g mm", s.MinMM, s.MaxMM), "least at most as large as most (0.5 mm and 10 mm unless given)", "mend either")
	}
}

func checkNames(bites []strictyaml.Value, problems *strictyaml.Problems) {
	first := map[string]strictyaml.Position{}
	for _, bite := range bites {
		name := bite.Get("name")
		before, twice := first[name.Text()]
		switch {
		case !name.Present():
		case twice:
			problems.Add(name.Position(), fmt.Sprintf("name: another bite is called %q already, at %s", name.Text(), before), "a name no other bite has", "rename one of the two")
		default:
			first[name.Text()] = name.Position()
		}
	}
}

func checkBite(bite strictyaml.Value, problems *strictyaml.Problems) {
	for _, end := range []string{"in", "out"} {
		checkTissue(Tissue(bite.Get("tissue").Text()), end, bite.Get(end), problems)
		checkToward(end, bite.Get(end), problems)
	}
	if pitch := bite.Get("pitch"); pitch.Present() && math.Abs(pitch.Number()) < leastPitchMM {
		problems.Add(pitch.Position(), fmt.Sprintf("pitch: %q leaves the passes upon one another", pitch.Text()), "0.5 mm to 50 mm, or -50 mm to -0.5 mm", "write a larger distance")
	}
}

// checkTissue holds the tissue a bite is meant to go through against the side
// of the hinge it begins and ends on: the wall is above it, the leaflet below.
func checkTissue(tissue Tissue, end string, place strictyaml.Value, problems *strictyaml.Problems) {
	off := place.Get("off")
	switch {
	case tissue == Wall && off.Number() < 0:
		problems.Add(off.Position(), fmt.Sprintf("%s: off %s is on the leaflet, but tissue is wall", end, off.Text()), "0 mm or more, up the wall", "mend off or tissue")
	case tissue == Leaflet && off.Number() > 0:
		problems.Add(off.Position(), fmt.Sprintf("%s: off %s is up the wall, but tissue is leaflet", end, off.Text()), "0 mm or less, onto the leaflet", "mend off or tissue")
	}
}

func checkToward(end string, place strictyaml.Value, problems *strictyaml.Problems) {
	if from, toward := place.Get("from"), place.Get("toward"); from.Present() && from.Text() == toward.Text() {
		problems.Add(toward.Position(), fmt.Sprintf("%s: the way leads from %s toward itself", end, from.Text()), "clockwise, anticlockwise, a segment or another commissure", "mend from or toward")
	}
}
