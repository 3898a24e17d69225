package web

import (
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"

	"barwright/material"
	"barwright/recipe"
	"barwright/share"
	"barwright/stock"
)

// mostFiles is how many files come in at once.
const mostFiles = 50

// importPage shows what was read before anything is saved.
type importPage struct {
	Read    []*incoming
	Faults  int // files that cannot be saved as they are
	Refused bool
	Nothing bool // nothing was chosen
	Shop    *incomingShop
	TooMany []string // files beyond mostFiles, which were not read
	Zips    []string // beside the first, which were not read
	Moulds  []stock.Mould
	Scales  []stock.Scale
	Names   []named // of materials, to use instead of unknown ones
}

func (a *App) importPage(w http.ResponseWriter, r *http.Request) error {
	return a.showImport(w, r, http.StatusOK, importPage{})
}

func (a *App) showImport(w http.ResponseWriter, r *http.Request, status int, p importPage) error {
	return a.show(w, r, status, "import", "recipes", "Bring in recipes", p)
}

// importFiles reads the files chosen and shows them, or saves what was shown:
// all of it or, when one cannot be saved, nothing.
func (a *App) importFiles(w http.ResponseWriter, r *http.Request) error {
	if err := parseForm(r); err != nil {
		return err
	}
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	var p importPage
	if err := a.fitTo(r, &p, lib); err != nil {
		return err
	}
	if err := a.readChosen(r, &p, lib); err != nil {
		return err
	}
	save := r.PostFormValue("do") == "save"
	switch {
	case p.Shop != nil && save && len(p.Shop.Faults) == 0:
		return a.saveShop(w, r, p.Shop)
	case p.Faults > 0 || p.Shop != nil && len(p.Shop.Faults) > 0:
		p.Refused = save
		return a.showImport(w, r, http.StatusUnprocessableEntity, p)
	case len(p.Read) == 0 && p.Shop == nil:
		p.Nothing = true
		return a.showImport(w, r, http.StatusUnprocessableEntity, p)
	case save:
		return a.saveRecipes(w, r, p.Read, lib)
	}
	return a.showImport(w, r, http.StatusOK, p)
}

// parseForm reads a form with or without files.
func parseForm(r *http.Request) error {
	err := r.ParseMultipartForm(maxForm)
	var big *http.MaxBytesError
	if err == nil || errors.Is(err, http.ErrNotMultipart) {
		return nil
	} else if errors.As(err, &big) {
		return err
	}
	return recipe.Fault{Text: "The files did not arrive whole.", Advice: "Choose them again; a file with an odd name may need another one."}
}

// fitTo fills in what recipes can be fitted to.
func (a *App) fitTo(r *http.Request, p *importPage, lib *material.Library) (err error) {
	if p.Moulds, err = thingsOf[stock.Mould](r.Context(), a.store, kindMould); err != nil {
		return err
	}
	if p.Scales, err = thingsOf[stock.Scale](r.Context(), a.store, kindScale); err != nil {
		return err
	}
	fats, additions := choices(lib)
	p.Names = append(fats, additions...)
	return nil
}

// readChosen reads uploaded files, or the texts of a page that showed them.
func (a *App) readChosen(r *http.Request, p *importPage, lib *material.Library) error {
	for i := range mostFiles {
		name, ok := r.PostForm[fmt.Sprintf("f.%d.file", i)]
		if !ok {
			break
		}
		p.add(a.again(r, i, name[0], p, lib))
	}
	if text := r.PostFormValue("zip"); text != "" {
		p.Shop = a.shopAgain(r, text)
	}
	p.TooMany, p.Zips = r.PostForm["toomany"], r.PostForm["zips"]
	if r.MultipartForm == nil {
		return nil
	}
	for _, h := range r.MultipartForm.File["file"] {
		f, err := h.Open()
		if err != nil {
			return err
		}
		data, err := io.ReadAll(f) // the whole form is bounded
		f.Close()
		if err != nil {
			return err
		}
		name := cutTo(h.Filename, 100)
		switch {
		case h.Filename == "" && len(data) == 0: // a form sent without a choice
		case strings.HasPrefix(string(data), "PK\x03\x04") && p.Shop != nil:
			p.Zips = append(p.Zips, name)
		case strings.HasPrefix(string(data), "PK\x03\x04"):
			p.Shop = a.readShop(r, name, data)
		case len(p.Read) >= mostFiles:
			p.TooMany = append(p.TooMany, name)
		default:
			p.add(a.first(r, len(p.Read), name, data, lib))
		}
	}
	return nil
}

func (p *importPage) add(f *incoming) {
	p.Read = append(p.Read, f)
	if len(f.Faults) > 0 && !f.LeaveOut {
		p.Faults++
	}
}

// saveRecipes saves every recipe that is not left out, all in one.
func (a *App) saveRecipes(w http.ResponseWriter, r *http.Request, read []*incoming, lib *material.Library) error {
	var arrival share.Arrival
	taken := map[string]bool{}
	for _, f := range read {
		if f.LeaveOut {
			continue
		}
		v := share.Version{ID: newID(), Reason: f.reason(), Body: f.body(), MadeAt: a.now()}
		id := share.LooseID([]byte(v.Body))
		if _, err := a.store.Recipe(r.Context(), id); err == nil || taken[id] { // brought in before, and wished again
			id = newID()
		}
		taken[id] = true
		arrival.Recipes = append(arrival.Recipes, share.Recipe{ID: id, Name: f.Recipe.Name, Versions: []share.Version{v}})
	}
	words := func(body string) string { return share.Words(body, lib) }
	if err := a.store.Add(r.Context(), arrival, words); err != nil {
		return err
	}
	to := "/recipes"
	if len(arrival.Recipes) == 1 {
		to += "/" + arrival.Recipes[0].ID + "?saved=1"
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}
