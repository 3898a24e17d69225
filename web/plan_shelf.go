package web

import (
	"strconv"
	"strings"

	"barwright/plan"
	"barwright/stock"
)

// takes is what the batch takes from the shelf in money.
type takes struct {
	Cost   float64
	Priced bool
	Bars   int
	PerBar float64
	Short  int
	Fats   float64 // the cost of the fats alone
}

// takeFrom returns what the plan would take from the shelf: fats, then
// additions, then the alkali; nil without a plan.
func (p *planPage) takeFrom(shelf stock.Shelf) []stock.Taken {
	if p.Plan == nil {
		return nil
	}
	taken := shelf.Take(needsOf(p.Plan))
	p.Takes.Priced = len(shelf) > 0
	for i, t := range taken {
		if i < len(p.Plan.Fats) {
			p.Takes.Fats += t.Cost
		}
		p.Takes.Cost += t.Cost
		p.Takes.Priced = p.Takes.Priced && t.Priced
		if t.ShortG > 0.05 {
			p.Takes.Short++
		}
	}
	if p.Takes.Bars = p.bars(); p.Takes.Bars > 0 {
		p.Takes.PerBar = p.Takes.Cost / float64(p.Takes.Bars)
		if p.overhead != nil {
			p.Overhead = p.Takes.PerBar + p.overhead.Amount
		}
	}
	return taken
}

// needsOf is what a batch takes as weighed: fats, additions, alkali.
func needsOf(p *plan.Plan) (needs []stock.Need) {
	for _, f := range p.Fats {
		needs = append(needs, stock.Need{Material: f.Material, MassG: f.WeighG})
	}
	for _, x := range p.Additions {
		needs = append(needs, stock.Need{Material: x.Material, MassG: x.WeighG})
	}
	for _, x := range p.Alkali {
		needs = append(needs, stock.Need{Material: x.Material, MassG: x.WeighG})
	}
	return needs
}

// bars is how many bars the batch gives: as wished, or as the mould is
// usually cut.
func (p *planPage) bars() int {
	if n, _, ok := strings.Cut(p.Draft.fields["size.bars"], "x"); ok {
		count, _ := strconv.Atoi(strings.TrimSpace(n))
		return count
	}
	if m := p.mould(); m != nil {
		return m.Bars
	}
	return 0
}
