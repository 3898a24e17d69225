package web

import (
	"bytes"
	"cmp"
	"errors"
	"io"
	"net/http"
	"strconv"
	"strings"

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
	of := curve.Log{ID: newID(), Version: p.Version.ID, Note: p.Typed.Note}
	of.Poured, err = quantity.ParseDate(cmp.Or(p.Typed.Poured, quantity.DateOf(a.now()).String()))
	var log curve.Log
	if err == nil {
		log, err = readCurve(r, of, p.Typed, nil)
	}
	if err == nil {
		err = teaches(p.Plan, plan.Poured{}, log)
	}
	if err == nil {
		err = a.saveCurve(r, log)
	}
	if status := p.Typed.refuse(a, r, err); status != 0 {
		return a.showHeat(w, r, status, p)
	}
	http.Redirect(w, r, "/learned", http.StatusSeeOther)
	return nil
}

func (a *App) saveCurve(r *http.Request, log curve.Log) error {
	body, err := toml.Marshal(log)
	if err != nil {
		return err
	}
	t, err := a.store.Thing(r.Context(), kindCurve, log.ID) // one that was put away
	if err != nil && !errors.Is(err, store.ErrMissing) {
		return err
	}
	t.Kind, t.ID, t.Body, t.MadeAt, t.MadeBy, t.Gone = kindCurve, log.ID, string(body), a.now(), "", false
	_, err = a.store.SaveThing(r.Context(), t)
	return err
}

// refuse notes why a curve is not kept and returns the answer's status, 0 when it
// is.
func (f *curveForm) refuse(a *App, r *http.Request, err error) (status int) {
	var wrong interface {
		error
		Hint() string
	}
	switch {
	case err == nil:
		return 0
	case errors.As(err, &wrong):
		f.Fault, f.Advice = wrong.Error(), wrong.Hint()
		return http.StatusUnprocessableEntity
	}
	status, told := a.sorryFor(r, err)
	f.Fault, f.Advice = told.Text, told.Advice
	return status
}

// readCurve reads a form as the curve of a batch: a file, typed lines, else what
// was read anyway.
func readCurve(r *http.Request, of curve.Log, typed curveForm, anyway []heat.Reading) (curve.Log, error) {
	text := []byte(typed.Text)
	if f, _, err := r.FormFile("file"); err == nil {
		defer f.Close()
		data, err := io.ReadAll(f) // the whole form is bounded
		if err != nil {
			return of, err
		}
		if len(data) > 0 {
			text = data
		}
	}
	var read curve.Curve
	for _, at := range anyway {
		of.LateMin = anyway[0].TimeS / 60
		read.Readings = append(read.Readings, curve.Reading{TimeS: at.TimeS - anyway[0].TimeS, C: at.C})
	}
	if len(bytes.TrimSpace(text)) > 0 || len(anyway) == 0 {
		var err error
		if read, err = curve.Read(text); err != nil {
			return of, err
		}
		if of.LateMin, err = lateMin(typed.Late); err != nil {
			return of, err
		}
	}
	log := curve.NewLog(read)
	log.ID, log.Version, log.Batch, log.Poured, log.LateMin, log.Note = of.ID, of.Version, of.Batch, of.Poured, of.LateMin, of.Note
	_, err := log.Check()
	return log, err
}

func lateMin(text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSuffix(strings.TrimSpace(text), " min"), ",", "."), 64)
	if err != nil {
		return 0, recipe.Fault{Text: "The minutes from the pour to the first reading are no number.", Advice: "Write them like 10, or leave them out."}
	}
	return v, nil
}
