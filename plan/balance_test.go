package plan

import (
	"math"
	"strings"
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
		parts := []float64{c.Soap, c.Glycerol, c.FreeFat, c.Unsaponified, c.Water, c.Other, c.FreeAlkali}
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
	if p.Bar.Fresh.FreeAlkali <= 0 || p.Bar.Fresh.FreeFat > 1e-9 {
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

// Other alkalis and acids, by hand: 880 g of Plain Tow's fats bind 182 160 mg
// of potassium hydroxide, 95 % of it is dosed. Acids take 0.6246 (citric,
// anhydrous), 0.571 (its monohydrate), 0.444 (lactic) and 0.666 (acetic) grams
// of sodium hydroxide per gram.
func TestAlkaliAndAcidsByHand(t *testing.T) {
	t.Parallel()
	const koh = 0.95 * 182.160 // g, pure
	const naoh = koh * 39.997 / 56.106
	acid := func(id, amount string, more ...string) string { return added(id, amount, "lye", more...) }
	for _, c := range []struct {
		name, text string
		changes    []string
		bought     []float64 // g
		forAcids   float64   // g, pure
	}{
		{"potassium", base, []string{"alkali.0.material=koh", "alkali.0.purity=90 %"}, []float64{koh / 0.9}, 0},
		{"mixed, 90 mol % sodium", plainTow + "[[alkali]]\nmaterial = \"koh\"\nshare = \"10 %\"\npurity = \"90 %\"\n", nil, []float64{0.9 * naoh / 0.985, 0.1 * koh / 0.9}, 0},
		{"stock of 50 %", base, []string{"alkali.0.purity=", "alkali.0.stock_strength=50 %"}, []float64{2 * naoh}, 0},
		{"range", base, []string{"alkali.0.purity=", "alkali.0.purity_range=97 % to 99 %"}, []float64{naoh / 0.98}, 0},
		{"citric acid", acid("citric_acid", "10 g"), nil, []float64{(naoh + 6.246) / 0.985}, 6.246},
		{"citric acid monohydrate", acid("citric_acid_monohydrate", "10 g"), nil, []float64{(naoh + 5.71) / 0.985}, 5.71},
		{"lactic acid of 80 %", acid("lactic_acid", "10 g", `strength = "80 %"`), nil, []float64{(naoh + 3.552) / 0.985}, 3.552},
		{"vinegar of 5 %", acid("vinegar", "100 g", `strength = "5 %"`), nil, []float64{(naoh + 3.33) / 0.985}, 3.33},
		{"citric acid in potassium lye", acid("citric_acid", "10 g"), []string{"alkali.0.material=koh", "alkali.0.purity=90 %"}, []float64{(koh + 6.246*56.106/39.997) / 0.9}, 6.246 * 56.106 / 39.997},
		{"honey and milk take none", acid("honey", "10 g") + "[[additions]]\nmaterial = \"milk\"\namount = \"50 g\"\nwhen = \"lye\"\n", nil, []float64{naoh / 0.985}, 0},
	} {
		text := c.text
		if len(c.bought) == 2 {
			text = strings.Replace(text, `purity = "98.5 %"`, "purity = \"98.5 %\"\nshare = \"90 %\"", 1)
		}
		p := made(t, written(t, text, c.changes...))
		for i, want := range c.bought {
			if got := p.Alkali[i].MassG; !near(got, want, 0.01) { // a tenth of what the finest kitchen scale shows
				t.Errorf("%s: %.3f g of %s, by hand %.3f g", c.name, got, p.Alkali[i].Material, want)
			}
		}
		if !near(p.AlkaliForAcidsG, c.forAcids, 0.005) {
			t.Errorf("%s: %.3f g for acids, by hand %.3f g", c.name, p.AlkaliForAcidsG, c.forAcids)
		}
		if !near(p.Superfat.Typical, 5, 1e-6) {
			t.Errorf("%s: superfat %.6f %%, want the 5 %% that are set", c.name, p.Superfat.Typical)
		}
	}
}

// Milk in the lye stands in for its own water, 87.5 %; at trace it does not.
func TestMilkBringsItsWater(t *testing.T) {
	t.Parallel()
	without := made(t, written(t, base)).WaterG
	inLye := made(t, written(t, added("milk", "100 g", "lye")))
	atTrace := made(t, written(t, added("milk", "100 g", "trace")))
	if !near(inLye.WaterG, without-87.5, 1e-6) || !near(atTrace.WaterG, without, 1e-6) {
		t.Errorf("%.2f g of water, %.2f with milk in the lye, %.2f with milk at trace", without, inLye.WaterG, atTrace.WaterG)
	}
	if !near(inLye.Lye.StrengthPct, 33, 1e-9) || atTrace.Batter.WaterPct <= inLye.Batter.WaterPct {
		t.Errorf("lye %.3f %%, water of the batter %.2f and %.2f %%", inLye.Lye.StrengthPct, inLye.Batter.WaterPct, atTrace.Batter.WaterPct)
	}
}
