package web

import (
	"net/http"
	"time"

	"barwright/batch"
	"barwright/chart"
	"barwright/heat"
	"barwright/plan"
	"barwright/quantity"
	"barwright/recipe"
)

// HasCurve reports a batch that was poured and whose plan says enough for a
// forecast of its heat.
func (p *recordPage) HasCurve() bool {
	if p.State.Marks["pour"].At.IsZero() {
		return false
	}
	_, missing, err := p.State.Sheet.Plan.HeatCase()
	return err == nil && len(missing) == 0
}

// logged is what was read of the core since the pour.
func logged(s *batch.State) (out []heat.Reading) {
	poured := s.Marks["pour"].At
	for _, m := range s.Readings {
		if m.Of == "core" && !poured.IsZero() && !m.At.Before(poured) {
			out = append(out, heat.Reading{TimeS: m.At.Sub(poured).Seconds(), C: m.C})
		}
	}
	return out
}

// batchCurve draws the curve that was logged over the one that could be forecast
// on its day: by the curves of the batches before, and not by its own.
func (a *App) batchCurve(w http.ResponseWriter, r *http.Request) error {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	poured := m.State.Marks["pour"].At
	maker, err := a.makerBefore(r.Context(), quantity.DateOf(poured.In(a.now().Location())))
	if err != nil {
		return err
	}
	h, err := a.forecastBy(r, m.State.Sheet.Plan, maker, plan.ForecastOptions{})
	if err != nil {
		return err
	}
	if !h.Known() {
		return recipe.Fault{Text: "The batch's plan says too little for a forecast.", Advice: "The recipe's heat page says what it would have to say."}
	}
	h.Name, h.Measured = m.Code, logged(m.State)
	w.Header().Set("Content-Type", "image/svg+xml")
	_, err = w.Write([]byte(chart.Course(h.drawn())))
	return err
}

// curveWords says where the logged curve left the forecast: its hottest reading
// beside the likely peak.
func curveWords(readings []heat.Reading) string {
	var top heat.Reading
	for _, r := range readings {
		if r.C > top.C {
			top = r
		}
	}
	if top.C == 0 {
		return "No core temperature was read after the pour."
	}
	return "Hottest core read: " + number(top.C, 1) + "\u202f°C, " + clockMinutes(time.Duration(top.TimeS)*time.Second) + " after the pour."
}

// CurveSays is what stands under the picture.
func (p *recordPage) CurveSays() string { return curveWords(logged(p.State)) }
