package formulate

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"

	"barwright/finding"
	"barwright/internal/milp"
	"barwright/plan"
	"barwright/quantity"
	"barwright/recipe"
)

// Answer is what came of a goal; encoding/json writes it with the names other
// programs rely on.
type Answer struct {
	Name        string       `json:"name"`
	Status      string       `json:"status"` // optimal, infeasible or limit; shares are bounded, so nothing is unbounded
	Minimise    string       `json:"minimise"`
	Objective   *float64     `json:"objective"`
	Proof       Proof        `json:"proof"`
	Recipes     []Recipe     `json:"recipes"` // best first, those that are not to be made last
	Worth       []Worth      `json:"worth"`   // what moving a wish a little would gain
	Curve       []Point      `json:"curve"`   // the objective against one limit
	CurveOf     string       `json:"curve_of,omitempty"`
	Nature      *Nature      `json:"nature"`      // the best recipe over the ranges of its fats
	Was         *Behaviours  `json:"was"`         // the recipe that change and behaviour start from
	Conflict    []string     `json:"conflict"`    // the smallest set of wishes that clash, as written
	Lines       []int        `json:"lines"`       // where they stand in the file, 0 nowhere
	Clash       []Clash      `json:"clash"`       // the same in words
	Smallest    bool         `json:"smallest"`    // proved: no smaller set clashes; else the time ran out before the fewest were found
	Relaxations []Relaxation `json:"relaxations"` // of each of them
	Notes       []string     `json:"notes"`
}

// Clash is one wish of a conflict in words, and the key of the goal that it was
// written at; "" for what only the shelf says.
type Clash struct {
	Words string `json:"words"`
	Path  string `json:"path"`
}

// Proof says how sure the answer is. Every certificate behind it was checked
// in rational arithmetic: docs/model/formulate.md.
type Proof struct {
	Bound *float64 `json:"bound"` // nothing is better than this
	Gap   *float64 `json:"gap"`   // between objective and bound, of 1 + objective
	Nodes int      `json:"nodes"`
	Exact bool     `json:"exact"` // bound, or that nothing fits, is proved and not only computed
}

// Recipe is one recipe that fits.
type Recipe struct {
	Name      string            `json:"name"`
	Objective float64           `json:"objective"`
	Fats      []FatShare        `json:"fats"` // largest share first
	CostPerKg *float64          `json:"cost_per_kg"`
	Distance  *float64          `json:"distance"` // from the nearest of those before it [points]; null for the first
	Makeup    plan.Makeup       `json:"makeup"`
	Findings  []finding.Finding `json:"findings"`
	Safe      bool              `json:"safe"` // it holds no stop, and neither seizes, freezes nor sets in the pot
	Behaves   Behaviours        `json:"behaves"`
	AlkaliG   float64           `json:"alkali_g"` // as bought, for the batch
	File      string            `json:"file"`     // the recipe file

	plan *plan.Plan
}

// Plan returns the batch plan of the recipe.
func (r Recipe) Plan() *plan.Plan { return r.plan }

// FatShare is the share of one fat, or of one lot of it.
type FatShare struct {
	Material string  `json:"material"`
	Name     string  `json:"name"`
	SharePct float64 `json:"share_pct"`
	Lot      string  `json:"lot,omitempty"`
	Free     bool    `json:"free,omitempty"` // of our own, without a price: counted as free
}

func (m *maker) emptyAnswer() Answer {
	return Answer{Name: m.goal.Name, Minimise: m.goal.Objective.Minimise, Recipes: []Recipe{}, Worth: []Worth{}, Curve: []Point{},
		Conflict: []string{}, Lines: []int{}, Clash: []Clash{}, Relaxations: []Relaxation{}, Notes: []string{}}
}

func (a *Answer) prove(s milp.Solution) {
	a.Proof.Nodes = s.Nodes
	a.Proof.Exact = s.Status != milp.Limit
	if s.Bound == nil {
		return
	}
	bound, _ := s.Bound.Float64()
	a.Proof.Bound, a.Proof.Exact = &bound, true
	if s.X != nil {
		gap := s.Gap()
		a.Proof.Gap = &gap
	}
}

// tellEnd says why there are no more recipes.
func (m *maker) tellEnd(s milp.Solution, have int) {
	switch {
	case s.Status != milp.Infeasible:
		m.out.Notes = append(m.out.Notes, "The time ran out before all alternatives were found.")
	case have == 1:
		m.out.Notes = append(m.out.Notes, "No other recipe differs that much and fits.")
	default:
		m.out.Notes = append(m.out.Notes, fmt.Sprintf("Only %d recipes differ that much and fit.", have))
	}
}

// offered is a blend with what its plan says.
type offered struct {
	Recipe
	blend
}

// plan plans a blend as a recipe, before which there are so many.
func (m *maker) plan(b blend, objective *big.Rat, before int) (o offered, err error) {
	name := cmp.Or(m.goal.Name, "Formulated")
	if before > 0 {
		name = fmt.Sprintf("%s, choice %d", name, before+1)
	}
	r := m.recipeOf(name, b)
	if fs := r.Check(m.lib); len(fs) > 0 {
		return o, fs[0]
	}
	p, err := plan.Make(r, m.lib)
	if err != nil {
		return o, err
	}
	o.blend = b
	o.Recipe = Recipe{Name: name, File: string(r.Print()), Makeup: p.Makeup, Findings: p.Findings, Safe: safe(p.Findings), Behaves: behaviours(p), plan: p}
	o.Objective, _ = objective.Float64()
	for _, a := range p.Alkali {
		o.AlkaliG += a.MassG
	}
	cost := 0.0
	for _, q := range b {
		o.Fats = append(o.Fats, FatShare{q.ID, q.Name, q.share, q.lot.id, q.lot.free})
		cost += q.share / 100 * q.lot.perKg
	}
	slices.SortStableFunc(o.Fats, func(a, b FatShare) int { return cmp.Compare(b.SharePct, a.SharePct) })
	if !math.IsNaN(cost) {
		o.CostPerKg = &cost
	}
	return o, nil
}

// has reports a finding.
func (r Recipe) has(id string) bool {
	return slices.ContainsFunc(r.Findings, func(f finding.Finding) bool { return f.ID == id })
}

// present puts what was found into the answer, what can be made first, and
// returns the first.
func (m *maker) present(found []offered) blend {
	slices.SortStableFunc(found, func(a, b offered) int {
		switch {
		case a.Safe && !b.Safe:
			return -1
		case b.Safe && !a.Safe:
			return 1
		}
		return cmp.Compare(a.Objective, b.Objective)
	})
	for i, o := range found {
		for _, e := range found[:i] {
			if d := o.changeFrom(e.blend); o.Distance == nil || d < *o.Distance {
				o.Distance = &d
			}
		}
		m.out.Recipes = append(m.out.Recipes, o.Recipe)
	}
	return found[0].blend
}

// unmakeable are the cautions that a recipe found by a search had better not have.
var unmakeable = []string{"seizing", "will_freeze", "wax_high"}

// safe reports a plan without a stop, that will neither seize, freeze nor set in
// the pot.
func safe(fs []finding.Finding) bool {
	return !slices.ContainsFunc(fs, func(f finding.Finding) bool {
		return f.Severity == finding.Stop || f.Severity <= finding.Caution && slices.Contains(unmakeable, f.ID)
	})
}

// recipeOf writes a blend as a recipe. Shares are rounded to a hundredth of a
// per cent, and the largest takes up what that leaves.
func (g *problem) recipeOf(name string, b blend) recipe.Recipe {
	superfat, strength := quantity.Share{Percent: short(100 * g.superfat)}, quantity.Share{Percent: short(100 * g.strength)}
	if s := g.goal.Superfat; s != nil {
		superfat = *s
	}
	size := quantity.Grams(g.batchG)
	if s := g.goal.Batch; s != nil {
		size = *s
	}
	r := recipe.Recipe{Format: 1, Name: name, Superfat: &superfat, LyeStrength: &strength, Size: &recipe.Size{Fats: &size},
		Alkali: g.goal.Alkali, Combine: g.goal.Combine, Scale: g.goal.Scale}
	left, largest := 100.0, 0
	for _, q := range b.byFat() {
		share := math.Round(q.share*100) / 100
		if share == 0 {
			continue
		}
		left -= share
		if r.Fats = append(r.Fats, recipe.Fat{Material: q.ID, Share: &quantity.Share{Percent: share}}); share > r.Fats[largest].Share.Percent {
			largest = len(r.Fats) - 1
		}
	}
	r.Fats[largest].Share.Percent = math.Round((r.Fats[largest].Share.Percent+left)*100) / 100
	return r
}

// byFat adds the lots of each fat up, the largest share first.
func (b blend) byFat() (out blend) {
	for _, q := range b {
		if i := slices.IndexFunc(out, func(o portion) bool { return o.ID == q.ID }); i >= 0 {
			out[i].share += q.share
		} else {
			out = append(out, q)
		}
	}
	slices.SortStableFunc(out, func(a, b portion) int { return cmp.Compare(b.share, a.share) })
	return out
}

// Placed gives an error of Make its line in the goal's file.
func (g Goal) Placed(err error) error {
	var f recipe.Fault
	if g.doc == nil || !errors.As(err, &f) {
		return err
	}
	return g.doc.Fault(f.Path, f.Advice, "%s", f.Text)
}

// line is the line of a path in the goal's file, 0 when it stands nowhere.
func (g Goal) line(path string) int {
	if g.doc == nil || path == "" {
		return 0
	}
	return g.doc.Line(path)
}
