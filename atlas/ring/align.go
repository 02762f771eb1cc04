package ring

import (
	"math"

	"fairlead/atlas/geom"
)

// Aligned returns the joints after the rigid motion (a turn and a shift, no
// mirror) that makes Σ weight[i]·|joint i - onto[i]|² least. The joints that are
// to stay where they are get the weight, the others 0.
//
// A nil weight counts every joint once. A joint without a place or a weight, or
// with a place or weight that is not finite, or with a negative weight, is not
// counted. With no joint that counts nothing is moved; with one, or several that
// leave the angle open (all in one place, say), the line is shifted and not
// turned. The answer is good to about 1e-15 of the largest coordinate for
// coordinates up to geom.Reach.
func (s Shape) Aligned(onto []geom.Point, weight []float64) []geom.Point {
	moved := append([]geom.Point(nil), s.Points...)
	counts := counted(s.Points, onto, weight)
	total := sum(counts)
	if total == 0 {
		return moved
	}
	from, to := centre(s.Points, counts, total), centre(onto, counts, total)
	cos, sin := bestTurn(s.Points, onto, counts, from, to)
	for i, p := range moved {
		x, y := p.X-from.X, p.Y-from.Y
		moved[i] = geom.Point{X: to.X + cos*x - sin*y, Y: to.Y + sin*x + cos*y}
	}
	return moved
}

// counted is the weight of each joint that counts, the largest scaled to 1.
func counted(points, onto []geom.Point, weight []float64) []float64 {
	counts := make([]float64, min(len(points), len(onto)))
	largest := 0.0
	for i := range counts {
		w := 1.0
		if weight != nil {
			w = 0
			if i < len(weight) {
				w = weight[i]
			}
		}
		if w > 0 && finite(w) && finite(onto[i].X) && finite(onto[i].Y) {
			counts[i] = w
			largest = max(largest, w)
		}
	}
	for i := range counts {
		if largest > 0 {
			counts[i] /= largest
		}
	}
	return counts
}

func finite(x float64) bool { return x-x == 0 }

func sum(values []float64) float64 {
	total := 0.0
	for _, v := range values {
		total += v
	}
	return total
}

// centre is the weighted mean of the points that count.
func centre(points []geom.Point, counts []float64, total float64) geom.Point {
	var c geom.Point
	for i, w := range counts {
		if w > 0 {
			c.X += w / total * points[i].X
			c.Y += w / total * points[i].Y
		}
	}
	return c
}

// bestTurn is the cosine and sine of the turn about the centres that brings the
// points nearest to their places. The sum of squares is a constant less
// 2(cos φ Σ w p·q + sin φ Σ w p×q), so φ is the angle of those two sums.
func bestTurn(points, onto []geom.Point, counts []float64, from, to geom.Point) (cos, sin float64) {
	var dot, cross float64
	for i, w := range counts {
		if w > 0 {
			px, py := points[i].X-from.X, points[i].Y-from.Y
			qx, qy := onto[i].X-to.X, onto[i].Y-to.Y
			dot += w * (px*qx + py*qy)
			cross += w * (px*qy - py*qx)
		}
	}
	size := math.Hypot(dot, cross)
	if !(size > 0) || math.IsInf(size, 1) {
		return 1, 0
	}
	return dot / size, cross / size
}
