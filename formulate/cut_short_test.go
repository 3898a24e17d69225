package formulate

import (
	"context"
	"slices"
	"strings"
	"testing"

	"barwright/material"
)

// late is a context whose time is up after so many looks at it.
type late struct {
	context.Context
	looks *int
}

func after(n int) late { return late{context.Background(), &n} }

func (l late) Err() error {
	*l.looks--
	if *l.looks < 0 {
		return context.DeadlineExceeded
	}
	return nil
}

func goalOf(t *testing.T, text string) Goal {
	t.Helper()
	g, err := Parse("goal.toml", []byte(text), material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	return g
}

const twoFats = `format = 1
[[fats]]
material = "olive"
price = "3 / kg"
[[fats]]
material = "coconut"
price = "9 / kg"
[[limits]]
quantity = "c12_c14"
min = "14 %"
[objective]
minimise = "cost"
`

// However early a robust search is cut short, it says so: it neither falls over
// nor rules out what it did not look at.
func TestRobustCutShort(t *testing.T) {
	t.Parallel()
	goal := goalOf(t, strings.Replace(twoFats, "format = 1\n", "format = 1\nrobust = \"95 %\"\n", 1))
	for n := range 60 {
		a, err := Make(after(n), goal, material.Builtin(), Options{Quick: true})
		if err != nil {
			t.Fatal(err)
		}
		if a.Status == "infeasible" {
			t.Errorf("cut short at look %d: it rules the wish out", n)
		}
	}
	a, err := Make(t.Context(), goal, material.Builtin(), Options{})
	if err != nil || a.Status != "optimal" || strings.Contains(a.ProofWords(""), "Proved") {
		t.Errorf("%v, %v: %q", a.Status, err, a.ProofWords(""))
	}
}

// Wishes that cannot be met are not said to be the fewest, nor is a way out
// offered, when the time ran out while that was looked for.
func TestClashCutShort(t *testing.T) {
	t.Parallel()
	goal := goalOf(t, twoFats+"[[limits]]\nquantity = \"cost_per_kg\"\nmax = \"1 / kg\"\n[[limits]]\nquantity = \"iodine_value\"\nmax = \"200\"\n")
	full, err := Make(t.Context(), goal, material.Builtin(), Options{})
	if err != nil || full.Status != "infeasible" || !full.Smallest || len(full.Relaxations) != len(full.Conflict) {
		t.Fatalf("%+v, %v", full, err)
	}
	cut := 0
	for n := range 40 {
		a, err := Make(after(n), goal, material.Builtin(), Options{})
		if err != nil {
			t.Fatal(err)
		}
		if a.Status != "infeasible" {
			continue
		}
		if !a.Smallest {
			cut++
		}
		if a.Smallest && !slices.Equal(a.Conflict, full.Conflict) {
			t.Errorf("cut at look %d: %v, smallest %v", n, a.Conflict, a.Smallest)
		}
		for i, r := range a.Relaxations {
			if r.Sentence != full.Relaxations[i].Sentence {
				t.Errorf("cut at look %d: %q", n, r.Sentence)
			}
		}
	}
	if cut == 0 {
		t.Error("nothing was cut short")
	}
}

// The curve moves the goal's own wish, on both of its sides.
func TestCurveMovesTheWish(t *testing.T) {
	t.Parallel()
	goal := goalOf(t, twoFats+"[curve]\nquantity = \"c12_c14\"\nmin = true\nfrom = \"5 %\"\nto = \"20 %\"\npoints = 4\n")
	a, err := Make(t.Context(), goal, material.Builtin(), Options{})
	if err != nil || len(a.Curve) != 4 {
		t.Fatalf("%v, %d points", err, len(a.Curve))
	}
	for i, p := range a.Curve {
		g := goalOf(t, strings.Replace(twoFats, `"14 %"`, `"`+trim(p.Value, 3)+` %"`, 1))
		alone, err := Make(t.Context(), g, material.Builtin(), Options{Quick: true})
		if err != nil {
			t.Fatal(err)
		}
		if d := *p.Objective - *alone.Objective; d > 1e-9 || d < -1e-9 {
			t.Errorf("at %g: %g on the curve, %g when asked for", p.Value, *p.Objective, *alone.Objective)
		}
		if i > 0 && !(*p.Objective > *a.Curve[i-1].Objective) {
			t.Errorf("more of it does not cost more: %v", a.Curve)
		}
	}
}

// A fat that must be in it and has no price is asked about, never left out.
func TestMustNeedsAPrice(t *testing.T) {
	t.Parallel()
	goal := goalOf(t, "format = 1\nshelf = true\n"+strings.TrimPrefix(twoFats, "format = 1\n"))
	goal.Fats = append(goal.Fats, Fat{Material: "neem", Must: true})
	if _, err := Make(t.Context(), goal, material.Builtin(), Options{Quick: true}); err == nil || !strings.Contains(err.Error(), "has no price") {
		t.Errorf("%v", err)
	}
}
