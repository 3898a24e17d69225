package formulate

import (
	"fmt"
	"math"

	"barwright/internal/milp"
	"barwright/material"
	"barwright/plan"
)

// minimise adds the objective. eq. 2 and 3.
func (b *builder) minimise() {
	switch b.goal.Objective.Minimise {
	case Cost:
		for i, c := range b.fats {
			for k, l := range c.lots {
				b.Vars[b.x[i][k]].Cost = short(l.perKg * b.unit / 100)
			}
		}
	case Change:
		for _, t := range b.risen("change") {
			b.Vars[t.Var].Cost += t.Coef
		}
	default:
		for k, t := range b.targets {
			b.aim(k, t)
		}
	}
}

// aim adds weight × |value − target|, as what it is over and what it is under.
func (b *builder) aim(k int, t target) {
	terms := b.terms(t.measure, 0)
	most := math.Abs(t.value)
	for _, term := range terms {
		most = max(most, math.Abs(t.value-term.Coef*100/b.unit))
	}
	over := b.Add(milp.Var{Name: fmt.Sprintf("over%d_%s", k+1, word(t.name)), High: math.Ceil(most), Cost: t.weight})
	under := b.Add(milp.Var{Name: fmt.Sprintf("under%d_%s", k+1, word(t.name)), High: math.Ceil(most), Cost: t.weight})
	terms = append(terms, milp.Term{Var: over, Coef: -1}, milp.Term{Var: under, Coef: 1})
	b.AddRow(fmt.Sprintf("target%d_%s", k+1, word(t.name)), t.value, t.value, terms...)
}

// likeness is how a recipe behaves, as targets for another: every chain group,
// which decides lather and feel; the Cox value, which decides how long it
// keeps; free acids and hard wax, which with the groups decide the minutes at
// the pot and the cloud point. The weights, per unit of each, are this
// project's own judgement: one point of wax or free acid changes a batch as
// much as some points of a chain group.
func (g *problem) likeness() (out []target) {
	weights := map[string]float64{"cox": 3, "free_acids": 2, "hard_wax": 4, "unsaponified": 1, "sap": 0.1}
	for _, m := range measures {
		w, ok := weights[m.name]
		if _, isGroup := groupWordsByName[m.name]; isGroup {
			w, ok = 1, true
		}
		if ok {
			out = append(out, target{m, short(m.value(g, g.from)), w})
		}
	}
	return out
}

var groupWordsByName = func() map[string]bool {
	out := map[string]bool{}
	for g := range groupWords {
		out[string(g)] = true
	}
	return out
}()

// without asks for a recipe without what spoils o: no more wax than a batch
// bears, half of the wax that freezes out, half of the acids that seize; else for
// one that differs by so many points.
func (p *program) without(g *problem, o offered, name string, points float64) {
	isAcid := func(m material.Material) bool { return m.Kind == material.FreeAcid }
	wax, acid := o.share(plan.IsHardWax), o.share(isAcid)
	switch {
	case o.has("wax_high") && wax > 100*plan.MostWax-0.05:
		p.atMost(g, name, plan.IsHardWax, 100*plan.MostWax-0.05) // shares are rounded to a hundredth
	case o.has("will_freeze") && wax > 0:
		p.atMost(g, name, plan.IsHardWax, short(wax/2))
	case o.has("seizing") && acid > 0:
		p.atMost(g, name, isAcid, short(acid/2))
	default:
		p.keepAway(name, o.blend, points)
	}
}

// share is how much of a recipe is of a kind [%].
func (b blend) share(is func(material.Material) bool) (percent float64) {
	for _, q := range b {
		if is(q.Material) {
			percent += q.share
		}
	}
	return percent
}

// atMost asks for no more of a kind than so much [%].
func (p *program) atMost(g *problem, name string, is func(material.Material) bool, percent float64) {
	var terms []milp.Term
	for i, xs := range p.x {
		for _, x := range xs {
			if is(g.fats[i].Material) {
				terms = append(terms, milp.Term{Var: x, Coef: p.unit})
			}
		}
	}
	p.AddRow(name, -inf, percent, terms...)
}

// keepAway asks for a recipe that differs from an earlier one by at least so
// many points: the sum of what shares have risen. Of the fats it did not have
// every gram has; for the others a 0-1 variable says whether they rose. eq. 10.
func (p *program) keepAway(name string, earlier blend, points float64) {
	share := make([]float64, len(p.x))
	for _, q := range earlier {
		share[q.index] += q.share
	}
	var sum []milp.Term
	for i, xs := range p.x {
		var terms []milp.Term
		for _, x := range xs {
			terms = append(terms, milp.Term{Var: x, Coef: p.unit})
		}
		if share[i] == 0 {
			sum = append(sum, terms...)
			continue
		}
		rose := p.Add(milp.Var{Name: fmt.Sprintf("%s_rose%d", name, i+1), High: 1, Integer: true})
		by := p.Add(milp.Var{Name: fmt.Sprintf("%s_by%d", name, i+1), High: 100})
		p.AddRow(fmt.Sprintf("%s_if%d", name, i+1), -inf, 0, milp.Term{Var: by, Coef: 1}, milp.Term{Var: rose, Coef: -short(max(0, 100-share[i]))})
		p.AddRow(fmt.Sprintf("%s_at_most%d", name, i+1), 0, inf, append(terms, milp.Term{Var: rose, Coef: -share[i]}, milp.Term{Var: by, Coef: -1})...)
		sum = append(sum, milp.Term{Var: by, Coef: 1})
	}
	p.AddRow(name, points, inf, sum...)
}
