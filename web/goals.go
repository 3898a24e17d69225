package web

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strings"

	"barwright/formulate"
	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/recipe"
	"barwright/store"
)

// Goals that were kept, went out as files and came in again.

// keptGoal is one of them.
type keptGoal struct{ ID, Name string }

// keptGoals lists them by name.
func (a *App) keptGoals(ctx context.Context) (out []keptGoal, err error) {
	things, err := a.store.Things(ctx, kindGoal)
	if err != nil {
		return nil, err
	}
	for _, t := range things {
		var g formulate.Goal
		if _, err := tomldoc.Decode("goal "+t.ID, []byte(t.Body), &g); err == nil {
			out = append(out, keptGoal{t.ID, cmp.Or(g.Name, t.ID)})
		}
	}
	return out, nil
}

// openGoal fills the page from a kept goal.
func (a *App) openGoal(ctx context.Context, p *formulatePage, id string, lib *material.Library) error {
	t, err := a.store.Thing(ctx, kindGoal, id)
	if err != nil {
		return err
	}
	var g formulate.Goal
	if _, err := tomldoc.Decode("goal "+id, []byte(t.Body), &g); err != nil {
		return err
	}
	p.Draft, p.Known = draft{fields: g.Fields(), locks: map[int]bool{}}, id
	return nil
}

// keepGoal keeps the wishes as a goal: the one that was opened, or a new one
// when its name is another.
func (a *App) keepGoal(w http.ResponseWriter, r *http.Request, p *formulatePage, lib *material.Library) error {
	if err := a.fillFormulate(r.Context(), p, lib); err != nil {
		return err
	}
	if strings.TrimSpace(p.Goal.Name) == "" {
		p.Faults["name"] = nameless
		p.Waiting = append(p.Waiting, nameless)
	}
	if len(p.Faults) > 0 {
		return a.showFormulate(w, r, http.StatusUnprocessableEntity, p, lib, false)
	}
	t := store.Thing{Kind: kindGoal, Body: string(p.Goal.Print()), MadeAt: a.now(), MadeBy: visitorOf(r).device.Name}
	err := a.placeGoal(r.Context(), p, &t)
	if err == nil {
		_, err = a.store.SaveThing(r.Context(), t)
	}
	if err != nil {
		status, told := a.sorryFor(r, err)
		p.Sorry = &told
		return a.showFormulate(w, r, status, p, lib, false)
	}
	return saved(w, r, "/formulate?goal="+url.QueryEscape(t.ID)+"&kept=1")
}

// placeGoal finds the id and revision that a goal is kept under.
func (a *App) placeGoal(ctx context.Context, p *formulatePage, t *store.Thing) (err error) {
	if have, err := a.store.Thing(ctx, kindGoal, p.Known); err == nil && !have.Gone {
		var was formulate.Goal
		if _, err := tomldoc.Decode("", []byte(have.Body), &was); err == nil && was.Name == p.Goal.Name {
			t.ID, t.Rev = have.ID, have.Rev
			return nil
		}
	} else if err != nil && !errors.Is(err, store.ErrMissing) {
		return err
	}
	t.ID, err = a.freeID(ctx, kindGoal, p.Goal.Name)
	return err
}

// awayGoal puts a kept goal away.
func (a *App) awayGoal(w http.ResponseWriter, r *http.Request) error {
	t, err := a.store.Thing(r.Context(), kindGoal, r.PostFormValue("goal"))
	if err != nil {
		return err
	}
	t.Gone, t.MadeAt, t.MadeBy = true, a.now(), visitorOf(r).device.Name
	if _, err := a.store.SaveThing(r.Context(), t); err != nil {
		return err
	}
	http.Redirect(w, r, "/formulate", http.StatusSeeOther)
	return nil
}

// goalFile sends the wishes as a goal file.
func (a *App) goalFile(w http.ResponseWriter, r *http.Request) error {
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	p, err := a.postedGoal(r, lib)
	if err != nil {
		return err
	}
	if err := a.fillFormulate(r.Context(), p, lib); err != nil {
		return err
	}
	if len(p.Faults) > 0 {
		return a.showFormulate(w, r, http.StatusUnprocessableEntity, p, lib, false)
	}
	attach(w, "application/toml", fileName(cmp.Or(p.Goal.Name, "goal"))+".toml")
	_, err = w.Write(p.Goal.Print())
	return err
}

// goalUpload is a goal file that was chosen and cannot be used.
type goalUpload struct {
	Text   string
	Faults []lineFault
}

// readGoal fills the page from a goal file.
func (a *App) readGoal(w http.ResponseWriter, r *http.Request) error {
	if err := parsePosted(r); err != nil {
		return err
	}
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	text, err := uploaded(r, "file")
	if err != nil || text == "" {
		text = strings.ReplaceAll(r.PostFormValue("text"), "\r\n", "\n")
	}
	goal, err := formulate.Parse("goal", []byte(text), lib)
	if err != nil {
		p := &formulatePage{Draft: usualWishes(), File: &goalUpload{Text: text}}
		for _, e := range tomldoc.All(err) {
			p.File.Faults = append(p.File.Faults, lineFault{e.Line, e.Text, e.Advice})
		}
		if len(p.File.Faults) == 0 {
			p.File.Faults = []lineFault{{Text: fmt.Sprint(err)}}
		}
		return a.showFormulate(w, r, http.StatusUnprocessableEntity, p, lib, false)
	}
	p := &formulatePage{Draft: draft{fields: goal.Fields(), locks: map[int]bool{}}}
	return a.showFormulate(w, r, http.StatusOK, p, lib, false)
}

// nameless is what a goal is not kept for.
var nameless = recipe.Fault{Path: "name", Text: "It has no name yet.", Advice: "Name it, to find it again."}
