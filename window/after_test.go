package window

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// Simulated makers of the prior itself: of those whose batch traced near a
// time, the spans that followed have the points that AfterTrace tells. The
// quantiles of some 4000 draws are good to 8 % (a standard error of ln of
// about 0.03 at the ends).
func TestAfterTraceAgainstDraws(t *testing.T) {
	t.Parallel()
	m, c := Prior(), mixed(38)
	random := rand.New(rand.NewPCG(7, 0))
	// The offsets are the only terms that are not nought for these conditions
	// but heat and shares, which are nought or nearly: draw all of them.
	n := len(terms)
	trace, span := rows(c)
	spans := map[float64][]float64{2: nil, 9: nil}
	for range 200_000 {
		coefficients := make([]float64, 2*n)
		for i := range coefficients {
			coefficients[i] = m.mean.AtVec(i) + math.Sqrt(m.cov.At(i, i))*random.NormFloat64()
		}
		// The two offsets go together.
		rho := offsetsAgree
		z := (coefficients[0] - m.mean.AtVec(0)) / math.Sqrt(m.cov.At(0, 0))
		coefficients[n] = m.mean.AtVec(n) + math.Sqrt(m.cov.At(n, n))*(rho*z+math.Sqrt(1-rho*rho)*random.NormFloat64())
		lnTrace, lnSpan := traceNoise*random.NormFloat64(), spanNoise*random.NormFloat64()
		for i := range n {
			lnTrace += trace.AtVec(i) * coefficients[i]
			lnSpan += span.AtVec(n+i) * coefficients[n+i]
		}
		for at := range spans {
			if math.Abs(lnTrace-math.Log(at)) < 0.05 {
				spans[at] = append(spans[at], math.Exp(lnSpan))
			}
		}
	}
	for at, drawn := range spans {
		slices.Sort(drawn)
		got := m.AfterTrace(c, at)
		for p, v := range map[float64]float64{0.05: got.Low, 0.5: got.Typical, 0.95: got.High} {
			want := drawn[int(p*float64(len(drawn)))]
			if math.Abs(math.Log(v/want)) > 0.08 {
				t.Errorf("trace at %g min, point %g: %.2f min, %d draws say %.2f", at, p, v, len(drawn), want)
			}
		}
	}
	if sooner, later := m.AfterTrace(c, 2), m.AfterTrace(c, 9); sooner.Typical >= later.Typical {
		t.Errorf("a quick trace leaves %.1f min, a slow one %.1f", sooner.Typical, later.Typical)
	}
}
