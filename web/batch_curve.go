package web

import (
	"context"
	"fmt"
	"math"
	"net/http"
	"strings"
	"time"

	"barwright/chart"
	"barwright/curve"
	"barwright/heat"
	"barwright/plan"
	"barwright/quantity"
	"barwright/recipe"
)

// batchHeat is the core of a batch in its mould: what was read of it, and what
// it may teach.
type batchHeat struct {
	As     plan.Poured
	Bench  []heat.Reading // at the bench
	Logged *curve.Log     // that teaches the forecast, nil without one
	Core   []heat.Reading // the logged, else those of the bench
}

// heatOf reads the curve of a batch.
func (a *App) heatOf(ctx context.Context, m making) (h batchHeat, err error) {
	h.As, h.Bench = m.State.Poured(), m.State.Core()
	h.Core = h.Bench
	things, err := a.store.Things(ctx, kindCurve)
	if err != nil {
		return h, err
	}
	logs, err := readThings[curve.Log](things)
	if err != nil {
		return h, err
	}
	for _, log := range logs {
		if log.Batch == m.ID {
			h.Logged = &log
			h.Core, err = readingsOf(log)
		}
	}
	return h, err
}

// HasCurve reports a batch that was poured and whose plan says enough for a
// forecast of its heat.
func (p *recordPage) HasCurve() bool {
	if p.State.Marks["pour"].At.IsZero() {
		return false
	}
	_, missing, err := p.State.Sheet.Plan.HeatCaseOf(p.Heat.As)
	return err == nil && len(missing) == 0
}

// CanTeach reports a batch whose curve is not logged yet.
func (p *recordPage) CanTeach() bool { return p.Heat.Logged == nil && p.Start.Version != "" }

// PouredWords says how it was poured and how it rested.
func (p *recordPage) PouredWords() string {
	c, _, err := p.State.Sheet.Plan.HeatCaseOf(p.Heat.As)
	if err != nil {
		return ""
	}
	words := make([]string, len(c.Rests))
	for i, rest := range c.Rests {
		if words[i] = heat.RestWords(c.Rests[i : i+1]); i+1 < len(c.Rests) {
			words[i] += " for " + hoursWords(rest.ForS/3600)
		}
	}
	return fmt.Sprintf("%s\u202f°C; %s", number(c.Batter.TC, 1), strings.Join(words, ", then "))
}

// CurveSays is what stands under the picture: the hottest reading.
func (p *recordPage) CurveSays() string {
	var top heat.Reading
	for _, r := range p.Heat.Core {
		if r.C > top.C {
			top = r
		}
	}
	if top.C == 0 {
		return "No core temperature was read after the pour."
	}
	return "Hottest core read: " + number(top.C, 1) + "\u202f°C, " + afterPour(top.TimeS) + "."
}

// BenchSays is what was read at the bench, "" for nothing.
func (p *recordPage) BenchSays() string {
	n := len(p.Heat.Bench)
	if n == 0 {
		return ""
	}
	return fmt.Sprintf("%d read at the bench, the last %s", n, afterPour(p.Heat.Bench[n-1].TimeS))
}

func afterPour(timeS float64) string {
	switch {
	case timeS < 60:
		return "at the pour"
	case timeS < 2*3600:
		return number(timeS/60, 0) + "\u202fmin after the pour"
	}
	return hoursWords(timeS/3600) + " after the pour"
}

// curveOf is the curve that was logged over the one that could be forecast on its
// day for the batch as it was poured: by the curves of the batches before, and
// not by its own.
func (a *App) curveOf(r *http.Request, m making, core batchHeat) (*heatView, error) {
	maker, err := a.makerBefore(r.Context(), a.pouredOn(m), m.ID)
	if err != nil {
		return nil, err
	}
	h, err := a.forecastBy(r, m.State.Sheet.Plan, maker, plan.ForecastOptions{Poured: core.As})
	if err != nil {
		return nil, err
	}
	if !h.Known() {
		return nil, recipe.Fault{Text: "The batch's plan says too little for a forecast.", Advice: "The recipe's heat page says what it would have to say."}
	}
	h.Name, h.Measured = m.Code, core.Core
	return h, nil
}

// batchCurve is the curve as a picture of its own.
func (a *App) batchCurve(w http.ResponseWriter, r *http.Request) error {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	core, err := a.heatOf(r.Context(), m)
	if err != nil {
		return err
	}
	h, err := a.curveOf(r, m, core)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "image/svg+xml")
	_, err = w.Write([]byte(chart.Course(h.drawn())))
	return err
}

func (a *App) pouredOn(m making) quantity.Date {
	return quantity.DateOf(m.State.Marks["pour"].At.In(a.now().Location()))
}

// logBatchCurve keeps the curve of a batch, which the next forecast knows: a
// thermometer's file, typed lines, else what was read at the bench.
func (a *App) logBatchCurve(w http.ResponseWriter, r *http.Request) error {
	if err := parseForm(r); err != nil {
		return err
	}
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	h, err := a.heatOf(r.Context(), m)
	if err != nil {
		return err
	}
	typed := curveForm{Text: r.PostFormValue("text"), Late: r.PostFormValue("late")}
	log, err := a.readBatchCurve(r, m, h, typed)
	if err == nil {
		err = teaches(m.State.Sheet.Plan, h.As, log)
	}
	if err == nil {
		err = a.saveCurve(r, log)
	}
	if status := typed.refuse(a, r, err); status != 0 {
		return a.showRecord(w, r, status, m, typed)
	}
	http.Redirect(w, r, "/batches/"+m.ID+"#curve", http.StatusSeeOther)
	return nil
}

func (a *App) readBatchCurve(r *http.Request, m making, h batchHeat, typed curveForm) (curve.Log, error) {
	switch {
	case m.State.Marks["pour"].At.IsZero():
		return curve.Log{}, recipe.Fault{Text: "This batch was not poured yet.", Advice: "Its core is logged from the pour on."}
	case h.Logged != nil:
		return curve.Log{}, recipe.Fault{Text: "The curve of this batch is logged already.", Advice: "Put that one away first, under What your batches taught."}
	case m.Start.Version == "":
		return curve.Log{}, recipe.Fault{Text: "This batch is of no saved version, so its curve teaches nothing.", Advice: "Save the recipe, and start the next batch from it."}
	}
	of := curve.Log{ID: "batch-" + m.ID, Version: m.Start.Version, Batch: m.ID, Poured: a.pouredOn(m)}
	log, err := readCurve(r, of, typed, h.Bench)
	if err != nil {
		return log, err
	}
	return log, a.isOf(m, h.As, log)
}

// A curve is another batch's when all it has of the first minutes is so far from
// the batter as poured: a probe takes a while, and none of it is an hour ahead.
const (
	firstS     = 20 * 60.0
	unlikePour = 15.0 // [K]
	clocksOff  = 10 * time.Minute
)

// isOf refuses a curve that cannot be this batch's.
func (a *App) isOf(m making, as plan.Poured, log curve.Log) error {
	readings, err := readingsOf(log)
	if err != nil {
		return err
	}
	poured := m.State.Marks["pour"].At
	if last := readings[len(readings)-1].TimeS; poured.Add(time.Duration(last * float64(time.Second))).After(a.now().Add(clocksOff)) {
		return recipe.Fault{Text: "The last reading is " + afterPour(last) + ", and that is still to come.", Advice: "Times count from the pour of this batch, or from the first reading and its minutes after the pour."}
	}
	near := math.Inf(1)
	for _, r := range readings {
		if as.TC != nil && r.TimeS <= firstS {
			near = min(near, math.Abs(r.C-*as.TC))
		}
	}
	if near > unlikePour && !math.IsInf(near, 1) {
		return recipe.Fault{Text: fmt.Sprintf("It begins at %s\u202f°C, and the batch was poured at %s.", number(readings[0].C, 0), number(*as.TC, 0)), Advice: "If the thermometer went in later, say how many minutes after the pour; if a temperature of the making is wrong, put it right below."}
	}
	return nil
}
