package plan

import (
	"math"
	"testing"

	"barwright/recipe"

	"pgregory.net/rapid"
)

// Everything that goes in is in the batter, and the lye is what it says.
func TestMassBalance(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawRecipe(t, kitchen{})
		p := planOrSkip(t, r)
		fats, alkali, pure, additions, lyeWater, laterWater := 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
		for _, f := range p.Fats {
			fats += f.MassG
		}
		for _, a := range p.Alkali {
			alkali, pure = alkali+a.MassG, pure+a.PureG
		}
		for _, a := range p.Additions {
			additions += a.MassG
			if a.When == "lye" {
				lyeWater += a.WaterG
			} else {
				laterWater += a.WaterG
			}
		}
		lye := alkali + p.WaterG + lyeWater
		for what, pair := range map[string][2]float64{
			"fats":        {fats, p.FatsG},
			"batter":      {fats + alkali + p.WaterG + additions, p.Batter.MassG},
			"lye":         {lye, p.Lye.MassG},
			"pure alkali": {p.Lye.MassG * r.LyeStrength.Fraction(), pure},
			"water share": {100 * (lye - pure + laterWater) / p.Batter.MassG, p.Batter.WaterPct},
		} {
			if !near(pair[0], pair[1], 1e-9*p.Batter.MassG) {
				t.Fatalf("%s: %.12g and %.12g in\n%s", what, pair[0], pair[1], r.Print())
			}
		}
		checkWhole(t, p)
	})
}

// checkWhole checks that the fresh and the cured bar come to 100 %, with
// nothing below zero. Excess alkali is in a lye-heavy bar.
func checkWhole(t failer, p *Plan) {
	t.Helper()
	for name, c := range map[string]Composition{"fresh": p.Bar.Fresh, "cured": p.Bar.Cured} {
		parts := []float64{c.Soap, c.Glycerol, c.FreeFat, c.Unsaponified, c.Water, c.Other, c.ExcessAlkali}
		sum := 0.0
		for _, v := range parts {
			sum += v
			if v < -1e-9 || math.IsNaN(v) {
				t.Fatalf("%s bar: %+v in\n%s", name, c, p.recipe.Print())
			}
		}
		if !near(sum, 100, 1e-6) {
			t.Fatalf("%s bar comes to %.9g %%: %+v in\n%s", name, sum, c, p.recipe.Print())
		}
	}
}

func TestLyeHeavyBarIsWholeToo(t *testing.T) {
	t.Parallel()
	p := made(t, written(t, heavyJug))
	checkWhole(t, p)
	if p.Bar.Fresh.ExcessAlkali <= 0 || p.Bar.Fresh.FreeFat > 1e-9 {
		t.Errorf("a lye-heavy bar holds %+v", p.Bar.Fresh)
	}
}

// heavyJug is Plain Tow with its jug 24 g heavy: the demo's twelfth batch.
const heavyJug = `
format = 1
name = "Heavy jug"
water = "534 g"
[size]
fats = "1880 g"
[[alkali]]
material = "naoh"
purity = "98.5 %"
amount = "291 g"
[[fats]]
material = "tallow_beef"
share = "55 %"
[[fats]]
material = "rapeseed_low_erucic"
share = "25 %"
[[fats]]
material = "coconut"
share = "20 %"
[scale]
fats = "1 g"
alkali = "1 g"
`

// Plain Tow, 880 g, by plain arithmetic from the saponification values of
// Codex CXS 211 (tallow 197) and CXS 210 (rapeseed 189, coconut 257) and molar
// masses 39.997 and 56.106.
func TestPlainTowByHand(t *testing.T) {
	t.Parallel()
	const (
		mgKOH = 484*197.0 + 220*189 + 176*257        // 182 160
		pure  = 0.95 * mgKOH * 39.997 / 56.106e3     // 123.37 g
		naoh  = pure / 0.985                         // 125.24 g
		lye   = pure / 0.33                          // 373.84 g
		water = lye - naoh                           // 248.59 g
		tol   = 0.01                                 // g: what a fine scale shows
		mol   = pure / 39.997                        // 3.084
		glyc  = 100 * mol / 3 * 92.094 / (880 + lye) // % of batter, glycerol of all the alkali
	)
	p := made(t, written(t, plainTow))
	for what, pair := range map[string][2]float64{
		"sodium hydroxide": {p.Alkali[0].MassG, naoh}, "pure": {p.Alkali[0].PureG, pure}, "lye": {p.Lye.MassG, lye}, "water": {p.WaterG, water},
		"batter": {p.Batter.MassG, 880 + lye},
	} {
		if !near(pair[0], pair[1], tol) {
			t.Errorf("%s: %.3f g, by hand %.3f g", what, pair[0], pair[1])
		}
	}
	// The free acids of the fats, at most 1.2 in 197, give no glycerol.
	if g := p.Bar.Fresh.Glycerol; !near(g, glyc, 0.012*glyc) {
		t.Errorf("glycerol %.3f %%, by hand %.3f %%", g, glyc)
	}
	if w := 100 * (water + naoh - pure) / (880 + lye); !near(p.Batter.WaterPct, w, 1e-3) {
		t.Errorf("water %.3f %%, by hand %.3f %%", p.Batter.WaterPct, w)
	}
}

// The demo's past batches were reckoned by their maker without this program
// and rounded to the gram. She dosed waxes and stearic acid at their full
// value; the plan takes less alkali there.
func TestDemoBatches(t *testing.T) {
	t.Parallel()
	ten := tenRecipes(t)
	for _, b := range []struct {
		recipe              string
		fatsG, naohG, water float64
		full                bool
		more                []string
	}{
		{recipe: "plain-tow", fatsG: 880, naohG: 125, water: 250},
		{recipe: "oatwater", fatsG: 880, naohG: 123, water: 257},
		{recipe: "cooks-grit", fatsG: 1880, naohG: 268, water: 535},
		{recipe: "dark-heather", fatsG: 870, naohG: 122, water: 268, more: []string{"additions.0.when=trace"}},
		{recipe: "slow-olive", fatsG: 630, naohG: 83, water: 145},
		{recipe: "saltern", fatsG: 270, naohG: 39, water: 90},
		{recipe: "reed-bed", fatsG: 1870, naohG: 260, water: 545},
		{recipe: "lather-puck", fatsG: 220, naohG: 32, water: 64, full: true},
		{recipe: "wax-rind", fatsG: 680, naohG: 95, water: 181, full: true},
		{recipe: "hive-reserve", fatsG: 890, naohG: 126, water: 241, full: true},
	} {
		p := made(t, changed(t, ten[b.recipe], append(b.more, "size.fats="+exactly(b.fatsG)+" g")...))
		naoh := p.Alkali[0].MassG
		switch {
		case b.full && !(naoh < b.naohG && naoh > 0.95*b.naohG):
			t.Errorf("%s: %.2f g of alkali, want a little less than %g", b.recipe, naoh, b.naohG)
		case !b.full && !near(naoh, b.naohG, 0.5+0.0025*b.naohG): // her rounding, and half a unit in the saponification value
			t.Errorf("%s: %.2f g of alkali, the maker took %g", b.recipe, naoh, b.naohG)
		case !b.full && !near(p.WaterG, b.water, 0.01*b.water): // she took no heed of what else than alkali is in the pearls
			t.Errorf("%s: %.2f g of water, the maker took %g", b.recipe, p.WaterG, b.water)
		}
	}
}

// Every size reaches what was asked for.
func TestSizesReachTheirTarget(t *testing.T) {
	t.Parallel()
	kinds := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		r := drawRecipe(t, kitchen{})
		p := planOrSkip(t, r)
		want, got, kind := target(r, p)
		kinds[kind]++
		if !near(got, want, 1e-6*want) {
			t.Fatalf("%s: %.9g, want %.9g in\n%s", kind, got, want, r.Print())
		}
	})
	for _, kind := range []string{"fats", "batter", "bars", "mould"} {
		if kinds[kind] == 0 {
			t.Errorf("no draw was sized by %s", kind)
		}
	}
}

func target(r recipe.Recipe, p *Plan) (want, got float64, kind string) {
	switch s := r.Size; {
	case s.Fats != nil:
		return s.Fats.G(), p.FatsG, "fats"
	case s.Batter != nil:
		return s.Batter.G(), p.Batter.MassG, "batter"
	case s.Bars != nil:
		return float64(s.Bars.Count) * s.Bars.Each.G(), p.Batter.MassG * (1 - p.Bar.Loss.Typical/100), "bars"
	}
	return r.Mould.FillPercent(), p.Mould.FillPct, "mould"
}

// A salt-heavy recipe fills its mould to within 3 % of the target, counted
// again here: fats by their densities at 40 °C (Codex CXS 210 and 33, USP-NF),
// 30 % lye by the tables of sodium hydroxide at 40 °C (1.2942 at 28 %, 1.3362
// at 32 %, International Critical Tables), salt by its crystals (2.165).
func TestSaltHeavyFillsItsMould(t *testing.T) {
	t.Parallel()
	p := made(t, changed(t, tenRecipes(t)["saltern"], "size.fats=", "size.mould=true"))
	const target = 0.95 * 6 * 85
	density := map[string]float64{"coconut": 0.914, "olive": 0.913 - 20*0.00066, "castor": 0.959 - 15*0.00066}
	ml := p.Lye.MassG/(1.2942+(1.3362-1.2942)/2) + p.Additions[0].MassG/2.165
	for _, f := range p.Fats {
		ml += f.MassG / density[f.Material]
	}
	if p.Additions[0].Material != "salt" || !near(ml, target, 0.03*target) {
		t.Errorf("%.1f ml of batter for %.1f ml of mould to fill", ml, target)
	}
	t.Logf("filled to %.2f %% of the target", 100*ml/target)
}
