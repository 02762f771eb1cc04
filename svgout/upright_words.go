package svgout

import (
	"fmt"
	"slices"
	"strings"

	"fairlead/placement"
)

// teaching says of a structure what a student should take away from this view; in a malformed heart it need not hold.
var teaching = map[string]string{
	"oval fossa":               "oval fossa, in the septum between the atria",
	"coronary sinus ostium":    "coronary sinus ostium: the heart's own veins end here",
	"tendon line":              "tendon line, up to the fibrous body",
	"node":                     "node, near the apex of the nodal triangle",
	"fibrous body":             "fibrous body: firm; the bundle runs behind it",
	"artery of the node":       "artery of the node, under the triangle's base",
	"right coronary artery":    "right coronary artery, in the groove outside the free rim",
	"right inferior extension": "right inferior extension of the node, along the hinge",
}

// layLabels labels anatomy and every bite that is not clear; where there is no room for the bites too, anatomy alone,
// and at last in as few words as the atrial view.
func (u *upright) layLabels() (placed Placed, err error) {
	plain := u.anatomyLabels()
	taught := u.taught(plain)
	bites := slices.DeleteFunc(u.labels(func(placement.BiteReport) bool { return false }), func(l Label) bool { return l.Mark == Clear })
	for _, labels := range [][]Label{slices.Concat(taught, bites), slices.Concat(plain, bites), taught, plain} {
		if placed, err = Layout(labels, LabelFrame{Left: uprightLeft, Right: uprightRight, MiddleX: middleTarget(labels)}); err == nil {
			return placed, nil
		}
	}
	return placed, err
}

// anatomyLabels name what the picture shows, the aortic root where it is seen best.
func (u *upright) anatomyLabels() []Label {
	labels := u.landmarkLabels()
	root, ok := u.root()
	if !ok {
		return labels
	}
	for i, l := range labels {
		if strings.Join(l.Lines, " ") == "aortic root" {
			line := u.silhouette(root)
			labels[i].Target = u.paper(line[len(line)/6].Lerp(root.Centre, 0.1))
			labels[i].Lines = Fit(l.Class, "aortic root, behind the anteroseptal commissure", LabelRoomMM(uprightLeft, NoLevel), 2)
		}
	}
	return labels
}

func (u *upright) taught(plain []Label) []Label {
	if u.heart.Variant != nil {
		return plain
	}
	labels := slices.Clone(plain)
	for i, l := range labels {
		if text, ok := teaching[strings.Join(l.Lines, " ")]; ok {
			labels[i].Lines = Fit(l.Class, text, LabelRoomMM(uprightLeft, NoLevel), 2)
		}
	}
	return labels
}

// describe tells a reader who cannot see the plate what it shows.
func (u *upright) describe(report *placement.Report) string {
	var t strings.Builder
	fmt.Fprintf(&t, "Upright view of the opened right atrium, %s, head above, feet below, the patient's front to the right, the back to the left. ", rightAnteriorOblique.said())
	fmt.Fprintf(&t, "Assumed: %s %s. ", turnedBack.said(), tippedUp.said())
	t.WriteString("The rim stands open on the right of the picture, the septum with the oval fossa and the coronary sinus ostium on its left, the anteroseptal commissure above, the posteroseptal below; the right coronary artery runs outside the free rim. ")
	if len(report.Bites) > 0 {
		fmt.Fprintf(&t, "Verdict of the plan: %s.", report.Verdict)
	}
	for _, b := range report.Bites {
		fmt.Fprintf(&t, " Bite %s, %s: %s.", b.Name, b.Where, b.Verdict)
	}
	return strings.TrimSpace(t.String()) + " " + placement.Care().String()
}

// furnish draws heading, what is assumed, orientation, scale, legend and footer.
func (u *upright) furnish(p plate) {
	p.headed(u.Ink, u.heart, fmt.Sprintf("Upright view, %s. Scale %s : 1 across the line of sight.", rightAnteriorOblique.said(), mustNumber(u.scale)))
	u.layer("assumed", "what-is-assumed")
	u.Text("label-quiet", 8, 169.5, AnchorStart, fmt.Sprintf("How the valve stands in the body is assumed: %s %s. What the wall hides is broken.", turnedBack.said(), tippedUp.said()))
	u.End()
	u.layer("orientation", "orientation-and-scale")
	u.compass()
	p.scaleBar(u.Ink, Point{231, 181}, u.scale)
	u.End()
	p.legend(u.Ink)
	p.footer(u.Ink)
}

// compass names the body's directions: up and down exactly, across by what they mostly are.
func (u *upright) compass() {
	u.compassOf(Point{25, 182}, "head", "feet", [2]string{"back", "(right)"}, [2]string{"front", "(left)"})
}
