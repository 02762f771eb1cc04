package placement

import (
	"fairlead/atlas/strictyaml"
	"fairlead/atlas/words"
)

// FileVersion is the version of the plan file format this program reads.
const FileVersion = 1

// Plan is what is planned, as written: nothing is resolved against a heart yet.
type Plan struct {
	File      string
	Digest    string // of the file's bytes: the first 12 hex digits of its SHA-256
	Case      string // a label of the case, never a patient's identity
	Operation Operation
	Note      string
	Patient   Patient
	Measured  []Measured // in the order of the file
	Contour   string     // a file of points of the rim, beside the plan's; empty: none
	ContourAt strictyaml.Position
	// ContourCSV is what the contour's file holds. Who reads the plan's file reads it too, and puts it here for Lay.
	ContourCSV []byte
	Stretch    string // the pattern the rim was stretched in; empty: none
	StretchAt  strictyaml.Position
	Valve      Valve
	Variant    string // a malformation; empty: none
	VariantAt  strictyaml.Position
	Margins    Margins
	Needle     Needle
	Spacing    Spacing
	Bites      []Bite
	Repair     []RepairStep // what the stitches do to the rim, in the order it is done
	Line       *Line        // the suture line of a replacement; nil: none
	Patches    []Patch
	Looks      []string // what will be looked at, at the table
}

// Operation is what the stitches are for.
type Operation string

// The operations a plan can be for.
const (
	Band          Operation = "band"
	Ring          Operation = "ring"
	PurseString   Operation = "purse-string"
	Plication     Operation = "plication"
	LeafletRepair Operation = "leaflet-repair"
	Replacement   Operation = "replacement"
	Rehearsal     Operation = "rehearsal"
)

// Said is what the operation is called.
func (o Operation) Said() words.Said { return words.Of("operation." + string(o)) }

// Patient is how large the patient is: height and weight, or the surface of the
// body; all zero when nothing was said.
type Patient struct {
	HeightCM, WeightKG, SurfaceM2 float64
	Formula, Dataset              string // empty: the atlas chooses
	At                            strictyaml.Position
}

// Valve is how the valve's leaflets part.
type Valve struct {
	Leaflets     int // two, three or four
	Cleft        bool
	CommissureMM float64
}

// Measured is a parameter of the heart as measured in this case, in place of
// the model's own value. Without a method and an error it is taken as it is.
type Measured struct {
	Name   string
	Value  float64
	Method string
	Error  float64 // one standard deviation, in the unit of the value
	At     strictyaml.Position
}

// Margins are the distances to keep from what must not be caught, beyond the
// needle's own width.
type Margins struct{ ConductionMM, CoronaryMM, AortaMM, OstiumMM float64 }

// Needle gives the diameters of needle and thread.
type Needle struct{ NeedleMM, ThreadMM float64 }

// Spacing is the least and the greatest gap between neighbouring bites.
type Spacing struct{ MinMM, MaxMM float64 }

// What a plan that does not say otherwise is taken to mean.
var (
	DefaultMargins = Margins{ConductionMM: 2, CoronaryMM: 0.5, AortaMM: 1, OstiumMM: 1}
	DefaultNeedle  = Needle{NeedleMM: 0.6, ThreadMM: 0.35}
	DefaultSpacing = Spacing{MinMM: 0.5, MaxMM: 10}
)

// Bite is one planned stitch.
type Bite struct {
	Name     string
	Kind     Kind
	Tissue   Tissue
	In       Place
	Out      Place // where HasOut
	HasOut   bool
	TravelMM float64 // where not HasOut, as is Heading
	Heading  Heading
	DepthMM  float64
	ApartMM  float64 // of a mattress: from the first arm clockwise to the second
	Pledget  Pledget
	Passes   int     // of a running stitch
	PitchMM  float64 // of a running stitch: from start to start, negative anticlockwise
	Note     string
	At       strictyaml.Position
}

// Kind is the kind of a stitch.
type Kind string

// The kinds of stitch.
const (
	Single   Kind = "single"
	Mattress Kind = "mattress"
	Running  Kind = "running"
)

// Said is what the stitch is called.
func (k Kind) Said() words.Said { return words.Of("kind." + string(k)) }

// Tissue is what a bite is meant to go through.
type Tissue string

// The tissues: the atrial wall above the hinge, the rim about it, and the
// leaflet below.
const (
	Wall    Tissue = "wall"
	Rim     Tissue = "rim"
	Leaflet Tissue = "leaflet"
)

// Said is what the tissue is called.
func (t Tissue) Said() words.Said { return words.Of("tissue." + string(t)) }

// Pledget is the side of the rim a mattress stitch's pledget lies on.
type Pledget string

// The sides of a pledget.
const (
	NoPledget   Pledget = "none"
	Atrial      Pledget = "atrial"
	Ventricular Pledget = "ventricular"
)

// Place is a place on the rim, said in one of three ways.
type Place struct {
	Way Way

	// FromLandmark: ByMM along the hinge from a named landmark, toward
	// clockwise, anticlockwise, a segment or a commissure.
	From   string
	Toward string
	ByMM   float64

	// OfSegment: a share of a segment, from its clockwise start; the anterior
	// one starts at the anteroseptal commissure.
	Segment      string
	SharePercent float64

	// AtClock: hours on a clock face seen from the atrium, 12 in front.
	ClockHour float64

	OffMM float64 // off the hinge: positive up the atrial wall, negative onto the leaflet
	At    strictyaml.Position
}

// Way is how a place is said.
type Way string

// The ways to say a place.
const (
	FromLandmark Way = "from"
	OfSegment    Way = "segment"
	AtClock      Way = "clock"
)

// The directions along the hinge, as seen from the atrium.
const (
	Clockwise     = "clockwise"
	Anticlockwise = "anticlockwise"
)

// The segments of the rim, each named for its leaflet.
const (
	Septal    = "septal"
	Anterior  = "anterior"
	Posterior = "posterior"
)

// The landmarks a place can be measured from.
const (
	AnteroseptalCommissure    = "anteroseptal-commissure"
	AnteroposteriorCommissure = "anteroposterior-commissure"
	PosteroseptalCommissure   = "posteroseptal-commissure"
	MidSeptal                 = "mid-septal"
	MidAnterior               = "mid-anterior"
	MidPosterior              = "mid-posterior"
	TriangleApex              = "triangle-apex"
	TriangleBase              = "triangle-base"
	CoronarySinusOstium       = "coronary-sinus-ostium"
	FibrousBody               = "fibrous-body"
)

// Segments gives the names of the rim's segments.
func Segments() []string { return []string{Septal, Anterior, Posterior} }

// Commissures gives the names of the commissures.
func Commissures() []string {
	return []string{AnteroseptalCommissure, AnteroposteriorCommissure, PosteroseptalCommissure}
}

// Landmarks gives the names of the landmarks a place can be measured from.
func Landmarks() []string {
	return append(Commissures(), MidSeptal, MidAnterior, MidPosterior, TriangleApex, TriangleBase, CoronarySinusOstium, FibrousBody)
}

// Heading is the direction a bite takes in the surface: 0 degrees clockwise
// along the hinge, 90 up the wall, 180 anticlockwise, 270 onto the leaflet.
type Heading struct{ Degrees float64 }

// The headings that have a word of their own in a plan file.
var headingWords = []struct {
	word    string
	degrees float64
}{{Clockwise, 0}, {"up-the-wall", 90}, {Anticlockwise, 180}, {"onto-the-leaflet", 270}}
