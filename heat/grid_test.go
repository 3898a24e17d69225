package heat

import (
	"math"
	"slices"
	"testing"
)

// What the settings in use miss, against a fine grid in short steps: loaves
// that stay cool, and loaves that run away through the gel line, where a front
// of 30 K crosses the core in minutes and reaches the corners last.
func TestGridsAreFineEnough(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		pourC   float64
		allowed map[string][4]float64 // of core and mean: at worst, and at 95 of 100 times [K]
	}{
		{40, map[string][4]float64{"shown": {0.1, 0.05, 0.1, 0.05}, "sampled": {0.2, 0.1, 0.2, 0.1}}},
		{44, map[string][4]float64{"shown": {0.5, 0.2, 0.5, 0.2}, "sampled": {2, 0.3, 1, 0.4}}},
		{47, map[string][4]float64{"shown": {0.5, 0.2, 0.5, 0.2}, "sampled": {2, 0.3, 1, 0.4}}},
		{50, map[string][4]float64{"shown": {0.5, 0.2, 0.5, 0.2}, "sampled": {2, 0.3, 1, 0.4}}},
		{52, map[string][4]float64{"shown": {0.5, 0.2, 0.5, 0.2}, "sampled": {2, 0.3, 1, 0.4}}},
	} {
		p := loaf()
		p.Start.TC = c.pourC
		best := solve(t, p, Settings{Grid: 14, UntilS: 12 * 3600, MostStepS: 600, ToleranceK: 0.2, LateS: 1})
		for name, s := range map[string]Settings{"shown": Shown, "sampled": Sampled} {
			s.UntilS = 12 * 3600
			r := solve(t, p, s)
			core, core95 := apart(r.TimeS, r.CoreC, best.TimeS, best.CoreC)
			mean, mean95 := apart(r.TimeS, r.MeanC, best.TimeS, best.MeanC)
			t.Logf("poured at %g, %s: core off by %.2f at worst, %.2f; mean %.2f, %.2f; peak %.1f, %+.2f K", c.pourC, name, core, core95, mean, mean95, best.PeakC, r.PeakC-best.PeakC)
			for i, got := range []float64{core, core95, mean, mean95} {
				if allowed := c.allowed[name][i]; !(got <= allowed) {
					t.Errorf("poured at %g, %s: number %d is %.2f, allowed %g", c.pourC, name, i, got, allowed)
				}
			}
			near(t, name+": share gelled", r.Gelled(71), best.Gelled(71), 0.08)
			near(t, name+": what a twentieth passes", r.partC(), best.partC(), 1.5)
		}
	}
}

// apart returns how far two courses lie apart over twelve hours: at worst, and
// at 95 of 100 times.
func apart(times, a, otherTimes, b []float64) (worst, most float64) {
	var off []float64
	for s := 0.0; s <= 12*3600; s += 300 {
		off = append(off, math.Abs(at(times, a, s)-at(otherTimes, b, s)))
	}
	slices.Sort(off)
	return off[len(off)-1], off[len(off)*95/100]
}
