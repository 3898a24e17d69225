package formulate

import (
	"fmt"
	"math"
	"strings"

	"barwright/internal/milp"
)

var inf = math.Inf(1)

// ask says which programme to build of a problem.
type ask struct {
	gaveUp  map[int]bool    // wishes given up, by index
	moved   map[int]float64 // wishes moved outward, by how much [their unit]
	nothing bool            // no objective: any recipe will do
	guard   float64         // how much of nature's spread every limit keeps clear of
	guards  []float64       // of limits that are not linear: what to keep clear of, at guard 1
}

// program is a goal as a mixed-integer programme.
type program struct {
	milp.Model
	unit float64 // per cent of a fat for one of its variable
	x    [][]int // variable of every fat and lot
}

// builder carries what is being built.
type builder struct {
	*problem
	*program
	ask
}

// build writes the programme. docs/model/formulate.md eq. 1 to 9.
func (g *problem) build(a ask) *program {
	b := builder{g, &program{unit: 1}, a}
	if w, i := g.find(wishStep); i >= 0 && b.asked(i) {
		b.unit = short(w.value + a.moved[i])
	}
	b.variables()
	b.usage()
	for i, w := range g.wishes {
		if w.kind == wishLimit && b.asked(i) {
			b.limit(i, w)
		}
	}
	if !a.nothing {
		b.minimise()
	}
	return b.program
}

// find returns the first wish of a kind and its index, -1 when there is none.
func (g *problem) find(k wishKind) (wish, int) {
	for i, w := range g.wishes {
		if w.kind == k {
			return w, i
		}
	}
	return wish{}, -1
}

// asked reports whether a wish counts, as it stands or moved.
func (b *builder) asked(i int) bool { return !b.gaveUp[i] }

// ofFat returns the wish of a kind for a fat and lot, moved as asked, and
// whether it counts.
func (b *builder) ofFat(k wishKind, fat, lot int) (value float64, counts bool) {
	for i, w := range b.wishes {
		if w.kind != k || w.fat != fat || w.lot != lot || !b.asked(i) {
			continue
		}
		if k == wishLeast { // outward is down
			return max(0, w.value-b.moved[i]), true
		}
		return w.value + b.moved[i], true
	}
	return 0, false
}

// mostOf is the most of a fat [%].
func (b *builder) mostOf(fat int) float64 {
	most := 100.0
	for _, k := range []wishKind{wishNever, wishMost} {
		if v, ok := b.ofFat(k, fat, 0); ok {
			most = min(most, v)
		}
	}
	return most
}

// variables makes one of every fat and lot, in units of the step.
func (b *builder) variables() {
	_, step := b.find(wishStep)
	whole := step >= 0 && b.asked(step)
	var sum []milp.Term
	for i, c := range b.fats {
		var xs []int
		for k, l := range c.lots {
			most := b.mostOf(i)
			if stockG, ok := b.ofFat(wishStock, i, k); ok {
				most = min(most, 100*stockG/b.batchG)
			}
			high := short(most / b.unit)
			if whole {
				high = math.Floor(high + 1e-9)
			}
			x := b.Add(milp.Var{Name: b.nameOf(i, k, l), High: high, Integer: whole})
			xs, sum = append(xs, x), append(sum, milp.Term{Var: x, Coef: 1})
		}
		b.x = append(b.x, xs)
	}
	whole100 := short(100 / b.unit)
	b.AddRow("whole", whole100, whole100, sum...)
}

// nameOf is a word that every solver takes.
func (b *builder) nameOf(i, k int, l *lot) string {
	name := fmt.Sprintf("x%d_%s", i+1, word(b.fats[i].ID))
	if l.id != "" {
		name += fmt.Sprintf("_%d_%s", k+1, word(l.id))
	}
	return name
}

func word(s string) string {
	s = strings.Map(func(r rune) rune {
		if r == '_' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' {
			return r
		}
		return '_'
	}, s)
	return s[:min(len(s), 24)]
}

// fatTerms is coef × the share of a fat, in units.
func (b *builder) fatTerms(i int, coef float64) (terms []milp.Term) {
	for _, x := range b.x[i] {
		terms = append(terms, milp.Term{Var: x, Coef: coef})
	}
	return terms
}

// usage says which fats are used, how many, and how much of them at least and
// at most.
func (b *builder) usage() {
	count, limited := b.countLimit()
	var used []milp.Term
	for i, c := range b.fats {
		least, most := b.leastOf(i), b.mostOf(i)
		_, must := b.ofFat(wishMust, i, 0)
		if len(c.lots) > 1 && most < 100 {
			b.AddRow(fmt.Sprintf("most_%d", i+1), -inf, short(most/b.unit), b.fatTerms(i, 1)...)
		}
		if least == 0 && !limited && !must {
			continue
		}
		z := b.Add(milp.Var{Name: fmt.Sprintf("used%d_%s", i+1, word(c.ID)), High: 1, Integer: true})
		if must {
			b.Vars[z].Low = 1
		}
		used = append(used, milp.Term{Var: z, Coef: 1})
		top := 0.0
		for _, x := range b.x[i] {
			top += b.Vars[x].High
		}
		b.AddRow(fmt.Sprintf("at_most_%d", i+1), -inf, 0, append(b.fatTerms(i, 1), milp.Term{Var: z, Coef: -min(short(top), short(most/b.unit))})...)
		if least > 0 {
			b.AddRow(fmt.Sprintf("at_least_%d", i+1), 0, inf, append(b.fatTerms(i, 1), milp.Term{Var: z, Coef: -short(least / b.unit)})...)
		}
	}
	if limited {
		b.AddRow("number_of_fats", -inf, count, used...)
	}
}

// leastOf is the least of a fat when it is used at all [%].
func (b *builder) leastOf(fat int) float64 {
	least, _ := b.ofFat(wishLeast, fat, 0)
	if _, must := b.ofFat(wishMust, fat, 0); must && least == 0 {
		least = leastMust
		if b.unit != 1 {
			least = b.unit
		}
	}
	return least
}

func (b *builder) countLimit() (most float64, limited bool) {
	w, i := b.find(wishCount)
	if i < 0 || !b.asked(i) {
		return 0, false
	}
	most = w.value + b.moved[i]
	return most, most < float64(len(b.fats))
}
