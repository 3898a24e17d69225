package heat

import (
	"math"
	"math/rand/v2"
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

// Moulds, rests, pours and rates as they come: the run shown against a fine grid.
func TestShownAsCasesCome(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(3, 3))
	moulds := []struct {
		size string
		g    float64
	}{{"349 x 62 x 62 mm", 1100}, {"250 x 90 x 80 mm", 1500}, {"400 x 300 x 60 mm", 6000}, {"80 x 55 x 30 mm", 120}, {"200 x 75 x 70 mm", 900}}
	var cores, means []float64
	for range 20 {
		m := moulds[random.IntN(len(moulds))]
		room := Rest{Place: "room", TC: 18 + 6*random.Float64(), ForS: 3600 * (1 + 6*random.Float64())}
		wrapped := room
		wrapped.Cover = stuffOf(t, "blanket 25 mm")
		rest := []Rest{room, wrapped, {Place: "fridge", TC: 4, ForS: 3 * 3600}, {Place: "oven", TC: 45, ForS: 2 * 3600}}[random.IntN(4)]
		wall := []string{"softwood 12 mm", "silicone 3 mm"}[random.IntN(2)]
		c, err := NewCase(plainBatter(m.g, 32+18*random.Float64()), boxOf(t, m.size, wall), []Rest{rest, {Place: "room", TC: 20}})
		if err != nil {
			t.Fatal(err)
		}
		p := c.Physics
		faster := 0.6 + random.Float64()
		p.Rate.K1, p.Rate.K2 = p.Rate.K1*faster, p.Rate.K2*faster
		s := Shown
		s.UntilS = 12 * 3600
		best := solve(t, p, Settings{Grid: 10, UntilS: s.UntilS, MostStepS: 300, ToleranceK: 0.3, LateS: 1})
		r := solve(t, p, s)
		core, _ := apart(r.TimeS, r.CoreC, best.TimeS, best.CoreC)
		mean, _ := apart(r.TimeS, r.MeanC, best.TimeS, best.MeanC)
		if core > 0.6 || mean > 0.5 {
			t.Errorf("%s in %s, %s from %.1f °C, %.2f times as fast: core off by %.2f, mean by %.2f K", m.size, wall, rest.Place, p.Start.TC, faster, core, mean)
		}
		cores, means = append(cores, core), append(means, mean)
	}
	slices.Sort(cores)
	slices.Sort(means)
	t.Logf("core off by %.2f in the middle case, %.2f in the worst; mean by %.2f, %.2f K", cores[10], cores[19], means[10], means[19])
	near(t, "core in the middle case", cores[10], 0, 0.1)
	near(t, "mean in the middle case", means[10], 0, 0.1)
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

// Between steps a straight line stands for the course: of a body that only cools, a
// bar or a block, it is nowhere far off.
func TestStraightBetweenSteps(t *testing.T) {
	t.Parallel()
	for _, size := range [][3]float64{{0.08, 0.055, 0.03}, {0.25, 0.09, 0.08}, {0.4, 0.3, 0.2}} {
		p := inert()
		p.Body.SizeM = size
		often := Shown
		often.MostStepS = 60
		r, best := solve(t, p, Shown), solve(t, p, often)
		core, _ := apart(r.TimeS, r.CoreC, best.TimeS, best.CoreC)
		mean, _ := apart(r.TimeS, r.MeanC, best.TimeS, best.MeanC)
		t.Logf("%v m: %d steps, core off by %.2f, mean by %.2f K", size, r.Steps, core, mean)
		near(t, "core between steps", core, 0, 0.3)
		near(t, "mean between steps", mean, 0, 0.3)
	}
}
