package main

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"fairlead/atlas/words"
	"fairlead/svgout"
)

// readerFlags say whom a drawing is for.
type readerFlags struct {
	turn     float64
	mirror   bool
	language string
}

func flagReader(f *pflag.FlagSet, r *readerFlags) {
	f.Float64Var(&r.turn, "turn", 0, "turn the view clockwise by `DEGREES`")
	f.BoolVar(&r.mirror, "mirror", false, "mirror the view, left for right")
	f.StringVar(&r.language, "language", "en", "`LANGUAGE` of the words: "+strings.Join(words.Tags(), ", "))
}

// reader is whom the flags of a verb describe.
func (r readerFlags) reader(verb string) (svgout.Reader, error) {
	if math.IsNaN(r.turn) || math.IsInf(r.turn, 0) {
		return svgout.Reader{}, usageError{fmt.Sprintf("fairlead %s: --turn %v is no angle", verb, r.turn), "Give degrees, such as 90."}
	}
	if !slices.Contains(words.Tags(), r.language) {
		return svgout.Reader{}, usageError{fmt.Sprintf("fairlead %s: --language %q is not known", verb, r.language), "It can be " + strings.Join(words.Tags(), ", ") + "."}
	}
	language, err := words.Load(r.language)
	if err != nil {
		return svgout.Reader{}, err
	}
	return svgout.Reader{Habit: svgout.Habit{TurnDegrees: r.turn, Mirrored: r.mirror}, Language: language}, nil
}
