package atlas

import (
	"strings"

	"fairlead/atlas/words"
)

// Valve is how the leaflets part. The zero value is the usual valve of three.
type Valve struct {
	Leaflets     int     // two, three or four; 0 is three
	Cleft        bool    // the anterior leaflet is cleft in two
	CommissureMM float64 // how wide a commissure is along the hinge; 0 gives commissures no length
}

// Leaflet is the stretch of hinge one leaflet hangs from, clockwise.
type Leaflet struct {
	Name          string
	FromMM, ForMM float64
}

// Said is what the leaflet is called: anterior leaflet.
func (l Leaflet) Said() words.Said {
	if part, of, parted := l.parted(); parted {
		return words.Of("leaflet-part."+part, words.Blanks{"leaflet": of.Said()})
	}
	return words.Of("leaflet." + l.Name)
}

// Short is that without the noun: anterior.
func (l Leaflet) Short() words.Said {
	if part, of, parted := l.parted(); parted {
		return words.Of("leaflet-part."+part, words.Blanks{"leaflet": of.Short()})
	}
	return words.Of("leaflet-short." + l.Name)
}

// Parted is the leaflet parted in two, so far behind its beginning.
func (l Leaflet) Parted(intoMM float64) (first, second Leaflet) {
	return Leaflet{firstPart + " " + l.Name, l.FromMM, intoMM}, Leaflet{secondPart + " " + l.Name, l.FromMM + intoMM, l.ForMM - intoMM}
}

// What the names of the parts of a leaflet begin with.
const firstPart, secondPart = "first", "second"

// parted tells which part of a leaflet this is; false: it is a leaflet of its own.
func (l Leaflet) parted() (part string, of Leaflet, parted bool) {
	part, name, _ := strings.Cut(l.Name, " ")
	return part, Leaflet{Name: name}, part == firstPart || part == secondPart
}

// inferiorShare is the inferior part of a posterior leaflet that is split in two: 12.0 against 13.7 % of the rim in 17
// valves of four leaflets (abstract: Holda 2019, in the evidence of leaflet shares).
const inferiorShare = 12.0 / (12.0 + 13.7)

// Leaflets lists the leaflets clockwise from the anteroseptal commissure. With commissures of a width, the leaflets
// leave half of it free at each border.
func (h *Heart) Leaflets() (leaflets []Leaflet) {
	segments := h.Segments()
	anterior, posterior, septal := segments[0], segments[1], segments[2]
	switch h.Valve.Leaflets {
	case 2:
		leaflets = []Leaflet{{"anterior and posterior", 0, anterior.ForMM + posterior.ForMM}, Leaflet(septal)}
	case 4:
		mural := posterior.ForMM * (1 - inferiorShare)
		leaflets = []Leaflet{Leaflet(anterior), {"posterior", posterior.FromMM, mural}, {"inferior", posterior.FromMM + mural, posterior.ForMM - mural}, Leaflet(septal)}
	default:
		leaflets = []Leaflet{Leaflet(anterior), Leaflet(posterior), Leaflet(septal)}
	}
	for i := range leaflets {
		gap := min(h.Valve.CommissureMM, leaflets[i].ForMM/2)
		leaflets[i].FromMM, leaflets[i].ForMM = leaflets[i].FromMM+gap/2, leaflets[i].ForMM-gap
	}
	return leaflets
}
