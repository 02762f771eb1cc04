package svgout

// clipped is the part of an area that lies in a box, its outline led along the box's edges where it leaves it.
func clipped(outline []Point, box Box) []Point {
	for _, side := range []struct {
		inside func(Point) bool
		share  func(p, q Point) float64 // of the way from p to q at which the side is met
	}{
		{func(p Point) bool { return p.X >= box.X }, func(p, q Point) float64 { return (box.X - p.X) / (q.X - p.X) }},
		{func(p Point) bool { return p.X <= box.Right() }, func(p, q Point) float64 { return (box.Right() - p.X) / (q.X - p.X) }},
		{func(p Point) bool { return p.Y >= box.Y }, func(p, q Point) float64 { return (box.Y - p.Y) / (q.Y - p.Y) }},
		{func(p Point) bool { return p.Y <= box.Bottom() }, func(p, q Point) float64 { return (box.Bottom() - p.Y) / (q.Y - p.Y) }},
	} {
		var kept []Point
		for i, p := range outline {
			q := outline[(i+1)%len(outline)]
			if side.inside(p) {
				kept = append(kept, p)
			}
			if side.inside(p) != side.inside(q) {
				kept = append(kept, p.Plus(q.Minus(p).Times(side.share(p, q))))
			}
		}
		outline = kept
	}
	return outline
}

// runsInside are the stretches of a closed line that lie in a box; whole tells that all of it does.
func runsInside(outline []Point, box Box) (runs [][]Point, whole bool) {
	start := -1
	for i, p := range outline {
		if !box.Contains(p) {
			start = i
			break
		}
	}
	if start < 0 {
		return [][]Point{outline}, true
	}
	var run []Point
	for i := 1; i <= len(outline); i++ {
		p := outline[(start+i)%len(outline)]
		if box.Contains(p) {
			run = append(run, p)
			continue
		}
		if len(run) > 1 {
			runs = append(runs, run)
		}
		run = nil
	}
	return runs, false
}
