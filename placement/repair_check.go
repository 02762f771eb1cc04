package placement

import (
	"fmt"
	"math"

	"fairlead/atlas"
	"fairlead/atlas/strictyaml"
)

// lengthAgreesMM is how far the stated length of a rigid device may be from what its axes and opening make it.
const lengthAgreesMM = 0.5

// checkRepair notes what is wrong with the steps whatever the heart.
func checkRepair(steps strictyaml.Value, problems *strictyaml.Problems) {
	devices, clefts := 0, 0
	for _, step := range steps.Items() {
		kind := repairStepFrom(step).Kind
		if devices > 0 && (kind == SewDevice || kind == TieThread || kind == FoldRim) {
			problems.Add(step.Position(), fmt.Sprintf("repair: %s comes after the device, which holds the rim as it then is", kind), "the device as the last step that draws the rim together, and one device", "move the step up, or leave it out")
		}
		switch v := step.Get(string(kind)); kind {
		case SewDevice:
			devices++
			checkDevice(v, problems)
		case CloseCleft:
			if clefts++; clefts > 1 {
				problems.Add(step.Position(), "repair: the cleft is closed twice", "close-cleft once", "leave one out")
			}
		case NewCommissure:
			checkHingePlace("at", v.Get("at"), problems)
		}
	}
}

// checkDevice holds what a device is said to be against itself.
func checkDevice(v strictyaml.Value, problems *strictyaml.Problems) {
	d := deviceFrom(v)
	rigidBand := d.Holds == Rigid && d.Form == BandForm
	switch {
	case d.Form == "" || d.Holds == "":
		return // refused already
	case rigidBand && d.OpeningMM == 0 && !v.Has("opening"):
		problems.Add(v.Position(), "repair: a rigid band has no opening", "the key opening, measured along the ellipse", "add opening: 20 mm, or write form: ring")
	case !rigidBand && v.Has("opening"):
		problems.Add(v.Get("opening").Position(), fmt.Sprintf("repair: a %s %s has no opening of its own", d.Holds, d.Form), "opening only of a rigid band; a flexible one opens over the rim left free", "remove it, or mend form or holds")
	}
	if v.Has("opening-at") {
		checkHingePlace("opening-at", v.Get("opening-at"), problems)
		if !rigidBand {
			problems.Add(v.Get("opening-at").Position(), fmt.Sprintf("repair: opening-at of a %s %s, which has no opening of its own", d.Holds, d.Form), "opening-at only of a rigid band", "remove it, or mend form or holds")
		}
	}
	if d.Holds == Flexible {
		if !v.Has("length") {
			problems.Add(v.Position(), "repair: a flexible device without its length", "the key length", "add length: 60 mm, say")
		}
		return
	}
	if v.Has("long-axis") && v.Has("short-axis") {
		checkEllipse(v, d, problems)
	}
}

// checkEllipse holds the length and opening of a rigid device against its axes.
func checkEllipse(v strictyaml.Value, d Device, problems *strictyaml.Problems) {
	if d.LongMM < d.ShortMM {
		problems.Add(v.Get("long-axis").Position(), fmt.Sprintf("repair: the long axis, %s mm, is shorter than the short axis, %s mm", exact(d.LongMM), exact(d.ShortMM)), "long-axis at least as long as short-axis", "exchange the two")
		return
	}
	former, err := atlas.NewFormer(d.LongMM, d.ShortMM)
	if err != nil {
		problems.Add(v.Get("short-axis").Position(), "repair: "+err.Error(), "", "")
		return
	}
	follows := former.LengthMM() - d.OpeningMM
	if follows <= 0 {
		problems.Add(v.Get("opening").Position(), fmt.Sprintf("repair: an opening of %s mm in an ellipse of %.1f mm round", exact(d.OpeningMM), former.LengthMM()), "an opening shorter than the ellipse", "correct opening or the axes")
		return
	}
	if v.Has("length") && math.Abs(d.LengthMM-follows) > lengthAgreesMM {
		problems.Add(d.LengthAt, fmt.Sprintf("repair: a length of %s mm, but its axes and opening leave %.1f mm", exact(d.LengthMM), follows),
			fmt.Sprintf("%.1f mm, within %s mm", follows, exact(lengthAgreesMM)), "leave length out, or correct one of them")
	}
}

// checkHingePlace notes what is wrong with a place that is one of the hinge.
func checkHingePlace(key string, place strictyaml.Value, problems *strictyaml.Problems) {
	checkToward(key, place, problems)
	if off := place.Get("off"); off.Number() != 0 {
		problems.Add(off.Position(), fmt.Sprintf("repair: %s: off %s, but this is a place of the hinge itself", key, off.Text()), "a place without off", "remove off")
	}
}
