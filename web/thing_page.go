package web

import (
	"cmp"
	"errors"
	"net/http"
	"slices"
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
		p.By = visitorOf(r).device.Name
		start := p.saved
		if p.IsNew {
			start = startOf(r, k)
		}
		return a.showThing(w, r, http.StatusOK, k, p, k.asTyped(start, p.lib), nil)
	}
}

// Buttons of the form.
const (
	doHold    = "hold"
	doRelease = "release"
	doAway    = "away"
)

// saveThing saves what was typed as the next revision, or shows it again with
// what is wrong. Putting a thing away saves what was typed, too.
func (a *App) saveThing(k *thingKind) page {
	return func(w http.ResponseWriter, r *http.Request) error {
		if err := parsePosted(r); err != nil {
			return err
		}
		p, err := a.openThing(r, k)
		if err != nil {
			return err
		}
		if k.kind == kindWorkshop && r.PostForm.Get("do") == doAway {
			return errBadForm // its page has no such button
		}
		p.By = strings.TrimSpace(r.PostForm.Get(byKey))
		typed, keys, faults := p.posted(r, k)
		do := r.PostForm.Get("do")
		holdOrRelease(do, typed, keys, faults)
		if fault := checkBy(p.By); fault != "" {
			faults[byKey] = fault
		}
		made, away := written{id: p.ID, body: p.body}, do == doAway && !p.IsNew
		if !away || p.differs(k, keys) { // else it may be one that cannot be read any more, and is put away for that
			if made, err = a.readWhole(r, k, p, keys, faults); err != nil {
				return err
			}
		}
		if len(faults) > 0 {
			return a.showThing(w, r, http.StatusUnprocessableEntity, k, p, typed, faults)
		}
		return a.saveBody(w, r, k, p, typed, store.Thing{Kind: k.kind, ID: made.id, Body: made.body, Gone: away, MadeBy: p.By})
	}
}

// differs reports whether the form says other than what is saved.
func (p *thingPage) differs(k *thingKind, keys map[string]string) bool {
	return slices.ContainsFunc(k.fields(), func(f thingField) bool { return keys[f.Key] != strings.TrimSpace(p.saved[f.Key]) })
}

func holdOrRelease(do string, typed, keys, faults map[string]string) {
	switch {
	case do == doRelease:
		typed["held"], keys["held"] = "", ""
	case do == doHold && keys["held"] == "":
		faults["held"] = "say why, for whoever finds it held"
	}
}

// parsePosted reads the form, files and all.
func parsePosted(r *http.Request) error {
	switch err := r.ParseMultipartForm(maxForm); {
	case errors.Is(err, http.ErrNotMultipart): // ParseForm has read it
		return nil
	case err != nil && !isTooBig(err):
		return errBadForm
	default:
		return err
	}
}

// readWhole makes the thing of its keys, and adds what is wrong to faults.
func (a *App) readWhole(r *http.Request, k *thingKind, p *thingPage, keys, faults map[string]string) (made written, err error) {
	if p.IsNew && k.kind != kindMaterial { // a material file has its own
		if keys["id"], err = a.freeID(r.Context(), k.kind, cmp.Or(keys["name"], keys["of"])); err != nil {
			return written{}, err
		}
	}
	lib, _, err := a.materialLibrary(r.Context(), keys["id"])
	if err != nil {
		return written{}, err
	}
	made, wrong := k.read(keys, lib)
	for key, text := range wrong {
		setEmpty(faults, map[string]string{key: text})
	}
	if len(faults) == 0 {
		err = a.checkOthers(r.Context(), k, made, keys["id"] == "", faults)
	}
	return made, err
}

// byKey is the field that says who saves, and mostBy its longest text [bytes].
const (
	byKey  = "by"
	mostBy = 60
)

func checkBy(by string) (fault string) {
	if len(by) > mostBy || !oneLine(by) {
		return "a name is one short line"
	}
	return ""
}

func oneLine(s string) bool {
	return !strings.ContainsFunc(s, func(c rune) bool { return c < ' ' || c == 0x7f || c == '\ufffd' })
}

// saveBody saves a revision, unless nothing has changed, and goes to the page
// that lists it.
func (a *App) saveBody(w http.ResponseWriter, r *http.Request, k *thingKind, p *thingPage, typed map[string]string, t store.Thing) error {
	t.Rev, t.MadeAt = p.worked(r), a.now()
	if t.Rev == p.Rev && t.Body == p.body && t.Gone == p.Gone {
		return listed(w, r, k, t)
	}
	_, err := a.store.SaveThing(r.Context(), t)
	switch {
	case errors.Is(err, store.ErrChanged) && p.IsNew:
		again := map[string]string{"name": "somebody made one of this name in the same moment: save again"}
		return a.showThing(w, r, http.StatusConflict, k, p, typed, again)
	case errors.Is(err, store.ErrChanged):
		return a.showConflict(w, r, k, typed, t)
	case err != nil:
		status, told := a.sorryFor(r, err)
		p.Sorry = &told
		return a.showThing(w, r, status, k, p, typed, nil)
	}
	return listed(w, r, k, t)
}

// worked is the revision that the person worked from, 0 for a new thing and -1,
// which no thing has, when the form does not say.
func (p *thingPage) worked(r *http.Request) int {
	rev, err := strconv.Atoi(r.PostForm.Get("rev"))
	switch {
	case p.IsNew:
		return 0
	case err != nil:
		return -1
	}
	return rev
}

// listed goes to the page that lists a thing, at its line.
func listed(w http.ResponseWriter, r *http.Request, k *thingKind, t store.Thing) error {
	to := k.home
	if !t.Gone {
		to += "#" + k.kind + "-" + t.ID
	}
	return saved(w, r, to)
}
