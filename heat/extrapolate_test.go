package heat

import (
	"math"
	"testing"
)

// What two grids say is taken on in full where they nearly agree, and not at
// all where a front passes them at other minutes; in between nothing jumps.
func TestMend(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ by, low, high float64 }{{0.1, 0.099, 0.1}, {1, 0.95, 1}, {3, 1.4, 1.6}, {10, 0, 0.2}, {40, 0, 0.01}} {
		if got := mend(c.by); got < c.low || got > c.high || mend(-c.by) != -got {
			t.Errorf("%g K: moved by %g, want %g to %g", c.by, got, c.low, c.high)
		}
	}
	for by := -20.0; by < 20; by += 0.01 {
		if math.Abs(mend(by+0.01)-mend(by)) > 0.0101 {
			t.Fatalf("it jumps at %g K", by)
		}
	}
}

// The edge of a loaf is no hotter than a grid without end has it, where a front
// crosses it: a mend that is cut off instead of faded out put a spike on it.
func TestEdgeHasNoSpike(t *testing.T) {
	t.Parallel()
	p := loaf()
	p.Start.TC = 42
	p.Rate.K1, p.Rate.K2 = 1.3*p.Rate.K1, 1.3*p.Rate.K2
	p.Stages = []Stage{{TC: 19, USide: 1.4, UTop: 1.6, UBottom: 1.4}}
	highest := func(c []float64) float64 {
		h := c[0]
		for _, v := range c {
			h = math.Max(h, v)
		}
		return h
	}
	s := Shown
	s.UntilS = 12 * 3600
	best := solve(t, p, Settings{Grid: 16, UntilS: s.UntilS, MostStepS: 300, ToleranceK: 0.1})
	near(t, "highest of the edge", highest(solve(t, p, s).EdgeC), highest(best.EdgeC), 1)
}

// A run of no time at all has one point, on any grids.
func TestNoTime(t *testing.T) {
	t.Parallel()
	s := Shown
	s.UntilS = 0
	if r := solve(t, loaf(), s); len(r.TimeS) != 1 || r.CoreC[0] != loaf().Start.TC {
		t.Errorf("%+v", r.TimeS)
	}
}
