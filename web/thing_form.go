package web

import (
	"errors"
	"maps"
	"net/http"
	"strings"

	"barwright/material"
	"barwright/store"
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
	Sorry     *sorry      // why it could not be saved, when no field is to blame
	Conflict  *conflict
	History   []change
	Names     []named // to choose a material from
	Facts     []string
	By        string // who saves, as typed
	ByFault   string
	MayHold   bool
	Held      bool   // as it was saved
	Currency  string // of the workshop
	Example   string // of a file, for a new one

	saved map[string]string // what was saved last
	body  string            // the same as it is kept
	lib   *material.Library // without the lots
}

// groupView is one group of fields with what was typed.
type groupView struct {
	Legend, Hint string
	Threes       bool
	Folded       bool
	Fields       []fieldView
}

// fieldView is one field with what was typed.
type fieldView struct {
	thingField
	ID, Value, Fault string
	Theirs           string // what somebody else saved meanwhile, in a conflict
}

// Tight reports a field that stands beside the one before it, for templates.
func (f fieldView) Tight() bool { return f.Label == atLeast || f.Label == atMost }

// faultLine is one fault with the field it belongs to.
type faultLine struct{ Label, Text, ID string }

func fieldID(key string) string { return "f-" + strings.ReplaceAll(key, ".", "-") }

// openThing finds the thing of the address; the revision is 0 for a new one.
// There is one workshop: its "new" is the one that is there.
func (a *App) openThing(r *http.Request, k *thingKind) (*thingPage, error) {
	shop, err := a.workshop(r.Context())
	if err != nil {
		return nil, err
	}
	lib, _, err := a.materialLibrary(r.Context(), "")
	if err != nil {
		return nil, err
	}
	p := &thingPage{One: k.one, Home: k.home, ID: r.PathValue("id"), MayHold: k.kind == kindLot, Currency: shop.Currency, saved: map[string]string{}, lib: lib}
	if p.ID == "new" && k.kind == kindWorkshop {
		if _, err := a.store.Thing(r.Context(), kindWorkshop, kindWorkshop); err == nil {
			p.ID = kindWorkshop
		} else if !errors.Is(err, store.ErrMissing) {
			return nil, err
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
// that keys without a field stay. Faults are of texts that cannot be read.
func (p *thingPage) posted(r *http.Request, k *thingKind) (typed, keys, faults map[string]string) {
	typed, keys, faults = k.asTyped(p.saved, p.lib), maps.Clone(p.saved), map[string]string{}
	if own := r.PostForm.Get("f.currency"); k.kind == kindWorkshop && own != "" {
		p.Currency = cutTo(own, 12)
	}
	for _, f := range k.fields() {
		if values, ok := r.PostForm["f."+f.Key]; ok { // else the page did not have it
			typed[f.Key] = values[len(values)-1] // a box to tick sends that it is there, then its tick
		}
		if f.As == asFile {
			if text, err := uploaded(r, "f."+f.Key); err != nil {
				faults[f.Key] = "the file could not be read"
			} else if text != "" {
				typed[f.Key] = text
			}
		}
		text, fault := f.tidy(typed[f.Key], p.Currency)
		if f.As == asMaterial && text == f.typed(p.saved[f.Key], p.lib) {
			text = p.saved[f.Key]
		}
		keys[f.Key] = text
		if fault != "" {
			faults[f.Key] = fault
		}
	}
	return typed, keys, faults
}

// showThing shows the form with what was typed.
func (a *App) showThing(w http.ResponseWriter, r *http.Request, status int, k *thingKind, p *thingPage, typed, faults map[string]string) (err error) {
	if k.kind == kindLot {
		p.Names = materialNames(p.lib, isNoLot)
	}
	p.arrange(k, typed, faults)
	if k.kind == kindMaterial && p.IsNew {
		p.Example = materialExample
	}
	p.Facts = facts(k, p)
	if k.kind == kindLot && !p.IsNew {
		now, err := a.shelfNow(r.Context())
		if err != nil {
			return err
		}
		if said := now.sinceWords(p.ID); said != "" {
			p.Facts = append([]string{said}, p.Facts...)
		}
	}
	if p.History, err = a.historyOf(r.Context(), k, p); err != nil {
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
func (p *thingPage) arrange(k *thingKind, typed, faults map[string]string) {
	of := material.Kind("")
	if id, fault := materialNamed(typed["of"], p.lib); fault == "" {
		if m, err := p.lib.Find(id); err == nil {
			of = m.Kind
		}
	}
	for _, g := range k.groups {
		view := groupView{Legend: g.Legend, Hint: g.Hint, Threes: g.Threes}
		says := false // something is in it
		for _, f := range g.Fields {
			v := p.fieldView(f, typed[f.Key], faults[f.Key])
			if f.only != nil && of != "" && !f.only(of) && !v.says() {
				continue
			}
			says = says || v.says()
			view.Fields = append(view.Fields, v)
		}
		if !says && g.only != nil && of != "" && !g.only(of) {
			continue
		}
		view.Folded = !says && (g.Folds || g.only != nil && of == "")
		p.Groups = append(p.Groups, view)
	}
	p.tell(k, faults)
}

func (p *thingPage) fieldView(f thingField, text, fault string) fieldView {
	v := fieldView{thingField: f, ID: fieldID(f.Key), Value: text, Fault: fault}
	if f.As == asPrice {
		v.Label += ", " + p.Currency
	}
	if p.Conflict != nil {
		v.Theirs = p.Conflict.byKey[f.Key]
	}
	return v
}

// says reports a field that something was typed in, or is told about.
func (f fieldView) says() bool {
	return f.Fault != "" || f.Theirs != "" || strings.TrimSpace(f.Value) != ""
}

// tell lists the faults for the top of the page, in the order of the form;
// those of no field come last.
func (p *thingPage) tell(k *thingKind, faults map[string]string) {
	labels, left := k.labels(), maps.Clone(faults)
	for _, f := range k.fields() {
		if faults[f.Key] != "" {
			p.Faults = append(p.Faults, faultLine{labels[f.Key], faults[f.Key], fieldID(f.Key)})
			delete(left, f.Key)
		}
	}
	for _, key := range sortedKeys(left) {
		line := faultLine{key, left[key], ""}
		if key == byKey {
			line = faultLine{"Saved by", left[key], byKey}
			p.ByFault = left[key]
		}
		p.Faults = append(p.Faults, line)
	}
}
