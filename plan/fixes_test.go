package plan

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"barwright/finding"
	"barwright/material"
	"barwright/source"

	"pgregory.net/rapid"
)

// Every finding is told whole, and a fix that is offered clears its own
// finding when the recipe is planned anew.
func TestFixesClearTheirFindings(t *testing.T) {
	t.Parallel()
	cleared := map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		r := drawRecipe(t, kitchen{})
		p := planOrSkip(t, r)
		for _, f := range p.Findings {
			checkTold(t, p, f)
			if len(f.Edits) == 0 {
				continue
			}
			after := made(t, edited(t, r, f.Edits, material.Builtin()))
			if again := sameFinding(p, f, after); again != nil {
				t.Fatalf("%q, %q: after %v it says %q in\n%s", f.Title, f.Fix, f.Edits, again.Title, r.Print())
			}
			for _, stop := range after.Findings {
				if stop.Severity == finding.Stop && len(withID(p, stop.ID)) == 0 {
					t.Fatalf("%q, %q: after %v it stops: %q in\n%s", f.Title, f.Fix, f.Edits, stop.Title, r.Print())
				}
			}
			cleared[f.ID]++
		}
	})
	if len(cleared) < 12 {
		t.Errorf("only %v were met", cleared)
	}
}

func TestFixesOfTenRecipes(t *testing.T) {
	t.Parallel()
	for _, r := range tenRecipes(t) {
		p := made(t, r)
		for _, f := range p.Findings {
			checkTold(t, p, f)
			if len(f.Edits) == 0 {
				continue
			}
			if again := sameFinding(p, f, made(t, edited(t, r, f.Edits, material.Builtin()))); again != nil {
				t.Errorf("%s: %q, %q: after %v it says %q", r.Name, f.Title, f.Fix, f.Edits, again.Title)
			}
		}
	}
}

// The recipes that trigger every finding are cured by the fixes they are
// offered, too.
func TestFixesOfTriggers(t *testing.T) {
	t.Parallel()
	fixed := map[string]bool{}
	for _, c := range triggers {
		r := written(t, c.text, c.changes...)
		p := made(t, r)
		for _, f := range p.Findings {
			checkTold(t, p, f)
			if len(f.Edits) == 0 {
				continue
			}
			if again := sameFinding(p, f, made(t, edited(t, r, f.Edits, material.Builtin()))); again != nil {
				t.Errorf("%q, %q: after %v it says %q", f.Title, f.Fix, f.Edits, again.Title)
			}
			fixed[f.ID] = true
		}
	}
	for _, r := range rules {
		if r.fixes != nil && !fixed[r.id] && r.id != certificateOdd.id && r.id != lotHeld.id { // TestCertificateInAnotherUnit, TestHeldLot
			t.Errorf("%s can offer a fix and never did", r.id)
		}
	}
}

func checkTold(t failer, p *Plan, f finding.Finding) {
	t.Helper()
	lines := f.ID == "" || f.Title == "" || f.Because == "" || strings.ContainsAny(f.Title+f.Because+f.Fix, "\n\t")
	if lines || strings.Contains(f.Title+f.Because+f.Fix, "NaN") || strings.Contains(f.Title+f.Because+f.Fix, "%!") {
		t.Fatalf("%+v is not told whole in\n%s", f, p.recipe.Print())
	}
	if f.Fix == "" && f.Severity <= finding.Caution {
		t.Fatalf("%s %q has no fix in\n%s", f.Severity, f.Title, p.recipe.Print())
	}
	for _, key := range f.Sources {
		if !source.Exists(key) {
			t.Fatalf("%s cites %q, which is no source", f.ID, key)
		}
	}
}

// sameFinding returns the finding of the plan after that has the id of f and
// is about the same thing, or nil.
func sameFinding(before *Plan, f finding.Finding, after *Plan) *finding.Finding {
	for _, g := range after.Findings {
		if g.ID == f.ID && subject(before, f) == subject(after, g) {
			return &g
		}
	}
	return nil
}

// subject is the line of the recipe a finding is about: the longest name of a
// material or stuff that its title holds, "" for the plan as a whole.
func subject(p *Plan, f finding.Finding) (name string) {
	look := func(n string) {
		if len(n) > len(name) && strings.Contains(strings.ToLower(f.Title), strings.ToLower(n)) {
			name = n
		}
	}
	for _, a := range p.Additions {
		look(a.Name)
	}
	for _, v := range p.vessels() {
		look(v.what)
	}
	return name
}

// No setting beside the masses silences a lye-heavy stop.
func TestNothingSilencesALyeHeavyStop(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		text := heavyJug
		if sometimes(t, "planned") {
			text = strings.Replace(plainTow, `"5 %"`, fmt.Sprintf(`"0.%d %%"`, rapid.IntRange(0, 9).Draw(t, "superfat")), 1)
		}
		cut := strings.Index(text, "[scale]")
		r := written(t, text[:cut]+silencers(t))
		stops := withID(made(t, r), "lye_heavy")
		if len(stops) != 1 || stops[0].Severity != finding.Stop {
			t.Fatalf("%v in\n%s", stops, r.Print())
		}
	})
}

// silencers draws everything that is not a mass, a material or an assay.
func silencers(t *rapid.T) string {
	var b strings.Builder
	drawMaking(t, &b)
	drawScale(t, &b)
	if sometimes(t, "has_mould") {
		b.WriteString(drawMould(t))
	}
	if sometimes(t, "rests") {
		b.WriteString("[[rest]]\nplace = \"fridge\"\ntemperature = \"4 °C\"\nfor = \"3 h\"\n")
	}
	return b.String()
}

// Nor does anything that binds lye slowly or perhaps, or a note.
func TestSlowTakersDoNotSilence(t *testing.T) {
	t.Parallel()
	for _, taker := range []string{"honey", "sugar", "milk", "clove_leaf_oil", "beer"} {
		r := written(t, heavyJug+"\n[[additions]]\nmaterial = \""+taker+"\"\namount = \"3 %\"\nwhen = \"trace\"\n")
		r.Note = "all is well; ok; acknowledged"
		if stops := withID(made(t, r), "lye_heavy"); len(stops) != 1 {
			t.Errorf("with %s: %v", taker, stops)
		}
	}
}

// Findings come danger first.
func TestDangerFirst(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		p := planOrSkip(t, drawRecipe(t, kitchen{}))
		if !slices.IsSortedFunc(p.Findings, func(a, b finding.Finding) int { return int(a.Severity) - int(b.Severity) }) {
			t.Fatalf("%v", p.Findings)
		}
	})
}

// A jug 24 g heavy leaves about −3.3 %: 291 g at 98.5 % are 7.167 mol, and the
// fats of 1880 g Plain Tow bind 1880 × 207 / 56105 = 6.936 mol.
func TestHeavyJugIsRefused(t *testing.T) {
	t.Parallel()
	p := made(t, written(t, heavyJug))
	if want := 100 * (1 - 291*0.985/39.997/(1880*207/56105.3)); !near(p.Superfat.Typical, want, 1e-3) || !near(want, -3.3, 0.05) {
		t.Errorf("superfat %.4f %%, by hand %.4f %%", p.Superfat.Typical, want)
	}
	if p.Superfat.Set != nil || p.Superfat.AsWeighed.Set != nil {
		t.Error("nobody set its superfat")
	}
	if p.Superfat.ChanceLyeHeavy < 0.95 || finding.Worst(p.Findings) != finding.Stop {
		t.Errorf("chance %g, worst %v", p.Superfat.ChanceLyeHeavy, finding.Worst(p.Findings))
	}
}
