package formulate

import (
	"context"
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"barwright/material"
	"barwright/plan"
	"barwright/quantity"
	"barwright/recipe"
)

// Every recipe offered, on random goals: it differs from the others by the
// distance asked for, none is better than the one before it, its shares come to
// 100 %, it meets every wish when judged without the programme, and its file
// plans.
func TestRecipesOffered(t *testing.T) {
	t.Parallel()
	n := uint64(20)
	if testing.Short() {
		n = 6
	}
	several := 0
	for _, kind := range []string{"generic", "degenerate", "whole"} {
		for seed := range n {
			goal := drawGoal(kind, 2000+seed)
			goal.Alternatives, goal.Distance = 3, share(8)
			a := mustMake(t, goal, Options{Quick: true})
			g, err := newProblem(goal, material.Builtin())
			if err != nil {
				t.Fatal(err)
			}
			if len(a.Recipes) > 2 {
				several++
			}
			var earlier []blend
			for i, r := range a.Recipes {
				b := blendOf(t, g, r)
				checkOffered(t, g, r, b)
				if i > 0 && r.Safe == a.Recipes[i-1].Safe && r.Objective < a.Recipes[i-1].Objective-1e-9 {
					t.Errorf("%s: choice %d is better than the one before", goal.Name, i+1)
				}
				if i > 0 && r.Safe && !a.Recipes[i-1].Safe {
					t.Errorf("%s: choice %d can be made, and stands after one that cannot", goal.Name, i+1)
				}
				for k, e := range earlier {
					if !r.Safe || !a.Recipes[k].Safe {
						continue // one that can be made may lie beside one that cannot
					}
					if d := b.changeFrom(e); d < 8-1e-6 {
						t.Errorf("%s: choice %d differs by %g", goal.Name, i+1, d)
					}
				}
				earlier = append(earlier, b)
			}
		}
	}
	if several < int(n) {
		t.Errorf("only %d goals have several recipes", several)
	}
}

func blendOf(t *testing.T, g *problem, r Recipe) (b blend) {
	t.Helper()
	for _, f := range r.Fats {
		for _, c := range g.fats {
			for _, l := range c.lots {
				if c.ID == f.Material && l.id == f.Lot {
					b = append(b, portion{c, l, f.SharePct})
				}
			}
		}
	}
	if len(b) != len(r.Fats) {
		t.Fatalf("%v are not all candidates", r.Fats)
	}
	return b
}

func checkOffered(t *testing.T, g *problem, r Recipe, b blend) {
	t.Helper()
	sum := 0.0
	for _, p := range b {
		sum += p.share
		if f := p.fat; f.Max != nil && p.share > f.Max.Percent+1e-7 || f.Min != nil && p.share < f.Min.Percent-1e-7 {
			t.Errorf("%s: %s at %g %%", g.goal.Name, p.ID, p.share)
		}
	}
	if math.Abs(sum-100) > 1e-9 {
		t.Errorf("%s: the shares come to %g", g.goal.Name, sum)
	}
	for _, l := range g.limits {
		if !l.holds(g, b) {
			t.Errorf("%s: %s is %g, limit %g", g.goal.Name, l.name, l.measure.value(g, b), l.value)
		}
	}
	if got := g.objectiveOf(b); math.Abs(got-r.Objective) > 1e-7*(1+got) {
		t.Errorf("%s: the objective is %g, not %g", g.goal.Name, got, r.Objective)
	}
	read, err := recipe.Parse("offered", []byte(r.File), material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	p, err := plan.Make(read, material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Findings) != len(r.Findings) || p.Recipe.Hash != r.Plan().Recipe.Hash {
		t.Errorf("%s: its file plans otherwise", g.goal.Name)
	}
}

// What a wish costs is what the goal gives when the wish is written so: moved,
// solved again, the same objective.
func TestWorthIsWhatItSaves(t *testing.T) {
	t.Parallel()
	n := uint64(12)
	if testing.Short() {
		n = 3
	}
	seen := 0
	for _, kind := range []string{"generic", "whole"} {
		for seed := range n {
			goal := drawGoal(kind, 3000+seed)
			a := mustMake(t, goal, Options{Samples: 10})
			g, err := newProblem(goal, material.Builtin())
			if err != nil {
				t.Fatal(err)
			}
			for _, v := range a.Worth {
				i := slices.IndexFunc(g.wishes, func(w wish) bool { return w.written == v.Wish })
				w := g.wishes[i]
				moved := mustMake(t, with(t, goal, w.path, g.movedText(w, v.By)), Options{Quick: true})
				if moved.Objective == nil || math.Abs(*moved.Objective-v.Objective) > 1e-6*(1+math.Abs(v.Objective)) {
					t.Errorf("%s: %q moved by %g: %v, said %g", goal.Name, v.Wish, v.By, moved.Objective, v.Objective)
				}
				if v.Saves <= 0 || v.Sentence == "" {
					t.Errorf("%s: %+v", goal.Name, v)
				}
				seen++
			}
		}
	}
	if seen < int(n) {
		t.Errorf("only %d wishes cost anything", seen)
	}
}

// movedText is a wish's value moved outward, as the file writes it.
func (g *problem) movedText(w wish, by float64) string {
	switch w.kind {
	case wishLimit:
		return g.limits[w.limit].moved(by)
	case wishCount:
		return trim(w.value+by, 0)
	case wishLeast:
		by = -by
	}
	if w.kind == wishLeast && w.value+by <= 0 {
		return ""
	}
	return trim(min(100, w.value+by), 4) + " %"
}

const cheapGoal = `format = 1
step = "1 %"
max_fats = 4
alternatives = 2
batch = "2 kg"
[[fats]]
material = "coconut"
max = "30 %"
own = true
lots = []
price = "5.10 / kg"
[[fats]]
material = "lard"
[[fats.lots]]
id = "old"
price = "3.00 / kg"
stock = "400 g"
[[fats.lots]]
id = "new"
price = "3.40 / kg"
[[fats]]
material = "olive"
price = "8.90 / kg"
[[limits]]
quantity = "poly"
max = "9 %"
[[limits]]
quantity = "own"
min = "15 %"
[[limits]]
quantity = "dissolving_20c"
min = "80 %"
[objective]
minimise = "cost"
[curve]
quantity = "poly"
from = "7 %"
to = "9 %"
points = 3
`

func cheap(t *testing.T) Goal {
	t.Helper()
	goal, err := Parse("cheap.toml", []byte(cheapGoal), material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	return goal
}

// Lots: the cheap one is used up before the dear one, and the recipe's file
// adds them up.
func TestLots(t *testing.T) {
	t.Parallel()
	a := mustMake(t, cheap(t), Options{})
	lots := map[string]float64{}
	for _, f := range a.Recipes[0].Fats {
		lots[f.Material+f.Lot] = f.SharePct
	}
	if lots["lardold"] != 20 || lots["lardnew"] == 0 || lots["coconut"] < 15 {
		t.Errorf("%v", lots)
	}
	if strings.Count(a.Recipes[0].File, "lard") != 1 {
		t.Errorf("the file has the lots apart:\n%s", a.Recipes[0].File)
	}
}

// The curve never improves as its limit tightens, and ends at the optimum when
// it ends at the goal's own limit.
func TestCurve(t *testing.T) {
	t.Parallel()
	a := mustMake(t, cheap(t), Options{})
	if len(a.Curve) != 3 || a.Curve[2].Objective == nil || *a.Curve[2].Objective != *a.Objective {
		t.Fatalf("%+v", a.Curve)
	}
	for i, p := range a.Curve[:2] {
		if p.Objective != nil && *p.Objective < *a.Curve[i+1].Objective {
			t.Errorf("tighter is better: %+v", a.Curve)
		}
	}
}

// The same goal gives the same answer, byte for byte.
func TestDeterministic(t *testing.T) {
	t.Parallel()
	first, err := json.Marshal(mustMake(t, cheap(t), Options{Seed: 4}))
	if err != nil {
		t.Fatal(err)
	}
	second, _ := json.Marshal(mustMake(t, cheap(t), Options{Seed: 4}))
	if string(first) != string(second) {
		t.Error("two answers to one goal")
	}
}

// A limit that is tight holds in about half of nature's draws; a robust goal
// keeps every limit in the share asked for, on other draws too, and pays for it.
func TestRobust(t *testing.T) {
	t.Parallel()
	goal := cheap(t)
	goal.Limits[0].Max, goal.Limits[2].Min = &Value{"10 %"}, &Value{"75 %"}
	plain := mustMake(t, goal, Options{Seed: 1})
	if k := plain.Nature.Kept; k < 0.2 || k > 0.9 {
		t.Errorf("the best recipe keeps its tight limits in %g of the draws", k)
	}
	goal.Robust = share(95)
	sure := mustMake(t, goal, Options{Seed: 1})
	if sure.Status != "optimal" || sure.Nature.Kept < 0.95 || !sure.Nature.Robust || *sure.Nature.Costs <= 0 {
		t.Fatalf("%s, %+v", sure.Status, sure.Nature)
	}
	m := maker{problem: mustProblem(t, goal), opts: Options{Seed: 77, Samples: 4000}}
	if k := m.nature(blendOf(t, m.problem, sure.Recipes[0])).Kept; k < 0.93 {
		t.Errorf("on other draws it keeps only %g", k)
	}
	goal.Robust = share(99.9)
	goal.Limits[0] = Limit{Quantity: "poly", Min: &Value{"9.4 %"}, Max: &Value{"9.5 %"}}
	if a := mustMake(t, goal, Options{Seed: 1}); a.Status != "infeasible" || a.Conflict[0] != `robust = "99.9 %"` || a.Proof.Exact {
		t.Errorf("nobody can be that sure of a tenth of a point: %s %q", a.Status, a.Conflict)
	}
}

func mustProblem(t *testing.T, goal Goal) *problem {
	t.Helper()
	g, err := newProblem(goal, material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// Draws keep the sum of a profile, stay above nothing and centre near the
// typical value; every acid range holds it.
func TestDraws(t *testing.T) {
	t.Parallel()
	for _, id := range []string{"coconut", "olive", "beeswax", "stearic_50", "neem"} {
		m, err := material.Builtin().Find(id)
		if err != nil {
			t.Fatal(err)
		}
		c := newCandidate(m)
		d, mean := newDraws(5, c), map[string]float64{}
		const n = 400
		for range n {
			sum := 0.0
			for acid, v := range d.next().Profile.Acids {
				if v < 0 {
					t.Fatalf("%s: %g %% %s", id, v, acid)
				}
				sum += v
				mean[acid] += v / n
			}
			if math.Abs(sum-d.total) > 1e-9 {
				t.Fatalf("%s: acids come to %g, not %g", id, sum, d.total)
			}
		}
		for acid, p := range m.Profile.Acids {
			r := rangeOf(m, acid)
			if p < r.low || p > r.high || math.Abs(mean[acid]-p) > 0.5*(r.high-r.low)+1e-9 {
				t.Errorf("%s %s: %g in %v, mean %g", id, acid, p, r, mean[acid])
			}
		}
	}
}

// Without time there is no recipe, and no false claim either.
func TestCutShort(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithTimeout(context.Background(), -time.Second)
	defer cancel()
	a, err := Make(ctx, cheap(t), material.Builtin(), Options{})
	if err != nil || a.Status != "limit" || len(a.Recipes) > 0 || len(a.Conflict) > 0 || a.Proof.Gap != nil {
		t.Errorf("%v, %+v", err, a)
	}
	a = mustMake(t, drawGoal("whole", 5), Options{Nodes: 3, Quick: true})
	if a.Status != "limit" || a.Proof.Bound == nil {
		t.Errorf("%s, %+v", a.Status, a.Proof)
	}
}

// Every range in the file belongs to an acid and a fat that are there, in a
// source that is there.
func TestRangesFile(t *testing.T) {
	t.Parallel()
	lines, err := readRanges()
	if err != nil || len(lines) < 200 {
		t.Fatalf("%d ranges, %v", len(lines), err)
	}
	checkRanges(t, lines)
}

func TestShelf(t *testing.T) {
	t.Parallel()
	price := quantity.Price{Amount: 3, Per: "kg"}
	goal := Goal{Format: 1, Shelf: true, Fats: []Fat{{Material: "olive", Max: share(40)}}, Objective: Objective{Minimise: Cost}}
	stocked := []Fat{{Material: "olive", Lots: []Lot{{ID: "o1", Price: &price}}}, {Material: "lard", Lots: []Lot{{ID: "l1", Price: &price}, {ID: "l2"}}}, {Material: "shea", Lots: []Lot{{ID: "s1"}}}}
	a := mustMake(t, goal.OnShelf(stocked), Options{Quick: true})
	if a.Status != "optimal" || len(a.Notes) != 2 {
		t.Fatalf("%s %q", a.Status, a.Notes)
	}
	if goal.Fats[0].Lots != nil {
		t.Error("the goal given was changed")
	}
	if _, err := Make(context.Background(), Goal{Format: 1, Shelf: true, Objective: goal.Objective}, material.Builtin(), Options{}); err == nil || !strings.Contains(err.Error(), "no fat on the shelf") {
		t.Errorf("an empty shelf: %v", err)
	}
	goal.Shelf = false
	if b := goal.OnShelf(stocked); len(b.Fats) != 1 || b.Fats[0].Lots == nil {
		t.Errorf("%+v", b.Fats)
	}
}
