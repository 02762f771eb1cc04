package svgout

import (
	"fmt"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/words"
	"fairlead/placement"
)

// Sizes that are larger on a slide than on paper, mm.
const (
	slideMarkMM    = 4.6
	slideCompassMM = 7.0
)

// anatomyOn is the heart through the slides' camera, on one sheet.
func (s *Slides) anatomyOn(k *Ink) anatomy {
	return anatomy{Ink: k, Reader: s.Reader, camera: s.camera, heart: s.report.Laid.Heart}
}

// buildLayers are the parts of the picture, from what lies deepest on the sheet to what lies on top. Whichever of them
// a slide shows, each looks the same and lies in the same place.
func (s *Slides) buildLayers() []slideLayer {
	of := func(id string, draw func(anatomy)) slideLayer {
		return slideLayer{id, func(k *Ink) { draw(s.anatomyOn(k)) }}
	}
	triangle := func(z Zone) bool { return z == TriangleApical || z == TriangleBasal }
	others := func(z Zone) bool { return !triangle(z) }
	layers := []slideLayer{
		of("wall", anatomy.wall),
		of("leaflets", anatomy.leaflets),
		of("septum", anatomy.septum),
		of("neighbours", anatomy.neighbours),
		of("zone-grounds", func(a anatomy) {
			a.layer("zone-grounds", "zones-ground")
			for _, zone := range a.heart.Zones {
				if ownZone(zone.ID) {
					a.Path("own-zone", new(PathData).Polyline(a.zoneOutline(zone), true))
				}
			}
			a.zonesOf(others, a.ZoneGround)
			a.End()
		}),
		of("triangle-ground", func(a anatomy) {
			a.zoneLayer("triangle-ground", a.say("slides.layer.triangle-ground"), triangle, a.ZoneGround)
		}),
		of("conduction", anatomy.conduction),
		of("triangle", func(a anatomy) { a.zoneLayer("triangle", a.say("slides.layer.triangle"), triangle, a.ZoneHatch) }),
		of("zones", func(a anatomy) { a.zoneLayer("zones", a.say("slides.layer.zones"), others, a.ZoneHatch) }),
		of("tendon-line", anatomy.tendonLine),
		of("rim", anatomy.rim),
		of("landmarks", anatomy.commissures),
		{"device", s.drawDevice},
		of("line", func(a anatomy) {
			a.layer("line", "suture-line")
			a.Path("slide-line", new(PathData).Polyline(a.linePath(s.report.Line), true))
			a.End()
		}),
	}
	groups := s.biteGroups()
	for i, g := range groups {
		layers = append(layers, slideLayer{g.layer(i), func(k *Ink) { s.drawBites(k, g, g.layer(i)) }})
	}
	for i, g := range groups {
		layers = append(layers, slideLayer{g.levelLayer(i), func(k *Ink) { s.drawLevels(k, g, g.levelLayer(i)) }})
	}
	return append(layers, slideLayer{"orientation", s.drawOrientation})
}

// zonesOf draws some of the zones in one way.
func (a anatomy) zonesOf(wanted func(Zone) bool, draw func(Zone, []Point, bool)) {
	a.eachZone(func(class Zone, outline []Point, smooth bool) {
		if wanted(class) {
			draw(class, outline, smooth)
		}
	})
}

func (a anatomy) zoneLayer(id, label string, wanted func(Zone) bool, draw func(Zone, []Point, bool)) {
	a.Group(id, label)
	a.zonesOf(wanted, draw)
	a.End()
}

func (s *Slides) drawBites(k *Ink, g biteGroup, id string) {
	st := stitches{anatomy: s.anatomyOn(k), bites: g.bites}
	k.Group(id, s.say("slides.layer.bites", words.Blanks{"segment": g.segment.Said()}))
	for _, b := range g.bites {
		st.pledget(b)
		st.threadBetween(b)
	}
	for _, b := range g.bites {
		for _, p := range b.Passes {
			st.pass(p)
		}
	}
	k.End()
}

func (s *Slides) drawLevels(k *Ink, g biteGroup, id string) {
	st := stitches{anatomy: s.anatomyOn(k), bites: s.report.Bites} // a mark lies where it does among all of them
	k.Group(id, s.say("slides.layer.levels", words.Blanks{"segment": g.segment.Said()}))
	for i, at := range st.markPlaces() {
		if b := st.bites[i]; slices.ContainsFunc(g.bites, func(own placement.BiteReport) bool { return own.Name == b.Name }) {
			k.LevelMark(mark(b.Verdict), at, slideMarkMM)
		}
	}
	k.End()
}

// drawOrientation names head, feet, front and back, and says where the picture is mirrored.
func (s *Slides) drawOrientation(k *Ink) {
	k.layer("orientation", "orientation")
	at, size := slideCompass, Lettering("slide-quiet").SizeMM
	if s.Habit.Mirrored {
		k.Text("slide-quiet", slideRight.X, slidePage.H-6, AnchorStart, s.say("slides.mirrored"))
	}
	for _, way := range []struct {
		word string
		to   Point
	}{{s.say("way.head"), s.onPaper(head)}, {s.say("way.feet"), s.onPaper(feet)}, {s.say("way.front"), s.onPaper(front)}, {s.say("way.back"), s.onPaper(back)}} {
		k.Line("axis", at, at.Plus(way.to.Times(slideCompassMM)))
		far := Point{slideCompassMM + 2 + MeasureIn("slide-quiet", way.word)/2, slideCompassMM + 1 + size/2}
		k.Text("slide-quiet", at.X+way.to.X*far.X, at.Y+way.to.Y*far.Y+size*capHeightEm/2, AnchorMiddle, way.word)
	}
	k.End()
}

// drawDevice draws the stretch of rim a device is sewn to.
func (s *Slides) drawDevice(k *Ink) {
	first, last, closed, there := s.heldByDevice()
	if !there {
		return
	}
	a := s.anatomyOn(k)
	k.layer("device", "device")
	a.band("device", first, last-first, closed)
	k.End()
}

// heldByDevice is the stretch of rim before that a device holds.
func (s *Slides) heldByDevice() (firstMM, lastMM float64, closed, there bool) {
	if s.report.Outcome == nil {
		return 0, 0, false, false
	}
	r := repairPlate{plate: s.plate, outcome: s.report.Outcome, before: anatomy{Reader: s.Reader, heart: s.report.Laid.Heart}}
	return r.held()
}

// band draws a band along a stretch of this heart's rim, as broad as a device.
func (a anatomy) band(class string, fromMM, spanMM float64, closed bool) {
	const pieces = 60
	points := make([]Point, pieces+1)
	for i := range points {
		points[i] = a.paper(a.heart.Rim.At(fromMM + spanMM*float64(i)/pieces))
	}
	if closed {
		points = points[:pieces]
	}
	a.Band(class, new(PathData).SmoothThrough(thinned(points, closed), closed), 2*deviceHalfMM*a.scale)
}

// repairOn is the valve before and after the repair, through the slides' camera, on one sheet.
func (s *Slides) repairOn(k *Ink) repairPlate {
	r := repairPlate{Ink: k, plate: s.plate, outcome: s.report.Outcome, before: s.anatomyOn(k)}
	r.after = r.before
	r.after.heart = repaired(s.report)
	r.after.over = r.before.over.Sub(r.before.seen(r.outcome.Gathered.Shift))
	return r
}

// repairLayers are the parts of the picture of what the repair makes of the valve.
func (s *Slides) repairLayers() []slideLayer {
	if s.report.Outcome == nil {
		return nil
	}
	return []slideLayer{
		{"before", func(k *Ink) { s.repairOn(k).ghost() }},
		{"after", func(k *Ink) { s.drawAfter(k) }},
		{"stitches-after", func(k *Ink) { s.repairOn(k).stitchesMoved() }},
		{"given-up", func(k *Ink) { s.drawGivenUp(k) }},
	}
}

// drawAfter draws leaflets, device and rim after, one upon the other.
func (s *Slides) drawAfter(k *Ink) {
	r := s.repairOn(k)
	var leaflets []atlas.Leaflet
	for _, l := range r.outcome.Leaflets {
		from := r.outcome.Gathered.Along(l.FromMM)
		leaflets = append(leaflets, atlas.Leaflet{Name: l.Name, FromMM: from, ForMM: r.outcome.Gathered.Along(l.FromMM+l.ForMM) - from})
	}
	k.layer("after", "the-valve-after")
	r.after.drawLeaflets(leaflets)
	r.device()
	r.after.rim()
	for _, l := range leaflets {
		k.Circle("commissure", r.after.paper(r.after.heart.Rim.At(l.FromMM)), 1.1)
	}
	k.End()
}

// drawGivenUp draws, outside the rim before, how much of its length each stretch gives up.
func (s *Slides) drawGivenUp(k *Ink) {
	r := s.repairOn(k)
	k.layer("given-up", "what-each-stretch-of-the-rim-gives-up")
	for _, i := range r.outcome.Intervals {
		if less := i.LessPercent(); less >= 0.5 {
			k.Path("reduction", new(PathData).Polyline(r.bar(i, barFullMM*less/100), true))
		}
	}
	k.End()
}

// biteGroup are bites that are taught together.
type biteGroup struct {
	level   placement.Level
	segment atlas.Segment
	rule    string // that gives them their level; empty of clear ones
	bites   []placement.BiteReport
}

func (g biteGroup) layer(i int) string      { return fmt.Sprintf("bites-%d", i+1) }
func (g biteGroup) levelLayer(i int) string { return fmt.Sprintf("levels-%d", i+1) }

// mostAlone is how many bites to be avoided are taught one by one; of more, those of one segment and reason go together.
const mostAlone = 6

// biteGroups parts the bites: the clear ones of each segment first, then those with caution by segment and reason, then
// each one to be avoided by itself.
func (s *Slides) biteGroups() (groups []biteGroup) {
	avoided := 0
	for _, b := range s.report.Bites {
		if b.Verdict == placement.Avoid {
			avoided++
		}
	}
	for _, level := range []placement.Level{placement.Clear, placement.Caution, placement.Avoid} {
		alone := level == placement.Avoid && avoided <= mostAlone
		var ofLevel []biteGroup
		for _, b := range s.report.Bites {
			if b.Verdict == level {
				ofLevel = grouped(ofLevel, b, s.report.Laid.Heart, alone)
			}
		}
		groups = append(groups, ofLevel...)
	}
	return groups
}

// grouped puts a bite with those like it, or begins a group of its own.
func grouped(groups []biteGroup, b placement.BiteReport, heart *atlas.Heart, alone bool) []biteGroup {
	segment, rule := heart.SegmentAt(b.Passes[0].In.AlongMM), decisive(b).Rule
	for i, g := range groups {
		if !alone && g.segment == segment && g.rule == rule {
			groups[i].bites = append(groups[i].bites, b)
			return groups
		}
	}
	return append(groups, biteGroup{b.Verdict, segment, rule, []placement.BiteReport{b}})
}
