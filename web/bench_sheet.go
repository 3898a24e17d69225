package web

import (
	"encoding/json"
)

// sheetLine is a step of the run sheet for a device on its own.
type sheetLine struct {
	Step   string  `json:"step"`
	Type   string  `json:"type"`
	Vessel string  `json:"vessel,omitempty"`
	Do     string  `json:"do"`
	G      float64 `json:"g,omitempty"`
	LowG   float64 `json:"low_g,omitempty"`
	HighG  float64 `json:"high_g,omitempty"`
	HadG   float64 `json:"had_g,omitempty"`
	Done   bool    `json:"done,omitempty"`
}

// fillPlan writes the run sheet for a device on its own: order, targets and
// tolerances, and the empty vessels.
func (p *benchPage) fillPlan() {
	var lines []sheetLine
	for i := range p.State.Steps {
		st := &p.State.Steps[i]
		l := sheetLine{Step: st.ID, Type: string(st.Type), Vessel: st.Vessel, Do: st.Do, Done: st.Done}
		if st.Weigh != nil {
			l.G, l.LowG, l.HighG = st.Weigh.G, st.Weigh.LowG, st.Weigh.HighG
		}
		if st.G != nil {
			l.HadG = *st.G
		}
		lines = append(lines, l)
	}
	out, err := json.Marshal(map[string]any{"steps": lines, "vessels": p.State.Vessels})
	if err != nil {
		panic(err) // of numbers and words
	}
	p.Plan = string(out)
}
