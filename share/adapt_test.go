package share_test

import (
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"

	"barwright/finding"
	"barwright/material"
	"barwright/mould"
	"barwright/plan"
	"barwright/quantity"
	"barwright/recipe"
	"barwright/share"
)

func must[T any](v T, err error) *T {
	if err != nil {
		panic(err)
	}
	return &v
}

func readRecipe(t testing.TB, name string, edits ...finding.Edit) recipe.Recipe {
	t.Helper()
	data, err := os.ReadFile("../recipes/" + name + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	r, err := recipe.Parse(name, data, material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	if r, err = r.With(edits...); err != nil {
		t.Fatal(err)
	}
	return r
}

func made(t interface{ Fatal(...any) }, r recipe.Recipe) *plan.Plan {
	p, err := plan.Make(r, material.Builtin())
	if err != nil {
		t.Fatal(err, string(r.Print()))
	}
	return p
}

// The same soap anywhere: whatever size a reader wishes, the exact superfat
// stays within 0.01 point, which is what the makers are promised, and every
// addition keeps its part of the fats within the gram that the fats are rounded
// to.
func TestSameSoapAtAnySize(t *testing.T) {
	t.Parallel()
	recipes := []recipe.Recipe{readRecipe(t, "plain-tow"), readRecipe(t, "saltern"), readRecipe(t, "hive-reserve"), readRecipe(t, "lather-puck"),
		readRecipe(t, "reed-bed", finding.Edit{Key: "additions.0.amount", Value: "37.4 g"}, finding.Edit{Key: "additions.1.amount", Value: "1 tbsp us"}),
		readRecipe(t, "slow-olive", finding.Edit{Key: "size.fats", Value: ""}, finding.Edit{Key: "fats.0.share", Value: ""}, finding.Edit{Key: "fats.1.share", Value: ""},
			finding.Edit{Key: "fats.0.amount", Value: "20.9 oz"}, finding.Edit{Key: "fats.1.amount", Value: "1.33 oz"}),
		readRecipe(t, "plain-tow", finding.Edit{Key: "superfat", Value: ""}, finding.Edit{Key: "lye_strength", Value: ""}, finding.Edit{Key: "alkali.0.amount", Value: "50.12 g"}, finding.Edit{Key: "water", Value: "100 g"}),
	}
	m4 := &mould.Mould{Shape: mould.Cavity, Volume: must(quantity.ParseVolume("85 ml")), Count: 12, Fill: must(quantity.ParseShare("95 %"))}
	rapid.Check(t, func(t *rapid.T) {
		r := rapid.SampledFrom(recipes).Draw(t, "recipe")
		w := rapid.SampledFrom([]share.Wish{{Fats: must(quantity.ParseMass("431 g"))}, {Fats: must(quantity.ParseMass("9 lb"))}, {Fats: must(quantity.ParseMass("73 g"))},
			{Bars: must(quantity.ParseBars("11 x 100 g"))}, {Mould: m4, Fill: true}, {Scale: must(quantity.ParseMass("0.1 oz")), Fats: must(quantity.ParseMass("2 kg"))}}).Draw(t, "wish")
		out, err := w.Apply(r, material.Builtin())
		if err != nil {
			t.Fatal(err)
		}
		before, after := made(t, r), made(t, out)
		if math.Abs(before.Superfat.Typical-after.Superfat.Typical) > 0.01 {
			t.Fatalf("superfat %.4f becomes %.4f", before.Superfat.Typical, after.Superfat.Typical)
		}
		for i, a := range before.Additions {
			part, now := a.MassG/before.FatsG, after.Additions[i].MassG/after.FatsG
			if math.Abs(part-now) > 1e-5*part { // six figures are kept
				t.Fatalf("%s was %.6f of the fats and is %.6f", a.Name, part, now)
			}
		}
		switch {
		case w.Fats != nil && math.Abs(after.FatsG-w.Fats.G()) > 0.5:
			t.Fatalf("%g g of fats, wished %v", after.FatsG, w.Fats)
		case w.Bars != nil:
			if got := after.Batter.MassG * (1 - after.Bar.Loss.Typical/100); math.Abs(got-1100) > 2 { // a gram of fats is 1.5 g of bar
				t.Fatalf("bars of %g g together", got)
			}
		case w.Fill && (after.Mould.FillPct > 95 || after.Mould.FillPct < 94.7): // a gram of fats is 0.15 % of the mould
			t.Fatalf("filled to %g %%", after.Mould.FillPct)
		}
	})
}

// The wish changes what it names, and leaves the recipe it was made of alone.
func TestWishes(t *testing.T) {
	t.Parallel()
	r := readRecipe(t, "plain-tow")
	before := string(r.Print())
	out, err := share.Wish{Use: map[string]string{"fats.0.material": "lard"}, Scale: must(quantity.ParseMass("5 g")), Alkali: must(quantity.ParseMass("0.1 g")), AlkaliCarries: must(quantity.ParseMass("500 g"))}.Apply(r, material.Builtin())
	if err != nil || out.Scale.FatsCapacity != nil || out.Scale.AlkaliCapacity.G() != 500 || out.Fats[0].Material != "lard" || out.Scale.Fats.G() != 5 || out.Scale.Alkali.G() != 0.1 {
		t.Errorf("%+v (%v)", out, err)
	}
	if string(r.Print()) != before {
		t.Error("the recipe itself changed")
	}
	if _, err := (share.Wish{Fill: true}).Apply(readRecipe(t, "plain-tow", finding.Edit{Key: "mould", Value: ""}), material.Builtin()); err == nil {
		t.Error("no mould was filled")
	}
	if _, err := (share.Wish{Use: map[string]string{"fats.0.material": "unobtainium"}}).Apply(r, material.Builtin()); err == nil {
		t.Error("an unknown material was used")
	}
	if _, err := (share.Wish{Use: map[string]string{"fats.9.material": "lard"}}).Apply(r, material.Builtin()); err == nil {
		t.Error("a line that is not there was changed")
	}
}

// Materials nobody knows are told with the one they most likely are.
func TestMisses(t *testing.T) {
	t.Parallel()
	r := readRecipe(t, "hive-reserve")
	for i, c := range []struct{ id, nearest string }{{"rapeseed_low_eruic", "rapeseed_low_erucic"}, {"coconut_oil_76", "coconut"}, {"qqqqq", ""}, {"bees_wax", "beeswax"}} {
		r.Fats[i].Material = c.id
	}
	r.Additions[0].Material = "hony"
	got := share.Misses(r, material.Builtin())
	want := []share.Missing{{"fats.0.material", "rapeseed_low_eruic", "rapeseed_low_erucic"}, {"fats.1.material", "coconut_oil_76", "coconut"}, {"fats.2.material", "qqqqq", ""}, {"fats.3.material", "bees_wax", "beeswax"}, {"additions.0.material", "hony", "honey"}}
	if len(got) != len(want) {
		t.Fatalf("%+v", got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("%+v, want %+v", got[i], want[i])
		}
	}
	if m := share.Misses(readRecipe(t, "saltern"), material.Builtin()); len(m) > 0 {
		t.Errorf("%+v", m)
	}
}
