package demo

import (
	"fmt"
	"math"
	"testing"

	"barwright/batch"
	"barwright/window"
)

// The fourteen demo batches replayed in their order, each forecast by a model
// that learned from those before it: how many of the stamped times fall in its
// 90 % range, and how far the likely value was off. They are invented, so this
// shows that the stamps reach the model and that it does not become too sure; it
// is no evidence about soap. Coverage on simulated makers is package window's.
func TestFourteenBatchesTeach(t *testing.T) {
	t.Parallel()
	states, _ := told(t)
	var before []*batch.State
	in, of, off, offPrior := 0, 0, 0.0, 0.0
	for i := range 14 {
		s := states[fmt.Sprintf("b%02d", i+1)]
		if o, ok := s.Observation(); ok {
			model := window.Prior().Learn(batch.Taught(before))
			f, prior := model.Forecast(o.Conditions), window.Prior().Forecast(o.Conditions)
			of++
			if o.ToTraceMin >= f.ToTrace.Low && o.ToTraceMin <= f.ToTrace.High {
				in++
			}
			off += math.Abs(math.Log(o.ToTraceMin / f.ToTrace.Typical))
			offPrior += math.Abs(math.Log(o.ToTraceMin / prior.ToTrace.Typical))
		}
		before = append(before, s)
	}
	t.Logf("%d of %d traces in their 90 %% range; off by a factor %.2f in the mean, by the prior alone %.2f", in, of, math.Exp(off/float64(of)), math.Exp(offPrior/float64(of)))
	if of < 11 || float64(in) < 0.7*float64(of) {
		t.Errorf("%d of %d traces in their range", in, of)
	}
	if off > offPrior {
		t.Error("what was learned made the forecasts worse")
	}
}
