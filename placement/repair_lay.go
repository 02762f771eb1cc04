package placement

import (
	"fmt"
	"math"

	"fairlead/atlas"
	"fairlead/atlas/strictyaml"
	"fairlead/atlas/words"
)

// LaidRepair is a repair on a heart: what its steps draw together.
type LaidRepair struct {
	Intervals []Interval     // in the order of the steps, clockwise within each
	Gathers   []atlas.Gather // what the steps together make of the rim
	Former    *atlas.Former  // the outline of a rigid device; nil: none
	Gathered  *atlas.Gathered
	Leaflets  []atlas.Leaflet // of the valve repaired, by their hinge on the rim before; those taken away are left out
	Cleft     bool            // whether the anterior leaflet is still cleft

	ends      []stitchAt // of an open device, clockwise
	openingMM float64    // of a rigid band: between its end stitches, along its ellipse; 0: none
}

// Interval is a stretch of rim that a step draws together: between two neighbouring stitches of a device, a sewn row
// of a purse-string, or a fold. Where the step holds more than there is, the rim keeps its length: nothing lengthens.
type Interval struct {
	Step          StepKind
	Between       [2]string  // names of its bites, clockwise; of a thread the second may be empty
	Folds         words.Said // of a fold that is not between bites: the segment, or the commissure in its middle
	FromMM, ForMM float64    // where it lies on the rim before the repair
	BeforeMM      float64    // how long the steps before left it
	HoldsMM       float64    // how long device, thread or fold would have it
	AfterMM       float64    // how long this step leaves it
	StitchesMM    float64    // of a device's: how much of the rim the halves of its two stitches take
}

// Said says which stretch it is: by what is folded, or by its bites.
func (i Interval) Said() words.Said {
	switch {
	case !i.Folds.IsZero():
		return i.Folds
	case i.Between[1] == "":
		return words.Text(i.Between[0])
	}
	return words.Of("interval", words.Blanks{"from": i.Between[0], "to": i.Between[1]})
}

// SlackMM is how much more the step holds than there is of the rim.
func (i Interval) SlackMM() float64 { return max(0, i.HoldsMM-i.BeforeMM) }

// LessPercent is how much of its length the interval gives up in this step, %.
func (i Interval) LessPercent() float64 { return percentLess(i.BeforeMM, i.AfterMM) }

// layRepair applies the steps in their order.
func (l *Laid) layRepair(problems *strictyaml.Problems) {
	if len(l.Plan.Repair) == 0 {
		return
	}
	before := len(*problems)
	r := &repairLayer{Laid: l, problems: problems, drawing: newDrawing(l.Heart.Rim), repair: &LaidRepair{Leaflets: l.Heart.Leaflets(), Cleft: l.Plan.Valve.Cleft}}
	last := l.Plan.Repair[0].At
	for _, step := range l.Plan.Repair {
		r.step(step)
		if step.Kind == SewDevice || step.Kind == TieThread || step.Kind == FoldRim {
			last = step.At
		}
	}
	if len(*problems) > before {
		return
	}
	r.repair.Gathers = r.drawing.gathers()
	gathered, err := l.Heart.Rim.Gathered(r.repair.Gathers, r.repair.Former)
	if err != nil {
		problems.Add(last, "repair: "+err.Error(), "", "")
		return
	}
	r.repair.Gathered = gathered
	r.dropLeaflets()
	l.Repair = r.repair
}

// repairLayer is a repair being laid.
type repairLayer struct {
	*Laid
	problems *strictyaml.Problems
	drawing  *drawing
	repair   *LaidRepair
}

func (r *repairLayer) step(step RepairStep) {
	switch step.Kind {
	case SewDevice:
		r.sew(step)
	case TieThread:
		r.tie(step)
	case FoldRim:
		r.fold(step)
	case CloseCleft:
		r.closeCleft(step)
	case NewCommissure:
		r.part(step)
	}
}

// draw draws a stretch together and notes it.
func (r *repairLayer) draw(i Interval) {
	i.BeforeMM = r.drawing.draw(i.FromMM, i.ForMM, i.HoldsMM)
	i.AfterMM = r.drawing.lengthMM(i.FromMM, i.ForMM)
	r.repair.Intervals = append(r.repair.Intervals, i)
}

func isRunning(b LaidBite) bool { return b.Kind == Running }

// tie draws a purse-string tight. Its stretch runs from where the thread first goes through the rim to where it last
// does: all of the rim but the widest way between two places it goes through. So rows beside each other are one stretch.
func (r *repairLayer) tie(step RepairStep) {
	bites := r.bitesFor(step.Thread.Bites, isRunning, r.problems)
	if len(bites) == 0 {
		if step.Thread.Bites == nil {
			r.problems.Add(step.At, "repair: a purse-string, but the plan has no running bite", "a bite of kind running, or `bites` with the names of others", "add the rows of the purse-string")
		}
		return
	}
	from, span := r.sewn(bites)
	interval := Interval{Step: TieThread, FromMM: from, ForMM: span, HoldsMM: step.Thread.ToMM, Between: [2]string{bites[0].Name}}
	if len(bites) > 1 {
		interval.Between[1] = bites[len(bites)-1].Name
	}
	if over := step.Thread.OverMM; over > 0 {
		outside := r.drawing.lengthMM(from+span, r.drawing.roundMM-span)
		if interval.HoldsMM = math.Pi*over - outside; interval.HoldsMM < 0 {
			r.problems.Add(step.At, fmt.Sprintf("repair: a sizer of %s mm is %.1f mm round, but the rim left outside the purse-string is %.1f mm by itself", exact(over), math.Pi*over, outside),
				fmt.Sprintf("a sizer of at least %.1f mm", outside/math.Pi), "take a larger sizer, or sew further round")
			return
		}
	}
	r.draw(interval)
}

// sewn is the stretch of rim that a thread runs along.
func (r *repairLayer) sewn(bites []LaidBite) (fromMM, forMM float64) {
	rim := r.Heart.Rim
	var places []float64
	for _, b := range bites {
		for _, p := range b.Passes {
			places = append(places, rim.Wrap(p.In.AlongMM), rim.Wrap(p.Out.AlongMM))
		}
	}
	widest := 0.0
	for _, at := range places {
		nearest := rim.LengthMM()
		for _, other := range places {
			if way := rim.Span(at, other); way > 0 {
				nearest = min(nearest, way)
			}
		}
		if nearest > widest {
			widest, fromMM, forMM = nearest, rim.Wrap(at+nearest), rim.LengthMM()-nearest
		}
	}
	return fromMM, forMM
}

// fold plicates a stretch.
func (r *repairLayer) fold(step RepairStep) {
	f := step.Fold
	interval := Interval{Step: FoldRim, HoldsMM: f.ToMM}
	switch {
	case f.Segment != "":
		for _, s := range r.Heart.Segments() {
			if s.Name == f.Segment {
				interval.FromMM, interval.ForMM, interval.Folds = s.FromMM, s.ForMM, s.Said()
			}
		}
	case f.Commissure != "":
		r.foldAround(step)
		return
	default:
		bites := r.bitesNamed(f.Between, r.problems)
		if len(bites) < 2 {
			return
		}
		a, b := bites[0].stitch(r.Heart.Rim, bites[0].Name, bites[0].Passes), bites[1].stitch(r.Heart.Rim, bites[1].Name, bites[1].Passes)
		way := shorterWay(r.Heart.Rim, a.atMM, b.atMM)
		if way < 0 {
			a, b, way = b, a, -way
		}
		if way < onePlaceMM {
			r.problems.Add(step.At, fmt.Sprintf("repair: bites %q and %q have their middles at one place of the rim", a.name, b.name), "a stretch of rim between them", "name two others")
			return
		}
		interval.FromMM, interval.ForMM, interval.Between = a.atMM, way, [2]string{a.name, b.name}
	}
	r.draw(interval)
}

// foldAround takes away a length with a commissure in its middle, as the rim then is.
func (r *repairLayer) foldAround(step RepairStep) {
	f := step.Fold
	whole := r.drawing.lengthMM(0, r.drawing.roundMM)
	if f.TakeMM >= whole {
		r.problems.Add(f.WidthAt, fmt.Sprintf("repair: %s mm are to be taken from a rim of %.1f mm", exact(f.TakeMM), whole), "less than the rim has", "correct `take`")
		return
	}
	at, _ := r.Heart.Landmark(f.Commissure)
	from, to := r.drawing.ahead(at.Spot.AlongMM, -f.TakeMM/2), r.drawing.ahead(at.Spot.AlongMM, f.TakeMM/2)
	r.draw(Interval{Step: FoldRim, FromMM: r.Heart.Rim.Wrap(from), ForMM: r.drawing.span(from, to), Folds: at.Label})
}
