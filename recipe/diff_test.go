package recipe

import (
	"os"
	"slices"
	"testing"

	"barwright/finding"
	"barwright/material"
)

func TestDiff(t *testing.T) {
	t.Parallel()
	data, err := os.ReadFile("../recipes/wax-rind.toml")
	if err != nil {
		t.Fatal(err)
	}
	a, err := Parse("wax-rind", data, material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		edits []finding.Edit
		want  []string
	}{
		{nil, nil},
		{[]finding.Edit{{Key: "fats.3.share", Value: "5 %"}, {Key: "fats.0.share", Value: "45 %"}}, []string{"Beeswax 3 % → 5 %", "High-oleic sunflower oil 47 % → 45 %"}},
		{[]finding.Edit{{Key: "lye_strength", Value: "33 %"}, {Key: "combine.fats_temperature", Value: "52 °C"}}, []string{"lye strength 34 % → 33 %", "combine, fats temperature 58 °C → 52 °C"}},
		{[]finding.Edit{{Key: "fats.3.material", Value: "candelilla"}}, []string{"Beeswax gone, was 3 %", "Candelilla wax added: 3 %"}},
		{[]finding.Edit{{Key: "combine.stir", Value: "hand"}}, []string{"combine, stir added: hand"}},
	} {
		b, err := a.With(c.edits...)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, ch := range Diff(a, b, material.Builtin()) {
			got = append(got, ch.String())
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%v: %q, want %q", c.edits, got, c.want)
		}
		if n := len(Diff(b, a, material.Builtin())); n != len(c.want) {
			t.Errorf("%v backward: %d changes, want %d", c.edits, n, len(c.want))
		}
	}
	moved := a
	moved.Fats = []Fat{a.Fats[1], a.Fats[0], a.Fats[2], a.Fats[3]}
	if d := Diff(a, moved, material.Builtin()); len(d) != 0 {
		t.Errorf("moving a line is told as %v", d)
	}
}
