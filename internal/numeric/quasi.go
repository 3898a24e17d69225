// Package numeric holds sampling helpers without any chemistry: evenly spread
// sample points and order statistics. Start with Uniform and HalfNormal.
package numeric

import (
	"math"
	"math/rand/v2"
	"slices"
	"sync"
)

// Samples is how many points a column has.
const Samples = 4096

// MaxDimensions is how many columns there are.
const MaxDimensions = 768

// Uniform returns column dim [0, MaxDimensions) of a Latin hypercube on
// [0, 1): the Samples midpoints of equal steps in an order of the column's
// own, the same in every run. Every margin is perfectly even, so sums of
// one-input terms, which a superfat nearly is, are integrated far better than
// by random numbers. The slice is shared; do not change it.
// Source: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21 (1979)
// 239; for sums, M. Stein, Technometrics 29 (1987) 143. docs/decisions.md says
// why not Halton or a lattice; a test measures evenness and correlation.
func Uniform(dim int) []float64 { return uniform[dim]() }

// HalfNormal returns column dim as the absolute value of a standard normal:
// √2 erf⁻¹(u). The slice is shared; do not change it.
func HalfNormal(dim int) []float64 { return halfNormal[dim]() }

var uniform, halfNormal = columns()

func columns() (u, h [MaxDimensions]func() []float64) {
	for d := range u {
		u[d] = sync.OnceValue(func() []float64 { return margin(uint64(d)) })
		h[d] = sync.OnceValue(func() []float64 {
			out := slices.Clone(u[d]())
			for i, v := range out {
				out[i] = math.Sqrt2 * math.Erfinv(v)
			}
			return out
		})
	}
	return u, h
}

func margin(seed uint64) []float64 {
	out := make([]float64, Samples)
	for i, step := range rand.New(rand.NewPCG(seed, 7)).Perm(Samples) {
		out[i] = (float64(step) + 0.5) / Samples
	}
	return out
}

// Select reorders xs so that xs[k] is what it would be if xs were sorted,
// nothing larger before it and nothing smaller after it, and returns it.
// k lies in [0, len(xs)).
func Select(xs []float64, k int) float64 {
	lo, hi := 0, len(xs)-1
	for lo < hi {
		p := xs[lo+(hi-lo)/2]
		i, j := lo, hi
		for i <= j {
			for xs[i] < p {
				i++
			}
			for xs[j] > p {
				j--
			}
			if i <= j {
				xs[i], xs[j] = xs[j], xs[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case k <= j:
			hi = j
		case k >= i:
			lo = i
		default:
			return xs[k]
		}
	}
	return xs[k]
}

// Quantile returns the q quantile of xs (0 <= q <= 1) and reorders xs. It
// interpolates between neighbours, position q (n-1).
func Quantile(xs []float64, q float64) float64 {
	pos := q * float64(len(xs)-1)
	k := int(pos)
	low := Select(xs, k)
	if k+1 >= len(xs) {
		return low
	}
	return low + (pos-float64(k))*(slices.Min(xs[k+1:])-low)
}
