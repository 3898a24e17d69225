package plan

import (
	"testing"
	"testing/fstest"

	"barwright/finding"
	"barwright/material"
	"barwright/recipe"
)

// papers is a shelf of lots with what their papers say.
func papers(t *testing.T) *material.Library {
	t.Helper()
	lib, err := material.Builtin().With(fstest.MapFS{
		"clove.toml": {Data: []byte("id = 'clove_7'\nof = 'clove_leaf_oil'\nlimit = '0.7 % of bar'\n")},
		"pine.toml":  {Data: []byte("id = 'pine_1'\nof = 'fragrance_oil'\nlimit = '2 % of bar'\n")},
		"rose.toml":  {Data: []byte("id = 'rose_1'\nof = 'fragrance_oil'\nlimit = '2 % of bar'\n")},
		"lye.toml":   {Data: []byte("id = 'lye_3'\nof = 'naoh'\npurity = '97 %'\n")},
	}, "own")
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

func madeOf(t *testing.T, lib *material.Library, text string, edits ...finding.Edit) *Plan {
	t.Helper()
	r, err := recipe.Parse("recipe", []byte(text), lib)
	if err != nil {
		t.Fatal(err)
	}
	p, err := Make(edited(t, r, edits, lib), lib)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// A lot's own limit stops a plan that gives none, and a limit that the recipe
// writes is the one that counts. 1 % of the fats is 0.7 to 0.8 % of the bar.
func TestLimitOfTheLot(t *testing.T) {
	t.Parallel()
	lib, text := papers(t), added("clove_7", "1.2 %", "trace", `stir = "hand"`)
	p := madeOf(t, lib, text)
	found := withID(p, "scent_over_limit")
	if len(found) != 1 || found[0].Severity != finding.Stop {
		t.Fatalf("over its own limit: %v", found)
	}
	if len(withID(p, "scent_limit_unknown")) > 0 {
		t.Error("the limit of the lot is said to be unknown")
	}
	if len(withID(madeOf(t, lib, text, found[0].Edits...), "scent_over_limit")) > 0 {
		t.Error("the fix does not clear it")
	}
	if len(withID(madeOf(t, lib, text, edit("additions.0.limit", "3 %% of bar")), "scent_over_limit")) > 0 {
		t.Error("the recipe's own limit does not count")
	}
}

// A scent split over a lot and its material, or over two lots, is one scent;
// two bottles of what stands for any are two.
func TestSplitOverLots(t *testing.T) {
	t.Parallel()
	lib := papers(t)
	more := func(id string) string {
		return "\n[[additions]]\nmaterial = \"" + id + "\"\namount = \"0.6 %\"\nwhen = \"trace\"\n"
	}
	if n := len(withID(madeOf(t, lib, base+more("clove_7")), "scent_over_limit")); n != 0 {
		t.Fatal("0.6 % of the fats is under 0.7 % of the bar")
	}
	if n := len(withID(madeOf(t, lib, base+more("clove_7")+more("clove_leaf_oil")), "scent_over_limit")); n != 1 {
		t.Errorf("the lot with its material beside it: %d stops, want 1", n)
	}
	two := base + "\n[[additions]]\nmaterial = \"pine_1\"\namount = \"2 %\"\nwhen = \"trace\"\n[[additions]]\nmaterial = \"rose_1\"\namount = \"2 %\"\nwhen = \"trace\"\n"
	if n := len(withID(madeOf(t, lib, two), "scent_over_limit")); n != 0 {
		t.Errorf("two scents within their limits: %d stops", n)
	}
}

// The assay of a lot of alkali is planned with unless the recipe writes one:
// the pure alkali stays, so that the mass goes as 1/assay.
func TestAssayOfTheLot(t *testing.T) {
	t.Parallel()
	lib := papers(t)
	of := func(edits ...finding.Edit) *Plan {
		return madeOf(t, lib, base, append([]finding.Edit{edit("alkali.0.material", "lye_3")}, edits...)...)
	}
	pure := madeOf(t, lib, base, edit("alkali.0.purity", "100 %%")).Alkali[0].MassG
	unsaid := of(edit("alkali.0.purity", ""))
	if got := unsaid.Alkali[0]; !near(got.MassG, pure/0.97, 1e-9*pure) || !near(got.PurityPct, 97, 1e-9) { // rounding of float64
		t.Errorf("%.3f g at %g %%, want %.3f", got.MassG, got.PurityPct, pure/0.97)
	}
	if len(withID(unsaid, "purity_assumed")) > 0 {
		t.Error("the assay of the lot is said to be unknown")
	}
	if got := of(); !near(got.Alkali[0].PurityPct, 98.5, 1e-9) {
		t.Errorf("the recipe writes 98.5 %%, planned with %g %%", got.Alkali[0].PurityPct)
	}
	if got := of(edit("alkali.0.purity", ""), edit("alkali.0.stock_strength", "50 %%")); !near(got.Alkali[0].PurityPct, 50, 1e-9) {
		t.Errorf("a stock lye of 50 %%, planned with %g %%", got.Alkali[0].PurityPct)
	}
}

// Planning changes neither the recipe nor what it is known by.
func TestPapersLeaveTheRecipe(t *testing.T) {
	t.Parallel()
	lib := papers(t)
	r, err := recipe.Parse("recipe", []byte(added("clove_7", "0.5 %", "trace")), lib)
	if err != nil {
		t.Fatal(err)
	}
	before := string(r.Print())
	p, err := Make(r, lib)
	if err != nil {
		t.Fatal(err)
	}
	if after := string(r.Print()); after != before || p.Recipe.Hash != r.Hash() {
		t.Errorf("the recipe is now\n%s", after)
	}
}
