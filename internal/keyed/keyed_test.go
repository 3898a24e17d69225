package keyed_test

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"barwright/internal/keyed"
	"barwright/material"
	"barwright/recipe"
)

// A recipe comes back from its fields as it was.
func TestFieldsAndBack(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("../../recipes/*.toml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no recipes (%v)", err)
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		want, err := recipe.Parse(f, data, material.Builtin())
		if err != nil {
			t.Fatal(err)
		}
		got, faults := recipe.FromFields(want.Fields())
		if len(faults) > 0 || !cmp.Equal(want, got, cmp.Comparer(func(a, b recipe.Recipe) bool { return string(a.Print()) == string(b.Print()) })) {
			t.Errorf("%s: %v\n%s\n%s", f, faults, want.Print(), got.Print())
		}
	}
}

// A number alone gets the unit of its key; nonsense is told by its path and
// leaves the rest.
func TestFill(t *testing.T) {
	t.Parallel()
	r, faults := recipe.FromFields(map[string]string{"name": " Tow ", "superfat": "5", "size.fats": "880", "combine.fats_temperature": "40", "mould.volume": "85",
		"fats.0.material": "olive", "fats.0.share": "5,5", "fats.10.share": "x %", "no.such": "1", "additions.0.amount": "2", "rest.0.for": "24"})
	for what, got := range map[string][2]string{
		"superfat": {r.Superfat.String(), "5 %"}, "fats": {r.Size.Fats.String(), "880 g"}, "temperature": {r.Combine.FatsTemperature.String(), "40 °C"},
		"volume": {r.Mould.Volume.String(), "85 ml"}, "share": {r.Fats[0].Share.String(), "5.5 %"}, "amount": {r.Additions[0].Amount.String(), "2 %"}, "for": {r.Rest[0].For.String(), "24 h"}, "name": {r.Name, "Tow"},
	} {
		if got[0] != got[1] {
			t.Errorf("%s is %q, want %q", what, got[0], got[1])
		}
	}
	if len(faults) != 2 || faults[0].Path != "fats.10.share" || faults[1].Path != "no.such" {
		t.Errorf("faults %+v", faults)
	}
}

// Whatever a form sends, Fill neither panics nor makes endless lists.
func TestFillOfAnything(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		key := rapid.SampledFrom([]string{"fats.0.share", "fats.9999999.share", "fats.-1.share", "fats", "fats.0", "size", "a.b.c", "", ".", "rest.3.place", "alkali.0.purity.x"})
		fields := rapid.MapOf(key, rapid.String()).Draw(t, "fields")
		var r recipe.Recipe
		keyed.Fill(&r, fields)
		if len(r.Fats) > 100 || len(r.Rest) > 100 {
			t.Fatal("endless list")
		}
	})
}
