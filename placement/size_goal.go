package placement

import (
	"fmt"

	"fairlead/atlas"
	"fairlead/atlas/growth"
)

// sizer sizes one heart's rim.
type sizer struct {
	Sizing
	catalogue *atlas.Catalogue
	examiner  *examiner // of bites
	figures   sizeFigures
	askedMM2  float64 // 0: as predicted
	size      biteSize
	bites     int             // asked for; 0: as many as fit
	bunched   float64         // the share of itself that a stretch of rim may give
	most      growth.Segments // what each segment may give, mm
}

func newSizer(laid *Laid, catalogue *atlas.Catalogue, rules *Rulebook, options SizeOptions) (*sizer, error) {
	if err := options.check(); err != nil {
		return nil, err
	}
	figures, err := readSizeFigures(sizeYAML)
	if err != nil {
		return nil, err
	}
	s := &sizer{catalogue: catalogue, examiner: newExaminer(laid, rules), figures: figures, askedMM2: options.AreaMM2}
	s.Laid, s.Now, s.Form = laid, laid.orifice(laid.Heart.Rim), formFor(options.Form, laid.Plan.Operation)
	if s.Pattern, err = s.pattern(); err != nil {
		return nil, err
	}
	s.LengthMM, s.AreaMM2 = s.expected("rim-length", growth.Perimeter), s.expected("rim-area", growth.Area)
	s.size, s.bites = s.sizeOfBites(), options.Bites
	if s.Held, err = s.holdLine(); err != nil {
		return nil, err
	}
	if _, err := s.parted(growth.Segments{}); err != nil {
		return nil, err
	}
	s.bunched = rules.Rule("bunching").Figures["most"] / 100
	s.most = growth.Segments{Anterior: s.bunched * s.Held.HeldMM(Anterior), Posterior: s.bunched * s.Held.HeldMM(Posterior)}
	return s, nil
}

func formFor(asked, operation Operation) Operation {
	switch {
	case asked != "":
		return asked
	case oneOf(operation, SizeForms()):
		return operation
	}
	return Band
}

// usualPattern is what surgeons are taught, for a plan that names no pattern.
const usualPattern = "classical"

// pattern is the one the plan says the rim was stretched in.
func (s *sizer) pattern() (growth.Pattern, error) {
	name := s.Laid.Plan.Stretch
	if name == "" || name == atlas.Free {
		name = usualPattern
	}
	return s.catalogue.Growth().Pattern(name)
}

// expected is what the body's dataset predicts of a size, or the atlas where that dataset has none.
func (s *sizer) expected(parameter, quantity string) Expected {
	body := s.Laid.Heart.Body
	if body.Dataset != "" {
		if p, err := s.catalogue.Growth().Predict(body.Dataset, quantity, body.SurfaceM2); err == nil {
			d, _ := s.catalogue.Growth().Dataset(body.Dataset)
			return Expected{Value: p.Mean, By: p.Label, Basis: basisOf(atlas.Grade(p.Grade), d.Source.ID)}
		}
	}
	v, _ := s.Laid.Heart.Value(parameter)
	e := Expected{Value: v.Expected, By: "this atlas", Basis: basisOf(v.Grade, v.Source)}
	if body.SurfaceM2 > 0 {
		e.Basis = basisOf(atlas.Derived, v.Source) // brought to the body by the ratio of diameters
	}
	return e
}

// goal is what an aim wants: a length of free wall, or an area.
type goal struct {
	what      string // that which is larger than wanted
	now, want float64
	unit      string // mm or mm2
}

// goal says what an aim wants, in words too.
func (s *sizer) goal(aim Aim) (g goal, words, basis string) {
	free := s.Now.AnteriorMM + s.Now.PosteriorMM
	switch aim {
	case ToBody:
		g = goal{"the rim", s.Now.LengthMM, s.LengthMM.Value, "mm"}
		return g, fmt.Sprintf("rim length %.1f mm, %s", g.want, s.by(s.LengthMM)), s.LengthMM.Basis
	case ToRatio:
		rule := s.figures["free-wall-ratio"]
		g = goal{"the free wall", free, rule.Value * s.Now.SeptalMM, "mm"}
		made := s.figures["band-in-life"]
		return g, fmt.Sprintf("free wall %.2f times the septal segment: %.1f mm", rule.Value, g.want),
			fmt.Sprintf("%s; %s: %g ± %g mm, %s: %s", rule.Basis(), made.Label, made.Value, made.Spread, made.Note, made.Cite)
	case ToLeast:
		limit, _ := s.catalogue.Growth().Limit("orifice-two-thirds")
		g = goal{"the area", s.Now.AreaMM2, (limit.Value + overLimit) / 100 * s.AreaMM2.Value, "mm2"}
		return g, fmt.Sprintf("area %.0f mm2, just over two thirds of the one %s", g.want, s.by(s.AreaMM2)), basisOf(atlas.Grade(limit.Grade), limit.Source.ID)
	}
	g = goal{"the area", s.Now.AreaMM2, s.askedMM2, "mm2"}
	if s.askedMM2 > 0 {
		return g, fmt.Sprintf("area %.0f mm2, as asked", g.want), "asked for"
	}
	g.want = s.AreaMM2.Value
	return g, fmt.Sprintf("area %.0f mm2, %s", g.want, s.by(s.AreaMM2)), s.AreaMM2.Basis
}

// overLimit is by how much the least area keeps above its limit, in per cent of the area expected: the marks on a
// device are not finer.
const overLimit = 0.5

// by says by what a size is predicted.
func (s *Sizing) by(e Expected) string {
	if surface := s.Laid.Heart.Body.SurfaceM2; surface > 0 {
		return fmt.Sprintf("predicted for %.2f m2 by %s", surface, e.By)
	}
	return "usual by " + e.By
}

// nothingToTake says that a size is not larger than is wanted, or not by enough to matter; empty: it is.
func (s *sizer) nothingToTake(g goal) string {
	least := s.figures["worth-taking"]
	switch over := g.now - g.want; {
	case over <= 0:
		return fmt.Sprintf("nothing to take: %s, %.1f %s, is not larger than %.1f %s", g.what, g.now, g.unit, g.want, g.unit)
	case over < least.Value/100*g.now:
		return fmt.Sprintf("nothing to take: %s, %.1f %s, is within %g %% of %.1f %s [%s]", g.what, g.now, g.unit, least.Value, g.want, g.unit, least.Basis())
	}
	return ""
}

// reach finds what an aim takes, and what that makes of the valve.
func (s *sizer) reach(aim Aim) Sized {
	g, words, basis := s.goal(aim)
	sized := Sized{Aim: aim, Goal: words, Basis: basis, Without: s.nothingToTake(g)}
	if sized.Without != "" {
		return sized
	}
	if err := s.take(&sized, g); err != nil {
		sized.Without, sized.Impossible = err.Error(), true
	}
	return sized
}

func (s *sizer) take(sized *Sized, g goal) (err error) {
	takeMM := g.now - g.want
	if g.unit == "mm2" {
		if takeMM, err = s.takeForArea(g.want); err != nil {
			return err
		}
	}
	if sized.TakesMM, err = s.shared(takeMM); err != nil {
		return err
	}
	sized.Limited = limited(sized.TakesMM, s.most)
	if sized.Line, err = s.parted(sized.TakesMM); err != nil {
		return err
	}
	return s.propose(sized)
}

// shared parts what is to be taken between the segments.
func (s *sizer) shared(takeMM float64) (growth.Segments, error) {
	take, err := shared(s.Pattern, growth.Segments{Anterior: s.Now.AnteriorMM, Posterior: s.Now.PosteriorMM, Septal: s.Now.SeptalMM}, takeMM, s.most)
	if err != nil {
		return take, fmt.Errorf("%w [%s]", err, s.bunching())
	}
	return take, nil
}

// bunching says by which rule a stretch of rim gives no more.
func (s *sizer) bunching() string {
	rule := s.examiner.rules.Rule("bunching")
	return fmt.Sprintf("bunching, %g %%; %s", rule.Figures["most"], rule.Basis())
}

// areaExactMM2 is how exactly an area is reached.
const areaExactMM2 = 0.05

// takeForArea finds how much of the free wall is to be taken for the rim, in the shape it then finds, to span an area:
// the area over what is wanted falls as more is taken, and the bracket about its zero is cut near where the straight
// line through its ends has its own.
func (s *sizer) takeForArea(wantMM2 float64) (float64, error) {
	low, high := 0.0, s.most.Sum()
	overLow := s.Now.AreaMM2 - wantMM2
	overHigh, err := s.areaOver(high, wantMM2)
	if err != nil {
		return 0, err
	}
	if overHigh > 0 {
		return 0, fmt.Errorf("even with %.1f mm taken, the most that the rim between the bites may give [%s], the area is %.0f mm2",
			high, s.bunching(), overHigh+wantMM2)
	}
	for range 60 {
		take := low + (high-low)*min(max(overLow/(overLow-overHigh), 0.1), 0.9)
		over, err := s.areaOver(take, wantMM2)
		switch {
		case err != nil:
			return 0, err
		case over > areaExactMM2:
			low, overLow = take, over
		case over < -areaExactMM2:
			high, overHigh = take, over
		default:
			return take, nil
		}
	}
	return (low + high) / 2, nil
}

// areaOver is by how much the area exceeds what is wanted once so much of the free wall is taken.
func (s *sizer) areaOver(takeMM, wantMM2 float64) (float64, error) {
	take, err := s.shared(takeMM)
	if err != nil {
		return 0, err
	}
	gathered, err := s.Laid.Heart.Rim.Gathered(s.Held.gathers(take), nil)
	if err != nil {
		return 0, err
	}
	return gathered.Rim.Sizes().AreaMM2 - wantMM2, nil
}
