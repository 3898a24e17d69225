package numeric

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// Every column is even to half a step, and no two of the first 120 correlate
// by more than 0.0625 = 4/√n, what the largest of 7140 chance pairs reaches.
func TestUniformIsEven(t *testing.T) {
	t.Parallel()
	const dims = 120
	for d := range dims {
		xs := slices.Sorted(slices.Values(Uniform(d)))
		worst := 0.0
		for i, x := range xs {
			worst = max(worst, math.Abs(x-(float64(i)+0.5)/Samples))
		}
		if worst > 1e-12 {
			t.Errorf("column %d: distance %.4f from uniform", d, worst)
		}
		for e := range d {
			if r := stat.Correlation(Uniform(d), Uniform(e), nil); math.Abs(r) > 0.0625 {
				t.Errorf("columns %d and %d correlate by %.3f", e, d, r)
			}
		}
	}
}

// Against gonum's normal law, an independent implementation.
func TestHalfNormalQuantiles(t *testing.T) {
	t.Parallel()
	for d := range 20 {
		xs := slices.Clone(HalfNormal(d))
		for _, q := range []float64{0.05, 0.5, 0.95, 0.975} {
			want := distuv.UnitNormal.Quantile((1 + q) / 2)
			if got := Quantile(xs, q); math.Abs(got-want) > 0.01 {
				t.Errorf("column %d, quantile %g: %.4f, want %.4f", d, q, got, want)
			}
		}
	}
}

func TestSelectIsSorting(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		xs := rapid.SliceOfN(rapid.Float64Range(-5, 5), 1, 60).Draw(t, "xs")
		k := rapid.IntRange(0, len(xs)-1).Draw(t, "k")
		want := slices.Sorted(slices.Values(xs))[k]
		if got := Select(xs, k); got != want {
			t.Fatalf("element %d is %g, want %g", k, got, want)
		}
	})
}

func BenchmarkQuantile(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	xs := make([]float64, Samples)
	for b.Loop() {
		for i := range xs {
			xs[i] = r.Float64()
		}
		Quantile(xs, 0.025)
		Quantile(xs, 0.975)
	}
}
