package cure

import "math"

// law is the share of the loss that has left by a day: equation 6 of
// docs/model/cure.md. Makers' bars follow no law exactly, so several forms are
// tried; the time constant means the same in each, the day by which 63 % has left.
type law struct {
	lnTau float64
	shape float64 // Page's exponent; of another form the exponent that comes nearest
	form  *form   // nil is Page's
}

func (l law) gone(day float64) float64 {
	switch {
	case day <= 0:
		return 0
	case l.form != nil:
		return l.form.gone(day * math.Exp(-l.lnTau))
	}
	return -math.Expm1(-math.Exp(l.shape * (math.Log(day) - l.lnTau)))
}

// dayOf is the day by which a share of the loss [0..1) has left.
func (l law) dayOf(share float64) float64 {
	if l.form != nil {
		return math.Exp(l.lnTau) * l.form.timeOf(share)
	}
	return math.Exp(l.lnTau + math.Log(-math.Log1p(-share))/l.shape)
}

// crept is the slow loss by a day, share of the first mass.
func crept(day float64) float64 { return creep.Typical * max(0, day) / 365 }

// bricked is the share of a brick's loose water that is still in it after
// seconds, all faces open: the product of three slabs' series.
// Source: Crank, The Mathematics of Diffusion, eq. 4.18; docs/model/cure.md eq. 7.
func bricked(sidesMM [3]float64, diffusivity, seconds float64) float64 {
	left := 1.0
	for _, s := range sidesMM {
		half := s / 2000
		left *= slab(diffusivity * seconds / (half * half))
	}
	return left
}

// slab is one slab's series at a Fourier number of half its thickness; at small
// numbers the erfc-free short-time form, which the series is slow to reach.
func slab(fourier float64) float64 {
	switch {
	case fourier <= 0:
		return 1
	case fourier < 0.02:
		return 1 - 2*math.Sqrt(fourier/math.Pi)
	}
	sum := 0.0
	for n := range 40 {
		odd := float64(2*n + 1)
		decay := odd * odd * math.Pi * math.Pi * fourier / 4
		if decay > 40 {
			break // below 1e-17
		}
		sum += 8 / (math.Pi * math.Pi * odd * odd) * math.Exp(-decay)
	}
	return sum
}

// Fick returns the share [0..1] of a brick's loose water that has left after
// days by diffusion alone, its sides in mm and the diffusivity in m²/s.
func Fick(sidesMM [3]float64, diffusivity, days float64) float64 {
	const daySeconds = 86400
	return 1 - bricked(sidesMM, diffusivity, days*daySeconds)
}
