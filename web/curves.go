package web

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/pelletier/go-toml/v2"

	"barwright/curve"
	"barwright/heat"
	"barwright/plan"
	"barwright/quantity"
	"barwright/recipe"
	"barwright/store"
)

// curveForm is a logged curve as it was typed, and what is wrong with it.
type curveForm struct{ Text, Poured, Late, Note, Fault, Advice string }

// logCurve keeps the logged curve of a batch; the next forecast knows it.
func (a *App) logCurve(w http.ResponseWriter, r *http.Request) error {
	if err := parseForm(r); err != nil {
		return err
	}
	p, err := a.openHeat(r)
	if err != nil {
		return err
	}
	p.Typed = curveForm{Text: r.PostFormValue("text"), Poured: r.PostFormValue("poured"), Late: r.PostFormValue("late"), Note: cutTo(r.PostFormValue("note"), 300)}
	log, err := a.readCurve(r, p)
	if err == nil {
		err = a.teaches(r.Context(), p.Plan, log)
	}
	if wrong := (interface {
		error
		Hint() string
	})(nil); errors.As(err, &wrong) {
		p.Typed.Fault, p.Typed.Advice = wrong.Error(), wrong.Hint()
		return a.showHeat(w, r, http.StatusUnprocessableEntity, p)
	} else if err != nil {
		return err
	}
	body, err := toml.Marshal(log)
	if err != nil {
		return err
	}
	if _, err := a.store.SaveThing(r.Context(), store.Thing{Kind: kindCurve, ID: log.ID, Body: string(body), MadeAt: a.now()}); err != nil {
		return err
	}
	http.Redirect(w, r, "/learned", http.StatusSeeOther)
	return nil
}

// readCurve reads the form: a file or typed lines.
func (a *App) readCurve(r *http.Request, p *heatPage) (curve.Log, error) {
	text := []byte(p.Typed.Text)
	if f, _, err := r.FormFile("file"); err == nil {
		defer f.Close()
		data, err := io.ReadAll(f) // the whole form is bounded
		if err != nil {
			return curve.Log{}, err
		}
		if len(data) > 0 {
			text = data
		}
	}
	read, err := curve.Read(text)
	if err != nil {
		return curve.Log{}, err
	}
	log := curve.NewLog(read)
	log.ID, log.Version, log.Note = newID(), p.Version.ID, p.Typed.Note
	if log.Poured, err = quantity.ParseDate(cmp.Or(p.Typed.Poured, quantity.DateOf(a.now()).String())); err != nil {
		return log, err
	}
	if p.Typed.Late != "" {
		if log.LateMin, err = strconv.ParseFloat(strings.ReplaceAll(strings.TrimSuffix(strings.TrimSpace(p.Typed.Late), " min"), ",", "."), 64); err != nil {
			return log, recipe.Fault{Text: "The minutes from the pour to the first reading are no number.", Advice: "Write them like 10, or leave them out."}
		}
	}
	_, err = log.Check()
	return log, err
}

// teaches refuses a curve that nothing can be learned from.
func (a *App) teaches(ctx context.Context, p *plan.Plan, log curve.Log) error {
	if p == nil {
		return recipe.Fault{Text: "This version cannot be planned, so its curve teaches nothing.", Advice: "Log the curve with the version that was poured."}
	}
	maker, err := a.maker(ctx)
	if err != nil {
		return err
	}
	_, fit, err := learnFrom(p, maker, log)
	switch {
	case errors.Is(err, heat.ErrCurve):
		return recipe.Fault{Text: "Nothing can be learned from this curve: " + err.Error() + ".", Advice: "Log the core from the pour on, every few minutes, for a few hours."}
	case err == nil && fit.Used == 0:
		return recipe.Fault{Text: "The recipe says too little for a forecast, so its curve teaches nothing.", Advice: "Give it temperatures, a mould and a place to rest."}
	}
	return err
}

// learnFrom returns the maker after one more curve of a plan.
func learnFrom(p *plan.Plan, m heat.Maker, log curve.Log) (heat.Maker, heat.Fit, error) {
	c, err := log.Curve()
	if err != nil {
		return m, heat.Fit{}, err
	}
	readings := make([]heat.Reading, len(c.Readings))
	for i, r := range c.Readings {
		readings[i] = heat.Reading{TimeS: r.TimeS, C: r.C}
	}
	return p.Learn(m, readings)
}

// learned is one curve and what it taught.
type learned struct {
	curve.Log
	Of    planned
	Fit   heat.Fit
	Fault string // why it teaches nothing any more
	GotC  float64
	GotS  float64
	Told  *heat.Peak // forecast before it, by the curves before it
	after heat.Maker
}

// taught keeps what was learned, in the order of the pours.
type taught struct {
	mu      sync.Mutex
	lessons []learned
}

// maker is what the logged curves have taught.
func (a *App) maker(ctx context.Context) (heat.Maker, error) {
	all, err := a.lessons(ctx)
	if err != nil || len(all) == 0 {
		return heat.Maker{}, err
	}
	return all[len(all)-1].after, nil
}

// lessons returns every curve in the order of the pours. What was learned is
// kept in memory: a new curve is learned once, after those before it.
func (a *App) lessons(ctx context.Context) ([]learned, error) {
	logs, err := a.curves(ctx)
	if err != nil {
		return nil, err
	}
	a.taught.mu.Lock()
	defer a.taught.mu.Unlock()
	known := a.taught.lessons
	same := 0
	for same < len(known) && same < len(logs) && known[same].ID == logs[same].ID {
		same++
	}
	known = slices.Clip(known[:same])
	for _, log := range logs[same:] {
		lesson, err := a.lesson(ctx, known, log)
		if err != nil {
			return nil, err
		}
		known = append(known, lesson)
	}
	a.taught.lessons = known
	return known, nil
}

func (a *App) curves(ctx context.Context) ([]curve.Log, error) {
	logs, err := thingsOf[curve.Log](ctx, a.store, kindCurve)
	slices.SortStableFunc(logs, func(a, b curve.Log) int {
		return cmp.Or(cmp.Compare(a.Poured.String(), b.Poured.String()), cmp.Compare(a.ID, b.ID))
	})
	return logs, err
}

// lesson learns one curve after the others.
func (a *App) lesson(ctx context.Context, before []learned, log curve.Log) (learned, error) {
	l := learned{Log: log}
	if len(before) > 0 {
		l.after = before[len(before)-1].after
	}
	var err error
	if l.Of, err = a.planVersionOf(ctx, log.Version); errors.Is(err, store.ErrMissing) {
		l.Fault = "its recipe is not here"
		return l, nil
	} else if err != nil {
		return l, err
	}
	if l.Of.Plan == nil {
		l.Fault = "its recipe cannot be planned: " + l.Of.Trouble
		return l, nil
	}
	c, err := log.Curve()
	if err != nil {
		l.Fault = err.Error()
		return l, nil
	}
	for _, r := range c.Readings {
		if r.C > l.GotC {
			l.GotC, l.GotS = r.C, r.TimeS
		}
	}
	told, err := l.Of.Plan.Forecast(plan.ForecastOptions{Options: heat.Options{Seed: heatSeed, Done: ctx.Done()}, Maker: l.after})
	if err != nil {
		return l, err
	}
	l.Told = told.Peak
	after, fit, err := learnFrom(l.Of.Plan, l.after, log)
	if err != nil {
		l.Fault = err.Error()
		return l, nil
	}
	l.after, l.Fit = after, fit
	return l, nil
}

// learnedPage is what was learned, predicted beside got.
type learnedPage struct {
	Lessons []learned
	Within  int // of those with a forecast, how many peaks lay in its range
	Told    int
}

func (a *App) learnedPage(w http.ResponseWriter, r *http.Request) error {
	lessons, err := a.lessons(r.Context())
	if err != nil {
		return err
	}
	p := learnedPage{Lessons: slices.Clone(lessons)}
	slices.Reverse(p.Lessons)
	for _, l := range lessons {
		if l.Told != nil {
			p.Told++
			if l.Told.C.Low <= l.GotC && l.GotC <= l.Told.C.High {
				p.Within++
			}
		}
	}
	return a.show(w, r, http.StatusOK, "learned", "workshop", "What your batches taught", p)
}

// startOver puts every curve away: the forecast is that of any maker again.
func (a *App) startOver(w http.ResponseWriter, r *http.Request) error {
	logs, err := a.curves(r.Context())
	if err != nil {
		return err
	}
	for _, l := range logs {
		if err := a.putAwayCurve(r.Context(), l.ID); err != nil {
			return err
		}
	}
	http.Redirect(w, r, "/learned", http.StatusSeeOther)
	return nil
}

func (a *App) putCurveAway(w http.ResponseWriter, r *http.Request) error {
	if err := a.putAwayCurve(r.Context(), r.PathValue("curve")); err != nil {
		return err
	}
	http.Redirect(w, r, "/learned", http.StatusSeeOther)
	return nil
}

func (a *App) putAwayCurve(ctx context.Context, id string) error {
	t, err := a.store.Thing(ctx, kindCurve, id)
	if err != nil || t.Gone {
		return err
	}
	t.Gone, t.MadeAt, t.MadeBy = true, a.now(), ""
	_, err = a.store.SaveThing(ctx, t)
	return err
}

// clockSpan says a span as hours and minutes: "2 h 50".
func clockSpan(seconds float64) string {
	d := time.Duration(seconds * float64(time.Second)).Round(time.Minute)
	h, m := int(d.Hours()), int(d.Minutes())%60
	switch {
	case h == 0:
		return fmt.Sprintf("%d min", m)
	case m == 0:
		return fmt.Sprintf("%d h", h)
	}
	return fmt.Sprintf("%d h %02d", h, m)
}
