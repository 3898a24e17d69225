package web

import (
	"crypto/rand"
	"errors"
	"net/http"
	"strings"

	"barwright/material"
	"barwright/recipe"
	"barwright/share"
	"barwright/store"
)

// save makes a version of the draft. False without an error means that the
// page must be shown again with what is wrong.
func (a *App) save(w http.ResponseWriter, r *http.Request, p *planPage, lib *material.Library, branch bool) (bool, error) {
	rec, faults := p.Draft.recipe(lib)
	if len(faults) > 0 {
		return false, nil
	}
	if p.same(rec) {
		p.Unchanged = true
		return false, nil
	}
	if p.IsNew && strings.TrimSpace(p.Reason) == "" {
		p.Reason = "first version"
	}
	v := store.Version{ID: newID(), Recipe: p.Recipe.ID, Parent: p.Version.ID, Reason: strings.TrimSpace(p.Reason), Body: string(rec.Print()), MadeAt: a.now()}
	searchWords := share.Words(v.Body, lib)
	if p.IsNew {
		v.Recipe = newID()
		if err := a.store.NewRecipe(r.Context(), store.Recipe{ID: v.Recipe, Name: rec.Name}, v, searchWords); err != nil {
			return false, err
		}
	} else {
		_, err := a.store.SaveVersion(r.Context(), v, rec.Name, searchWords, branch)
		if errors.Is(err, store.ErrChanged) {
			p.Conflict = true
			return false, nil
		}
		if err != nil {
			return false, err
		}
	}
	http.Redirect(w, r, "/recipes/"+v.Recipe+"?saved=1", http.StatusSeeOther)
	return true, nil
}

func newID() string { return strings.ToLower(rand.Text()[:16]) }

// same reports a recipe that is the version it was made from.
func (p *planPage) same(rec recipe.Recipe) bool {
	if p.IsNew {
		return false
	}
	was, err := readVersion(p.Version)
	return err == nil && string(was.Print()) == string(rec.Print())
}
