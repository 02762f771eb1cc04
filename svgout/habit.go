package svgout

import (
	"fmt"
	"math"

	"fairlead/atlas/words"
)

// Habit is how a reader is used to seeing a view: mirrored, left for right, then turned on the paper. The zero Habit
// leaves a view as it is.
type Habit struct {
	TurnDegrees float64 // clockwise; negative anticlockwise
	Mirrored    bool
}

// Then is the one habit that does what h and after it next does.
func (h Habit) Then(next Habit) Habit {
	if next.Mirrored {
		// What turned clockwise turns anticlockwise in the mirror.
		return Habit{TurnDegrees: next.TurnDegrees - h.TurnDegrees, Mirrored: !h.Mirrored}
	}
	return Habit{TurnDegrees: next.TurnDegrees + h.TurnDegrees, Mirrored: h.Mirrored}
}

// check refuses a turn that is no angle.
func (h Habit) check() error {
	if math.IsNaN(h.TurnDegrees) || math.IsInf(h.TurnDegrees, 0) {
		return fmt.Errorf("svgout: a view cannot be turned by %v degrees", h.TurnDegrees)
	}
	return nil
}

// turn is the turn within one revolution, in [0, 360).
func (h Habit) turn() float64 {
	turn := math.Mod(h.TurnDegrees, 360)
	if turn < 0 {
		turn += 360
	}
	if turn == 360 { // a hair below 0, rounded
		return 0
	}
	return turn
}

// of is a gaze as the reader is used to it.
func (h Habit) of(s gaze) gaze {
	if h.Mirrored {
		s.right = s.right.Scale(-1)
	}
	sin, cos := sincosDegrees(h.turn())
	return gaze{
		right:  s.right.Scale(cos).Add(s.up.Scale(sin)),
		up:     s.up.Scale(cos).Sub(s.right.Scale(sin)),
		toward: s.toward,
	}
}

// sincosDegrees is exact at right angles, where a rounding error would tip what stands level.
func sincosDegrees(degrees float64) (sin, cos float64) {
	switch degrees {
	case 0:
		return 0, 1
	case 90:
		return 1, 0
	case 180:
		return 0, -1
	case 270:
		return -1, 0
	}
	return math.Sincos(degrees * math.Pi / 180)
}

// said says what the habit does to a view, to be set behind the view's name: nothing for the zero Habit, nor of a turn
// that nobody would see.
func (h Habit) said() words.Said {
	turn := h.turn()
	id, angle := "clockwise", tenthOfDegree(turn)
	if turn > 180 {
		id, angle = "anticlockwise", tenthOfDegree(360-turn)
	}
	switch level := angle == "0"; {
	case level && !h.Mirrored:
		return words.Said{}
	case level:
		return words.Of("habit.mirrored")
	case h.Mirrored:
		id = "mirrored-" + id
	}
	return words.Of("habit."+id, words.Blanks{"angle": angle})
}

func tenthOfDegree(degrees float64) words.Number { return decimal(math.Round(10*degrees) / 10) }

// sense says which way round the rim runs for a reader whose view is mirrored: nothing for others.
func (h Habit) sense() words.Said {
	if !h.Mirrored {
		return words.Said{}
	}
	return words.Of("habit.sense")
}
