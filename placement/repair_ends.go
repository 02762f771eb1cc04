package placement

import "math"

// DrawnEnd is an end of an open device, and what is asked of its stitch. It is geometry and no force: how far the rim
// must come, not how hard it pulls back.
type DrawnEnd struct {
	Bite          string
	Septal        bool    // the nearer one to the middle of the septal segment
	NextTo        string  // the neighbouring bite
	IntervalMM    float64 // of rim between the two, before
	ShorterMM     float64 // by how much device draws it together
	ShorterByPart float64 // the same as a share of the interval, %
	DrawnMM       float64 // how far the rim at the end's bite moves, the septum held in place
}

// drawnEnds measures the two ends of an open device, the septal one first; none of a closed one.
func (l *Laid) drawnEnds() []DrawnEnd {
	r := l.Repair
	if len(r.ends) == 0 {
		return nil
	}
	var ends []DrawnEnd
	for i, stitch := range r.ends {
		e := DrawnEnd{Bite: stitch.name, DrawnMM: l.moved(stitch.atMM)}
		between := l.Repair.deviceIntervals()
		interval, other := between[0], 1
		if i == 1 {
			interval, other = between[len(between)-1], 0
		}
		e.NextTo, e.IntervalMM = interval.Between[other], interval.BeforeMM
		e.ShorterMM, e.ShorterByPart = interval.BeforeMM-interval.AfterMM, interval.LessPercent()
		ends = append(ends, e)
	}
	if l.fromMidSeptum(r.ends[1]) <= l.fromMidSeptum(r.ends[0]) {
		ends[0], ends[1] = ends[1], ends[0]
	}
	ends[0].Septal = true
	return ends
}

func (r *LaidRepair) deviceIntervals() (found []Interval) {
	for _, i := range r.Intervals {
		if i.Step == SewDevice {
			found = append(found, i)
		}
	}
	return found
}

func (l *Laid) fromMidSeptum(s stitchAt) float64 {
	middle, _ := l.Heart.Landmark(MidSeptal)
	return math.Abs(shorterWay(l.Heart.Rim, s.atMM, middle.Spot.AlongMM))
}

// moved is how far a place of the rim moves in the repair, the septum held.
func (l *Laid) moved(alongMM float64) float64 {
	g := l.Repair.Gathered
	return g.Rim.At(g.Along(alongMM)).Add(g.Shift).Distance(l.Heart.Rim.At(alongMM))
}
