package web

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"slices"
	"strings"

	"barwright/curve"
	"barwright/heat"
	"barwright/plan"
	"barwright/quantity"
	"barwright/recipe"
	"barwright/store"
)

// teaches refuses a curve of a batch, poured so, that nothing can be learned from.
func teaches(p *plan.Plan, as plan.Poured, log curve.Log) error {
	if p == nil {
		return recipe.Fault{Text: "This version cannot be planned, so its curve teaches nothing.", Advice: "Log the curve with the version that was poured."}
	}
	l, known, err := logOf(p, as, log)
	if err == nil && !known {
		return recipe.Fault{Text: "The recipe says too little for a forecast, so its curve teaches nothing.", Advice: "Give it temperatures, a mould and a place to rest."}
	}
	if err == nil {
		err = l.Check()
	}
	if errors.Is(err, heat.ErrCurve) {
		return recipe.Fault{Text: "Nothing can be learned from this curve: " + err.Error() + ".", Advice: "Log the core from the pour on, every few minutes, for a few hours."}
	}
	return err
}

// logOf is a logged curve as a batch of its plan, poured so; false when the plan
// has no forecast.
func logOf(p *plan.Plan, as plan.Poured, log curve.Log) (heat.Log, bool, error) {
	readings, err := readingsOf(log)
	if err != nil {
		return heat.Log{}, false, err
	}
	l, known := p.Log(readings, as)
	return l, known, nil
}

func readingsOf(log curve.Log) ([]heat.Reading, error) {
	c, err := log.Curve()
	readings := make([]heat.Reading, len(c.Readings))
	for i, r := range c.Readings {
		readings[i] = heat.Reading{TimeS: r.TimeS, C: r.C}
	}
	return readings, err
}

// lesson is one logged curve and what it teaches.
type lesson struct {
	curve.Log
	Of    planned
	Code  string // of its batch, when its making was recorded
	Fault string // why it teaches nothing any more
	Fit   heat.Fit
	GotC  float64    // the warmest core
	Told  *heat.Peak // forecast by the curves before it
	batch heat.Log
	plan  *plan.Plan // its batch's, else its version's
	as    plan.Poured
}

// taught keeps what was learned, by all that it was learned from.
type taught struct {
	turn   oneAtATime
	makers map[string]heat.Maker
	told   map[string]*heat.Peak // by the lessons up to it
}

// mostMakers is how many are kept: today's, and those of batches looked back at.
const mostMakers = 40

// maker is what the logged curves have taught, all together.
func (a *App) maker(ctx context.Context) (heat.Maker, error) {
	lessons, err := a.lessons(ctx)
	if err != nil {
		return heat.Maker{}, err
	}
	return a.makerOf(ctx, lessons)
}

// makerBefore is what the curves of the days before had taught, without that of a
// batch itself.
func (a *App) makerBefore(ctx context.Context, day quantity.Date, batch string) (heat.Maker, error) {
	lessons, err := a.lessons(ctx)
	if err != nil {
		return heat.Maker{}, err
	}
	return a.makerOf(ctx, slices.DeleteFunc(lessons, func(l lesson) bool { return !l.Poured.Before(day) || l.Batch == batch }))
}

func (a *App) makerOf(ctx context.Context, lessons []lesson) (heat.Maker, error) {
	if err := a.taught.turn.take(ctx); err != nil {
		return heat.Maker{}, err
	}
	defer a.taught.turn.give()
	of := markOf(lessons)
	if maker, known := a.taught.makers[of]; known {
		return maker, nil
	}
	maker, _, err := heat.Learn(batchesOf(lessons), heat.Options{Done: ctx.Done()})
	if err != nil {
		return heat.Maker{}, err
	}
	if len(a.taught.makers) >= mostMakers {
		clear(a.taught.makers)
	}
	a.taught.makers[of] = maker
	return maker, nil
}

// markOf tells lessons apart by all that is learned from them: the curve, and
// the batch as its recipe and its lots say now.
func markOf(lessons []lesson) string {
	h := sha256.New()
	to := json.NewEncoder(h)
	for _, l := range lessons {
		c := l.batch.Case
		if err := to.Encode([]any{l.ID, l.Fault, l.batch.Mould, c.Batter, c.Mould, c.Rests, l.batch.Curve}); err != nil {
			panic("web: a lesson without its JSON: " + err.Error())
		}
	}
	return string(h.Sum(nil))
}

// batchesOf are those that teach.
func batchesOf(lessons []lesson) (logs []heat.Log) {
	for _, l := range lessons {
		if l.Fault == "" {
			logs = append(logs, l.batch)
		}
	}
	return logs
}

// lessons returns every curve in the order of the pours.
func (a *App) lessons(ctx context.Context) ([]lesson, error) {
	things, err := a.store.Things(ctx, kindCurve)
	if err != nil {
		return nil, err
	}
	return a.lessonsOf(ctx, things)
}

func (a *App) lessonsOf(ctx context.Context, things []store.Thing) (lessons []lesson, err error) {
	logs, err := readThings[curve.Log](things)
	if err != nil {
		return nil, err
	}
	slices.SortStableFunc(logs, func(a, b curve.Log) int {
		return cmp.Or(cmp.Compare(a.Poured.String(), b.Poured.String()), cmp.Compare(a.ID, b.ID))
	})
	for _, log := range logs {
		l := lesson{Log: log}
		if l.Of, err = a.planVersion(ctx, log.Version); err != nil && !errors.Is(err, store.ErrMissing) {
			return nil, err
		}
		if err := a.readLesson(ctx, &l); err != nil {
			return nil, err
		}
		lessons = append(lessons, l)
	}
	return lessons, nil
}

// readLesson fills in what the curve's own plan makes of it: its batch's, poured
// and rested as that was, when its making was recorded here.
func (a *App) readLesson(ctx context.Context, l *lesson) error {
	l.plan = l.Of.Plan
	if l.Batch != "" {
		switch m, err := a.openBatch(ctx, l.Batch); {
		case err == nil:
			l.plan, l.as, l.Code = m.State.Sheet.Plan, m.State.Poured(), m.Code
		case errors.Is(err, store.ErrMissing):
			l.Notes = append(slices.Clone(l.Notes), "its batch is not here: it is taken as planned")
		case ctx.Err() != nil:
			return err
		default:
			l.Fault = "its batch cannot be read any more"
			return nil
		}
	}
	if l.plan == nil && l.Of.Recipe.ID == "" {
		l.Fault = "its recipe is not here"
		return nil
	}
	l.read()
	return nil
}

func (l *lesson) read() {
	if err := teaches(l.plan, l.as, l.Log); err != nil {
		l.Fault = lowerFirst(strings.TrimSuffix(err.Error(), "."))
		return
	}
	l.batch, _, _ = logOf(l.plan, l.as, l.Log) // teaches has read it
	for _, r := range l.batch.Curve {
		l.GotC = max(l.GotC, r.C)
	}
}

// tell adds to each lesson how it was met and what was forecast before it.
func (a *App) tell(ctx context.Context, lessons []lesson) error {
	_, fits, err := heat.Learn(batchesOf(lessons), heat.Options{Done: ctx.Done()})
	if err != nil {
		return err
	}
	for i := range lessons {
		if lessons[i].Fault != "" {
			continue
		}
		lessons[i].Fit, fits = fits[0], fits[1:]
		if lessons[i].Told, err = a.toldBefore(ctx, lessons[:i+1]); err != nil {
			return err
		}
	}
	return nil
}

// toldBefore is the peak forecast for the last lesson by those before it.
func (a *App) toldBefore(ctx context.Context, lessons []lesson) (*heat.Peak, error) {
	key, last := markOf(lessons), lessons[len(lessons)-1]
	if err := a.taught.turn.take(ctx); err != nil {
		return nil, err
	}
	defer a.taught.turn.give()
	if peak := a.taught.told[key]; peak != nil {
		return peak, nil
	}
	before, _, err := heat.Learn(batchesOf(lessons[:len(lessons)-1]), heat.Options{Done: ctx.Done()})
	if err != nil {
		return nil, err
	}
	f, err := last.plan.Forecast(plan.ForecastOptions{Options: heat.Options{Seed: heatSeed, Done: ctx.Done()}, Maker: before, Poured: last.as})
	if err != nil {
		return nil, err
	}
	a.taught.told[key] = f.Peak
	return f.Peak, nil
}
