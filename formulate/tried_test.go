package formulate

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"barwright/material"
)

// every visits every blend of the fats in steps, of at most n of them.
func (g *problem) every(step float64, visit func(blend)) {
	b := make(blend, 0, len(g.fats))
	var fill func(i int, left float64)
	fill = func(i int, left float64) {
		if i == len(g.fats)-1 {
			if left > 0 {
				visit(append(b, portion{g.fats[i], g.fats[i].lots[0], left}))
			} else {
				visit(b)
			}
			return
		}
		for s := 0.0; s <= left; s += step {
			if s > 0 {
				b = append(b, portion{g.fats[i], g.fats[i].lots[0], s})
			}
			fill(i+1, left-s)
			if s > 0 {
				b = b[:len(b)-1]
			}
		}
	}
	fill(0, 100)
}

// meets judges a blend by what the wishes say, without any programme.
func (g *problem) meets(b blend) bool {
	share := map[string]float64{}
	for _, p := range b {
		share[p.ID] = p.share
	}
	if n := g.goal.MaxFats; n != nil && len(b) > *n {
		return false
	}
	for _, c := range g.fats {
		s := share[c.ID]
		switch f := c.fat; {
		case f.Never && s > 0, f.Must && s == 0, f.Max != nil && s > f.Max.Percent, f.Min != nil && s > 0 && s < f.Min.Percent:
			return false
		}
	}
	for _, l := range g.limits {
		if !l.holds(g, b) {
			return false
		}
	}
	return true
}

// objectiveOf works out what is minimised, without any programme.
func (g *problem) objectiveOf(b blend) (v float64) {
	switch g.goal.Objective.Minimise {
	case Cost:
		for _, p := range b {
			v += p.share / 100 * p.lot.perKg
		}
	case Change:
		return b.changeFrom(g.from)
	default:
		for _, t := range g.targets {
			v += t.weight * math.Abs(t.measure.value(g, b)-t.value)
		}
	}
	return v
}

// bent are the limits that are not linear in the shares, with values that some
// recipes meet and some do not.
var bent = []string{
	`quantity = "dissolving_20c"` + "\nmin = \"70 %\"", `quantity = "dissolving_20c"` + "\nmax = \"75 %\"", `quantity = "dissolving_35c"` + "\nmin = \"88 %\"",
	`quantity = "dissolving_45c"` + "\nmax = \"97 %\"", `quantity = "cloud_point"` + "\nmax = \"41 °C\"", `quantity = "clear_point"` + "\nmax = \"50 °C\"",
	`quantity = "cost_per_bar"` + "\nmax = \"0.38 each\"", `quantity = "cost_per_bar"` + "\nmin = \"0.33 each\"", `quantity = "change"` + "\nmax = \"35 %\"",
	`quantity = "iodine_value"` + "\nmax = \"66\"", `quantity = "poly"` + "\nmin = \"6 %\"\nmax = \"14 %\"", `quantity = "share"` + "\nmaterial = \"lard\"\nmin = \"10 %\"",
}

func triedGoal(rng *rand.Rand) string {
	text := "format = 1\nstep = \"5 %\"\nbar = \"110 g\"\n"
	if rng.IntN(2) == 0 {
		text += fmt.Sprintf("max_fats = %d\n", 2+rng.IntN(3))
	}
	fats := []string{"tallow_beef", "lard", "coconut", "olive", "castor", "beeswax", "stearic_50", "rapeseed_low_erucic", "shea"}
	rng.Shuffle(len(fats), func(i, j int) { fats[i], fats[j] = fats[j], fats[i] })
	lard := false
	for i, f := range append(fats[:3:3], "tallow_beef", "lard") {
		if i >= 3 && (f == fats[0] || f == fats[1] || f == fats[2]) {
			continue
		}
		lard = lard || f == "lard"
		text += fmt.Sprintf("[[fats]]\nmaterial = %q\nprice = \"%d.%d / kg\"\n", f, 3+rng.IntN(4), rng.IntN(10))
		if rng.IntN(3) == 0 {
			text += fmt.Sprintf("min = \"%d %%\"\n", 3+rng.IntN(10))
		}
		if rng.IntN(3) == 0 {
			text += fmt.Sprintf("max = \"%d %%\"\n", 30+rng.IntN(50))
		}
		if rng.IntN(8) == 0 {
			text += "must = true\n"
		}
	}
	for range 1 + rng.IntN(3) {
		text += "[[limits]]\n" + bent[rng.IntN(len(bent))] + "\n"
	}
	text += "[objective]\nminimise = \"" + []string{Cost, Distance, Change, Behaviour}[rng.IntN(4)] + "\"\n"
	text += "[[objective.targets]]\nquantity = \"c12_c14\"\nvalue = \"14 %\"\n[[objective.targets]]\nquantity = \"cox\"\nvalue = \"1.1\"\nweight = 4\n"
	return text + "[[objective.from]]\nmaterial = \"tallow_beef\"\nshare = \"60 %\"\n[[objective.from]]\nmaterial = \"lard\"\nshare = \"40 %\"\n"
}

// Small goals in steps of 5 %, with every kind of wish, solved again by trying
// every recipe and judging it by the sciences themselves: what cannot be
// written as it stands (cloud point, dissolving share, price of a bar) is
// written rightly.
func TestAgainstEveryRecipe(t *testing.T) {
	t.Parallel()
	n := uint64(120)
	if testing.Short() {
		n = 20
	}
	fit := 0
	for seed := range n {
		text := triedGoal(rand.New(rand.NewPCG(seed, 3)))
		goal, err := Parse("goal", []byte(text), material.Builtin())
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		a, err := Make(context.Background(), goal, material.Builtin(), Options{Quick: true})
		if err != nil {
			t.Fatal(err)
		}
		g, err := newProblem(goal, material.Builtin())
		if err != nil {
			t.Fatal(err)
		}
		best := math.Inf(1)
		g.every(5, func(b blend) {
			if g.meets(b) {
				best = min(best, g.objectiveOf(b))
			}
		})
		switch {
		case math.IsInf(best, 1) != (a.Status == "infeasible"):
			t.Errorf("seed %d: %s, the best tried out %g\n%s", seed, a.Status, best, text)
		case a.Objective != nil && math.Abs(*a.Objective-best) > 1e-9*(1+best):
			t.Errorf("seed %d: %.12g, tried out %.12g\n%s", seed, *a.Objective, best, text)
		case a.Objective != nil:
			fit++
		}
	}
	if fit < int(n)/3 || fit == int(n) {
		t.Errorf("of %d goals %d have a recipe: some should, some not", n, fit)
	}
}
