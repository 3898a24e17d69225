package window

import (
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// AfterTrace returns the minutes from trace to where the batter no longer
// pours, once the trace was seen toTraceMin after combining: a batch that
// traced sooner than this maker's usual also sets sooner. Conditions are as in
// Forecast; a time that is not above 0 panics.
// Source: docs/model/window.md eq. 5.
func (m *Model) AfterTrace(c Conditions, toTraceMin float64) Minutes {
	if !(toTraceMin > 0) || !c.known() {
		panic("window: no time to trace")
	}
	c, _ = c.held()
	trace, span := rows(c)
	traceSD := math.Sqrt(mat.Inner(trace, m.cov, trace) + traceNoise*traceNoise)
	spanSD := math.Sqrt(mat.Inner(span, m.cov, span) + spanNoise*spanNoise)
	correlation := mat.Inner(trace, m.cov, span) / (traceSD * spanSD)
	mean := mat.Dot(span, m.mean) + correlation*spanSD*(math.Log(toTraceMin)-mat.Dot(trace, m.mean))/traceSD
	sd := spanSD * math.Sqrt(1-correlation*correlation)
	at := func(p float64) float64 { return math.Exp(mean + sd*distuv.UnitNormal.Quantile(p)) }
	return Minutes{at(0.05), at(0.5), at(0.95)}
}
