package lye

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Points of the standard normal law.
const (
	z975     = 1.959963984540054 // two-sided 95 % range
	halfZ975 = 2.241402727604947 // 97.5 % point of its absolute value
)

// Law is what is known of one uncertain number: a split normal law, whose two
// halves share the mode but not the spread. The zero Law is exactly zero.
type Law struct {
	Mode     float64
	sdBelow  float64
	sdAbove  float64
	capAbove float64 // no value lies above it; 0 is no cap
}

// NewLaw reads low to high as a 95 % range with the typical value as mode,
// low <= typical <= high.
func NewLaw(low, typical, high float64) Law {
	return Law{Mode: typical, sdBelow: (typical - low) / z975, sdAbove: (high - typical) / z975}
}

// Exactly is a law without doubt.
func Exactly(v float64) Law { return Law{Mode: v} }

// AtMost is a one-sided law: most likely nothing, with its 97.5 % point at
// high.
func AtMost(high float64) Law { return Law{sdAbove: high / halfZ975} }

// Capped returns the law with no value above limit.
func (l Law) Capped(limit float64) Law { l.capAbove = limit; return l }

// Scaled returns the law of f times the number, f >= 0.
func (l Law) Scaled(f float64) Law {
	return Law{l.Mode * f, l.sdBelow * f, l.sdAbove * f, l.capAbove * f}
}

// Plus returns the law of the sum of two independent numbers, their spreads
// added in quadrature on each side.
func (l Law) Plus(m Law) Law {
	return Law{Mode: l.Mode + m.Mode, sdBelow: math.Hypot(l.sdBelow, m.sdBelow), sdAbove: math.Hypot(l.sdAbove, m.sdAbove)}
}

// Mixed returns the law of a gram of a mixture of two masses [g] whose numbers
// rise and fall together: modes and spreads add by mass. One mass at least is
// above 0.
func Mixed(massA float64, a Law, massB float64, b Law) Law {
	fa, fb := massA/(massA+massB), massB/(massA+massB)
	return Law{Mode: fa*a.Mode + fb*b.Mode, sdBelow: fa*a.sdBelow + fb*b.sdBelow, sdAbove: fa*a.sdAbove + fb*b.sdAbove}
}

// Low and High return the ends of the 95 % range the law was made from.
func (l Law) Low() float64 { return l.Mode - z975*l.sdBelow }

// High returns the upper end of the 95 % range, the cap at most.
func (l Law) High() float64 { return l.cap(l.Mode + z975*l.sdAbove) }

func (l Law) cap(v float64) float64 {
	if l.capAbove > 0 {
		return math.Min(v, l.capAbove)
	}
	return v
}

// Mean returns the expected value, without the cap.
// Source: split normal law, J. F. Kenney and E. S. Keeping, Mathematics of
// Statistics; mean = mode + √(2/π) (σ₂ − σ₁).
func (l Law) Mean() float64 { return l.Mode + math.Sqrt(2/math.Pi)*(l.sdAbove-l.sdBelow) }

// Variance returns the variance, without the cap:
// (1 − 2/π)(σ₂ − σ₁)² + σ₁σ₂.
func (l Law) Variance() float64 {
	d := l.sdAbove - l.sdBelow
	return (1-2/math.Pi)*d*d + l.sdAbove*l.sdBelow
}

// shareBelow is the chance of a value below the mode.
func (l Law) shareBelow() float64 {
	if l.sdBelow+l.sdAbove == 0 {
		return 0
	}
	return l.sdBelow / (l.sdBelow + l.sdAbove)
}

// Quantile returns the p quantile, 0 < p < 1.
func (l Law) Quantile(p float64) float64 {
	b := l.shareBelow()
	if p < b {
		return l.Mode + l.sdBelow*distuv.UnitNormal.Quantile(p/(2*b))
	}
	if l.sdAbove == 0 {
		return l.Mode
	}
	return l.cap(l.Mode + l.sdAbove*distuv.UnitNormal.Quantile((1+(p-b)/(1-b))/2))
}

// sample fills dst with a value for every point: h >= 0 standard deviations
// from the mode, below it where side, even on [0, 1), says so. All three have
// one length.
func (l Law) sample(dst, h, side []float64) {
	below := l.shareBelow()
	spread := [2]float64{l.sdAbove, -l.sdBelow}
	h, side = h[:len(dst)], side[:len(dst)]
	for i := range dst {
		// The sign bit picks the half without a branch: which half is a coin
		// toss, and a mispredicted branch costs more than all the rest.
		half := math.Float64bits(side[i]-below) >> 63
		dst[i] = l.Mode + spread[half]*h[i]
	}
	if l.capAbove > 0 {
		for i, v := range dst {
			dst[i] = min(v, l.capAbove)
		}
	}
}
