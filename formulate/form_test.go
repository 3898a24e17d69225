package formulate

import (
	"maps"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"barwright/material"
)

// Every goal file that comes with the program is the same goal as the keys of a
// form and as a file again.
func TestGoalThroughAForm(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("../goals/*.toml")
	if err != nil || len(files) < 5 {
		t.Fatalf("%d goals, %v", len(files), err)
	}
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		goal, err := Parse(name, data, material.Builtin())
		if err != nil {
			t.Fatal(err)
		}
		again, faults := FromFields(goal.Fields())
		if len(faults) > 0 || string(again.Print()) != string(goal.Print()) {
			t.Errorf("%s by a form: %v\n%s\n%s", name, faults, again.Print(), goal.Print())
		}
		back, err := Parse(name, goal.Print(), material.Builtin())
		if err != nil || !maps.Equal(back.Fields(), goal.Fields()) {
			t.Errorf("%s printed: %v\n%s", name, err, goal.Print())
		}
	}
}

// A number alone has the unit of what it stands beside.
func TestUnitsOfAForm(t *testing.T) {
	t.Parallel()
	fields := map[string]string{"fats.0.material": "olive", "fats.0.price": "8,90", "fats.0.max": "60", "step": "1", "batch": "500",
		"limits.0.quantity": "poly", "limits.0.max": "12", "limits.1.quantity": "cox", "limits.1.max": "1.3", "limits.2.quantity": "cloud_point", "limits.2.max": "38",
		"limits.3.quantity": "cost_per_kg", "limits.3.max": "9", "limits.4.quantity": "share", "limits.4.material": "olive", "limits.4.min": "10", "limits.5.quantity": "poly", "limits.5.max": "some"}
	g, faults := FromFields(fields)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	if g.Limits[0].Max.Text != "12 %" || g.Limits[1].Max.Text != "1.3" || g.Limits[2].Max.Text != "38 °C" || g.Limits[3].Max.Text != "9 / kg" || g.Limits[4].Min.Text != "10 %" || g.Limits[5].Max.Text != "some" {
		t.Errorf("%s", g.Print())
	}
	if perGram, _ := g.Fats[0].Price.PerGram(); perGram != 0.0089 || g.Fats[0].Max.Percent != 60 || g.Step.Percent != 1 || g.Batch.G() != 500 {
		t.Errorf("%s", g.Print())
	}
}

// Every way out of the clash of a goal file, written in by its edits, lets a
// recipe fit, and the clash is told in words with the key it stands at.
func TestEditsOfRelaxations(t *testing.T) {
	t.Parallel()
	data, err := os.ReadFile("../goals/impossible.toml")
	if err != nil {
		t.Fatal(err)
	}
	goal, err := Parse("impossible.toml", data, material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	a, err := Make(t.Context(), goal, material.Builtin(), Options{Quick: true})
	if err != nil || len(a.Clash) < 2 || len(a.Clash) != len(a.Conflict) {
		t.Fatalf("%v, %d clashes", err, len(a.Clash))
	}
	fields := goal.Fields()
	for _, c := range a.Clash {
		if fields[c.Path] == "" || strings.Contains(c.Words, "_") || strings.Contains(c.Words, "=") {
			t.Errorf("%q stands at %q", c.Words, c.Path)
		}
	}
	for _, r := range a.Relaxations {
		if r.Edits == nil {
			continue
		}
		eased := maps.Clone(fields)
		for _, e := range r.Edits {
			eased[e.Key] = e.Value
		}
		g, faults := FromFields(eased)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		if now, err := Make(t.Context(), g, material.Builtin(), Options{Quick: true}); err != nil || len(now.Recipes) == 0 {
			t.Errorf("%s: %v, %v", r.Sentence, r.Edits, err)
		}
	}
}
