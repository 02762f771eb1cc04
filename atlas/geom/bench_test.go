package geom

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The benchmarks go round a table of inputs, so that no branch is learnt by heart.
const benchCases = 512

var sink float64

func BenchmarkSegmentSegment(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	s, o := make([]Segment, benchCases), make([]Segment, benchCases)
	for i := range s {
		s[i], o[i] = randomSegment(r, 10), randomSegment(r, 10)
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		d, _, _ := s[i%benchCases].Distance(o[i%benchCases])
		sink += d
	}
}

func BenchmarkPointEllipsoid(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	e, p := make([]Ellipsoid, benchCases), make([]Vec, benchCases)
	for i := range e {
		e[i], p[i] = randomEllipsoid(r), randomVec(r, 12)
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		sink += e[i%benchCases].Distance(p[i%benchCases])
	}
}

func BenchmarkSegmentEllipsoid(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 3))
	e, s := make([]Ellipsoid, benchCases), make([]Segment, benchCases)
	for i := range e {
		e[i], s[i] = randomEllipsoid(r), randomSegment(r, 12)
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		d, _ := e[i%benchCases].DistanceSegment(s[i%benchCases])
		sink += d
	}
}

// BenchmarkSegmentTube has a tube of 12 axis pieces.
func BenchmarkSegmentTube(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 4))
	tube := Tube{RadiusMM: 1}
	for i := range 13 {
		sin, cos := math.Sincos(float64(i) / 4)
		tube.Axis = append(tube.Axis, Vec{15 * cos, 15 * sin, float64(i) / 3})
	}
	s := make([]Segment, benchCases)
	for i := range s {
		s[i] = randomSegment(r, 12)
	}
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		d, _ := tube.DistanceSegment(s[i%benchCases])
		sink += d
	}
}

func BenchmarkDepthOfPath(b *testing.B) {
	outline := circleOutline(64, 10)
	path := []Point{{-14, 1}, {-3, 2}, {4, -1}, {15, 3}}
	b.ReportAllocs()
	for b.Loop() {
		sink += outline.DepthOfPath(path)
	}
}
