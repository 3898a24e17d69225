package plan

import (
	"fmt"
	"iter"

	"barwright/finding"
	"barwright/material"
	"barwright/source"
)

// lotLine is a line of the recipe with what it names.
type lotLine struct {
	key string
	material.Material
}

// lotLines are all lines: fats, additions, alkalis.
func (p *Plan) lotLines() (out []lotLine) {
	for i, f := range p.charge.fats {
		out = append(out, lotLine{fmt.Sprintf("fats.%d.material", i), f.Material})
	}
	for i, a := range p.charge.additions {
		out = append(out, lotLine{fmt.Sprintf("additions.%d.material", i), a.Material})
	}
	for i, a := range p.charge.alkalis {
		out = append(out, lotLine{fmt.Sprintf("alkali.%d.material", i), a.Material})
	}
	return out
}

var lotHeld = rule{id: "lot_held", stops: true, lines: func(p *Plan) int { return len(p.lotLines()) }, detect: func(p *Plan, i int) *finding.Finding {
	l := p.lotLines()[i]
	if l.Held == "" {
		return nil
	}
	return &finding.Finding{Severity: finding.Stop, Title: fmt.Sprintf("%s is held and must not be used", l.Name),
		Because: "it is held because: " + l.Held, Grade: source.Practice, Sources: []string{"makers_practice"}}
}, fixes: func(p *Plan, i int) iter.Seq[fix] {
	l := p.lotLines()[i]
	return one("Take another lot of it", edit(l.key, "%s", l.Of))
}}
