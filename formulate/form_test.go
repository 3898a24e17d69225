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

// A fat that is never used comes back in by its way out, which takes both keys;
// what only the shelf can give has none.
func TestEditsOfNever(t *testing.T) {
	t.Parallel()
	fields := map[string]string{"fats.0.material": "coconut", "fats.0.never": "true", "fats.1.material": "olive", "fats.2.material": "babassu", "fats.2.stock": "10 g",
		"limits.0.quantity": "c12_c14", "limits.0.min": "30", "objective.minimise": "change", "objective.from.0.material": "olive", "objective.from.0.share": "100"}
	make := func() *Answer {
		g, faults := FromFields(fields)
		if len(faults) > 0 {
			t.Fatal(faults)
		}
		a, err := Make(t.Context(), g, material.Builtin(), Options{Quick: true})
		if err != nil {
			t.Fatal(err)
		}
		return a
	}
	clash := make()
	for i, r := range clash.Relaxations {
		words := clash.Clash[i].Words
		switch {
		case words == "no coconut oil":
			for _, e := range r.Edits {
				fields[e.Key] = e.Value
			}
		case strings.HasPrefix(words, "no more than the 10 g of babassu oil") && r.Edits != nil:
			t.Errorf("%s writes %v", words, r.Edits)
		}
	}
	if fields["fats.0.never"] != "" || len(make().Recipes) == 0 {
		t.Errorf("still nothing fits: %v", fields)
	}
}

// What is of our own making costs nothing when nobody gave it a price, as on
// the shelf; what was bought and has none is no candidate for the cheapest.
func TestOwnCostsNothing(t *testing.T) {
	t.Parallel()
	for own, want := range map[string]float64{"true": 0, "": 5} {
		g, faults := FromFields(map[string]string{"shelf": "true", "objective.minimise": "cost", "fats.0.material": "tallow_beef", "fats.0.own": own, "fats.1.material": "olive", "fats.1.price": "5"})
		a, err := Make(t.Context(), g, material.Builtin(), Options{Quick: true})
		if len(faults) > 0 || err != nil || *a.Objective != want {
			t.Errorf("own %q: %v %v %v", own, faults, err, a.Objective)
		}
	}
}
