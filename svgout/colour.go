package svgout

// Colour is an opaque sRGB colour written #rrggbb.
type Colour string

// The palette. Areas that merely are there take quiet warm greys; each
// meaning has one strong colour of its own, and what matters most on a plate
// is also what is darkest.
const (
	white    Colour = "#ffffff"
	wallGrey Colour = "#f3f0ec"
	leafGrey Colour = "#e9e4dd"
	dipGrey  Colour = "#dfd8cf"
	edgeGrey Colour = "#6f675f"
	inkBlack Colour = "#1d1a17"
	inkQuiet Colour = "#57504a"

	conductionGold Colour = "#7a5c00"
	apicalViolet   Colour = "#6a3fb0"
	basalBlue      Colour = "#1f5fae"
	fibrousSlate   Colour = "#4d5b66"
	ventricleOlive Colour = "#4f6a17"
	coronaryRed    Colour = "#c0143c"
	aortaRose      Colour = "#96425f"
	ostiumNavy     Colour = "#12356b"
	threadGreen    Colour = "#04613f"

	apicalTint    Colour = "#f1ecfa"
	basalTint     Colour = "#e9f1fa"
	fibrousTint   Colour = "#edf0f2"
	ventricleTint Colour = "#f0f3e4"
	coronaryTint  Colour = "#fbe9ec"
	aortaTint     Colour = "#f7e9ee"
	ostiumTint    Colour = "#dfe6f0"
	goldTint      Colour = "#f8f0d8"

	clearTeal     Colour = "#2a7d8e"
	cautionAmber  Colour = "#b0560a"
	avoidAubergin Colour = "#47093a"

	clearTint   Colour = "#e7f3f4"
	cautionTint Colour = "#fbefdf"
	avoidTint   Colour = "#f0e6ed"
)
