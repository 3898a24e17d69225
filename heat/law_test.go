package heat

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// drawCase draws a case as wide as nature and makers allow, and wider.
func drawCase(t *rapid.T) Physics {
	between := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
	p := loaf()
	p.Body = Body{Shape: Box, SizeM: [3]float64{between("length", 0.03, 0.4), between("width", 0.02, 0.3), between("height", 0.02, 0.1)}}
	if rapid.Bool().Draw(t, "round") {
		p.Body = Body{Shape: Cylinder, Axis: rapid.SampledFrom([]string{Upright, Level}).Draw(t, "axis"), RadiusM: between("radius", 0.015, 0.08), LengthM: between("along", 0.02, 0.3)}
	}
	p.ReactionJKg = between("heat", 1, 250e3) // with less, the account is that of rounding
	faster := math.Exp(between("rate", -2, 2))
	p.Rate.K1, p.Rate.K2 = p.Rate.K1*faster, p.Rate.K2*faster
	p.Rate.N = rapid.SampledFrom([]float64{0.5, 0.6, 0.75, 1, 1.5, 2}).Draw(t, "n")
	p.Rate.M = rapid.SampledFrom([]float64{0.5, 1, 1.3}).Draw(t, "m")
	p.Rate.GelFactor = between("gel factor", 1, 20)
	p.Rate.GelC = between("gel", 60, 95)
	p.Start = Start{TC: between("start", 20, 75), X: between("x", 0, 0.1)}
	p.Stages = []Stage{{TC: between("around", -20, 75), USide: between("side", 0.5, 25), UTop: between("top", 0.5, 25), UBottom: between("bottom", 0.5, 25)}}
	if rapid.Bool().Draw(t, "moved") {
		p.Stages = append(p.Stages, Stage{FromS: between("from", 60, 20000), TC: between("then", -20, 75), USide: between("side then", 0.5, 25), UTop: 5, UBottom: 5})
	}
	if rapid.Bool().Draw(t, "wall") {
		p.Wall = &Wall{SideJM2K: between("wall heat", 0, 2e4), SideInside: between("inside", 0, 0.1), BottomJM2K: 5000, BottomInside: 0.02, StartC: 20}
	}
	return p
}

// Energy closes, conversion lies within 0 and 1 and never falls, and nothing
// is hotter than boiling or colder than the coldest there was.
func TestLawsOfEveryCase(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawCase(t)
		s := Sampled
		s.Grid = 3
		r, err := Solve(p, s)
		if err != nil {
			t.Fatal(err)
		}
		e := r.Energy
		moved := math.Abs(e.ReleasedJ) + math.Abs(e.LostJ) + math.Abs(e.StoredJ) + e.SinkJ
		if gap := math.Abs(e.ReleasedJ - e.LostJ - e.StoredJ - e.SinkJ); gap > 1e-6*moved {
			t.Errorf("%g J of %g are missing: %+v", gap, moved, e)
		}
		last := p.Start.X
		for i, x := range r.MeanX {
			if x < last-1e-12 || x > 1+1e-12 {
				t.Fatalf("conversion %g after %g", x, last)
			}
			last = x
			low, high := coldest(p), math.Max(p.Boiling.TC, hottest(p))
			for _, c := range []float64{r.CoreC[i], r.EdgeC[i], r.MeanC[i]} {
				// Polynomials swing a little about a jump, such as a cold place makes at a face.
				if c < low-0.5 || c > high+0.5 {
					t.Fatalf("%g °C, between %g and %g", c, low, high)
				}
			}
		}
	})
}

func coldest(p Physics) float64 {
	c := p.Start.TC
	for _, s := range p.Stages {
		c = math.Min(c, s.TC)
	}
	if p.Wall != nil {
		c = math.Min(c, p.Wall.StartC)
	}
	return c
}

func hottest(p Physics) float64 {
	c := p.Start.TC
	for _, s := range p.Stages {
		c = math.Max(c, s.TC)
	}
	return c
}

// In one constant place more loss never raises the peak of a batch poured
// above its surroundings.
func TestMoreLossNeverRaisesThePeak(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := drawCase(t)
		p.Stages, p.Wall = p.Stages[:1], nil
		p.Stages[0].TC = p.Start.TC - rapid.Float64Range(1, 50).Draw(t, "below")
		s := Sampled
		s.Grid, s.ToleranceK = 3, 0.05
		less, err := Solve(p, s)
		if err != nil {
			t.Fatal(err)
		}
		more := p
		more.Stages = append([]Stage{}, p.Stages...)
		face := rapid.SampledFrom([]*float64{&more.Stages[0].USide, &more.Stages[0].UTop, &more.Stages[0].UBottom}).Draw(t, "face")
		*face *= rapid.Float64Range(1.02, 3).Draw(t, "more")
		r, err := Solve(more, s)
		if err != nil {
			t.Fatal(err)
		}
		// 0.3 K: what the two runs' own steps may differ by near boiling.
		if r.PeakC > less.PeakC+0.3 {
			t.Errorf("with more loss the peak is %.2f, with less %.2f °C", r.PeakC, less.PeakC)
		}
	})
}

// Twice the size, four times the time, a quarter of the rate and half of what
// passes a face: the same temperatures.
func TestScalingLeavesTheCourse(t *testing.T) {
	t.Parallel()
	for _, k := range []float64{0.5, 2, 3} {
		p := loaf()
		p.Start.TC = 50
		p.Stages = append(p.Stages, Stage{FromS: 3000, TC: 5, USide: 6, UTop: 6, UBottom: 6})
		big := p
		for i := range big.SizeM {
			big.SizeM[i] *= k
		}
		big.Rate.K1, big.Rate.K2 = p.Rate.K1/k/k, p.Rate.K2/k/k
		big.Stages = append([]Stage{}, p.Stages...)
		for i := range big.Stages {
			s := &big.Stages[i]
			s.FromS, s.USide, s.UTop, s.UBottom = s.FromS*k*k, s.USide/k, s.UTop/k, s.UBottom/k
		}
		s, sk := Settings{Grid: Coarse, UntilS: 9000, MostStepS: 100, ToleranceK: 0.005}, Settings{Grid: Coarse, UntilS: 9000 * k * k, MostStepS: 100 * k * k, ToleranceK: 0.005}
		a, b := solve(t, p, s), solve(t, big, sk)
		for _, tS := range []float64{1000, 2500, 4000, 8000} {
			near(t, "core", at(b.TimeS, b.CoreC, tS*k*k), at(a.TimeS, a.CoreC, tS), 0.1)
			near(t, "conversion", at(b.TimeS, b.MeanX, tS*k*k), at(a.TimeS, a.MeanX, tS), 0.002)
		}
		near(t, "energy", b.Energy.ReleasedJ/a.Energy.ReleasedJ, k*k*k, 0.01*k*k*k)
	}
}

// A reaction of order below 1 is over in finite time, and says so exactly.
func TestOrderBelowOneEnds(t *testing.T) {
	t.Parallel()
	p := inert()
	p.Rate = Rate{K1: 1e-4, M: 1, N: 0.6, GelFactor: 1, GelC: 1000}
	ends := 1 / (0.4 * 1e-4) // 1 - x = (1 - 0.4 k t)^(1/0.4)
	r := solve(t, p, Settings{Grid: Coarse, UntilS: 2 * ends, MostStepS: 250, ToleranceK: 1})
	near(t, "halfway", at(r.TimeS, r.MeanX, ends/2), 1-math.Pow(0.5, 2.5), 1e-4)
	if x := at(r.TimeS, r.MeanX, ends*1.02); math.Abs(x-1) > 1e-12 {
		t.Errorf("x = %.12g after its end", x)
	}
}

// A turned box is the same box, and halves that mirror each other agree.
func TestBoxesTurnedAgree(t *testing.T) {
	t.Parallel()
	p := loaf()
	p.Start.TC = 52
	turned := p
	turned.SizeM[0], turned.SizeM[1] = p.SizeM[1], p.SizeM[0]
	upside := p
	upside.Stages = []Stage{{TC: p.Stages[0].TC, USide: p.Stages[0].USide, UTop: p.Stages[0].UBottom, UBottom: p.Stages[0].UTop}}
	a := solve(t, p, Shown)
	for _, q := range []Physics{turned, upside} {
		b := solve(t, q, Shown)
		near(t, "peak", b.PeakC, a.PeakC, 0.02)
		near(t, "lost", b.Energy.LostJ, a.Energy.LostJ, 1e-3*a.Energy.LostJ)
	}
}

// The heat a wall takes up is the batter's: a mould of wood chills the batter
// by about what its own heat says once the two have met.
func TestWallHoldsHeat(t *testing.T) {
	t.Parallel()
	p := inert()
	p.ConductivityWMK = 500 // a lump
	p.Stages[0] = Stage{TC: 20, USide: 0, UTop: 0, UBottom: 0}
	p.Wall = &Wall{SideJM2K: 9600, SideInside: 0.02, BottomJM2K: 9600, BottomInside: 0.02, StartC: 20}
	r := solve(t, p, Sampled)
	area := 2*(0.08*0.25+0.09*0.25) + 0.08*0.09
	body := p.DensityKgM3 * p.HeatJKgK * p.VolumeM3()
	near(t, "settles at", r.MeanC[len(r.MeanC)-1], (70*body+20*9600*area)/(body+9600*area), 0.05)
	near(t, "lost", r.Energy.LostJ, 0, 1e-6)
}

func TestWhatCannotBeSolvedIsRefused(t *testing.T) {
	t.Parallel()
	for name, spoil := range map[string]func(*Physics){
		"no stage":        func(p *Physics) { p.Stages = nil },
		"late stage":      func(p *Physics) { p.Stages[0].FromS = 60 },
		"stages in a mix": func(p *Physics) { p.Stages = append(p.Stages, Stage{FromS: 0}) },
		"no size":         func(p *Physics) { p.SizeM[1] = 0 },
		"no shape":        func(p *Physics) { p.Shape = "heart" },
		"a lying box":     func(p *Physics) { p.Shape = Cylinder },
		"not a number":    func(p *Physics) { p.Start.TC = math.NaN() },
		"no heat held":    func(p *Physics) { p.HeatJKgK = 0 },
		"endless loss":    func(p *Physics) { p.Stages[0].USide = math.Inf(1) },
		"x over 1":        func(p *Physics) { p.Start.X = 1.1 },
		"a cold wall":     func(p *Physics) { p.Wall = &Wall{StartC: -400} },
	} {
		p := loaf()
		spoil(&p)
		if _, err := Solve(p, Sampled); !errors.Is(err, ErrCase) {
			t.Errorf("%s: %v", name, err)
		}
	}
}
