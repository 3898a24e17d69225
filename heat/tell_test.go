package heat

import (
	"math"
	"testing"

	"barwright/mould"
	"barwright/quantity"
	"barwright/source"
)

func stuffOf(t testing.TB, text string) *quantity.Stuff {
	t.Helper()
	s, err := quantity.ParseStuff(text)
	if err != nil {
		t.Fatal(err)
	}
	return &s
}

func boxOf(t testing.TB, inside, wall string) mould.Mould {
	t.Helper()
	sides, err := quantity.ParseSides(inside)
	if err != nil {
		t.Fatal(err)
	}
	return mould.Mould{Shape: mould.Box, Inside: &sides, Wall: stuffOf(t, wall)}
}

// plainBatter is the worked batter: 1000 g of fats of saponification value
// 195, no superfat, 33 % lye.
func plainBatter(fatsG, tC float64) Batter {
	f := fatsG / 1000
	return Batter{MassG: 1421.2 * f, VolumeML: 1403 * f, HeatJPerGK: 2.467, LyeVolume: 0.221, AlkaliMol: 3.476 * f, ExcessKJPerMol: 6.53, WaterPct: 19.86, TC: tC, Grade: source.Derived}
}

func plainCase(t testing.TB, tC float64, rests ...Rest) Case {
	t.Helper()
	c, err := NewCase(plainBatter(880, tC), boxOf(t, "349 x 62 x 62 mm", "softwood 12 mm"), rests)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// A batch is turned out when its core stays at 35 °C or less and nine tenths of
// it have reacted, whichever is later (common practice, no source).
func TestWhenItIsTurnedOut(t *testing.T) {
	t.Parallel()
	hours := []float64{0, 3600, 7200, 10800, 14400}
	for name, c := range map[string]struct {
		coreC, meanX []float64
		want         float64
	}{
		"cool, then reacted":    {[]float64{40, 34, 30, 25, 20}, []float64{0, 0.5, 0.89, 0.9, 1}, 10800},
		"reacted, then cool":    {[]float64{60, 50, 35.1, 35, 30}, []float64{0, 0.95, 0.96, 0.97, 1}, 10800},
		"warms again":           {[]float64{34, 30, 36, 34, 30}, []float64{0.95, 0.95, 0.96, 0.97, 1}, 9000},
		"never cool":            {[]float64{60, 50, 45, 40, 36}, []float64{0, 1, 1, 1, 1}, math.Inf(1)},
		"never reacted":         {[]float64{30, 30, 30, 30, 30}, []float64{0, 0.2, 0.4, 0.6, 0.89}, math.Inf(1)},
		"at once, as it should": {[]float64{35, 30, 30, 30, 30}, []float64{0.9, 0.92, 0.94, 0.96, 0.98}, 0},
	} {
		r := &Run{TimeS: hours, CoreC: c.coreC, MeanX: c.meanX}
		if got := r.turnOutS(); got != c.want {
			t.Errorf("%s: after %g s, want %g", name, got, c.want)
		}
	}
}

// A fan takes more heat off every bare face, and a wall less of that gain.
func TestAFanTakesHeat(t *testing.T) {
	t.Parallel()
	m := boxOf(t, "349 x 62 x 62 mm", "softwood 12 mm")
	for _, place := range []string{"room", "fridge", "freezer", "oven"} {
		still, blown := Rest{Place: place}.stage(0, m), Rest{Place: place, Fan: true}.stage(0, m)
		if !(blown.UTop > 1.3*still.UTop) || !(blown.USide > still.USide) || !(blown.UTop/still.UTop > blown.USide/still.USide) {
			t.Errorf("%s: still %+v, before a fan %+v", place, still, blown)
		}
	}
}
