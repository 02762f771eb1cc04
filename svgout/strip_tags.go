package svgout

import (
	"cmp"
	"fmt"
	"unicode/utf8"

	"fairlead/atlas"
	"fairlead/placement"
)

// tag is a bite's level and number, or those of several bites, standing beside a picture.
type tag struct {
	number string
	bites  []placement.BiteReport // the worst first
}

func (f tag) worst() placement.BiteReport { return f.bites[0] }
func (f tag) level() Level                { return mark(f.worst().Verdict) }

// numbered gives each bite what it is called in the pictures: its own name where all names are as short as a number,
// and otherwise its number in the order of the plan.
func numbered(bites []placement.BiteReport) []string {
	const longest = 3
	names := make([]string, len(bites))
	for i, b := range bites {
		names[i] = clean(b.Name)
		if utf8.RuneCountInString(names[i]) > longest {
			for j := range bites {
				names[j] = fmt.Sprint(j + 1)
			}
			return names
		}
	}
	return names
}

// tagsOf are the tags of bites. Bites to be taken together share one with the others of their segment and finding.
func tagsOf(heart *atlas.Heart, bites []placement.BiteReport, together func(placement.BiteReport) bool) (tags []tag) {
	type key struct{ segment, rule string }
	shared := map[key]int{} // index into tags
	numbers := numbered(bites)
	numberOf := func(i int) tag { return tag{numbers[i], []placement.BiteReport{bites[i]}} }
	for i, b := range bites {
		if !together(b) {
			tags = append(tags, numberOf(i))
			continue
		}
		k := key{heart.SegmentAt(b.Passes[0].In.AlongMM).Name, decisive(b).Rule}
		at, ok := shared[k]
		if !ok {
			shared[k] = len(tags)
			tags = append(tags, numberOf(i))
			continue
		}
		f := &tags[at]
		if worseThan(b, f.worst()) {
			f.number = numbers[i]
			f.bites = append([]placement.BiteReport{b}, f.bites...)
			continue
		}
		f.bites = append(f.bites, b)
	}
	return tags
}

func worseThan(a, b placement.BiteReport) bool {
	return cmp.Or(cmp.Compare(b.Verdict, a.Verdict), cmp.Compare(a.Nearest.MM, b.Nearest.MM)) < 0
}

// keyTry is one way to make room: which bites share a tag with others, and how many lines of the key each tag takes at
// most.
type keyTry struct {
	together func(placement.BiteReport) bool
	lines    int
}

// keyTries are the ways, the most telling first: every bite by itself; the clear ones of a segment together; those of
// one finding together as well; and at last all that with one line for each.
func keyTries() (tries []keyTry) {
	ways := []func(placement.BiteReport) bool{
		func(placement.BiteReport) bool { return false },
		func(b placement.BiteReport) bool { return b.Verdict == placement.Clear },
		func(placement.BiteReport) bool { return true },
	}
	for _, together := range ways {
		for _, lines := range []int{5, 4, 3, 2} {
			tries = append(tries, keyTry{together, lines})
		}
	}
	for _, together := range ways {
		tries = append(tries, keyTry{together, 1})
	}
	return tries
}

const (
	tagHeightMM = 8.2 // mark above, number beneath
	tagGapMM    = 0.6
)

func (f tag) widthMM() float64 { return max(markMM, MeasureIn("number", f.number)) }

// placedTag is a tag with its place: where its leader starts, in the middle of its upper edge, and where it ends.
type placedTag struct {
	tag
	port, target Point
}

// tagRow gives tags places beside one another in a row beneath their targets. What Layout promises of labels in a
// column holds of them: none overlaps another, all stand in the row, no two leaders cross. It is the same solver with
// the paper turned over its diagonal.
func tagRow(tags []tag, targets []Point, row Box) ([]placedTag, bool) {
	if len(tags) == 0 {
		return nil, true
	}
	items := make([]*item, len(tags))
	for i, f := range tags {
		width := roundUpMicron(f.widthMM())
		items[i] = &item{target: spotAt(Point{targets[i].Y, targets[i].X}), width: micron(row.H), height: width, rise: width / 2}
	}
	s := newSide(items, LabelFrame{Right: Box{row.Y, row.X, row.H, row.W}, GapMM: tagGapMM}, true)
	if !s.hasRoom(micron(row.H)) {
		return nil, false
	}
	s.solve()
	placed := make([]placedTag, len(tags))
	for i, it := range items {
		port := it.port.point()
		placed[i] = placedTag{tags[i], Point{port.Y, port.X}, targets[i]}
	}
	return placed, true
}

// tags draws placed tags: leaders, then marks and numbers.
func (k *Ink) tags(placed []placedTag) {
	for _, f := range placed {
		k.Line("leader", f.port, f.target)
		k.Circle("leader-dot", f.target, 0.7)
	}
	for _, f := range placed {
		k.LevelMark(f.level(), f.port.Plus(Point{0, 0.5 + markMM/2}), markMM)
		k.Text("number", f.port.X, f.port.Y+tagHeightMM-1, AnchorMiddle, f.number)
	}
}

// tagTargets are where tags point: the middle of the worst of their bites, which is between the arms of a mattress and
// in the middle pass of a run.
func (s strip) tagTargets(tags []tag) []Point {
	targets := make([]Point, len(tags))
	for i, f := range tags {
		bite := f.worst()
		passes := bite.Passes
		targets[i] = s.needle(passes[len(passes)/2]).middle()
		if bite.Kind == placement.Mattress && len(passes) == 2 {
			arms := s.inTurn([]atlas.Spot{passes[0].In, passes[1].In})
			targets[i] = s.paper(arms[0]).Plus(s.paper(arms[1])).Times(0.5)
		}
	}
	return targets
}
