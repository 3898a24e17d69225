package web

import (
	"maps"
	"net/http"

	"barwright/store"
)

// conflict is what somebody else saved while this form was open.
type conflict struct {
	By, When string
	Gone     bool         // they put it away
	Away     bool         // this person wants to put it away
	Taken    []string     // what only they changed, taken into the form
	Rows     []difference // theirs and mine
	File     string       // theirs, of what is kept as it was typed
	byKey    map[string]string
}

// showConflict shows the form with what was typed, and beside it what somebody
// else saved meanwhile. What only they changed is in the form already, so that
// saving it again changes what this person changed and nothing else; their
// revision stays in the history.
func (a *App) showConflict(w http.ResponseWriter, r *http.Request, k *thingKind, typed map[string]string, mine store.Thing) error {
	p, err := a.openThing(r, k) // as it is now
	if err != nil {
		return err
	}
	revisions, err := a.store.History(r.Context(), k.kind, p.ID)
	if err != nil {
		return err
	}
	fields, err := k.show(mine.Body)
	if err != nil {
		return err
	}
	newest := revisions[0]
	c := &conflict{By: newest.MadeBy, When: a.when(newest), Gone: newest.Gone, Away: mine.Gone, byKey: map[string]string{}}
	if k.named != nil {
		c.File = newest.Body
	} else if base := fieldsAt(k, revisions, mine.Rev); base != nil {
		c.take(k, p, base, fields, typed)
	}
	c.Rows = differences(k, p.saved, fields, p.lib)
	if len(c.Rows) == 0 && newest.Gone == mine.Gone {
		return listed(w, r, k, newest) // both saved the same, or only they changed anything
	}
	for _, d := range c.Rows {
		c.byKey[d.Key] = theirs(d)
	}
	p.Conflict, p.By = c, mine.MadeBy
	return a.showThing(w, r, http.StatusConflict, k, p, typed, nil)
}

// fieldsAt are the fields of one of the revisions, nil when there is none.
func fieldsAt(k *thingKind, revisions []store.Thing, rev int) map[string]string {
	for _, t := range revisions {
		if t.Rev != rev {
			continue
		}
		if fields, err := k.show(t.Body); err == nil {
			return fields
		}
	}
	return nil
}

// take moves what only they changed into mine and into what is typed.
func (c *conflict) take(k *thingKind, p *thingPage, base, mine, typed map[string]string) {
	after := maps.Clone(base)
	for _, f := range k.fields() {
		if now := p.saved[f.Key]; mine[f.Key] == base[f.Key] && now != base[f.Key] {
			mine[f.Key], after[f.Key], typed[f.Key] = now, now, f.typed(now, p.lib)
		}
	}
	for _, d := range differences(k, base, after, p.lib) {
		c.Taken = append(c.Taken, d.words())
	}
}

func theirs(d difference) string {
	switch {
	case d.tick && d.Was != "":
		return "ticked"
	case d.tick:
		return "not ticked"
	case d.Was == "":
		return "empty"
	}
	return d.Was
}
