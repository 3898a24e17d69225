package formulate

import (
	"fmt"
	"math"

	"barwright/internal/milp"
	"barwright/melt"
)

// limit adds the rows of one limit.
func (b *builder) limit(i int, w wish) {
	l := b.limits[w.limit]
	sign := 1.0 // outward is up
	if l.atLeast {
		sign = -1
	}
	b.limitAt(fmt.Sprintf("limit%d_%s", w.limit+1, word(l.name)), w.limit, l, l.value+sign*b.moved[i])
}

// limitAt adds the rows of a limit at a value of its own.
func (b *builder) limitAt(name string, k int, l limit, value float64) {
	switch {
	case l.linear():
		b.linear(name, l, value)
	case l.name == "cost_per_bar":
		b.costPerBar(name, l, value)
	case l.name == "cloud_point" || l.name == "clear_point":
		b.cloud(name, l.measure, value)
	case l.name == "change":
		b.change(name, value)
	default:
		b.dissolving(name, k, l, value)
	}
}

// terms is a measure that is linear in the shares; with a guard each fat
// counts as nature might have it, on the side that the limit is afraid of.
func (b *builder) terms(m *measure, guard float64) (terms []milp.Term) {
	for i, c := range b.fats {
		spread := 0.0
		if guard != 0 && m.natural {
			spread = c.spread(m, guard > 0)
		}
		for k, l := range c.lots {
			terms = append(terms, milp.Term{Var: b.x[i][k], Coef: short((m.per(c, l) + guard*spread) * b.unit / 100)})
		}
	}
	return terms
}

func (b *builder) linear(name string, l limit, value float64) {
	low, high, guard := -inf, value, b.guard
	if l.atLeast {
		low, high, guard = value, inf, -b.guard
	}
	b.AddRow(name, low, high, b.terms(l.measure, guard)...)
}

// costPerBar asks bar × Σ price share ≤ most × (1 + Σ lye share): eq. 5.
func (b *builder) costPerBar(name string, l limit, value float64) {
	var terms []milp.Term
	for i, c := range b.fats {
		for k, lot := range c.lots {
			coef := b.barG/1000*lot.perKg - value*b.lyePerFat(c)
			terms = append(terms, milp.Term{Var: b.x[i][k], Coef: short(coef * b.unit / 100)})
		}
	}
	if l.atLeast {
		b.AddRow(name, value, inf, terms...)
	} else {
		b.AddRow(name, -inf, value, terms...)
	}
}

// cloud asks of every wax and free acid so little that it alone stays
// dissolved down to tC: the cloud point is that of the one that falls out
// first. eq. 6.
func (b *builder) cloud(name string, m *measure, tC float64) {
	for k, s := range b.solutes() {
		var terms []milp.Term
		for i := range b.fats {
			if s.fraction[i] > 0 {
				terms = append(terms, b.fatTerms(i, short(s.fraction[i]*b.unit/100))...)
			}
		}
		if most := s.mostFraction(m, tC); most < 1 {
			b.AddRow(fmt.Sprintf("%s_%d", name, k+1), -inf, most, terms...)
		}
	}
}

// solute is one thing that may fall out and how much of it each fat holds.
type solute struct {
	melt.Solute
	unknown  bool // nobody knows where its cloud point lies
	fraction []float64
}

// solutes asks package melt what each fat alone holds.
func (b *builder) solutes() (out []solute) {
	place := map[string]int{}
	hold := func(i int, name string, s melt.Solute, unknown bool) {
		key := fmt.Sprintf("%g %g %g %v", s.MolarMass, s.MeltC, s.HeatKJPerMol, unknown)
		if unknown {
			key += name
		}
		k, ok := place[key]
		if !ok {
			k = len(out)
			place[key] = k
			out = append(out, solute{s, unknown, make([]float64, len(b.fats))})
		}
		out[k].fraction[i] += s.MassFraction
	}
	for i, c := range b.fats {
		found, unknown := melt.SolutesOf([]melt.Part{{Material: c.Material, Share: 1}})
		for _, s := range found {
			hold(i, s.Name, s, false)
		}
		for _, name := range unknown {
			hold(i, name, melt.Solute{MassFraction: 1}, true)
		}
	}
	return out
}

// unseen is the most of a solute that package melt takes no notice of.
const unseen = 0.000999

// mostFraction returns the largest mass fraction whose measure, cloud or clear
// point, is at most tC.
func (s solute) mostFraction(m *measure, tC float64) float64 {
	if s.unknown {
		return unseen
	}
	fits := func(w float64) bool {
		one := s.Solute
		one.MassFraction = w
		c, ok := melt.CloudPoint([]melt.Solute{one})
		if m.name == "clear_point" {
			return !ok || c.ClearC <= tC
		}
		return !ok || c.TypicalC <= tC
	}
	low, high := unseen, 1.0
	if fits(high) {
		return high
	}
	for range 40 {
		if mid := (low + high) / 2; fits(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return math.Floor(low*1e9) / 1e9
}

// change asks Σ max(0, share − old share) ≤ points: since both come to 100 %
// that is half the sum of the differences. eq. 7.
func (b *builder) change(name string, points float64) {
	b.AddRow(name, -inf, points, b.risen(name)...)
}

// risen is the sum of what shares have risen from the recipe that change
// starts from [points].
func (b *builder) risen(name string) (terms []milp.Term) {
	for i, c := range b.fats {
		old := 0.0
		for _, p := range b.from {
			if p.ID == c.ID {
				old += p.share
			}
		}
		if old == 0 {
			terms = append(terms, b.fatTerms(i, b.unit)...)
			continue
		}
		up := b.Add(milp.Var{Name: fmt.Sprintf("%s_up%d", name, i+1), High: 100})
		b.AddRow(fmt.Sprintf("%s_risen%d", name, i+1), -inf, old, append(b.fatTerms(i, b.unit), milp.Term{Var: up, Coef: -1})...)
		terms = append(terms, milp.Term{Var: up, Coef: 1})
	}
	return terms
}
