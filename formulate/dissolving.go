package formulate

import (
	"fmt"
	"math"

	"barwright/internal/milp"
	"barwright/makeup"
)

// dissolving asks that a share d of the soap can dissolve, at least or at most.
// L can dissolve exactly when L ≤ Σ min(z, L x), which rises from 0 and is
// concave, so the largest L is at least d when d ≤ Σ min(z, d x), and at most d
// when d ≥ Σ min(z, d x). Both sides are multiplied by all acids T, which makes
// them linear in the shares. eq. 8 and 9.
func (b *builder) dissolving(name string, k int, l limit, value float64) {
	if b.guards != nil {
		value += b.guard * b.guards[k] * map[bool]float64{true: 1, false: -1}[l.atLeast]
	}
	d := value / 100
	if d >= 1 && !l.atLeast {
		return // no more than all can dissolve
	}
	var tC float64
	fmt.Sscanf(l.name, "dissolving_%gc", &tC)
	acids := makeup.Solubles(tC, b.koh)
	low, high := -inf, 0.0
	if l.atLeast {
		low, high = 0, inf
	}
	sum := b.perFat(func(c *candidate) float64 { return -d * c.soluble(acids) })
	for n, a := range acids {
		there := func(c *candidate) float64 { return makeup.AcidPercent(c.Material, a.Acid) }
		held := func(c *candidate) float64 { return d * a.Most * c.soluble(acids) }
		sum = append(sum, b.lesser(fmt.Sprintf("%s_acid%d", name, n+1), there, held, l.atLeast)...)
	}
	b.AddRow(name, low, high, merged(sum)...)
}

// soluble is all acids of the fat that have a Krafft temperature [%].
func (c *candidate) soluble(acids []makeup.Soluble) (percent float64) {
	for _, a := range acids {
		percent += makeup.AcidPercent(c.Material, a.Acid)
	}
	return percent
}

// perFat is something of every fat per 100 g of the blend.
func (b *builder) perFat(of func(*candidate) float64) (terms []milp.Term) {
	for i, c := range b.fats {
		terms = append(terms, b.fatTerms(i, short(of(c)*b.unit/100))...)
	}
	return terms
}

// lesser returns terms that stand for the lesser of two linear quantities of
// the blend: nowhere above it when it is wanted large, nowhere below it
// otherwise, and able to meet it. Where one of the two is the lesser in every
// fat, it is so in every blend, and nothing needs to be decided.
func (b *builder) lesser(name string, one, other func(*candidate) float64, wantedLarge bool) []milp.Term {
	oneOver, otherOver := 0.0, 0.0 // by how much at most one is above the other, and the reverse
	for _, c := range b.fats {
		over := one(c) - other(c)
		oneOver, otherOver = max(oneOver, over), max(otherOver, -over)
	}
	if oneOver == 0 {
		return b.perFat(one)
	}
	if otherOver == 0 {
		return b.perFat(other)
	}
	w := b.Add(milp.Var{Name: name, High: 101})
	less := func(of func(*candidate) float64) []milp.Term {
		return append(b.perFat(func(c *candidate) float64 { return -of(c) }), milp.Term{Var: w, Coef: 1})
	}
	if wantedLarge {
		b.AddRow(name+"_there", -inf, 0, less(one)...)
		b.AddRow(name+"_held", -inf, 0, less(other)...)
		return []milp.Term{{Var: w, Coef: 1}}
	}
	which := b.Add(milp.Var{Name: name + "_which", High: 1, Integer: true})
	oneOver, otherOver = ceilMilli(oneOver), ceilMilli(otherOver)
	b.AddRow(name+"_there", 0, inf, append(less(one), milp.Term{Var: which, Coef: oneOver})...)
	b.AddRow(name+"_held", -otherOver, inf, append(less(other), milp.Term{Var: which, Coef: -otherOver})...)
	return []milp.Term{{Var: w, Coef: 1}}
}

func ceilMilli(v float64) float64 { return math.Ceil(v*1000) / 1000 }

// merged adds the terms of each variable up, in the order they come.
func merged(terms []milp.Term) (out []milp.Term) {
	place := map[int]int{}
	for _, t := range terms {
		k, ok := place[t.Var]
		if !ok {
			k = len(out)
			place[t.Var] = k
			out = append(out, milp.Term{Var: t.Var})
		}
		out[k].Coef = short(out[k].Coef + t.Coef)
	}
	return out
}
