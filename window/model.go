package window

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Model is a Gaussian belief over the coefficients of both times, those of the
// trace first and those of the span after them. It belongs to one maker, never
// changes and is safe for concurrent use.
type Model struct {
	mean    *mat.VecDense
	cov     *mat.SymDense
	batches int
}

// Prior returns what is believed of any maker before the first batch.
func Prior() *Model {
	n := len(terms)
	m := &Model{mean: mat.NewVecDense(2*n, nil), cov: mat.NewSymDense(2*n, nil)}
	for i, t := range terms {
		m.mean.SetVec(i, t.trace.mean)
		m.mean.SetVec(n+i, t.span.mean)
		m.cov.SetSym(i, i, t.trace.sd*t.trace.sd)
		m.cov.SetSym(n+i, n+i, t.span.sd*t.span.sd)
	}
	m.cov.SetSym(0, n, offsetsAgree*terms[0].trace.sd*terms[0].span.sd)
	return m
}

// Batches returns how many batches the model has learned from.
func (m *Model) Batches() int { return m.batches }

// rows returns what multiplies the coefficients in ln of the time to trace and
// of the span after it.
func rows(c Conditions) (trace, span *mat.VecDense) {
	n := len(terms)
	trace, span = mat.NewVecDense(2*n, nil), mat.NewVecDense(2*n, nil)
	for i, t := range terms {
		z := t.z(c)
		trace.SetVec(i, z)
		span.SetVec(n+i, z)
	}
	return trace, span
}

// Forecast returns the window of the next batch of this maker under the
// conditions. Conditions outside their ranges are held at the nearer end and
// Held is set; one that is not a number panics. Source: docs/model/window.md
// eq. 1 to 3.
func (m *Model) Forecast(c Conditions) Forecast {
	if !c.known() {
		panic("window: a condition that is not a number")
	}
	c, held := c.held()
	trace, span := rows(c)
	logs := twoLogs{
		traceMean: mat.Dot(trace, m.mean), spanMean: mat.Dot(span, m.mean),
		traceSD: math.Sqrt(mat.Inner(trace, m.cov, trace) + traceNoise*traceNoise),
		spanSD:  math.Sqrt(mat.Inner(span, m.cov, span) + spanNoise*spanNoise),
	}
	logs.correlation = mat.Inner(trace, m.cov, span) / (logs.traceSD * logs.spanSD)
	return Forecast{
		ToTrace:      Minutes{logs.trace(0.05), logs.trace(0.5), logs.trace(0.95)},
		ToUnpourable: Minutes{logs.sum(0.05), logs.sum(0.5), logs.sum(0.95)},
		Held:         held,
	}
}

// Learn returns the model after more batches of the same maker, in any order.
// An observation without a time to trace above 0 and up to a day, with a
// condition outside its range or not a number, is left out; an end that does
// not come after the trace, or comes after two days, is left out alone.
// Source: docs/model/window.md eq. 4.
func (m *Model) Learn(obs []Observation) *Model {
	out := &Model{mean: mat.VecDenseCopyOf(m.mean), cov: mat.NewSymDense(m.cov.SymmetricDim(), nil), batches: m.batches}
	out.cov.CopySym(m.cov)
	for _, o := range obs {
		trace, span := o.usable()
		if !trace {
			continue
		}
		out.batches++
		traceRow, spanRow := rows(o.Conditions)
		out.update(traceRow, math.Log(o.ToTraceMin), traceNoise)
		if span {
			out.update(spanRow, math.Log(o.ToUnpourableMin-o.ToTraceMin), spanNoise)
		}
	}
	return out
}

// update folds one measured logarithm into the belief: the conjugate normal
// law for a known noise, one row at a time.
func (m *Model) update(row *mat.VecDense, logMin, noise float64) {
	var gain mat.VecDense
	gain.MulVec(m.cov, row)
	variance := mat.Dot(row, &gain) + noise*noise
	m.mean.AddScaledVec(m.mean, (logMin-mat.Dot(row, m.mean))/variance, &gain)
	m.cov.SymRankOne(m.cov, -1/variance, &gain)
}

// twoLogs is the joint normal law of ln of the time to trace and of the span.
type twoLogs struct {
	traceMean, traceSD float64
	spanMean, spanSD   float64
	correlation        float64
}

// trace returns a point of the time to trace [min].
func (l twoLogs) trace(p float64) float64 {
	return math.Exp(l.traceMean + l.traceSD*distuv.UnitNormal.Quantile(p))
}

// sum returns a point of the time to trace and the span together [min], found
// by halving on its logarithm. It is never before the same point of the trace.
func (l twoLogs) sum(p float64) float64 {
	low := math.Log(l.trace(p))
	high := math.Log(l.trace(1-1e-9) + math.Exp(l.spanMean+l.spanSD*distuv.UnitNormal.Quantile(1-1e-9)))
	for range 50 {
		if mid := (low + high) / 2; l.sumBelow(math.Exp(mid)) < p {
			low = mid
		} else {
			high = mid
		}
	}
	return math.Exp(low)
}

// sumBelow returns the chance that trace and span together take less than
// tMin: the chance of the span given the trace, over all traces. The trapezoid
// rule on a smooth bell is exact to far more digits than the belief has.
func (l twoLogs) sumBelow(tMin float64) float64 {
	const step, end = 0.1, 6.0
	rest := l.spanSD * math.Sqrt(1-l.correlation*l.correlation)
	chance := 0.0
	for u := -end; u <= end; u += step {
		left := tMin - math.Exp(l.traceMean+l.traceSD*u)
		if left <= 0 {
			break
		}
		z := (math.Log(left) - l.spanMean - l.correlation*l.spanSD*u) / rest
		chance += step * distuv.UnitNormal.Prob(u) * distuv.UnitNormal.CDF(z)
	}
	return chance
}
