package web

import "testing"

// A scale that showed whole grams only is not taken for a finer one: a label
// rests on it.
func TestStepOfTheScale(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		each []float64
		want float64
	}{{[]float64{100, 101, 99}, 1}, {[]float64{100, 101.2}, 0.1}, {nil, 1}} {
		if got := stepOf(c.each); got != c.want {
			t.Errorf("%v: %g g", c.each, got)
		}
	}
}
