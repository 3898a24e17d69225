package heat

import (
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
