package lye

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"
)

// from20 is lye made from solid and water at 20 °C.
func from20(x float64) Fresh { return Fresh{Strength: x, SolidC: 20, WaterC: 20} }

// Every cell of the published peaks. Tolerance: the cells are rounded to
// 0.1 K and ours is interpolated in a table.
func TestPeakTable(t *testing.T) {
	t.Parallel()
	head, rows := published(t, "lye_peak.csv")
	making := map[string]Fresh{
		"water20": {WaterC: 20}, "vessel": {WaterC: 20, VesselJPerGK: 0.15}, "water5": {WaterC: 5},
		"ice25": {IceFraction: 0.25}, "ice50": {IceFraction: 0.5}, "ice100": {IceFraction: 1},
	}
	worst := 0.0
	for _, row := range rows {
		for i, column := range head[1:] {
			f := making[column]
			f.Strength, f.SolidC = row[0]/100, 20
			got, err := f.PeakC()
			if want := row[i+1]; math.IsNaN(want) {
				if !errors.Is(err, ErrIceLeft) || !errors.Is(err, ErrOutOfRange) {
					t.Errorf("%g %% %s: %v, want ErrIceLeft", row[0], column, err)
				}
			} else {
				near(t, column, must(t)(got, err), want, 0.15)
				worst = max(worst, math.Abs(got-want))
			}
		}
	}
	t.Logf("largest difference %.3f K", worst)
}

// Worked by hand from the enthalpy equation, outside this project; rounded to
// 0.1 K.
func TestPeakWorkedExamples(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		f    Fresh
		want float64
	}{
		{"33 % from 20 °C", from20(0.33), 107.9},
		{"25 % from 20 °C", from20(0.25), 92.4},
		{"50 % from 20 °C", from20(0.50), 113.5},
		{"33 %, all the water ice", Fresh{Strength: 0.33, SolidC: 20, IceFraction: 1}, 29.8},
		{"33 %, half of it ice", Fresh{Strength: 0.33, SolidC: 20, IceFraction: 0.5}, 61.0},
		{"50 % stock let down to 33 %", Fresh{Strength: 0.33, SolidC: 20, WaterC: 20, StockStrength: 0.50}, 52.6},
	} {
		near(t, c.name, must(t)(c.f.PeakC()), c.want, 0.06)
	}
}

// By hand from the heat of solution, a route that uses no enthalpy table:
// 33 % is 4.508 mol water to one of NaOH, -37.97 kJ/mol, 8.251 mol/kg, and
// 3.58 kJ/(kg K) give a rise of 87.5 K from 20 °C. It ignores that the heat
// was tabled for 25 °C, worth half a kelvin.
func TestPeakByHand(t *testing.T) {
	t.Parallel()
	near(t, "33 %", must(t)(from20(0.33).PeakC()), 20+8.251*37.97/3.58, 0.6)
}

// Boiling when started warm, as published beside the peaks: 33 % started in
// water above about 36 °C can boil at 120.5 °C, 25 % above about 43 °C at
// 112 °C. "About" is a kelvin of start.
func TestWarmWaterBoils(t *testing.T) {
	t.Parallel()
	near(t, "25 % from 43 °C", must(t)(Fresh{Strength: 0.25, SolidC: 20, WaterC: 43}.PeakC()), 112.0, 1)
	near(t, "33 % from 35 °C", must(t)(Fresh{Strength: 0.33, SolidC: 20, WaterC: 35}.PeakC()), 119.7, 1)
	// Beyond the table by the heat capacity of 33 % lye at 100 °C, 3.583
	// kJ/(kg K) of the table of heat capacities: 15 kelvin of water more is
	// 0.67 × 4.18 × 15 / 3.583 = 11.7 K.
	near(t, "33 % from 50 °C", must(t)(Fresh{Strength: 0.33, SolidC: 20, WaterC: 50}.PeakC()), 119.7+11.7, 0.3)
	if _, err := (Fresh{Strength: 0.33, SolidC: 20, WaterC: 80}).PeakC(); !errors.Is(err, ErrTooHot) {
		t.Errorf("33 %% from 80 °C: %v, want ErrTooHot", err)
	}
}

func TestPeakOutside(t *testing.T) {
	t.Parallel()
	for name, f := range map[string]Fresh{
		"strong":       from20(0.51),
		"thin":         from20(0.04),
		"hot water":    {Strength: 0.3, WaterC: 101},
		"no water":     {Strength: 0.3, WaterC: math.NaN()},
		"much ice":     {Strength: 0.3, IceFraction: 1.1},
		"odd vessel":   {Strength: 0.3, VesselJPerGK: -1},
		"hot solid":    {Strength: 0.3, SolidC: 121},
		"weak stock":   {Strength: 0.3, StockStrength: 0.25},
		"odd stock":    {Strength: 0.3, StockStrength: 0.6},
		"frozen stock": {Strength: 0.3, StockStrength: 0.5, SolidC: -1},
	} {
		if peak, err := f.PeakC(); !errors.Is(err, ErrOutOfRange) || peak != 0 {
			t.Errorf("%s: %g, %v", name, peak, err)
		}
	}
}

// Stock of the very strength is the lye itself.
func TestStockAsItIs(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(MinStrength, MaxStrength).Draw(t, "x")
		tC := rapid.Float64Range(0.01, 119.9).Draw(t, "tC")
		got, err := Fresh{Strength: x, SolidC: tC, WaterC: 20, StockStrength: x}.PeakC()
		if err != nil || math.Abs(got-tC) > 1e-9 {
			t.Errorf("%g, %v", got, err)
		}
	})
}

// Warmer water makes hotter lye, ice and a vessel cooler lye.
func TestPeakLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		f := Fresh{
			Strength:     rapid.Float64Range(0.10, MaxStrength).Draw(t, "x"),
			SolidC:       rapid.Float64Range(0, 30).Draw(t, "solidC"),
			WaterC:       rapid.Float64Range(1, 24).Draw(t, "waterC"),
			IceFraction:  rapid.Float64Range(0, 0.15).Draw(t, "ice"),
			VesselJPerGK: rapid.Float64Range(0, 0.4).Draw(t, "vessel"),
		}
		base, err1 := f.PeakC()
		warmer, icier, heavier := f, f, f
		warmer.WaterC++
		icier.IceFraction += 0.02
		heavier.VesselJPerGK += 0.02
		up, err2 := warmer.PeakC()
		down, err3 := icier.PeakC()
		less, err4 := heavier.PeakC()
		if err := errors.Join(err1, err2, err3, err4); err != nil || up <= base || down >= base || less >= base {
			t.Errorf("peak %g, warmer water %g, more ice %g, vessel %g, %v", base, up, down, less, err)
		}
	})
}

// Pure mixing from 20 °C never boils (vapour pressures of 31 to 65 kPa at the
// peak, published beside it).
func TestBoilingLiesAboveThePeak(t *testing.T) {
	t.Parallel()
	least := math.Inf(1)
	for pct := 10.0; pct <= 50; pct += 0.25 {
		peak := must(t)(from20(pct / 100).PeakC())
		boiling := must(t)(Solution{Strength: pct / 100}.BoilingC())
		least = min(least, boiling-peak)
	}
	t.Logf("least distance %.1f K", least)
	if least <= 0 {
		t.Errorf("boils %g K below the peak", -least)
	}
}

func BenchmarkPeakC(b *testing.B) {
	f := from20(0.33)
	for b.Loop() {
		if _, err := f.PeakC(); err != nil {
			b.Fatal(err)
		}
	}
}
