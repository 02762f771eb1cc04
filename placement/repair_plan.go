package placement

import "fairlead/atlas/strictyaml"

// StepKind is what a step of a repair is, by its key in the plan.
type StepKind string

// The steps of a repair.
const (
	SewDevice     StepKind = "device"
	TieThread     StepKind = "purse-string"
	FoldRim       StepKind = "plicate"
	CloseCleft    StepKind = "close-cleft"
	NewCommissure StepKind = "new-commissure"
)

// RepairStep is one thing the stitches do to the rim or the leaflets. What belongs to other kinds is zero.
type RepairStep struct {
	Kind   StepKind
	Device Device
	Thread Thread
	Fold   Fold
	Border Place // of a new commissure
	At     strictyaml.Position
}

// Named is a bite by its name, and where the plan names it.
type Named struct {
	Name string
	At   strictyaml.Position
}

// Device is a ring or band sewn to the rim, known by its geometry alone.
type Device struct {
	Form                string  // RingForm or BandForm
	Holds               string  // Rigid or Flexible
	LengthMM            float64 // along it: of an open one from end to end, of a closed one once round; 0: not given, a rigid one's follows
	LongMM, ShortMM     float64 // axes of a rigid one's ellipse
	OpeningMM           float64 // of a rigid band: from its last end on to its first, along the ellipse
	OpeningAt           Place   // where HasOpeningAt: what the middle of the opening faces
	HasOpeningAt        bool
	GapsMM              []float64 // on the device from stitch to stitch; one: all alike; none: spread evenly
	Bites               []Named   // none: every single and mattress bite of rim or wall
	LengthAt, SpacingAt strictyaml.Position
}

// The forms of a device, and how it holds the rim.
const (
	RingForm = "ring" // closed
	BandForm = "band" // open
	Rigid    = "rigid"
	Flexible = "flexible"
)

// Thread is a purse-string: one thread drawn tight, in one row or more.
type Thread struct {
	Bites  []Named // none: every running bite
	ToMM   float64 // the length of the sewn stretch when tied, unless OverMM
	OverMM float64 // the diameter of the round sizer it is tied over; 0: none
}

// Fold is a stretch of rim that is plicated, said in one of three ways.
type Fold struct {
	Segment    string  // the whole of a segment,
	Between    []Named // or between two bites, the shorter way,
	Commissure string  // or TakeMM with a commissure in its middle, which is then gone
	ToMM       float64 // what it becomes, of the first two
	TakeMM     float64
	WidthAt    strictyaml.Position // of ToMM or TakeMM
}

func repairStepShape() strictyaml.Alternatives {
	step := func(kind StepKind, shape strictyaml.Shape, doc string) strictyaml.Alternative {
		return strictyaml.Alternative{Key: string(kind), Shape: strictyaml.Object{Fields: []strictyaml.Field{mustHave(string(kind), shape, doc)}}}
	}
	return strictyaml.Alternatives{Of: []strictyaml.Alternative{
		step(SewDevice, deviceShape(), "A ring or band is sewn to the rim; of its steps that draw the rim together the last."),
		step(TieThread, threadShape(), "A thread sewn along the rim, in one row or more, is drawn tight and tied."),
		step(FoldRim, foldShape(), "A stretch of rim is folded together."),
		step(CloseCleft, strictyaml.Object{}, "The cleft of the anterior leaflet is closed: write {}."),
		step(NewCommissure, strictyaml.Object{Fields: []strictyaml.Field{mustHave("at", placeShape(), "The place of the hinge where the leaflet is parted.")}}, "A leaflet is parted in two."),
	}}
}

func deviceShape() strictyaml.Object {
	return strictyaml.Object{
		Fields: []strictyaml.Field{
			mustHave("form", strictyaml.Choice{Words: []string{RingForm, BandForm}}, "A ring is closed, a band open."),
			mustHave("holds", strictyaml.Choice{Words: []string{Rigid, Flexible}}, "A rigid device gives the rim its own shape, a flexible one its length alone."),
			mayHave("length", withinMM(5, 300), "Along it, of a band from end to end. A flexible device needs it; a rigid one's follows from its axes and opening."),
			mayHave("long-axis", withinMM(5, 100), "Of a rigid device: the longer axis of its ellipse, which lies head to feet."),
			mayHave("short-axis", withinMM(5, 100), "Of a rigid device: the shorter axis of its ellipse."),
			mayHave("opening", withinMM(1, 150), "Of a rigid band: the part of the ellipse that is open, measured along it."),
			mayHave("opening-at", placeShape(), "Of a rigid band: the place of the rim the middle of its opening faces; the middle of the rim left free unless given."),
			mayHave("spacing", strictyaml.List{Of: strictyaml.Quantity{Unit: "mm", Within: strictyaml.AboveUpTo(0, 100)}, Min: 1, Max: 400}, "Gaps on the device from stitch to stitch, in the order of the bites; one gap stands for all. Evenly over the whole device unless given."),
			mayHave("bites", namesShape(2), "The bites that hold it, one way round the rim; all single and mattress bites of rim and wall unless given."),
		},
		When: []strictyaml.When{{Key: "holds", Is: Rigid, Needs: []string{"long-axis", "short-axis"}}},
	}
}

func namesShape(least int) strictyaml.List {
	return strictyaml.List{Of: strictyaml.Text{Min: 1, Max: 500}, Min: least, Max: 400}
}

func threadShape() strictyaml.Object {
	return strictyaml.Object{
		Fields: []strictyaml.Field{
			mayHave("bites", namesShape(1), "The bites it runs through; all running bites unless given. Rows beside each other count as one stretch of rim."),
			mayHave("to", withinMM(0, 300), "How long the sewn stretch of rim is when the thread is tied."),
			mayHave("over", withinMM(5, 100), "The diameter of the round sizer it is tied over: the whole rim becomes as long as the sizer is round."),
		},
		OneOf: []strictyaml.Group{{{"to"}, {"over"}}},
	}
}

func foldShape() strictyaml.Alternatives {
	to := mustHave("to", withinMM(0, 200), "How long it is afterwards; 0 mm takes it away.")
	return strictyaml.Alternatives{Of: []strictyaml.Alternative{
		{Key: "segment", Shape: strictyaml.Object{Fields: []strictyaml.Field{mustHave("segment", choiceOf(Segments()...), "The segment that is folded, whole."), to}}},
		{Key: "between", Shape: strictyaml.Object{Fields: []strictyaml.Field{mustHave("between", strictyaml.List{Of: strictyaml.Text{Min: 1, Max: 500}, Min: 2, Max: 2}, "The two bites that are brought together, the shorter way round."), to}}},
		{Key: "commissure", Shape: strictyaml.Object{Fields: []strictyaml.Field{
			mustHave("commissure", choiceOf(Commissures()...), "The commissure in the middle of what is folded away."),
			mustHave("take", strictyaml.Quantity{Unit: "mm", Within: strictyaml.AboveUpTo(0, 100)}, "How much of the rim is folded away there."),
		}}},
	}}
}

func repairStepFrom(v strictyaml.Value) RepairStep {
	step := RepairStep{At: v.Position()}
	for _, kind := range []StepKind{SewDevice, TieThread, FoldRim, CloseCleft, NewCommissure} {
		if v.Has(string(kind)) {
			step.Kind = kind
		}
	}
	switch v = v.Get(string(step.Kind)); step.Kind {
	case SewDevice:
		step.Device = deviceFrom(v)
	case TieThread:
		step.Thread = Thread{Bites: namesFrom(v.Get("bites")), ToMM: v.Get("to").Number(), OverMM: v.Get("over").Number()}
	case FoldRim:
		step.Fold = foldFrom(v)
	case NewCommissure:
		step.Border = placeFrom(v.Get("at"))
	}
	return step
}

func deviceFrom(v strictyaml.Value) Device {
	d := Device{
		Form: v.Get("form").Text(), Holds: v.Get("holds").Text(), LengthMM: v.Get("length").Number(),
		LongMM: v.Get("long-axis").Number(), ShortMM: v.Get("short-axis").Number(), OpeningMM: v.Get("opening").Number(),
		Bites: namesFrom(v.Get("bites")), LengthAt: v.Get("length").Position(), SpacingAt: v.Get("spacing").Position(),
	}
	if d.HasOpeningAt = v.Has("opening-at"); d.HasOpeningAt {
		d.OpeningAt = placeFrom(v.Get("opening-at"))
	}
	for _, gap := range v.Get("spacing").Items() {
		d.GapsMM = append(d.GapsMM, gap.Number())
	}
	return d
}

func foldFrom(v strictyaml.Value) Fold {
	f := Fold{
		Segment: v.Get("segment").Text(), Between: namesFrom(v.Get("between")), Commissure: v.Get("commissure").Text(),
		ToMM: v.Get("to").Number(), TakeMM: v.Get("take").Number(), WidthAt: v.Get("to").Position(),
	}
	if v.Has("take") {
		f.WidthAt = v.Get("take").Position()
	}
	return f
}

func namesFrom(v strictyaml.Value) (names []Named) {
	for _, name := range v.Items() {
		names = append(names, Named{name.Text(), name.Position()})
	}
	return names
}
