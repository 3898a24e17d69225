package window

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"
)

// maker is a simulated maker: coefficients and noise of the stated kind.
type maker struct {
	coefficients *mat.VecDense
	random       *rand.Rand
}

// drawMaker draws a maker from the prior.
func drawMaker(random *rand.Rand) maker {
	p := Prior()
	n := p.mean.Len()
	white := mat.NewVecDense(n, nil)
	for i := range n {
		white.SetVec(i, random.NormFloat64())
	}
	var chol mat.Cholesky
	if !chol.Factorize(p.cov) {
		panic("the prior's covariance is not one")
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	c := mat.NewVecDense(n, nil)
	c.MulVec(&lower, white)
	c.AddVec(c, p.mean)
	return maker{c, random}
}

// pour returns one batch of the maker.
func (m maker) pour(c Conditions) Observation {
	traceRow, spanRow := rows(c)
	trace := math.Exp(mat.Dot(traceRow, m.coefficients) + traceNoise*m.random.NormFloat64())
	span := math.Exp(mat.Dot(spanRow, m.coefficients) + spanNoise*m.random.NormFloat64())
	return Observation{Conditions: c, ToTraceMin: trace, ToUnpourableMin: trace + span}
}

// kitchen draws the conditions of a batch as makers pour them.
func kitchen(random *rand.Rand) Conditions {
	between := func(low, high float64) float64 { return low + (high-low)*random.Float64() }
	c := Conditions{LandingC: between(28, 50), LyeStrength: between(0.26, 0.40), Lauric: between(0, 0.5), Unsaturated: between(0.3, 0.8),
		Ricinoleic: between(0, 0.08), FreeAcid: between(0, 0.03), Hurrying: random.Float64() < 0.2, Honey: random.Float64() < 0.2}
	if random.Float64() < 0.4 {
		c.HardWax, c.BelowClear = between(0.01, 0.05), random.Float64() < 0.2
	}
	return c
}

// coverage returns how often one more batch falls in the 90 % bands after a
// maker's first n, and the mean width of the band in ln minutes.
func coverage(makers, n int) (trace, unpourable, width float64) {
	random := rand.New(rand.NewPCG(7, uint64(n)))
	for range makers {
		who := drawMaker(random)
		var past []Observation
		for range n {
			past = append(past, who.pour(kitchen(random)))
		}
		next := who.pour(kitchen(random))
		f := Prior().Learn(past).Forecast(next.Conditions)
		if f.ToTrace.Low <= next.ToTraceMin && next.ToTraceMin <= f.ToTrace.High {
			trace++
		}
		if f.ToUnpourable.Low <= next.ToUnpourableMin && next.ToUnpourableMin <= f.ToUnpourable.High {
			unpourable++
		}
		width += math.Log(f.ToUnpourable.High / f.ToUnpourable.Low)
	}
	k := float64(makers)
	return trace / k, unpourable / k, width / k
}

// A 90 % band should hold nine batches in ten. 85 to 95 % is three standard
// errors of 400 simulated makers.
func TestBandsHoldWhatTheyPromise(t *testing.T) {
	t.Parallel()
	last := math.Inf(1)
	for _, n := range []int{0, 6, 20} {
		trace, unpourable, width := coverage(400, n)
		t.Logf("after %2d batches: trace %.1f %%, unpourable %.1f %%, band a factor of %.1f", n, 100*trace, 100*unpourable, math.Exp(width))
		for name, c := range map[string]float64{"trace": trace, "unpourable": unpourable} {
			if c < 0.85 || c > 0.95 {
				t.Errorf("after %d batches the 90 %% band holds %.1f %% of times to %s", n, 100*c, name)
			}
		}
		if width >= last {
			t.Errorf("after %d batches the band has not narrowed: %.2f, before %.2f", n, width, last)
		}
		last = width
	}
}

// A maker at twice the usual rate, otherwise as the prior believes. Six batches
// must halve the error of the typical time, the mean over 200 such makers and
// a batch like the ones they poured.
func TestSixBatchesHalveTheErrorOfAFastMaker(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(11, 1))
	before, after := 0.0, 0.0
	for range 200 {
		who := maker{mat.VecDenseCopyOf(Prior().mean), random}
		who.coefficients.SetVec(0, who.coefficients.AtVec(0)-math.Ln2)
		who.coefficients.SetVec(len(terms), who.coefficients.AtVec(len(terms))-math.Ln2)
		var past []Observation
		for range 6 {
			past = append(past, who.pour(kitchen(random)))
		}
		next := kitchen(random)
		row, _ := rows(next)
		truth := math.Exp(mat.Dot(row, who.coefficients))
		before += math.Abs(math.Log(Prior().Forecast(next).ToTrace.Typical / truth))
		after += math.Abs(math.Log(Prior().Learn(past).Forecast(next).ToTrace.Typical / truth))
	}
	t.Logf("mean error in ln minutes: %.2f before, %.2f after", before/200, after/200)
	if after > before/2 {
		t.Errorf("error %.2f before, %.2f after six batches", before/200, after/200)
	}
}

// The update row by row against the normal equations solved at once, the
// textbook form of the conjugate normal law: P' = (P⁻¹ + XᵀX/σ²)⁻¹.
func TestLearnAgainstNormalEquations(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(3, 3))
	who := drawMaker(random)
	p := Prior()
	n := p.mean.Len()
	precision, information := mat.NewDense(n, n, nil), mat.NewVecDense(n, nil)
	if err := precision.Inverse(p.cov); err != nil {
		t.Fatal(err)
	}
	information.MulVec(precision, p.mean)
	add := func(row *mat.VecDense, y, noise float64) {
		var outer mat.Dense
		outer.Outer(1/(noise*noise), row, row)
		precision.Add(precision, &outer)
		information.AddScaledVec(information, y/(noise*noise), row)
	}
	var past []Observation
	for range 8 {
		o := who.pour(kitchen(random))
		past = append(past, o)
		trace, span := rows(o.Conditions)
		add(trace, math.Log(o.ToTraceMin), traceNoise)
		add(span, math.Log(o.ToUnpourableMin-o.ToTraceMin), spanNoise)
	}
	var want mat.VecDense
	if err := want.SolveVec(precision, information); err != nil {
		t.Fatal(err)
	}
	got := p.Learn(past)
	for i := range n {
		if math.Abs(got.mean.AtVec(i)-want.AtVec(i)) > 1e-8 {
			t.Errorf("coefficient %d: %.10f, by the normal equations %.10f", i, got.mean.AtVec(i), want.AtVec(i))
		}
	}
	var product mat.Dense
	product.Mul(precision, got.cov)
	for i := range n {
		if math.Abs(product.At(i, i)-1) > 1e-8 {
			t.Errorf("covariance times precision has %.10f on the diagonal", product.At(i, i))
		}
	}
}

func TestLearnLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 0))
		who := drawMaker(random)
		past := make([]Observation, rapid.IntRange(1, 8).Draw(t, "batches"))
		for i := range past {
			past[i] = who.pour(kitchen(random))
		}
		next := kitchen(random)
		before := Prior()
		learned := before.Learn(past)
		if before.Batches() != 0 || before.Forecast(next) != Prior().Forecast(next) {
			t.Fatal("learning changed the model it started from")
		}
		if learned.Batches() != len(past) {
			t.Fatalf("%d batches of %d", learned.Batches(), len(past))
		}
		slices.Reverse(past)
		a, b := learned.Forecast(next), Prior().Learn(past[:1]).Learn(past[1:]).Forecast(next)
		if math.Abs(math.Log(a.ToTrace.High/b.ToTrace.High)) > 1e-6 || math.Abs(math.Log(a.ToUnpourable.Low/b.ToUnpourable.Low)) > 1e-6 {
			t.Fatalf("the order of batches matters: %v, %v", a, b)
		}
		for i := range learned.mean.Len() {
			if v := learned.cov.At(i, i); v < 0 || v > before.cov.At(i, i)*(1+1e-12) {
				t.Fatalf("coefficient %d is less sure after learning", i)
			}
		}
	})
}

func TestAbsurdBatchesAreLeftOut(t *testing.T) {
	t.Parallel()
	usual := mixed(38)
	next := Prior().Forecast(usual)
	for _, o := range []Observation{
		{},
		{Conditions: usual},
		{Conditions: usual, ToTraceMin: -3},
		{Conditions: usual, ToTraceMin: math.NaN()},
		{Conditions: usual, ToTraceMin: 5000},
		{Conditions: usual, ToUnpourableMin: 20},
		{Conditions: with(usual, func(c *Conditions) { c.LandingC = 400 }), ToTraceMin: 5},
		{Conditions: with(usual, func(c *Conditions) { c.Lauric = math.NaN() }), ToTraceMin: 5},
	} {
		m := Prior().Learn([]Observation{o})
		if m.Batches() != 0 || m.Forecast(usual) != next {
			t.Errorf("learned from %+v", o)
		}
	}
	traceOnly := Prior().Learn([]Observation{{Conditions: usual, ToTraceMin: 4}})
	for _, end := range []float64{0, 3, 4, math.NaN(), 1e5} {
		m := Prior().Learn([]Observation{{Conditions: usual, ToTraceMin: 4, ToUnpourableMin: end}})
		if m.Batches() != 1 || m.Forecast(usual) != traceOnly.Forecast(usual) {
			t.Errorf("an end at %g min was learned from", end)
		}
	}
}

// The sum of two log-normal times against two other routes: 200,000 draws,
// whose points are sure to about 0.5 %, and two equal times that go together,
// whose points add.
func TestSumOfTimes(t *testing.T) {
	t.Parallel()
	same := twoLogs{traceMean: 1, traceSD: 0.8, spanMean: 1, spanSD: 0.8, correlation: 1 - 1e-12}
	// Wholly correlated, which the span's own noise never lets happen, the
	// chance is a step on a grid of 0.4 standard deviations: a point may be off
	// by half a step, 16 %.
	for _, p := range []float64{0.05, 0.5, 0.95} {
		if got, want := same.sum(p), 2*same.trace(p); math.Abs(got/want-1) > 0.16 {
			t.Errorf("equal times, point %g: %.3f, want %.3f", p, got, want)
		}
	}
	l := twoLogs{traceMean: 1.6, traceSD: 0.9, spanMean: 2.4, spanSD: 0.7, correlation: 0.3}
	random := rand.New(rand.NewPCG(5, 5))
	sums := make([]float64, 200000)
	for i := range sums {
		u, v := random.NormFloat64(), random.NormFloat64()
		sums[i] = math.Exp(l.traceMean+l.traceSD*u) + math.Exp(l.spanMean+l.spanSD*(l.correlation*u+math.Sqrt(1-l.correlation*l.correlation)*v))
	}
	slices.Sort(sums)
	for _, p := range []float64{0.05, 0.5, 0.95} {
		if got, want := l.sum(p), sums[int(p*float64(len(sums)))]; math.Abs(got/want-1) > 0.015 {
			t.Errorf("point %g: %.3f, by sampling %.3f", p, got, want)
		}
	}
}
