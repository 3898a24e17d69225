package cure

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// ToleranceFactor returns k: the mean less k standard deviations of n weights
// is, with confidence [0.5, 0.999], below all but a share 1−content of what was
// weighed from, when that is normal. It is exact: the quantile of Student's
// noncentral t over √n, found from its integral. n below 2 panics.
// Source: docs/model/netweight.md eq. 1; ISO 16269-6.
func ToleranceFactor(n int, content, confidence float64) float64 {
	if n < 2 || !(content > 0.5 && content < 1 && confidence >= 0.5 && confidence <= 0.999) {
		panic("cure: no tolerance factor for this")
	}
	low, high := 0.0, 1.0
	for sureOf(n, content, high) < confidence {
		low, high = high, 2*high
	}
	for range 60 {
		if mid := (low + high) / 2; sureOf(n, content, mid) < confidence {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// sureOf is how sure a factor is: over the distribution of the sample's
// standard deviation, the chance that the mean lies low enough.
func sureOf(n int, content, k float64) float64 {
	chi := distuv.ChiSquared{K: float64(n - 1)}
	z, root := distuv.UnitNormal.Quantile(content), math.Sqrt(float64(n))
	at := func(s float64) float64 { // s: standard deviation of the sample against the true one
		free := float64(n - 1)
		return chi.Prob(free*s*s) * 2 * free * s * distuv.UnitNormal.CDF(root*(k*s-z))
	}
	width := 1 / math.Sqrt(2*float64(n-1))
	sum, from := 0.0, 0.0
	for from < 1+9*width { // in pieces, so that no narrow peak is stepped over
		to := from + width
		sum += quad.Fixed(at, from, to, 24, quad.Legendre{}, 0)
		from = to
	}
	return sum
}
