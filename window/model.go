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
	// halvings narrow a range of some e⁸ to within 0.02 %, far below the doubt.
	const halvings = 15
	low := math.Log(l.trace(p))
	high := math.Log(l.trace(1-1e-9) + math.Exp(l.spanMean+l.spanSD*distuv.UnitNormal.Quantile(1-1e-9)))
	slices := l.slices()
	rest := l.spanSD * math.Sqrt(1-l.correlation*l.correlation)
	for range halvings {
		mid := (low + high) / 2
		chance := 0.0
		for _, s := range slices {
			chance += s.spanBelow(math.Exp(mid), rest)
		}
		if chance < p {
			low = mid
		} else {
			high = mid
		}
	}
	return math.Exp(low)
}

// slice is one strip of the law of the time to trace.
type slice struct {
	chance   float64 // of a trace in this strip
	traceMin float64
	spanMean float64 // of ln of the span, given this trace
}

// slices cuts the law of the trace into strips of 0.4 standard deviations: on
// a smooth bell their sum is exact to far more digits than the belief has.
func (l twoLogs) slices() []slice {
	const step, end = 0.4, 4.8
	var out []slice
	for u := -end; u <= end; u += step {
		out = append(out, slice{step * distuv.UnitNormal.Prob(u), math.Exp(l.traceMean + l.traceSD*u), l.spanMean + l.correlation*l.spanSD*u})
	}
	return out
}

// spanBelow returns the chance that the trace lies in the strip and trace and
// span together take less than tMin; rest is the deviation of ln of the span
// given the trace.
func (s slice) spanBelow(tMin, rest float64) float64 {
	left := tMin - s.traceMin
	if left <= 0 {
		return 0
	}
	return s.chance * distuv.UnitNormal.CDF((math.Log(left)-s.spanMean)/rest)
}
