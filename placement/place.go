package placement

import (
	"math"

	"fairlead/atlas"
)

// resolve finds a place on a heart; its along is within one turn.
func resolve(p Place, heart *atlas.Heart) atlas.Spot {
	spot := atlas.Spot{OffMM: p.OffMM}
	switch p.Way {
	case OfSegment:
		for _, s := range heart.Segments() {
			if s.Name == p.Segment {
				spot.AlongMM = s.FromMM + s.ForMM*p.SharePercent/100
			}
		}
	case AtClock:
		spot.AlongMM = clockAlong(p.ClockHour, heart.Rim)
	default:
		from, _ := heart.Landmark(p.From)
		way := 1.0
		if wayToward(p.Toward, from.Spot.AlongMM, heart) < 0 {
			way = -1
		}
		spot.AlongMM = from.Spot.AlongMM + way*p.ByMM
	}
	spot.AlongMM = heart.Rim.Wrap(spot.AlongMM)
	return spot
}

// wayToward is how far it is along the rim, clockwise positive, to what a place lies toward: by the shorter way to
// the middle of a segment or to a commissure, or any distance at all in a direction that is said outright.
func wayToward(toward string, fromMM float64, heart *atlas.Heart) float64 {
	switch toward {
	case Clockwise:
		return math.Inf(1)
	case Anticlockwise:
		return math.Inf(-1)
	}
	goal := 0.0
	if landmark, ok := heart.Landmark(toward); ok {
		goal = landmark.Spot.AlongMM
	}
	for _, s := range heart.Segments() {
		if s.Name == toward {
			goal = s.FromMM + s.ForMM/2
		}
	}
	return shorterWay(heart.Rim, fromMM, goal)
}

// shorterWay is the signed distance along the rim from one place to another by the shorter way, clockwise positive.
func shorterWay(rim *atlas.Rim, fromMM, toMM float64) float64 {
	span := rim.Span(fromMM, toMM)
	if span > rim.LengthMM()/2 {
		return span - rim.LengthMM()
	}
	return span
}

// clockAlong is the place of the rim at an hour of the clock face round its centroid, 12 at the front. The rim is
// star-shaped about its centroid, so the hour grows steadily with the way along it.
func clockAlong(hour float64, rim *atlas.Rim) float64 {
	hourAt := func(along float64) float64 {
		p := rim.At(along)
		return math.Atan2(p.X, p.Y) * 6 / math.Pi
	}
	first := hourAt(0)
	want := math.Mod(hour-first+24, 12)
	low, high := 0.0, rim.LengthMM()
	for range 60 {
		mid := (low + high) / 2
		if math.Mod(hourAt(mid)-first+24, 12) < want {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}
