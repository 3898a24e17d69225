package web

import (
	"cmp"
	"errors"
	"io"
	"net/http"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"barwright/curve"
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
		err = teaches(p.Plan, log)
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
		status, told := a.sorryFor(r, err)
		p.Typed.Fault, p.Typed.Advice = told.Text, told.Advice
		return a.showHeat(w, r, status, p)
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
