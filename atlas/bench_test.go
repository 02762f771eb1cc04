package atlas

import (
	"testing"

	"fairlead/atlas/geom"
)

// BenchmarkHeart builds the usual adult heart; its aim is 2 ms.
func BenchmarkHeart(b *testing.B) {
	c := load(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := c.Heart(nil); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkGeometry is the part of it that knows its parameters already: rim, chart and all that lies on it.
func BenchmarkGeometry(b *testing.B) {
	b.ReportAllocs()
	for b.Loop() {
		b.StopTimer()
		v := plausible(b, nil)
		b.StartTimer()
		rim, err := v.rim()
		if err != nil {
			b.Fatal(err)
		}
		if _, err := v.heartOn(rim); err != nil {
			b.Fatal(err)
		}
	}
}

var places = []struct {
	name string
	spot Spot
}{{"wall", Spot{-12, 5, 2}}, {"fillet", Spot{-12, -2, 2}}, {"leaflet", Spot{30, -8, 1}}}

func BenchmarkChartFrame(b *testing.B) {
	h := build(b)
	for _, place := range places {
		b.Run(place.name, func(b *testing.B) {
			b.ReportAllocs()
			var p geom.Vec
			for b.Loop() {
				p = h.Chart.Frame(place.spot)
			}
			if !p.IsFinite() {
				b.Fatal(p)
			}
		})
	}
}

func BenchmarkChartSpot(b *testing.B) {
	h := build(b)
	for _, place := range places {
		b.Run(place.name, func(b *testing.B) {
			p, ok := h.Chart.Frame(place.spot), false
			b.ReportAllocs()
			for b.Loop() {
				_, ok = h.Chart.Spot(p)
			}
			if !ok {
				b.Fatal("no spot")
			}
		})
	}
}
