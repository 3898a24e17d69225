package makeup

import (
	"math"
	"testing"

	"barwright/material"
	"barwright/source"
	"pgregory.net/rapid"
)

// plainFat is a triglyceride of known saponification value and no free acids,
// as the published balances assume.
func plainFat(sapMgKOHPerG float64) material.Material {
	return material.Material{Kind: material.Triglyceride,
		Sap:     source.Figure{Low: sapMgKOHPerG, Typical: sapMgKOHPerG, High: sapMgKOHPerG, Unit: "mg KOH/g"},
		Profile: material.Profile{Acids: map[string]float64{"c18_1": 100}}}
}

// fromNaOH turns g NaOH per kg into mg KOH per g.
func fromNaOH(gPerKg float64) float64 { return gPerKg * 56.1056 / 39.9971 }

// K. Dunn's standard batch (2009 slides): 1000 g of oils that bind 150.8 g
// NaOH, with 144 g, so 95.5 % saponified.
func dunnBatch(waterG float64) Bar {
	return Compose(Charge{Fats: Fats{{plainFat(fromNaOH(150.8)), 1000}}, NaOHMol: 144 / 39.9971, WaterG: waterG})
}

// Checks C01 to C05 of the batch balance; tolerances are those of the checks.
func TestPublishedBalance(t *testing.T) {
	t.Parallel()
	for lyePercent, want := range map[float64]float64{50: 11.18, 40: 15.88, 100. / 3: 20.11, 28: 24.45, 25: 27.41} {
		b := dunnBatch(144 * (100/lyePercent - 1))
		near(t, "C01 water share", 100*b.WaterG/b.TotalG, want, 0.05)
	}
	dry := dunnBatch(0)
	near(t, "C02 soap", dry.SoapG, 988.6, 1.5)
	near(t, "C02 glycerol", dry.GlycerolG, 110.5, 1.5)
	near(t, "C02 free fat", dry.FreeFatG, 45.0, 1.5)
	near(t, "C02 dry mass", dry.TotalG, 1144, 1.5)
	near(t, "C03 total fatty matter, dry", dry.TotalFattyMatter(), 83.4, 0.6)
	near(t, "C03 at 8.9 % water", dunnBatch(1144*0.089/0.911).TotalFattyMatter(), 76.0, 0.6)
	near(t, "C03 at 20.1 % water", dunnBatch(288).TotalFattyMatter(), 66.6, 0.6)
	near(t, "C05 glycerol per NaOH", dry.GlycerolG/144, 0.7675, 0.001)
}

// C04: pure coconut soap with its glycerol and no superfat has 80 % of total
// fatty matter when dry (a producer's note says 80.2).
func TestCoconutTotalFattyMatter(t *testing.T) {
	t.Parallel()
	coconut := fatByID(t, "coconut")
	b := Compose(Charge{Fats: Fats{{coconut, 1000}}, NaOHMol: 1000 * coconut.Sap.Typical / 56105.6})
	near(t, "C04", b.TotalFattyMatter(), 80, 1)
	near(t, "free fat", b.FreeFatG, 0, 1e-9)
}

// A published composition: 1000 g of oil at 0.1345 g NaOH per g with 5 %
// superfat gives glycerol 98.1, soap 979.7 and 50 g of oil. Half of the last
// digit.
func TestLabelComposition(t *testing.T) {
	t.Parallel()
	b := Compose(Charge{Fats: Fats{{plainFat(fromNaOH(134.5)), 1000}}, NaOHMol: 0.95 * 134.5 / 39.9971})
	near(t, "glycerol", b.GlycerolG, 98.1, 0.06)
	near(t, "soap", b.SoapG, 979.7, 0.06)
	near(t, "oil left", b.FreeFatG, 50, 0.05)
}

// With potassium hydroxide 0.547 g of glycerol per g of it (stoichiometry).
func TestGlycerolPerKOH(t *testing.T) {
	t.Parallel()
	b := Compose(Charge{Fats: Fats{{plainFat(190), 1000}}, KOHMol: 2})
	near(t, "glycerol per KOH", b.GlycerolG/(2*56.1056), 0.5472, 0.0005)
}

// Free acids go first, give water and no glycerol: 100 g of stearic acid 50
// with an acid value of 208 binds 0.3707 mol and frees 6.68 g of water.
func TestFreeAcidsReactFirst(t *testing.T) {
	t.Parallel()
	fats := blend(t, map[string]float64{"stearic_50": 100})
	acidMol := 100 * 208 / 56105.6
	all := Compose(Charge{Fats: fats, NaOHMol: acidMol})
	near(t, "water formed", all.WaterG, 6.68, 0.01)
	near(t, "glycerol", all.GlycerolG, 0, 0)
	near(t, "free fat", all.FreeFatG, 0, 1e-9)

	mixed := append(fats, Fat{plainFat(190), 900})
	enough := Compose(Charge{Fats: mixed, NaOHMol: acidMol})
	near(t, "glycerol while acids last", enough.GlycerolG, 0, 1e-9)
	near(t, "fat left while acids last", enough.FreeFatG, 900, 1e-6)
	half := Compose(Charge{Fats: mixed, NaOHMol: acidMol / 2})
	near(t, "acids and fat left with half the alkali", half.FreeFatG, 950, 1e-6)
}

// 3 % beeswax: its acids (value 20) bind alkali, everything else stays wax.
func TestWaxStaysWax(t *testing.T) {
	t.Parallel()
	wax := Compose(Charge{Fats: blend(t, map[string]float64{"beeswax": 100}), NaOHMol: 10})
	near(t, "bound", wax.SodiumMol, 100*20/56105.6, 1e-9)
	near(t, "excess", wax.ExcessAlkaliG, (10-wax.SodiumMol)*39.9971, 1e-6)
	if wax.UnsaponifiedG < 85 || wax.UnsaponifiedG > 92 {
		// JECFA 2005: free acids are 12 to 14 % of beeswax; at the mean molar
		// mass of a profile that lumps the longest as other, about 10 %.
		t.Errorf("%.1f g of 100 g stays wax", wax.UnsaponifiedG)
	}
}

func anyCharge(t *rapid.T) Charge {
	amount := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0, 60))
	return Charge{Fats: anyBlend(t, "fats"), NaOHMol: amount.Draw(t, "NaOH"), KOHMol: amount.Draw(t, "KOH"),
		WaterG: rapid.Float64Range(0, 3000).Draw(t, "water"), OtherDryG: rapid.Float64Range(0, 500).Draw(t, "other")}
}

// Whatever is charged, the masses close, nothing is negative, and alkali,
// glycerol and water of reaction agree mole by mole.
func TestBalanceLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		c := anyCharge(t)
		b := Compose(c)
		parts := []float64{b.SoapG, b.GlycerolG, b.FreeFatG, b.UnsaponifiedG, b.WaterG, b.OtherG, b.ExcessAlkaliG}
		sum := 0.0
		for i, p := range parts {
			if p < -1e-9 {
				t.Fatalf("part %d is %g g", i, p)
			}
			sum += p
		}
		charged := c.Fats.MassG() + c.NaOHMol*39.9971 + c.KOHMol*56.1056 + c.WaterG + c.OtherDryG
		const gram = 1e-6
		if math.Abs(sum-charged) > gram || math.Abs(b.TotalG-charged) > gram {
			t.Fatalf("charged %g g, parts come to %g g, total %g g", charged, sum, b.TotalG)
		}
		// Elements: what is not in soap is in the excess, in the charge's own
		// proportion of sodium to potassium.
		excess := (c.NaOHMol-b.SodiumMol)*39.9971 + (c.KOHMol-b.PotassiumMol)*56.1056
		if math.Abs(excess-b.ExcessAlkaliG) > gram || b.SodiumMol > c.NaOHMol+1e-12 || b.PotassiumMol > c.KOHMol+1e-12 {
			t.Fatalf("sodium and potassium do not close: %g g free, %g g by moles", b.ExcessAlkaliG, excess)
		}
		// Every mole of soap came from a third of a glycerol or from a water.
		fromGlycerol, fromWater := 3*b.GlycerolG/92.094, (b.WaterG-c.WaterG)/18.015
		if math.Abs(fromGlycerol+fromWater-b.SodiumMol-b.PotassiumMol) > 1e-9 {
			t.Fatalf("%g mol of soap, %g from fats, %g from acids", b.SodiumMol+b.PotassiumMol, fromGlycerol, fromWater)
		}
		if b.ExcessAlkaliG > gram && b.FreeFatG > gram {
			t.Fatalf("%g g of fat beside %g g of alkali", b.FreeFatG, b.ExcessAlkaliG)
		}
		if tfm := b.TotalFattyMatter(); tfm < 0 || tfm > 100+1e-9 { // the last bits of a sum
			t.Fatalf("total fatty matter %g %%", tfm)
		}
	})
}

func TestAbsurdChargesPanic(t *testing.T) {
	t.Parallel()
	fats := Fats{{plainFat(190), 100}}
	for name, c := range map[string]Charge{"less than no alkali": {Fats: fats, NaOHMol: -1}, "less than no water": {Fats: fats, WaterG: -1}, "no number": {Fats: fats, KOHMol: math.NaN()}} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s: no panic", name)
				}
			}()
			Compose(c)
		}()
	}
}
