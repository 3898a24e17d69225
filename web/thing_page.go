package web

import (
	"cmp"
	"errors"
	"net/http"
	"strconv"
	"strings"

	"barwright/store"
)

// thing serves the form of the things of the address's kind.
func (a *App) thing(form func(*thingKind) page) page {
	return func(w http.ResponseWriter, r *http.Request) error {
		k, ok := thingKinds[r.PathValue("kind")]
		if !ok {
			return store.ErrMissing
		}
		return form(k)(w, r)
	}
}

// editThing shows the form of one thing, or of a new one.
func (a *App) editThing(k *thingKind) page {
	return func(w http.ResponseWriter, r *http.Request) error {
		p, err := a.openThing(r, k)
		if err != nil {
			return err
		}
		return a.showThing(w, r, http.StatusOK, k, p, p.saved, nil)
	}
}

// Buttons of the form.
const (
	doHold    = "hold"
	doRelease = "release"
	doAway    = "away"
)

// saveThing saves what was typed as the next revision, or shows it again with
// what is wrong.
func (a *App) saveThing(k *thingKind) page {
	return func(w http.ResponseWriter, r *http.Request) error {
		if err := parsePosted(r); err != nil {
			return err
		}
		p, err := a.openThing(r, k)
		if err != nil {
			return err
		}
		p.By = strings.TrimSpace(r.PostForm.Get("by"))
		typed, keys, faults := p.posted(r, k)
		if r.PostForm.Get("do") == doAway && !p.IsNew {
			return a.putAway(w, r, k, p, typed)
		}
		holdOrRelease(r.PostForm.Get("do"), typed, keys, faults)
		if p.IsNew && k.kind != kindMaterial { // a material file has its own
			if keys["id"], err = a.freeID(r.Context(), k.kind, cmp.Or(keys["name"], keys["of"])); err != nil {
				return err
			}
		}
		made, err := a.readWhole(r, k, keys, faults)
		if err != nil {
			return err
		}
		if len(faults) > 0 {
			return a.showThing(w, r, http.StatusUnprocessableEntity, k, p, typed, faults)
		}
		return a.saveBody(w, r, k, p, typed, store.Thing{Kind: k.kind, ID: made.id, Body: made.body, MadeBy: p.By})
	}
}

func holdOrRelease(do string, typed, keys, faults map[string]string) {
	switch {
	case do == doRelease:
		typed["held"], keys["held"] = "", ""
	case do == doHold && keys["held"] == "":
		faults["held"] = "say why, for whoever finds it held"
	}
}

// putAway saves the thing as it was saved last, put away: what is half typed
// on the page does not matter then.
func (a *App) putAway(w http.ResponseWriter, r *http.Request, k *thingKind, p *thingPage, typed map[string]string) error {
	return a.saveBody(w, r, k, p, typed, store.Thing{Kind: k.kind, ID: p.ID, Body: p.body, Gone: true, MadeBy: cutTo(p.By, mostBy)})
}

// parsePosted reads the form, files and all.
func parsePosted(r *http.Request) error {
	err := r.ParseMultipartForm(maxForm)
	if errors.Is(err, http.ErrNotMultipart) {
		return nil // ParseForm has read it
	}
	return err
}

// readWhole makes the thing of its keys, and adds what is wrong to faults.
func (a *App) readWhole(r *http.Request, k *thingKind, keys, faults map[string]string) (written, error) {
	lib, _, err := a.materialLibrary(r.Context(), keys["id"])
	if err != nil {
		return written{}, err
	}
	made, wrong := k.read(keys, lib)
	for key, text := range wrong {
		setEmpty(faults, map[string]string{key: text})
	}
	if by := r.PostForm.Get("by"); len(by) > mostBy || !oneLine(by) {
		faults["by"] = "a name is one short line"
	}
	if len(faults) == 0 {
		err = a.checkOthers(r.Context(), k, made, keys["id"] == "", faults)
	}
	return made, err
}

// mostBy is the longest name of who saves [bytes].
const mostBy = 60

func oneLine(s string) bool {
	return !strings.ContainsFunc(s, func(c rune) bool { return c < ' ' || c == 0x7f || c == '\ufffd' })
}

// saveBody saves a revision, unless nothing has changed, and goes to the page
// that lists it.
func (a *App) saveBody(w http.ResponseWriter, r *http.Request, k *thingKind, p *thingPage, typed map[string]string, t store.Thing) error {
	t.Rev, t.MadeAt = worked(r), a.now()
	if t.Rev == p.Rev && t.Body == p.body && t.Gone == p.Gone {
		return listed(w, r, k, t)
	}
	_, err := a.store.SaveThing(r.Context(), t)
	switch {
	case errors.Is(err, store.ErrChanged) && p.IsNew:
		return a.saveThing(k)(w, r) // somebody took the id in the same moment: another is free
	case errors.Is(err, store.ErrChanged):
		return a.showConflict(w, r, k, typed, t)
	case err != nil:
		return err
	}
	return listed(w, r, k, t)
}

// worked is the revision that the person worked from, 0 for a new thing.
func worked(r *http.Request) int {
	rev, err := strconv.Atoi(r.PostForm.Get("rev"))
	if err != nil {
		return -1 // none at all: it will be told as a conflict
	}
	return rev
}

// listed goes to the page that lists a thing, at its line.
func listed(w http.ResponseWriter, r *http.Request, k *thingKind, t store.Thing) error {
	to := k.home
	if !t.Gone {
		to += "#" + k.kind + "-" + t.ID
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}
