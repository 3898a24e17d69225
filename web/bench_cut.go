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
		Step1: &stepper{Field: "n.bars", Value: text, Unit: "bars", By: []string{"5", "1"}}, Fine: "change it to what you have", Also: &also{"cut", "Weigh bars"}}
}

// counted is one number of a panel that asks for several. Without a Value it is
// left out until somebody changes it, from Start on.
type counted struct {
	Name, Words, Value, Start string
	Less, More                string
}

// cutNumbers are what can be counted and weighed of the bars.
func (p *benchPage) cutNumbers() []counted {
	bars := p.barsGuess()
	c := p.State.Cut
	had := batch.Cut{Bars: bars}
	if c != nil {
		had = c.Cut
	}
	mean := bare(p.State.Sheet.Plan.Batter.MassG/float64(max(bars, 1)), 0)
	out := []counted{{"n.bars", "bars", strconv.Itoa(had.Bars), "", "1", "1"}, {"n.aside", "of them kept back", strconv.Itoa(had.Aside), "", "1", "1"}, {"n.marked", "of them weighed", strconv.Itoa(had.Marked), "", "1", "1"},
		{"n.mean_g", "g one of these weighs", "", mean, "1", "1"}, {"n.trimmed_g", "g of off-cuts", "", "0", "5", "5"}}
	if had.Mean != nil {
		out[3].Value = bare(*had.Mean, 1)
	}
	if had.TrimG != nil {
		out[4].Value = bare(*had.TrimG, 1)
	}
	return out
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
