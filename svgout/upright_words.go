package svgout

import (
	"slices"
	"strings"

	"fairlead/atlas/words"
	"fairlead/placement"
)

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
		if strings.Join(l.Lines, " ") == u.say("structure.aortic-root") {
			line := u.standing.silhouette(root)
			labels[i].Target = u.paper(line[len(line)/6].Lerp(root.Centre, 0.1))
			labels[i].Lines = Fit(l.Class, u.say("upright.root"), LabelRoomMM(uprightLeft, NoLevel), 2)
		}
	}
	return labels
}

// taught is what the labels say with what a student should take away from this view; in a malformed heart it need not hold.
func (u *upright) taught(plain []Label) []Label {
	if u.heart.Variant != nil {
		return plain
	}
	labels, lessons := slices.Clone(plain), u.lessons()
	for i, l := range labels {
		if text, ok := lessons[strings.Join(l.Lines, " ")]; ok {
			labels[i].Lines = Fit(l.Class, text, LabelRoomMM(uprightLeft, NoLevel), 2)
		}
	}
	return labels
}

// lessons are what this view teaches of what it shows, by its name.
func (u *upright) lessons() map[string]string {
	lessons := map[string]string{}
	teach := func(id, name string) {
		if u.Language.Has("upright.lesson." + id) {
			lessons[name] = u.say("upright.lesson." + id)
		}
	}
	teach("tendon-line", u.say("name.tendon-line"))
	for _, zone := range u.heart.Zones {
		teach(string(zone.ID), u.said(zone.Label))
	}
	for _, s := range u.heart.Structures {
		teach(s.ID, u.structureName(s))
	}
	return lessons
}

// describe tells a reader who cannot see the plate what it shows.
func (u *upright) describe(p plate) string {
	told := []string{u.orientation(p), u.said(u.Habit.sense()), u.say("upright.assumed", words.Blanks{"stands": stands()}), u.shows(p)}
	if len(u.bites) > 0 {
		told = append(told, p.planVerdict())
	}
	for _, b := range u.bites {
		told = append(told, u.say("bite.described", words.Blanks{"bite": b.Name, "where": b.Where, "level": b.Verdict.Said(), "why": words.Said{}}))
	}
	return sentences(append(told, u.said(placement.Care()))...)
}

// orientation says where on the paper the body's directions lead.
func (u *upright) orientation(p plate) string {
	seen := u.seenFrom()
	if u.Habit.said().IsZero() {
		return u.say("upright.orientation", words.Blanks{"seen": seen})
	}
	right, up := u.standing.right, u.standing.up
	return u.say("upright.orientation-turned", words.Blanks{"seen": seen, "habit": u.Habit.said(),
		"head": p.where(up), "feet": p.where(up.Scale(-1)), "front": p.where(right), "back": p.where(right.Scale(-1))})
}

// shows says what the picture shows, and where on the paper.
func (u *upright) shows(p plate) string {
	if u.Habit.said().IsZero() {
		return u.say("upright.shows")
	}
	right, up := u.standing.right, u.standing.up
	return u.say("upright.shows-turned", words.Blanks{
		"rim": p.where(right), "septum": p.where(right.Scale(-1)), "anteroseptal": p.where(up), "posteroseptal": p.where(up.Scale(-1))})
}

// stands says how the valve stands in the body.
func stands() words.Said {
	return words.Of("upright.stands", words.Blanks{"back": turnedBack.said(), "up": tippedUp.said()})
}

func (u *upright) seenFrom() words.Said {
	return words.Of("upright.seen", words.Blanks{"angle": rightAnteriorOblique.said()})
}

// caption says what the view is and how it is scaled; in fewer words where one line has no room for all.
func (u *upright) caption(p plate) string {
	whole := u.say("upright.caption", words.Blanks{"habit": u.Habit.said(), "seen": u.seenFrom(), "scale": decimal(u.scale)})
	if p.captioned(whole) {
		return whole
	}
	return u.say("upright.caption-short", words.Blanks{"habit": u.Habit.said(), "angle": rightAnteriorOblique.said(), "scale": decimal(u.scale)})
}

// furnish draws heading, what is assumed, orientation, scale, legend and footer.
func (u *upright) furnish(p plate) {
	p.headedWith(u.Ink, p.verdict(), u.caption(p), sentences(u.said(u.Habit.sense()), p.whose(u.heart)))
	u.layer("assumed", "what-is-assumed")
	u.Text("label-quiet", 8, 169.5, AnchorStart, u.say("upright.how", words.Blanks{"stands": stands()}))
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
	right, up := u.standing.right, u.standing.up
	arms := [4]crossArm{
		{u.onPaper(up), []string{u.say("way.head")}},
		{u.onPaper(up.Scale(-1)), []string{u.say("way.feet")}},
		{u.onPaper(right.Scale(-1)), []string{u.say("way.back"), u.say("upright.compass.right")}},
		{u.onPaper(right), []string{u.say("way.front"), u.say("upright.compass.left")}},
	}
	u.cross(compassPlace(25, u.Habit, arms), arms)
}
