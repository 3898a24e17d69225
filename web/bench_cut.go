package web

import (
	"math"
	"strconv"

	"barwright/batch"
)

func (p *benchPage) cutScreen(st *batch.StepState) *screen {
	bars := p.barsGuess()
	text := strconv.Itoa(bars)
	return &screen{ID: st.ID, Kind: "cut", Title: st.Do, Number: text, Unit: "bars", Button: "Cut into so many", Always: true,
		Step1: &stepper{Field: "n.bars", Value: text, Unit: "bars", By: []string{"5", "1"}}, Fine: "change it to what you have"}
}

// usualBarG is about what a fresh bar weighs, where nothing says how many there
// will be [g].
const usualBarG = 105

func (p *benchPage) barsGuess() int {
	r := p.State.Sheet.Recipe
	if b := r.Size.Bars; b != nil {
		return b.Count
	}
	if r.Mould != nil && r.Mould.Cavities() > 2 {
		return r.Mould.Cavities()
	}
	return max(1, int(math.Round(p.State.Sheet.Plan.Batter.MassG/usualBarG)))
}
