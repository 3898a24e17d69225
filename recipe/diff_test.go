package recipe_test

import (
	"maps"
	"os"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"barwright/finding"
	"barwright/material"
	"barwright/recipe"
)

func readRecipe(t *testing.T, name string) recipe.Recipe {
	t.Helper()
	data, err := os.ReadFile("../recipes/" + name + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	r, err := recipe.Parse(name, data, material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Every kind of change in words, and how many causes it leaves.
func TestDiff(t *testing.T) {
	t.Parallel()
	type edits = []finding.Edit
	for _, c := range []struct {
		file   string
		edits  edits
		want   []string
		causes int
	}{
		{"wax-rind", nil, nil, 0},
		// One share cannot change alone: beeswax for sunflower is one thing.
		{"wax-rind", edits{{Key: "fats.3.share", Value: "5 %"}, {Key: "fats.0.share", Value: "45 %"}}, []string{"high-oleic sunflower oil 47 → 45 %", "beeswax 3 → 5 %"}, 1},
		{"wax-rind", edits{{Key: "lye_strength", Value: "33 %"}, {Key: "combine.fats_temperature", Value: "52 °C"}}, []string{"lye strength 34 → 33 %", "fats at 58 → 52 °C"}, 2},
		{"wax-rind", edits{{Key: "combine.fats_temperature", Value: "136.4 °F"}}, []string{"fats at 58 °C → 136.4 °F"}, 1},
		{"wax-rind", edits{{Key: "fats.3.material", Value: "candelilla"}}, []string{"beeswax left out, was 3 %", "candelilla wax added, 3 %"}, 1},
		{"wax-rind", edits{{Key: "combine.stir", Value: "hand"}}, []string{"stirred by: hand, was not given"}, 1},
		{"wax-rind", edits{{Key: "name", Value: "Rind"}, {Key: "note", Value: "x"}}, []string{"name Wax Rind → Rind", "the note: x, was not given"}, 0},
		{"wax-rind", edits{{Key: "method", Value: "hot"}}, []string{"made cold → hot"}, 1},
		{"wax-rind", edits{{Key: "size.fats", Value: ""}, {Key: "size.bars", Value: "11 x 100 g"}}, []string{"size 680 g of fats → 11 x 100 g bars"}, 1},
		{"dark-heather", edits{{Key: "additions.0.when", Value: "trace"}}, []string{"honey goes in at trace instead of into the lye"}, 1},
		{"dark-heather", edits{{Key: "additions", Value: ""}, {Key: "rest.0.fan", Value: ""}, {Key: "rest.0.cover", Value: "towel 10 mm"}},
			[]string{"honey left out, was 1.5 % into the lye", "rest, under: towel 10 mm, was not given", "no longer: rest with a fan"}, 3},
		{"dark-heather", edits{{Key: "mould.inside", Value: "300 x 62 x 62 mm"}, {Key: "mould.wall", Value: "card 2 mm"}},
			[]string{"mould box of 349 x 62 x 62 mm → box of 300 x 62 x 62 mm", "wall of the mould softwood 12 mm → card 2 mm"}, 2},
		{"dark-heather", edits{{Key: "alkali.0.purity", Value: "97 %"}, {Key: "scale.alkali", Value: "0.1 g"}}, []string{"sodium hydroxide, assay 98.5 → 97 %", "step of the alkali's scale 1 → 0.1 g"}, 2},
		{"dark-heather", edits{{Key: "rest", Value: ""}}, []string{"rest: no longer given, was room", "rest, at: no longer given, was 19 °C", "rest, for: no longer given, was 24 h", "no longer: rest with a fan"}, 4},
	} {
		a := readRecipe(t, c.file)
		b, err := a.With(c.edits...)
		if err != nil {
			t.Fatal(err)
		}
		changes := recipe.Diff(a, b, material.Builtin())
		var got []string
		for _, ch := range changes {
			got = append(got, ch.String())
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%v: %q, want %q", c.edits, got, c.want)
		}
		if n := recipe.Causes(changes); n != c.causes {
			t.Errorf("%v: %d causes, want %d", c.edits, n, c.causes)
		}
	}
}

// Two lines of one material, at two times, are told apart.
func TestDiffOfTwoLinesOfOneMaterial(t *testing.T) {
	t.Parallel()
	a := readRecipe(t, "dark-heather")
	second := a.Additions[0]
	second.When = recipe.AtTrace
	a.Additions = append(slices.Clone(a.Additions), second)
	b, err := a.With(finding.Edit{Key: "additions.1.amount", Value: "3 %"})
	if err != nil {
		t.Fatal(err)
	}
	changes := recipe.Diff(a, b, material.Builtin())
	if len(changes) != 1 || changes[0].Text != "honey 1.5 → 3 %" {
		t.Errorf("%v", changes)
	}
}

// Laws: nothing differs from itself; what differs one way differs the other
// way in as many things; two recipes that print alike do not differ, two that
// print differently do.
func TestDiffLaws(t *testing.T) {
	t.Parallel()
	lib := material.Builtin()
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawRecipe(t), drawRecipe(t)
		if d := recipe.Diff(a, a, lib); len(d) > 0 {
			t.Fatalf("differs from itself: %v", d)
		}
		there, back := recipe.Diff(a, b, lib), recipe.Diff(b, a, lib)
		if len(there) != len(back) || recipe.Causes(there) != recipe.Causes(back) {
			t.Fatalf("%d changes one way, %d the other:\n%v\n%v", len(there), len(back), there, back)
		}
		if same := string(a.Print()) == string(b.Print()); !same && len(there) == 0 {
			t.Fatalf("no difference between\n%s\nand\n%s", a.Print(), b.Print())
		}
	})
}

// Every key of a recipe that can change is told.
func TestDiffTellsEveryKey(t *testing.T) {
	t.Parallel()
	lib := material.Builtin()
	rapid.Check(t, func(t *rapid.T) {
		a := drawRecipe(t)
		fields := a.Fields()
		key := rapid.SampledFrom(slices.Sorted(maps.Keys(fields))).Draw(t, "key")
		if key == "format" || fields[key] == "cold" || key == "mould.count" && fields[key] == "1" {
			return // the same as when it is not given
		}
		b, err := a.With(finding.Edit{Key: key, Value: ""})
		if err != nil {
			t.Fatal(err)
		}
		if len(b.Fats) != len(a.Fats) || string(a.Print()) == string(b.Print()) {
			return
		}
		if len(recipe.Diff(a, b, lib)) == 0 {
			t.Fatalf("taking %s away is not told", key)
		}
	})
}
