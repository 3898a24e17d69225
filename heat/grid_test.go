package heat

import "testing"

// What the grids in use miss, against one twice as fine as the finer: a loaf
// that stays cool, and one that runs away through the gel line, the hardest.
func TestGridsAreFineEnough(t *testing.T) {
	t.Parallel()
	for name, tC := range map[string]float64{"cool": 40, "runs away": 50} {
		p := loaf()
		p.Start.TC = tC
		best := solve(t, p, Settings{Grid: 14, UntilS: 12 * 3600, MostStepS: 300, ToleranceK: 0.02})
		for _, c := range []struct {
			what    string
			s       Settings
			allowed float64
		}{{"shown", Shown, 0.4}, {"sampled", Sampled, 1.2}, {"quick", quick, 2}} {
			c.s.UntilS, c.s.Settled = 12*3600, false
			r := solve(t, p, c.s)
			t.Logf("%s, %s: peak %.2f, finest %.2f °C", name, c.what, r.PeakC, best.PeakC)
			near(t, name+", "+c.what, r.PeakC, best.PeakC, c.allowed)
			near(t, "share gelled", r.Gelled(71), best.Gelled(71), 0.05)
		}
	}
}
