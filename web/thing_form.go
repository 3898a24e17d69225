package web

import (
	"net/http"
	"strings"

	"barwright/material"
)

// thingPage is the form of one thing.
type thingPage struct {
	One, Home string
	ID        string
	Rev       int
	IsNew     bool
	Gone      bool // put away
	Groups    []groupView
	Faults    []faultLine // once on top
	Conflict  *conflict
	History   []change
	Names     []named // to choose a material from
	Facts     []string
	By        string // who saves, as typed
	MayHold   bool
	Held      bool // as it was saved

	saved map[string]string // what was saved last
	body  string            // the same as it is kept
}

// groupView is one group of fields with what was typed.
type groupView struct {
	Legend, Hint string
	Threes       bool
	Fields       []fieldView
}

// fieldView is one field with what was typed.
type fieldView struct {
	thingField
	ID, Value, Fault string
	Theirs           string // what somebody else saved meanwhile, in a conflict
}

// Tight reports a field that stands beside the one before it, for templates.
func (f fieldView) Tight() bool { return f.Label == "at least" || f.Label == "at most" }

// faultLine is one fault with the field it belongs to.
type faultLine struct{ Label, Text, ID string }

func fieldID(key string) string { return "f-" + strings.ReplaceAll(key, ".", "-") }

// openThing finds the thing of the address; the revision is 0 for a new one.
// There is one workshop: its "new" is the one that is there.
func (a *App) openThing(r *http.Request, k *thingKind) (*thingPage, error) {
	p := &thingPage{One: k.one, Home: k.home, ID: r.PathValue("id"), MayHold: k.kind == kindLot, saved: map[string]string{}}
	if p.ID == "new" && k.kind == kindWorkshop {
		if all, err := a.store.Things(r.Context(), kindWorkshop); err != nil {
			return nil, err
		} else if len(all) > 0 {
			p.ID = all[0].ID
		}
	}
	if p.ID == "new" {
		p.IsNew = true
		return p, nil
	}
	t, err := a.store.Thing(r.Context(), k.kind, p.ID)
	if err != nil {
		return nil, err
	}
	p.Rev, p.Gone, p.body = t.Rev, t.Gone, t.Body
	p.saved, err = k.show(t.Body)
	p.Held = p.saved["held"] != ""
	return p, err
}

// posted reads the form: what was typed, in the place of what was saved, so
// that keys without a field stay. Faults are of texts that mean two things.
func (p *thingPage) posted(r *http.Request, k *thingKind) (typed, keys, faults map[string]string) {
	typed, keys, faults = map[string]string{}, map[string]string{}, map[string]string{}
	for key, text := range p.saved {
		keys[key] = text
	}
	for _, f := range k.fields() {
		values, ok := r.PostForm["f."+f.Key]
		if !ok { // the page did not have it
			typed[f.Key] = keys[f.Key]
			continue
		}
		typed[f.Key] = values[len(values)-1] // a box to tick sends that it is there, then its tick
		if f.As == asFile {
			if text, err := uploaded(r, "f."+f.Key); err != nil {
				faults[f.Key] = "the file could not be read"
			} else if text != "" {
				typed[f.Key] = text
			}
		}
		text, fault := f.tidy(typed[f.Key])
		keys[f.Key] = text
		if fault != "" {
			faults[f.Key] = fault
		}
	}
	return typed, keys, faults
}

// showThing shows the form with what was typed.
func (a *App) showThing(w http.ResponseWriter, r *http.Request, status int, k *thingKind, p *thingPage, typed, faults map[string]string) error {
	lib, _, err := a.materialLibrary(r.Context(), "")
	if err != nil {
		return err
	}
	if k.kind == kindLot {
		p.Names = materialNames(lib, isNoLot)
	}
	p.arrange(k, lib, typed, faults)
	p.Facts = facts(k, p, lib)
	if p.History, err = a.historyOf(r.Context(), k, p, lib); err != nil {
		return err
	}
	title := "A new " + k.one
	if !p.IsNew {
		title = cutTo(strings.TrimSpace(p.saved["name"]), 100)
		if title == "" {
			title = p.ID
		}
	}
	return a.show(w, r, status, "thing", k.section, title, p)
}

// arrange lays out the groups that the thing has, with values and faults.
func (p *thingPage) arrange(k *thingKind, lib *material.Library, typed, faults map[string]string) {
	of := material.Kind("")
	if id, fault := materialNamed(typed["of"], lib); fault == "" {
		if m, err := lib.Find(id); err == nil {
			of = m.Kind
		}
	}
	left := map[string]string{}
	for key, text := range faults {
		left[key] = text
	}
	for _, g := range k.groups {
		view := groupView{Legend: g.Legend, Hint: g.Hint, Threes: g.Threes}
		used := g.only == nil || of == "" || g.only(of)
		for _, f := range g.Fields {
			v := fieldView{thingField: f, ID: fieldID(f.Key), Value: typed[f.Key], Fault: faults[f.Key]}
			if f.only != nil && of != "" && !f.only(of) && v.Value == "" && v.Fault == "" {
				continue
			}
			if f.As == asMaterial {
				v.Value = nameOf(v.Value, lib)
			}
			if p.Conflict != nil {
				v.Theirs = p.Conflict.byKey[f.Key]
			}
			if v.Fault != "" {
				p.Faults = append(p.Faults, faultLine{k.labels()[f.Key], v.Fault, v.ID})
				delete(left, f.Key)
			}
			used = used || v.Fault != "" || strings.TrimSpace(v.Value) != ""
			view.Fields = append(view.Fields, v)
		}
		if used {
			p.Groups = append(p.Groups, view)
		}
	}
	for _, key := range sortedKeys(left) {
		p.Faults = append(p.Faults, faultLine{key, left[key], ""})
	}
}
