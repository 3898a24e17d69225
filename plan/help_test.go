package plan

import (
	"flag"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"barwright/finding"
	"barwright/material"
	"barwright/recipe"
)

// The drawn recipes are the same in every run; -rapid.seed=N draws others.
func TestMain(m *testing.M) {
	flag.Parse()
	for name, value := range map[string]string{"rapid.seed": "20", "rapid.nofailfile": "true"} {
		if f := flag.Lookup(name); f.Value.String() == f.DefValue {
			if err := flag.Set(name, value); err != nil {
				panic(err)
			}
		}
	}
	os.Exit(m.Run())
}

// failer is what a *testing.T, a *testing.B and a *rapid.T have in common.
type failer interface {
	Helper()
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
}

// plainTow is the baseline recipe: every figure of it is in a published
// standard, and nothing is in it but fats and lye.
const plainTow = `
format = 1
name = "Plain Tow"
superfat = "5 %"
lye_strength = "33 %"
[size]
fats = "880 g"
[[alkali]]
material = "naoh"
purity = "98.5 %"
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

// written reads a recipe and applies changes like "superfat=6 %".
func written(t failer, text string, changes ...string) recipe.Recipe {
	t.Helper()
	r, err := recipe.Parse("recipe", []byte(text), material.Builtin())
	if err != nil {
		t.Fatalf("%v in\n%s", err, text)
	}
	return changed(t, r, changes...)
}

// changed returns the recipe with changes like "superfat=6 %", checked.
func changed(t failer, r recipe.Recipe, changes ...string) recipe.Recipe {
	t.Helper()
	var edits []finding.Edit
	for _, c := range changes {
		key, value, _ := strings.Cut(c, "=")
		edits = append(edits, finding.Edit{Key: key, Value: value})
	}
	return edited(t, r, edits, material.Builtin())
}

func edited(t failer, r recipe.Recipe, edits []finding.Edit, lib *material.Library) recipe.Recipe {
	t.Helper()
	out, err := r.With(edits...)
	if err != nil {
		t.Fatalf("%v in\n%s", err, r.Print())
	}
	if fs := out.Check(lib); len(fs) > 0 {
		t.Fatalf("%s: %v in\n%s", fs[0].Path, fs[0], out.Print())
	}
	return out
}

// made plans a recipe that can be planned.
func made(t failer, r recipe.Recipe) *Plan {
	t.Helper()
	p, err := Make(r, material.Builtin())
	if err != nil {
		t.Fatalf("%v in\n%s", err, r.Print())
	}
	return p
}

// tenRecipes returns the recipes that come with the program.
func tenRecipes(t testing.TB) map[string]recipe.Recipe {
	t.Helper()
	files, err := filepath.Glob("../recipes/*.toml")
	if err != nil || len(files) < 10 {
		t.Fatalf("%d recipes, want ten at least (%v)", len(files), err)
	}
	out := map[string]recipe.Recipe{}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		out[strings.TrimSuffix(filepath.Base(file), ".toml")] = written(t, string(data))
	}
	return out
}

// near reports a and b within tolerance of each other.
func near(a, b, tolerance float64) bool { return a-b <= tolerance && b-a <= tolerance }

// exactly prints a number so that a recipe reads it back bit for bit.
func exactly(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// withID returns the findings with an id.
func withID(p *Plan, id string) (out []finding.Finding) {
	for _, f := range p.Findings {
		if f.ID == id {
			out = append(out, f)
		}
	}
	return out
}
