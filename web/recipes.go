package web

import (
	"net/http"

	"barwright/store"
)

// recipesPage is the list of recipes.
type recipesPage struct {
	Recipes  []recipeLine
	Query    string
	Tag      string
	Tags     []string
	Archived bool
}

// nowhere answers every address without a page.
func (a *App) nowhere(http.ResponseWriter, *http.Request) error { return store.ErrMissing }

// home offers a first recipe while there is none, else the recipes.
func (a *App) home(w http.ResponseWriter, r *http.Request) error {
	some, err := a.store.Recipes(r.Context(), store.Search{Limit: 1})
	if err != nil {
		return err
	}
	if len(some) > 0 {
		http.Redirect(w, r, "/recipes", http.StatusSeeOther)
		return nil
	}
	return a.show(w, r, http.StatusOK, "home", "recipes", "Welcome", homePage{HasDemo: a.sideDemo != nil && visitorOf(r).here})
}

// homePage greets somebody whose workshop is empty.
type homePage struct {
	HasDemo bool // that can be opened from here
}

func (a *App) recipes(w http.ResponseWriter, r *http.Request) (err error) {
	p := recipesPage{Query: r.FormValue("q"), Tag: r.FormValue("tag"), Archived: r.FormValue("archived") != ""}
	found, err := a.store.Recipes(r.Context(), store.Search{Words: p.Query, Tag: p.Tag, Archived: p.Archived})
	if err != nil {
		return err
	}
	if p.Recipes, err = a.recipeLines(r.Context(), found); err != nil {
		return err
	}
	if p.Tags, err = a.store.Tags(r.Context()); err != nil {
		return err
	}
	return a.show(w, r, http.StatusOK, "recipes", "recipes", "Recipes", p)
}
