package formulate

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"barwright/material"
	"barwright/quantity"
)

// kinds of random formulation problem.
var kinds = []string{"generic", "degenerate", "redundant", "infeasible", "whole"}

// drawer makes a random goal around a hidden recipe.
type drawer struct {
	rng  *rand.Rand
	goal Goal
	mix  blend // the hidden recipe; it meets every limit unless the kind is infeasible
	kind string
}

func drawGoal(kind string, seed uint64) Goal {
	d := drawer{rng: rand.New(rand.NewPCG(seed, uint64(slices.Index(kinds, kind)))), kind: kind}
	d.goal = Goal{Format: 1, Name: fmt.Sprintf("%s %d", kind, seed)}
	d.fats()
	d.wholeNumbers()
	for range 2 + d.rng.IntN(9) {
		d.limit()
	}
	if kind == "infeasible" {
		d.clash()
	}
	d.objective()
	return d.goal
}

func share(p float64) *quantity.Share { return &quantity.Share{Percent: p} }

func fatIDs() (ids []string) {
	lib := material.Builtin()
	for _, id := range lib.IDs() {
		if m, err := lib.Find(id); err == nil && m.Kind.IsFat() {
			ids = append(ids, id)
		}
	}
	return ids
}

func (d *drawer) fats() {
	ids := fatIDs()
	d.rng.Shuffle(len(ids), func(i, j int) { ids[i], ids[j] = ids[j], ids[i] })
	n, used := 5+d.rng.IntN(9), 2+d.rng.IntN(3)
	left := 100.0
	for i, id := range ids[:n] {
		price := quantity.Price{Amount: float64(20+d.rng.IntN(100)) / 10, Per: "kg"}
		if d.kind == "degenerate" {
			price.Amount = float64(2 + d.rng.IntN(2)) // many alike
		}
		f := Fat{Material: id, Price: &price, Own: d.rng.IntN(4) == 0}
		if i < used {
			s := float64(5 + d.rng.IntN(30))
			if i == used-1 || s > left {
				s = left
			}
			left -= s
			m, _ := material.Builtin().Find(id)
			l, _ := Lot{Price: f.Price, Own: f.Own}.read()
			d.mix = append(d.mix, portion{newCandidate(m), l, s})
			if d.rng.IntN(2) == 0 {
				f.Max = share(min(100, s+float64(d.rng.IntN(30))))
			}
		} else if d.rng.IntN(3) == 0 {
			f.Max = share(float64(5 + d.rng.IntN(40)))
		}
		d.goal.Fats = append(d.goal.Fats, f)
	}
	d.mix = slices.DeleteFunc(d.mix, func(p portion) bool { return p.share == 0 })
}

// wholeNumbers adds steps, a number of fats and least amounts.
func (d *drawer) wholeNumbers() {
	if d.kind != "whole" {
		return
	}
	steps := []float64{1, 1, 2.5, 5, 0.5}
	d.goal.Step = share(steps[d.rng.IntN(len(steps))])
	n := len(d.mix) + d.rng.IntN(2)
	d.goal.MaxFats = &n
	for i := range d.goal.Fats {
		if f := &d.goal.Fats[i]; d.rng.IntN(2) == 0 && (f.Max == nil || f.Max.Percent > 10) {
			f.Min = share(float64(1 + d.rng.IntN(8)))
		}
	}
}

// limit adds one around the hidden recipe: through it in degenerate goals,
// twice or far away in redundant ones.
func (d *drawer) limit() {
	all := slices.DeleteFunc(slices.Clone(measures), func(m *measure) bool { return m.name == "change" || m.name == "cost_per_bar" || m.onlyMax })
	m := all[d.rng.IntN(len(all))]
	g := &problem{}
	v := m.value(g, d.mix)
	room := 0.02 + 0.1*d.rng.Float64()*math.Abs(v) + d.rng.Float64()
	switch {
	case d.kind == "degenerate" && m.linear():
		room = 0
	case d.kind == "redundant" && d.rng.IntN(2) == 0:
		room = 500
	}
	l := Limit{Quantity: m.name}
	if d.rng.IntN(2) == 0 {
		l.Max = &Value{m.text(math.Ceil((v+room)*1000) / 1000)}
	} else if low := math.Floor((v-room)*1000) / 1000; low > 0 {
		l.Min = &Value{m.text(low)}
	} else {
		return
	}
	d.goal.Limits = append(d.goal.Limits, l)
	if d.kind == "redundant" && d.rng.IntN(2) == 0 {
		d.goal.Limits = append(d.goal.Limits, l)
	}
}

// clash asks for what cannot be had together: a share against its own most, two
// groups that leave no room for each other, a price below the cheapest fat, or
// few fats with a low most each.
func (d *drawer) clash() {
	c := d.mix[0]
	add := func(quantity, id, min, max string) {
		l := Limit{Quantity: quantity, Material: id}
		if min != "" {
			l.Min = &Value{min}
		}
		if max != "" {
			l.Max = &Value{max}
		}
		d.goal.Limits = append(d.goal.Limits, l)
	}
	switch d.rng.IntN(4) {
	case 0:
		add("share", c.ID, trim(min(100, c.share+20), 2)+" %", "")
		for i := range d.goal.Fats {
			if d.goal.Fats[i].Material == c.ID {
				d.goal.Fats[i].Max = share(max(1, c.share-1))
			}
		}
	case 1:
		add("mono", "", "45 %", "")
		add("c16_c18", "", "45 %", "")
		add("c12_c14", "", "12 %", "")
	case 2:
		add("cost_per_kg", "", "", "1.99 / kg")
	default:
		n := 3
		d.goal.MaxFats = &n
		for i := range d.goal.Fats {
			d.goal.Fats[i].Max = share(float64(25 + d.rng.IntN(8)))
		}
	}
}

func (d *drawer) objective() {
	d.goal.Objective = Objective{Minimise: Cost}
	switch d.rng.IntN(4) {
	case 0:
		d.goal.Objective.Minimise = Distance
		for range 1 + d.rng.IntN(4) {
			g := material.Groups[d.rng.IntN(len(material.Groups))]
			w := float64(1+d.rng.IntN(4)) / 2
			d.goal.Objective.Targets = append(d.goal.Objective.Targets, Target{Quantity: string(g), Value: &Value{fmt.Sprintf("%d %%", d.rng.IntN(40))}, Weight: &w})
		}
	case 1:
		d.goal.Objective.Minimise = Change
		for _, p := range d.mix {
			d.goal.Objective.From = append(d.goal.Objective.From, Part{p.ID, share(p.share)})
		}
	}
}
