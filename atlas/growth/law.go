package growth

import "math"

// law ties a size to BSA: the size at a z-score, and the z-score of a size, in mm or mm².
type law interface {
	at(z, bsaM2 float64) float64
	z(value, bsaM2 float64) float64
	// spread gives the SD in mm or mm², or that of the natural logarithm; the other is zero.
	spread(bsaM2 float64) (sd, logSD float64)
}

// powerLaw: size / BSA^alpha has a mean and an SD, in a printed unit of which one is scale of ours.
type powerLaw struct{ alpha, mean, sd, scale float64 }

func (l powerLaw) unit(bsaM2 float64) float64 { return l.scale * math.Pow(bsaM2, l.alpha) }

func (l powerLaw) at(z, bsaM2 float64) float64 { return (l.mean + z*l.sd) * l.unit(bsaM2) }

func (l powerLaw) z(value, bsaM2 float64) float64 { return (value/l.unit(bsaM2) - l.mean) / l.sd }

func (l powerLaw) spread(bsaM2 float64) (sd, logSD float64) { return l.sd * l.unit(bsaM2), 0 }

// logCubic: the natural logarithm of the size has a mean cubic in BSA and the variance mse.
type logCubic struct {
	b          [4]float64
	mse, scale float64
}

func (l logCubic) logMean(s float64) float64 { return l.b[0] + s*(l.b[1]+s*(l.b[2]+s*l.b[3])) }

func (l logCubic) at(z, bsaM2 float64) float64 {
	return l.scale * math.Exp(l.logMean(bsaM2)+z*math.Sqrt(l.mse))
}

func (l logCubic) z(value, bsaM2 float64) float64 {
	return (math.Log(value/l.scale) - l.logMean(bsaM2)) / math.Sqrt(l.mse)
}

func (l logCubic) spread(float64) (sd, logSD float64) { return 0, math.Sqrt(l.mse) }
