package placement

import (
	"math"
	"slices"

	"fairlead/atlas"
	"fairlead/atlas/geom"
)

// LineStretch is a stretch of a suture line on one tissue, ready to be drawn and measured. Between neighbouring points
// the line is straight to within a few thousandths of a millimetre.
type LineStretch struct {
	Tissue  Tissue
	DepthMM float64      // how deep the line's needles go here
	Spots   []atlas.Spot // on the chart, along unrolled
	Surface []geom.Vec   // the same in the frame
	Deep    []geom.Vec   // the same DepthMM under the surface
}

// rimBandMM is how far above the hinge a line still runs on the rim and not on the wall: an assumption.
const rimBandMM = 1.0

// tissueAt is the tissue a line runs on at a height off the hinge.
func tissueAt(offMM float64) Tissue {
	switch {
	case offMM < -onHingeMM:
		return Leaflet
	case offMM <= rimBandMM:
		return Rim
	default:
		return Wall
	}
}

// How far the chords of a line may lie off it: on the plan's own heart, and on one of many.
const (
	lineSagMM   = 0.002
	sampleSagMM = 0.02
)

// stretches lays the course in the frame, cut where the tissue changes.
func (c *course) stretches(line *Line, sagMM float64) (all []LineStretch) {
	for _, l := range c.legs {
		cuts := []float64{0, 1}
		for _, height := range []float64{-onHingeMM, rimBandMM} {
			if rise := l.to.OffMM - l.from.OffMM; rise != 0 {
				if share := (height - l.from.OffMM) / rise; share > 0 && share < 1 {
					cuts = append(cuts, share)
				}
			}
		}
		slices.Sort(cuts)
		for i := 1; i < len(cuts); i++ {
			piece := leg{l.at(cuts[i-1]), l.at(cuts[i])}
			tissue := tissueAt(piece.at(0.5).OffMM)
			if n := len(all); n == 0 || all[n-1].Tissue != tissue {
				all = append(all, LineStretch{Tissue: tissue, DepthMM: line.depthOn(tissue)})
				all[n].add(c.heart, piece.from)
			}
			all[len(all)-1].follow(c.heart, piece, sagMM)
		}
	}
	return all
}

func (s *LineStretch) add(heart *atlas.Heart, spot atlas.Spot) {
	deep := spot
	deep.DeepMM = s.DepthMM
	s.Spots, s.Surface, s.Deep = append(s.Spots, spot), append(s.Surface, heart.Chart.Frame(spot)), append(s.Deep, heart.Chart.Frame(deep))
}

// longestPieceMM is how long a piece is looked at as a whole: short against the turns of rim and wall, so that the
// middle of a piece tells how far it bends.
const longestPieceMM = 3.0

// follow adds a piece of the way, in chords, from where the stretch ends.
func (s *LineStretch) follow(heart *atlas.Heart, piece leg, sagMM float64) {
	steps := math.Ceil(math.Hypot(piece.to.AlongMM-piece.from.AlongMM, piece.to.OffMM-piece.from.OffMM) / longestPieceMM)
	for i := 1.0; i <= steps; i++ {
		s.halve(heart, leg{piece.at((i - 1) / steps), piece.at(i / steps)}, sagMM)
	}
}

func (s *LineStretch) halve(heart *atlas.Heart, piece leg, sagMM float64) {
	end, middle := LineStretch{DepthMM: s.DepthMM}, LineStretch{DepthMM: s.DepthMM}
	end.add(heart, piece.to)
	middle.add(heart, piece.at(0.5))
	last := len(s.Spots) - 1
	off := max(s.Surface[last].Lerp(end.Surface[0], 0.5).Distance(middle.Surface[0]), s.Deep[last].Lerp(end.Deep[0], 0.5).Distance(middle.Deep[0]))
	if off > sagMM {
		s.halve(heart, leg{piece.from, piece.at(0.5)}, sagMM)
		s.halve(heart, leg{piece.at(0.5), piece.to}, sagMM)
		return
	}
	s.Spots, s.Surface, s.Deep = append(s.Spots, end.Spots[0]), append(s.Surface, end.Surface[0]), append(s.Deep, end.Deep[0])
}

// leafletOnly tells whether needles along the stretch stay within the thickness of a leaflet.
func (s *LineStretch) leafletOnly(thicknessMM float64) bool {
	return s.Tissue == Leaflet && s.DepthMM <= thicknessMM
}

// lengthOf is the length of a line's stretches on the endocardium.
func lengthOf(stretches []LineStretch) (length float64) {
	for _, s := range stretches {
		for i := 1; i < len(s.Surface); i++ {
			length += s.Surface[i].Distance(s.Surface[i-1])
		}
	}
	return length
}
