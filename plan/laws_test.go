package plan

import (
	"fmt"
	"testing"
	"testing/fstest"

	"barwright/lye"
	"barwright/material"
	"barwright/recipe"

	"pgregory.net/rapid"
)

// scatter is how far the ends of a band of 4096 points stray [standard
// deviations]: √(0.025 × 0.975 / 4096) over the height of the normal law there.
const scatter = 0.042

// The worst corner is below the band, and the band is in order.
func TestWorstIsBelowTheBand(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawRecipe(t, kitchen{})
		p := planOrSkip(t, r)
		for _, b := range []lye.Band{p.Superfat.Band, p.Superfat.AsWeighed.Band} {
			if !(b.Worst <= b.Low && b.Low <= b.High && b.Worst <= b.Typical && b.ChanceLyeHeavy >= 0 && b.ChanceLyeHeavy <= 1) {
				t.Fatalf("%+v in\n%s", b, r.Print())
			}
		}
	})
}

// More superfat set is never less safe.
func TestMoreSuperfatIsNeverLessSafe(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawRecipe(t, kitchen{byFats: true})
		set := rapid.IntRange(0, 280).Draw(t, "set")
		more := rapid.IntRange(set, 300).Draw(t, "more")
		a := planOrSkip(t, changed(t, r, fmt.Sprintf("superfat=%d.%d %%", set/10, set%10)))
		b := planOrSkip(t, changed(t, r, fmt.Sprintf("superfat=%d.%d %%", more/10, more%10)))
		lessSafe := func(a, b lye.Band) bool {
			return b.ChanceLyeHeavy > a.ChanceLyeHeavy || b.Worst < a.Worst-1e-9 || b.Low < a.Low-1e-9 || b.Typical < a.Typical-1e-9
		}
		if lessSafe(a.Superfat.Band, b.Superfat.Band) || lessSafe(a.Superfat.AsWeighed.Band, b.Superfat.AsWeighed.Band) {
			t.Fatalf("superfat %d tenths: %+v\n%d tenths: %+v in\n%s", set, a.Superfat, more, b.Superfat, r.Print())
		}
		if len(withID(b, "lye_heavy")) > len(withID(a, "lye_heavy")) {
			t.Fatalf("a stop at %d tenths that is none at %d in\n%s", more, set, r.Print())
		}
	})
}

// A certificate that says the same value more narrowly never widens the band.
// Both bands have the same sample points, so they scatter alike but for a part.
func TestNarrowerCertificateNeverWidens(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		r := drawRecipe(t, kitchen{byFats: true})
		fat := &r.Fats[len(r.Fats)-1] // the last one drawn is a triglyceride
		m := builtinMaterial(fat.Material)
		f := rapid.Float64Range(0, 1).Draw(t, "f")
		lib := withLot(t, m, m.Sap.Typical-f*(m.Sap.Typical-m.Sap.Low), m.Sap.Typical, m.Sap.Typical+f*(m.Sap.High-m.Sap.Typical))
		before := planOrSkip(t, r)
		fat.Material = "LOT-1"
		after, err := Make(r, lib)
		if err != nil {
			t.Fatalf("%v in\n%s", err, r.Print())
		}
		a, b := before.Superfat, after.Superfat
		if !near(a.Typical, b.Typical, 1e-9) || b.Worst < a.Worst-1e-9 {
			t.Fatalf("typical %g and worst %g, before %g and %g in\n%s", b.Typical, b.Worst, a.Typical, a.Worst, r.Print())
		}
		if b.High-b.Low > a.High-a.Low+scatter*a.SD {
			t.Fatalf("%g points wide, before %g in\n%s", b.High-b.Low, a.High-a.Low, r.Print())
		}
		if x, y := before.charge.terms().FirstOrder().SD, after.charge.terms().FirstOrder().SD; y > x+1e-9 {
			t.Fatalf("first order: sd %g, before %g in\n%s", y, x, r.Print())
		}
	})
}

// withLot returns the built-in library with a lot of m that has its own
// saponification value.
func withLot(t failer, m material.Material, low, typical, high float64) *material.Library {
	t.Helper()
	text := fmt.Sprintf("id = \"LOT-1\"\nof = \"%s\"\n[sap]\nlow = %.9g\ntypical = %.9g\nhigh = %.9g\nunit = \"mg KOH/g\"\nsource = \"certificate\"\ngrade = \"measured\"\n", m.ID, low, typical, high)
	lib, err := material.Builtin().With(fstest.MapFS{"lot.toml": {Data: []byte(text)}}, "lots")
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return lib
}

// Honey, sugar and milk are dosed nothing: typical value and worst corner stay,
// and the band only moves up.
func TestSugarOnlyMovesTheBandUp(t *testing.T) {
	t.Parallel()
	for _, sugar := range []string{"honey", "sugar", "milk", "goat_milk", "beer"} {
		for name, r := range tenRecipes(t) {
			plain := changed(t, r, "size.fats=1 kg")
			plain.Additions = nil
			sweet := plain
			sweet.Additions = additionOf(t, sugar, "3 %")
			a, b := made(t, plain).Superfat, made(t, sweet).Superfat
			if !near(a.Typical, b.Typical, 1e-9) || !near(a.Worst, b.Worst, 1e-9) {
				t.Errorf("%s in %s: typical %g and worst %g, without %g and %g", sugar, name, b.Typical, b.Worst, a.Typical, a.Worst)
			}
			slack := 3 * scatter * a.SD // honey moves the alkali to other sample points
			if b.Low < a.Low-slack || b.High < a.High-slack || b.Mean <= a.Mean {
				t.Errorf("%s in %s: mean %g (%g to %g), without %g (%g to %g)", sugar, name, b.Mean, b.Low, b.High, a.Mean, a.Low, a.High)
			}
		}
	}
}

func additionOf(t failer, id, amount string) []recipe.Addition {
	t.Helper()
	return written(t, plainTow+"\n[[additions]]\nmaterial = \""+id+"\"\namount = \""+amount+"\"\nwhen = \"trace\"\n").Additions
}

// The top of the band with honey, by hand: 1.5 % honey of 76.6 % sugar takes at
// most 0.44 g per g of it, 3.7 % of the alkali of Plain Tow's fats; the mean of
// a one-sided normal lies at 0.356 of its 97.5 % point.
func TestHoneyByHand(t *testing.T) {
	t.Parallel()
	plain, sweet := written(t, plainTow), written(t, plainTow)
	sweet.Additions = additionOf(t, "honey", "1.5 %")
	a, b := made(t, plain), made(t, sweet)
	top := 0.015 * 0.766 * 0.44 / (207 * 39.997 / 56105.3) // of the alkali
	if rise := b.Superfat.Mean - a.Superfat.Mean; !near(rise, 100*top*0.356, 0.02) {
		t.Errorf("honey raises the mean by %.3f points, by hand %.3f", rise, 100*top*0.356)
	}
	// JSON gives the 95 % point, 1.960 against 2.241 of the one-sided law.
	if high := b.Additions[0].NaOHTaken.High; !near(high, 880*0.015*0.766*0.44*1.95996/2.24140, 1e-3) {
		t.Errorf("honey takes up to %.4f g", high)
	}
	if taken := b.Additions[0].NaOHTaken; taken.Low != 0 || taken.Typical != 0 {
		t.Errorf("honey takes %+v, want nothing at least and as a rule", taken)
	}
}

// Every wax is dosed at its acid value, its likely one too, and reaches up to
// its full value; every free acid at its low end; every fat at its typical.
func TestDosedValues(t *testing.T) {
	t.Parallel()
	waxes := 0
	for _, id := range idsOf(material.Triglyceride, material.Wax, material.FreeAcid) {
		m := builtinMaterial(id)
		second := "fats.1.material=" + id
		if id == "tallow_beef" || id == "coconut" {
			second = "fats.1.material=rapeseed_low_erucic"
			m = builtinMaterial("rapeseed_low_erucic")
		}
		got := made(t, written(t, plainTow, second)).Fats[1].Sap
		want := Sap{m.Sap.Low, m.Sap.Typical, m.Sap.High, m.Sap.Typical}
		switch m.Kind {
		case material.Wax:
			waxes++
			v := m.AcidValue.Typical
			want = Sap{v, v, m.Sap.Typical, v}
		case material.FreeAcid:
			want.Dose = m.Sap.Low
		}
		if !near(got.Low, want.Low, 1e-9) || !near(got.Typical, want.Typical, 1e-9) || !near(got.High, want.High, 1e-9) || got.Dose != want.Dose {
			t.Errorf("%s: %+v, want %+v", id, got, want)
		}
	}
	if waxes < 5 {
		t.Errorf("%d waxes", waxes)
	}
}

// A certificate of a free acid's own lot is dosed at what it says.
func TestCertifiedAcidIsDosedAsSaid(t *testing.T) {
	t.Parallel()
	lib := withLot(t, builtinMaterial("stearic_50"), 207, 208, 209)
	r := written(t, plainTow)
	r.Fats[1].Material = "LOT-1"
	p, err := Make(r, lib)
	if err != nil {
		t.Fatal(err)
	}
	if p.Fats[1].Sap.Dose != 208 {
		t.Errorf("dosed at %g, want 208", p.Fats[1].Sap.Dose)
	}
}
