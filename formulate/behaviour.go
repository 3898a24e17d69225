package formulate

import (
	"fmt"
	"math"

	"barwright/material"
	"barwright/plan"
)

// Behaviours is how a recipe behaves, for comparing two.
type Behaviours struct {
	Values []Behaves `json:"values"`
}

// Behaves is one line of it; null where nobody can say.
type Behaves struct {
	Name  string   `json:"name"`
	Unit  string   `json:"unit"`
	Value *float64 `json:"value"`
}

// behaviours lists what substitution looks at: chain groups, keeping, minutes
// at the pot, wax, lather's ceiling, lye.
func behaviours(p *plan.Plan) (out Behaviours) {
	add := func(name, unit string, v float64) {
		b := Behaves{Name: name, Unit: unit}
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			b.Value = &v
		}
		out.Values = append(out.Values, b)
	}
	for _, g := range material.Groups {
		add(groupWords[g], "%", p.Makeup.GroupsPct[g])
	}
	add("iodine value", "", p.Makeup.IodineValue)
	add("oxidation exposure", "", p.Makeup.Oxidation)
	trace, cloud := math.NaN(), math.NaN()
	if p.Window != nil {
		trace = p.Window.ToUnpourable.Typical
	}
	if p.Combine.CloudPoint != nil {
		cloud = p.Combine.CloudPoint.Typical
	}
	add("too thick to pour after", "min", trace)
	add("cloud point", "°C", cloud)
	add("can dissolve at 20 °C", "%", p.Makeup.Dissolving.At20)
	add("can dissolve at 35 °C", "%", p.Makeup.Dissolving.At35)
	for _, a := range p.Alkali {
		add(fmt.Sprintf("%s for %.0f g of fats", lower(a.Name), p.FatsG), "g", a.MassG)
	}
	return out
}

// was plans the recipe that change and behaviour start from.
func (m *maker) was() error {
	if len(m.from) == 0 {
		return nil
	}
	p, err := plan.Make(m.recipeOf("as it was", m.from), m.lib)
	if err != nil {
		return err
	}
	b := behaviours(p)
	m.out.Was = &b
	return nil
}
