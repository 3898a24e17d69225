package heat

import (
	"math"
	"testing"

	"barwright/mould"
	"barwright/quantity"
	"barwright/source"
)

// What is known of real batches. No single set of rates meets it all: what the
// likely values miss stands here as a gap with its miss, and fails once it is
// met; and every gap but one can be met by a rate inside the span of RateFactor,
// which is what a maker's own curves decide. The one is a matter of heat, not of
// rate: what it takes to melt the soap is not counted.
type pattern struct {
	name      string
	source    string // key, or common practice
	value     func(t *testing.T, faster float64) float64
	low, high float64 // what was seen
	gap       float64 // the miss known, 0: met
	beyond    bool    // and no rate inside the span meets it
}

var patterns = []pattern{
	{"50 °C, titrated: half used after [h]", "dunn_2018_cure", func(t *testing.T, f float64) float64 { return isothermalH(t, 50, 0.5, f) }, 3.5, 4.5, 1.3, false},
	{"50 °C, titrated: all used by [h]", "dunn_2018_cure", func(t *testing.T, f float64) float64 { return isothermalH(t, 50, 0.99, f) }, 7, 9, 2.3, false},
	{"60 °C, titrated: complete in [h]", "dunn_2018_cure", func(t *testing.T, f float64) float64 { return isothermalH(t, 60, 0.99, f) }, 1, 2, 0.35, false},
	{"70 °C, titrated: complete in [h]", "dunn_2018_cure", func(t *testing.T, f float64) float64 { return isothermalH(t, 70, 0.99, f) }, 1, 2, 0, false},

	{"small open batch, 33 %, from 40 °C: highest [°C]", "dunn_2018_temperature", func(t *testing.T, f float64) float64 { return small(t, lye33, 40, f).HottestC }, 40, 70.9, 0, false},
	{"small open batch, 33 %, from 60 °C: highest [°C]", "dunn_2018_temperature", func(t *testing.T, f float64) float64 { return small(t, lye33, 60, f).HottestC }, 60, 70.9, 0, false},
	{"small open batch, 33 %, from 65 °C: creeps to 71 and runs on [°C]", "dunn_2018_temperature", func(t *testing.T, f float64) float64 { return small(t, lye33, 65, f).HottestC }, 75, 102, 0, false},
	{"small open batch, 40 %, from 60 °C: no gel, under 87 [°C]", "dunn_2018_temperature", func(t *testing.T, f float64) float64 { return small(t, lye40, 60, f).HottestC }, 60, 86.9, 0, false},
	{"small open batch, 40 %, from 65 °C: no gel, under 87 [°C]", "dunn_2018_temperature", func(t *testing.T, f float64) float64 { return small(t, lye40, 65, f).HottestC }, 65, 86.9, 0, false},
	{"the same, from 40 °C: hotter than its 33 % twin by [K]", "dunn_2018_temperature", func(t *testing.T, f float64) float64 {
		return small(t, lye40, 40, f).HottestC - small(t, lye33, 40, f).HottestC
	}, 0.05, 30, 0, false},
	{"the same, from 60 °C: hotter than its 33 % twin by [K]", "dunn_2018_temperature", func(t *testing.T, f float64) float64 {
		return small(t, lye40, 60, f).HottestC - small(t, lye33, 60, f).HottestC
	}, 0.05, 30, 0, false},

	{"fats at 60 °C, strong lye, wooden frame: climbs to [°C]", "thomssen_1922", func(t *testing.T, f float64) float64 { return frame(t, f).PeakC }, 82, 93, 8.5, true},

	{"blanketed wood loaf from 38 °C: peak after [h]", "common practice, no source", func(t *testing.T, f float64) float64 { return blanketed(t, 38, f).PeakS / 3600 }, 1, 6, 0, false},
	{"blanketed wood loaf from 42 °C: peak after [h]", "common practice, no source", func(t *testing.T, f float64) float64 { return blanketed(t, 42, f).PeakS / 3600 }, 1, 6, 0, false},
	{"single bar in a fridge from 45 °C: gelled share", "common practice, no source", func(t *testing.T, f float64) float64 {
		return bar(t, "fridge", fridgeC, 45, 24, f).Gelled(GelC(lye33.WaterPct))
	}, 0, 0.009, 0, false},
	{"ungelled wood loaf in a room: 90 % reacted after [h]", "common practice, no source", func(t *testing.T, f float64) float64 {
		return reactedH(running(t, "250 x 90 x 80 mm", "softwood 12 mm", lye33, 38, 72, f, Rest{Place: "room", TC: 20}), 0.9)
	}, 6, 24, 0, false},
	{"ungelled bar in a room: 90 % reacted after [h]", "common practice, no source", func(t *testing.T, f float64) float64 { return reactedH(bar(t, "room", 20, 38, 240, f), 0.9) }, 6, 24, 18, false},
	{"ungelled bar in a fridge: 90 % reacted after [h]", "common practice, no source", func(t *testing.T, f float64) float64 { return reactedH(bar(t, "fridge", fridgeC, 38, 600, f), 0.9) }, 48, 120, 85, false},

	{"20 g of honey's sugars in a blanketed loaf: core over 35 °C longer by [h]", "common practice, no source", func(t *testing.T, f float64) float64 {
		sweet := lye33
		sweet.SugarG = 20
		warm := func(b Batter) float64 {
			return cooledH(running(t, "250 x 90 x 80 mm", "softwood 12 mm", b, 42, 24, f, Rest{Place: "room", TC: 20, Cover: stuffOf(t, "blanket 25 mm")}))
		}
		return warm(sweet) - warm(lye33)
	}, 0.1, 6, 0, false},
	// It comes out darker. The model knows no colour, but it knows what is ahead.
	{"scraped from a pot of 70 °C after 20 min: reacted ahead of the mould at 40 °C by", "common practice, no source", func(t *testing.T, f float64) float64 {
		return reactedX(t, 70, 20, f) - reactedX(t, 40, 20, f)
	}, 0.05, 1, 0, false},
}

// The batters of the worked example at 33 and 40 % lye.
var (
	lye33 = Batter{MassG: 1421.2, VolumeML: 1403, HeatJPerGK: 2.467, LyeVolume: 0.221, AlkaliMol: 3.476, ExcessKJPerMol: 6.53, WaterPct: 20.1, Grade: source.Derived}
	lye40 = Batter{MassG: 1347.5, VolumeML: 1338, HeatJPerGK: 2.379, LyeVolume: 0.183, AlkaliMol: 3.476, ExcessKJPerMol: 11.9, WaterPct: 15.88, Grade: source.Derived}
)

func running(t *testing.T, inside, wall string, b Batter, tC, hours, faster float64, r Rest) *Run {
	t.Helper()
	sides, err := quantity.ParseSides(inside)
	if err != nil {
		t.Fatal(err)
	}
	m := mould.Mould{Shape: mould.Box, Inside: &sides, Wall: stuffOf(t, wall)}
	litres := sides.MM(0) * sides.MM(1) * sides.MM(2) / 1e6 * 1000 / b.VolumeML
	b.MassG, b.VolumeML, b.AlkaliMol, b.TC = b.MassG*litres, b.VolumeML*litres, b.AlkaliMol*litres, tC
	c, err := NewCase(b, m, []Rest{r})
	if err != nil {
		t.Fatal(err)
	}
	p := c.Physics.moved([moves]float64{drawRate: math.Log(faster)})
	return solve(t, p, Settings{Grid: 5, UntilS: 3600 * hours, MostStepS: math.Max(300, 10*hours), ToleranceK: 0.1})
}

// small is a batch of some 170 g: its size was not published, and in one half
// as large again a start from 60 °C runs away as well.
func small(t *testing.T, b Batter, tC, faster float64) *Run {
	return running(t, "55 x 55 x 55 mm", "none", b, tC, 12, faster, Rest{Place: "room", TC: 22})
}

func blanketed(t *testing.T, tC, faster float64) *Run {
	return running(t, "250 x 90 x 80 mm", "softwood 12 mm", lye33, tC, 24, faster, Rest{Place: "room", TC: 20, Cover: stuffOf(t, "blanket 25 mm")})
}

// frame is 36 kg in a wooden frame, fats at 60 °C and lye of the room, which
// land together at 43 °C.
func frame(t *testing.T, faster float64) *Run {
	return running(t, "400 x 300 x 300 mm", "softwood 12 mm", lye33, 43, 48, faster, Rest{Place: "room", TC: 20})
}

func bar(t *testing.T, place string, aroundC, tC, hours, faster float64) *Run {
	return running(t, "80 x 60 x 25 mm", "silicone 2 mm", lye33, tC, hours, faster, Rest{Place: place, TC: aroundC})
}

func reactedH(r *Run, x float64) float64 { return at(r.MeanX, r.TimeS, x) / 3600 }

// cooledH is when the core is last over 35 °C.
func cooledH(r *Run) float64 {
	for i := len(r.CoreC) - 1; i >= 0; i-- {
		if r.CoreC[i] > TurnOutC {
			return r.TimeS[i] / 3600
		}
	}
	return 0
}

// reactedX is what has reacted after some minutes at one temperature.
func reactedX(t *testing.T, tC, minutes, faster float64) float64 {
	t.Helper()
	r := isothermal(t, tC, minutes/60, faster)
	return r.MeanX[len(r.MeanX)-1]
}

// isothermalH returns when x is reached at one temperature below the gel line.
func isothermalH(t *testing.T, tC, x, faster float64) float64 {
	t.Helper()
	return reactedH(isothermal(t, tC, 48, faster), x)
}

func isothermal(t *testing.T, tC, hours, faster float64) *Run {
	t.Helper()
	p := loaf()
	p.ReactionJKg = 0
	p.Rate.GelC = 1000
	p.Rate.K1, p.Rate.K2 = K1.Typical*faster, K2.Typical*faster
	p.Start, p.Stages = Start{TC: tC, X: AtPour.Typical}, []Stage{{TC: tC}}
	return solve(t, p, Settings{Grid: 3, UntilS: hours * 3600, MostStepS: 60, ToleranceK: 1})
}

func (p pattern) miss(v float64) float64 { return math.Max(0, math.Max(p.low-v, v-p.high)) }

func TestPatterns(t *testing.T) {
	t.Parallel()
	for _, p := range patterns {
		t.Run(p.name, func(t *testing.T) {
			t.Parallel()
			if p.source != "common practice, no source" && !source.Exists(p.source) {
				t.Fatalf("no source %q", p.source)
			}
			v := p.value(t, 1)
			miss := p.miss(v)
			t.Logf("%.3g, seen %g to %g (%s)", v, p.low, p.high, p.source)
			switch {
			case p.gap == 0 && miss > 0:
				t.Errorf("%.3g lies outside %g to %g by %.3g", v, p.low, p.high, miss)
			case p.gap > 0 && miss == 0:
				t.Errorf("%.3g: the gap is closed; strike it out", v)
			case p.gap > 0 && miss > p.gap:
				t.Errorf("%.3g misses by %.3g, more than the known %g", v, miss, p.gap)
			case p.gap > 0:
				p.metWithin(t)
			}
		})
	}
}

// metWithin looks for a rate inside the span of RateFactor that meets a gap.
func (p pattern) metWithin(t *testing.T) {
	t.Helper()
	for _, f := range []float64{0.32, 0.4, 0.5, 0.6, 0.7, 0.8, 1.2, 1.5, 1.9, 2.4, 3.16} {
		if p.miss(p.value(t, f)) > 0 {
			continue
		}
		t.Logf("known gap of at most %g; a rate %.3g times the likely one meets it", p.gap, f)
		if p.beyond {
			t.Error("a rate inside the span meets it after all; say so")
		}
		return
	}
	if !p.beyond {
		t.Error("no rate inside the span meets it")
	}
}
