package placement

import (
	"fmt"
	"strings"

	"fairlead/atlas"
	"fairlead/atlas/growth"
)

// Aim is what a device or a purse-string is sized to.
type Aim string

// The aims.
const (
	ToBody  Aim = "body"  // the rim length predicted for the body
	ToRatio Aim = "ratio" // a free wall in proportion to the septal segment
	ToArea  Aim = "area"  // an area spanned by the rim: the one asked for, or the one predicted
	ToLeast Aim = "least" // the least area that does not yet ask for caution
)

// Aims lists the aims in the order they are told.
func Aims() []Aim { return []Aim{ToBody, ToRatio, ToArea, ToLeast} }

// SizeForms lists the forms that can be sized, each named as the operation it is for.
func SizeForms() []Operation { return []Operation{Band, Ring, PurseString} }

// SizeOptions says what is asked of a sizing; what is left zero it chooses itself.
type SizeOptions struct {
	Aim     Aim       // that bites are proposed for; empty: the first that has anything to take, but never the least
	AreaMM2 float64   // of the aim area; 0: as predicted
	Form    Operation // one of SizeForms; empty: as the plan's operation says, else a band
	Bites   int       // 0: as many as the rim's length and the plan's spacing ask for
}

// Sizing is what each aim asks of a rim and what that costs.
type Sizing struct {
	Laid     *Laid
	Form     Operation
	Pattern  growth.Pattern // what is taken is shared in its proportions
	Now      Orifice
	LengthMM Expected // of the rim
	AreaMM2  Expected // spanned by it
	Held     BiteLine // what bites can hold of it
	Aims     []Sized
	Chosen   *Sized // among the aims; nil: none has anything to take
}

// Expected is a size that the body leads one to expect, by whose figures, and what they rest on.
type Expected struct {
	Value     float64
	By, Basis string
}

// Sized is one aim.
type Sized struct {
	Aim         Aim
	Goal, Basis string // in words and figures; how well it is known, and by whom
	// Without says why nothing is taken: there is nothing to take, or, where Impossible, it cannot be taken. Empty:
	// the rest is filled in.
	Without    string
	Impossible bool
	TakesMM    growth.Segments
	Limited    []string // segments that give all they may, so that the other gives more than its share
	Line       BiteLine // what is held, parted among the bites
	Bites      []ProposedBite
	DeviceMM   float64 // band: from its first to its last stitch; ring: all round; purse-string: its runs together, once tied
	Text       string  // keys `bites:` and `repair:` of a plan file
	Report     *Report // of the plan with that text in it
}

// SizeFor tells what each aim asks of the laid heart's rim, with bites and a repair for each. The plan's own bites and
// repair are not looked at. Device and thread are taken to follow the shape the rim finds, not to give it one.
//
// An error says which of the options cannot be had, and why: above all that there is nothing to take for the aim asked
// for.
func SizeFor(laid *Laid, catalogue *atlas.Catalogue, rules *Rulebook, options SizeOptions) (*Sizing, error) {
	s, err := newSizer(laid, catalogue, rules, options)
	if err != nil {
		return nil, err
	}
	for _, aim := range Aims() {
		s.Aims = append(s.Aims, s.reach(aim))
	}
	for i := range s.Aims {
		switch a := &s.Aims[i]; {
		case a.Aim == options.Aim && a.Without != "":
			return nil, fmt.Errorf("no bites for the aim %q: %s", a.Aim, a.Without)
		case s.Chosen == nil && a.Without == "" && (a.Aim == options.Aim || options.Aim == "" && a.Aim != ToLeast):
			s.Chosen = a
		}
	}
	return &s.Sizing, nil
}

// What may be asked for. The areas are those a measured rim may have.
const (
	leastAreaMM2, mostAreaMM2 = 50, 5000
	leastBites, mostBites     = 4, 60
)

// check says what cannot be had of any rim.
func (o SizeOptions) check() error {
	switch {
	case o.Aim != "" && !oneOf(o.Aim, Aims()):
		return fmt.Errorf("the aim %q is not known: it can be %s", o.Aim, listed(Aims()))
	case o.Form != "" && !oneOf(o.Form, SizeForms()):
		return fmt.Errorf("a %q cannot be sized: it can be a %s", o.Form, listed(SizeForms()))
	case o.AreaMM2 != 0 && !(o.AreaMM2 >= leastAreaMM2 && o.AreaMM2 <= mostAreaMM2):
		return fmt.Errorf("an area of %g mm2 was asked for: expected %d to %d mm2 (1 cm2 is 100 mm2)", o.AreaMM2, leastAreaMM2, mostAreaMM2)
	case o.Bites != 0 && (o.Bites < leastBites || o.Bites > mostBites):
		return fmt.Errorf("%d bites were asked for: expected %d to %d", o.Bites, leastBites, mostBites)
	}
	return nil
}

func oneOf[W comparable](word W, all []W) bool {
	for _, w := range all {
		if w == word {
			return true
		}
	}
	return false
}

// listed joins words as one lists a choice.
func listed[W ~string](all []W) string {
	words := make([]string, len(all))
	for i, w := range all {
		words[i] = string(w)
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
