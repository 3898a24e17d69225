package plan

import (
	"fmt"

	"barwright/finding"
	"barwright/quantity"
	"barwright/source"
)

// weighing is what comes onto a scale at once.
type weighing struct {
	what    string
	massG   float64
	carries *quantity.Mass // nil when nobody said
}

// weighings are the two heaviest: all the fats, in their pot, and the alkali.
func (p *Plan) weighings() []weighing {
	if p.recipe.Scale == nil {
		return nil
	}
	fats, alkali := weighing{"the fats weigh", 0, p.recipe.Scale.FatsCapacity}, weighing{"the alkali weighs", 0, p.recipe.Scale.AlkaliCapacity}
	for _, f := range p.Fats {
		fats.massG += f.WeighG
	}
	if c := p.recipe.Combine; c != nil && c.Pot != nil && c.Pot.Mass != nil {
		fats.what, fats.massG = "the fats in their pot weigh", fats.massG+c.Pot.Mass.G()
	}
	for _, a := range p.Alkali {
		alkali.massG += a.WeighG
	}
	return []weighing{fats, alkali}
}

var scaleOverloaded = rule{id: "scale_overloaded", lines: func(p *Plan) int { return len(p.weighings()) }, detect: func(p *Plan, i int) *finding.Finding {
	w := p.weighings()[i]
	if w.carries == nil || w.massG <= w.carries.G() {
		return nil
	}
	return &finding.Finding{Severity: finding.Caution, Title: fmt.Sprintf("Too much for the scale: %s %.0f g, and it carries %.0f g", w.what, w.massG, w.carries.G()),
		Because: "a scale that is overloaded shows an error, or worse, a wrong figure", Fix: "Weigh in parts, in a vessel each, or on a scale that carries more", Grade: source.Practice, Sources: []string{"makers_practice"}}
}}
