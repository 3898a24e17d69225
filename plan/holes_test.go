package plan

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"barwright/finding"
	"barwright/material"
	"barwright/recipe"
)

// Ways by which a dangerous plan once got through, each closed.

// Splitting a line of honey, or two sugars for one, does not let doubt average
// out: the band stays that of one line.
func TestSplittingHoneyHidesNothing(t *testing.T) {
	t.Parallel()
	lines := func(n int, id string) string {
		text := base
		for range n {
			text += fmt.Sprintf("\n[[additions]]\nmaterial = %q\namount = \"%g %%\"\nwhen = \"trace\"\n", id, 6/float64(n))
		}
		return text
	}
	one := made(t, written(t, lines(1, "honey"), "superfat=1.2 %")).Superfat.Band
	ten := made(t, written(t, lines(10, "honey"), "superfat=1.2 %")).Superfat.Band
	if !near(one.Low, ten.Low, 0.05) || !near(one.SD, ten.SD, 0.05) || !near(one.ChanceLyeHeavy, ten.ChanceLyeHeavy, 0.005) {
		t.Errorf("one line %.2f (sd %.2f, %.4f), ten lines %.2f (sd %.2f, %.4f)", one.Low, one.SD, one.ChanceLyeHeavy, ten.Low, ten.SD, ten.ChanceLyeHeavy)
	}
	if p := made(t, written(t, lines(10, "honey"), "superfat=1.2 %")); finding.Worst(p.Findings) != finding.Stop {
		t.Error("ten lines of honey are let through")
	}
}

// Two lines of one scent are one scent.
func TestSplittingScentHidesNothing(t *testing.T) {
	t.Parallel()
	half := "\n[[additions]]\nmaterial = \"lavender_oil\"\namount = \"0.6 %\"\nwhen = \"trace\"\nlimit = \"0.5 % of bar\"\n"
	if len(withID(made(t, written(t, base+half)), "scent_over_limit")) != 0 {
		t.Fatal("0.6 % of the fats is under 0.5 % of the bar")
	}
	if len(withID(made(t, written(t, base+half+half)), "scent_over_limit")) == 0 {
		t.Error("two halves pass the limit unseen")
	}
}

// A file of the maker's own cannot change what a mole of lye weighs.
func TestMolarMassIsOfNature(t *testing.T) {
	t.Parallel()
	file := "id = \"naoh\"\nname = \"Odd lye\"\nof = \"naoh\"\n[molar_mass]\nlow = 60\ntypical = 60\nhigh = 60\nunit = \"g/mol\"\nsource = \"certificate\"\ngrade = \"measured\"\n"
	lib, err := material.Builtin().With(fstest.MapFS{"naoh.toml": {Data: []byte(file)}}, "own")
	if err != nil {
		return // refused is as good
	}
	r := written(t, base)
	p, err := Make(r, lib)
	if err != nil {
		t.Fatal(err)
	}
	if want := made(t, r).Alkali[0].MassG; !near(p.Alkali[0].MassG, want, 1e-9) {
		t.Errorf("%.2f g of alkali, want %.2f", p.Alkali[0].MassG, want)
	}
}

// A wax whose certificate gives the saponification value for the acid value
// would be dosed whole.
func TestWaxDosedWhole(t *testing.T) {
	t.Parallel()
	file := "id = \"my_wax\"\nname = \"My wax\"\nof = \"beeswax\"\n[acid_value]\nlow = 95\ntypical = 95\nhigh = 95\nunit = \"mg KOH/g\"\nsource = \"certificate\"\ngrade = \"measured\"\n"
	lib, err := material.Builtin().With(fstest.MapFS{"wax.toml": {Data: []byte(file)}}, "own")
	if err != nil {
		t.Fatal(err)
	}
	p, err := Make(edited(t, written(t, base), []finding.Edit{{Key: "fats.1.material", Value: "my_wax"}}, lib), lib)
	if err != nil {
		t.Fatal(err)
	}
	if f := withID(p, "certificate_odd"); len(f) != 1 || f[0].Severity != finding.Stop {
		t.Errorf("%+v", f)
	}
}

// A trace of potassium does not silence the heat of the lye.
func TestTraceOfPotassiumIsNoSilencer(t *testing.T) {
	t.Parallel()
	two := strings.Replace(base, "purity = \"98.5 %\"", "purity = \"98.5 %\"\nshare = \"99.96 %\"\n[[alkali]]\nmaterial = \"koh\"\npurity = \"90 %\"\nshare = \"0.04 %\"", 1)
	p := made(t, written(t, two, "lye.water_temperature=60 °C"))
	if finding.Worst(p.Findings) != finding.Stop {
		t.Error("lye in water of 60 °C is let through")
	}
}

// Units mixed up are told in words: no button weighs out more lye.
func TestAbsurdSuperfatOffersNoLye(t *testing.T) {
	t.Parallel()
	p := made(t, written(t, heavyJug, "alkali.0.amount=80 g"))
	f := withID(p, "superfat_high")
	if len(f) != 1 || f[0].Severity != finding.Stop || len(f[0].Edits) != 0 {
		t.Errorf("%+v", f)
	}
}

// The largest recipe that can be written can be planned.
func TestLargestRecipe(t *testing.T) {
	t.Parallel()
	r := written(t, base)
	ids := material.Builtin().IDs()
	r.Fats, r.Additions = nil, nil
	for _, id := range ids {
		m, err := material.Builtin().Find(id)
		if err != nil {
			t.Fatal(err)
		}
		switch one := "1 %"; {
		case m.Kind.IsFat() && m.Kind != material.Wax && len(r.Fats) < 50:
			f := recipe.Fat{Material: id}
			r.Fats = append(r.Fats, f)
		case !m.Kind.IsFat() && m.Kind != material.Alkali && len(r.Additions) < 60:
			a := recipe.Addition{Material: id, When: recipe.AtTrace}
			if err := a.Amount.UnmarshalText([]byte(one)); err != nil {
				t.Fatal(err)
			}
			r.Additions = append(r.Additions, a)
		}
	}
	var edits []finding.Edit
	for i := range r.Fats {
		edits = append(edits, finding.Edit{Key: fmt.Sprintf("fats.%d.share", i), Value: fmt.Sprintf("%.4f %%", 100/float64(len(r.Fats)))})
	}
	r, err := r.With(edits...)
	if err != nil {
		t.Fatal(err)
	}
	p, err := Make(r, material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	if b := p.Superfat.Band; math.IsNaN(b.Low) || b.Low > b.High {
		t.Errorf("%+v", b)
	}
	if most := 4 * (60 + 60 + 10); most > 768 {
		t.Errorf("%d columns may be needed", most)
	}
}

// A size table that says nothing, with fats by mass, is no size.
func TestEmptySizeWithMasses(t *testing.T) {
	t.Parallel()
	text := heavyJug + "\n[size]\nmould = false\n"
	r, err := recipe.Parse("recipe", []byte(text), material.Builtin())
	if err != nil {
		return // refused with its line is as good
	}
	if p := made(t, r); !near(p.FatsG, 1880, 0.01) {
		t.Errorf("%.1f g of fats", p.FatsG)
	}
}
