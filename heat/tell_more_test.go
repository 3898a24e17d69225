package heat

import (
	"math"
	"reflect"
	"testing"

	"barwright/mould"
	"barwright/quantity"
	"barwright/source"
)

// tellOf is a forecast from few runs.
func tellOf(t *testing.T, c Case, o Options) *Forecast {
	t.Helper()
	o.Samples = 20
	f, err := Tell(c, o)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// Bands hold the likely course, chances sum to 1, every list is as long as the
// others, the series reaches as far as it must in steps of at most 5 minutes.
func TestForecastsHangTogether(t *testing.T) {
	t.Parallel()
	blanket, fridge := stuffOf(t, "blanket 25 mm"), Rest{Place: "fridge", TC: 4, ForS: 3 * 3600}
	for name, rests := range map[string][]Rest{
		"room":           {{Place: "room", TC: 20}},
		"wrapped":        {{Place: "room", TC: 20, Cover: blanket, ForS: 30 * 3600}},
		"fridge, room":   {fridge, {Place: "room", TC: 20}},
		"oven, on, off":  {{Place: "oven", TC: 60, ForS: 3600}, {Place: "oven", TC: 35, ForS: 7200}, {Place: "room", TC: 20}},
		"freezer, a fan": {{Place: "freezer", TC: -18, ForS: 3600, Fan: true}, {Place: "room", TC: 20, Fan: true}},
	} {
		c := plainCase(t, 42, rests...)
		f := tellOf(t, c, Options{Seed: 2, Frames: 12})
		s, n := f.Series, len(f.Series.TimeS)
		for _, list := range [][]float64{s.CoreC, s.EdgeC, s.MeanC, s.MeanX, f.Bands.CoreLowC, f.Bands.CoreHighC} {
			if len(list) != n {
				t.Fatalf("%s: lists of %d and %d", name, len(list), n)
			}
		}
		if s.TimeS[0] != 0 || s.TimeS[n-1] != c.UntilS() {
			t.Errorf("%s: from %g to %g s, want 0 to %g", name, s.TimeS[0], s.TimeS[n-1], c.UntilS())
		}
		for i := range n {
			if f.Bands.CoreLowC[i] > s.CoreC[i] || f.Bands.CoreHighC[i] < s.CoreC[i] {
				t.Fatalf("%s: %g °C outside its band", name, s.CoreC[i])
			}
			if i > 0 && !(s.TimeS[i] > s.TimeS[i-1] && s.TimeS[i] <= s.TimeS[i-1]+300.001) {
				t.Fatalf("%s: from %g to %g s", name, s.TimeS[i-1], s.TimeS[i])
			}
		}
		ch := f.Gel.Chance
		if math.Abs(ch.None+ch.Partial+ch.Full-1) > 1e-12 || ch.Overheat < 0 || ch.Overheat > 1 {
			t.Errorf("%s: chances %+v", name, ch)
		}
		if f.Energy.ResidualPct > 0.5 {
			t.Errorf("%s: energy off by %g %%", name, f.Energy.ResidualPct)
		}
		for _, sp := range []Span{f.Peak.C, f.Peak.S, f.Gel.TemperatureC} {
			if !(sp.Low <= sp.Typical && sp.Typical <= sp.High) {
				t.Errorf("%s: span %+v", name, sp)
			}
		}
		if fr := f.Section.Frames; len(fr) < 10 || fr[0].TimeS != 0 || len(fr[0].C) != len(f.Section.UpM) || len(fr[0].C[0]) != len(f.Section.OutM) {
			t.Errorf("%s: %d frames", name, len(fr))
		}
	}
}

// The same seed gives the same forecast on any number of cores.
func TestForecastDoesNotDependOnCores(t *testing.T) {
	t.Parallel()
	c := plainCase(t, 44, Rest{Place: "room", TC: 20, Cover: stuffOf(t, "towel 8 mm")})
	one, three := tellOf(t, c, Options{Seed: 7, Workers: 1}), tellOf(t, c, Options{Seed: 7, Workers: 3})
	if !reflect.DeepEqual(one, three) {
		t.Error("one core and three do not agree")
	}
	if other := tellOf(t, c, Options{Seed: 8, Workers: 1}); other.Peak.C == one.Peak.C {
		t.Error("another seed gives the very same range")
	}
}

// A count of moulds with the batter for each leaves the forecast as it is; so
// does the order in which nothing depends.
func TestCountOfMouldsLeavesTheForecast(t *testing.T) {
	t.Parallel()
	rest := Rest{Place: "room", TC: 20}
	one, err := NewCase(plainBatter(880, 40), boxOf(t, "349 x 62 x 62 mm", "softwood 12 mm"), []Rest{rest})
	if err != nil {
		t.Fatal(err)
	}
	m := boxOf(t, "349 x 62 x 62 mm", "softwood 12 mm")
	m.Count = 3
	three, err := NewCase(plainBatter(3*880, 40), m, []Rest{rest})
	if err != nil {
		t.Fatal(err)
	}
	a, b := tellOf(t, one, Options{}), tellOf(t, three, Options{})
	near(t, "peak", b.Peak.CoreC, a.Peak.CoreC, 1e-9)
	near(t, "lost by one mould", b.Energy.LostJ, a.Energy.LostJ, 1e-6*a.Energy.LostJ)
}

// Every figure is in order and has a source; every wall a recipe may name has
// its figures; U is what the published table of moulds says.
func TestFigures(t *testing.T) {
	t.Parallel()
	for name, f := range map[string]source.Figure{"rate": RateFactor, "k1": K1, "k2": K2, "activation": Activation, "order": Order, "gel factor": GelFactor,
		"at pour": AtPour, "heat": ReactionHeat, "sugar": SugarHeat, "boiling": BoilingC, "latent": Latent, "fat": FatConductivity, "lye": LyeConductivity,
		"gel": GelSpread, "loss": LossFactor, "held": HeldFactor, "through": ThroughFac, "pour": PourK, "place": PlaceK, "gap": LidGap} {
		if err := f.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for place, f := range surfaces {
		for _, one := range []source.Figure{f.still, f.fan} {
			if err := one.Check(); err != nil {
				t.Errorf("%s: %v", place, err)
			}
		}
	}
	for _, name := range mould.Walls {
		if s, ok := stuffs[name]; name != quantity.None.Name && (!ok || s.conductivity <= 0 || s.density <= 0 || s.heat <= 0 || s.usualMM <= 0 || !s.grade.Given()) {
			t.Errorf("%s: %+v", name, s)
		}
	}
}

// Heat passing a wall, against sums made outside this project with 10 W/m²K of
// air: bare 10, silicone 3 mm 9.1, wood 12 mm 5.2, 18 mm 4.2, with two towels
// 2.8, with a blanket 1.2, foam 30 mm 1.1.
func TestWallsAgainstPublishedSums(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		wall, cover string
		want        float64
	}{{"none", "none", 10}, {"silicone 3 mm", "none", 9.09}, {"corrugated card 4 mm", "none", 6.0}, {"softwood 12 mm", "none", 5.2}, {"softwood 18 mm", "none", 4.19},
		{"softwood 12 mm", "towel 8 mm", 2.84}, {"softwood 12 mm", "blanket 25 mm", 1.22}, {"eps 30 mm", "none", 1.07}} {
		u := Rest{Place: "room", TC: 20, Cover: stuffOf(t, c.cover)}.stage(0, boxOf(t, "250 x 90 x 80 mm", c.wall)).USide
		film := Rest{Place: "room"}.coefficient().Typical
		with10 := 1 / (1/u - 1/film + 0.1)
		near(t, c.wall+", "+c.cover, with10, c.want, 0.06*c.want) // 6 %: a blanket is 0.042, there 0.040 W/mK
	}
}

// Gel line: the two measured points, and its course between.
func TestGelLine(t *testing.T) {
	t.Parallel()
	near(t, "20.1 % water (Dunn 2018)", GelC(20.1), 71, 0.1)
	near(t, "15.88 % water (Dunn 2018)", GelC(15.88), 87, 0.01)
	if !(GelC(18) > GelC(19)) {
		t.Error("more water does not lower the line")
	}
	near(t, "overheating at 33 %", OverheatC(71), 88, 0)
	near(t, "overheating at 40 %", OverheatC(87), 97, 0)
}

// Conductivity of the worked batter between Maxwell's bounds, 0.227 to 0.246.
func TestConductivity(t *testing.T) {
	t.Parallel()
	near(t, "33 % batter", conductivity(0.221), 0.237, 0.003)
}

func TestOutcomes(t *testing.T) {
	t.Parallel()
	for share, want := range map[float64]Outcome{0: NoGel, 0.0099: NoGel, 0.01: PartialGel, 0.5: PartialGel, 0.95: PartialGel, 0.951: FullGel, 1: FullGel} {
		if got := outcomeOf(share); got != want {
			t.Errorf("%g gelled is %s, want %s", share, got, want)
		}
	}
	// Gelled counts the volume: a straight slope from the middle of a slab.
	r := solve(t, loaf(), Settings{Grid: Coarse, UntilS: 600, MostStepS: 300, ToleranceK: 1})
	if g := r.Gelled(-100); g != 1 {
		t.Errorf("all of it is %g", g)
	}
	last := 1.0
	for c := 30.0; c < 45; c++ {
		g := r.Gelled(c)
		if g > last {
			t.Errorf("above %g °C is more than above %g", c, c-1)
		}
		last = g
	}
}

// What sugar may add is drawn between nothing and its most.
func TestSugarWidensUpward(t *testing.T) {
	t.Parallel()
	b := plainBatter(880, 45)
	b.SugarG = 60
	c, err := NewCase(b, boxOf(t, "349 x 62 x 62 mm", "softwood 12 mm"), []Rest{{Place: "room", TC: 20}})
	if err != nil {
		t.Fatal(err)
	}
	u := [draws]float64{}
	for i := range u {
		u[i] = 0.5
	}
	plain := plainCase(t, 45, Rest{Place: "room", TC: 20})
	for part, want := range map[float64]float64{0: 0, 1: 580 * 60 / b.MassG * 1000} {
		u[drawSugar] = part
		near(t, "extra heat", c.drawn(u).ReactionJKg-plain.drawn(u).ReactionJKg, want, 1)
	}
}
