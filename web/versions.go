package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"
	"time"
	"unicode"

	"barwright/internal/tomldoc"
	"barwright/plan"
	"barwright/recipe"
	"barwright/share"
	"barwright/stock"
	"barwright/store"
)

// versionRoutes are the tree of versions, comparing, copying, tags and the
// batch sheet.
func (a *App) versionRoutes() map[string]page {
	return map[string]page{
		"GET /recipes/{id}/versions": a.versions,
		"GET /recipes/{id}/compare":  a.compare,
		"GET /compare":               a.compare,
		"GET /recipes/{id}/file":     a.recipeFile,
		"GET /recipes/{id}/sheet":    a.sheet,
		"POST /recipes/{id}/copy":    a.copyRecipe,
		"POST /recipes/{id}/archive": a.archive,
		"POST /recipes/{id}/tags":    a.setTags,
	}
}

// versionsPage is the tree of a recipe's versions.
type versionsPage struct {
	Recipe   store.Recipe
	Versions []branch
	TagText  string
	Tags     string // as they are
	TagsMet  bool   // somebody set others while the page was open
	Archived bool
	Others   []store.Recipe // to compare with
}

// mostOthers is how many other recipes are offered to compare with, those
// changed last.
const mostOthers = 200

func (a *App) versions(w http.ResponseWriter, r *http.Request) error {
	p, err := a.versionsOf(r)
	if err != nil {
		return err
	}
	return a.showVersions(w, r, http.StatusOK, p)
}

func (a *App) showVersions(w http.ResponseWriter, r *http.Request, status int, p *versionsPage) error {
	return a.show(w, r, status, "versions", "recipes", p.Recipe.Name+", versions", p)
}

func (a *App) versionsOf(r *http.Request) (*versionsPage, error) {
	rec, err := a.store.Recipe(r.Context(), r.PathValue("id"))
	if err != nil {
		return nil, err
	}
	all, err := a.store.Versions(r.Context(), rec.ID)
	if err != nil {
		return nil, err
	}
	others, err := a.store.Recipes(r.Context(), store.Search{Limit: mostOthers})
	if err != nil {
		return nil, err
	}
	tags := strings.Join(rec.Tags, " ")
	return &versionsPage{Recipe: rec, Versions: tree(all, rec.Head), TagText: tags, Tags: tags, Archived: !rec.Archived.IsZero(),
		Others: slices.DeleteFunc(others, func(o store.Recipe) bool { return o.ID == rec.ID })}, nil
}

func (a *App) recipeFile(w http.ResponseWriter, r *http.Request) error {
	p, err := a.openRecipe(r)
	if err != nil {
		return err
	}
	name := fmt.Sprintf("%s-v%d.toml", fileName(p.Recipe.Name), p.Version.Number)
	attach(w, "application/toml; charset=utf-8", name)
	w.Write([]byte(p.Version.Body))
	return nil
}

// fileName makes a name for a file of small letters, digits and hyphens.
func fileName(name string) string { return share.FileName(name) }

func (a *App) copyRecipe(w http.ResponseWriter, r *http.Request) error {
	p, err := a.openRecipe(r)
	if err != nil {
		return err
	}
	rec, err := readVersion(p.Version)
	if err != nil {
		return err
	}
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	rec.Name = cutTo("Copy of "+rec.Name, 200)
	v := store.Version{ID: newID(), Body: string(rec.Print()), Reason: fmt.Sprintf("copied from %s, version %d", p.Recipe.Name, p.Version.Number), MadeAt: a.now()}
	to := store.Recipe{ID: newID(), Name: rec.Name, Tags: p.Recipe.Tags}
	if err := a.store.NewRecipe(r.Context(), to, v, share.Words(v.Body, lib)); err != nil {
		return err
	}
	http.Redirect(w, r, "/recipes/"+to.ID, http.StatusSeeOther)
	return nil
}

func cutTo(s string, letters int) string {
	if r := []rune(s); len(r) > letters {
		return string(r[:letters])
	}
	return s
}

// archive puts a recipe away, or takes it back.
func (a *App) archive(w http.ResponseWriter, r *http.Request) error {
	id, at := r.PathValue("id"), a.now()
	if r.PostFormValue("back") != "" {
		at = time.Time{}
	}
	if err := a.store.SetArchived(r.Context(), id, at); err != nil {
		return err
	}
	http.Redirect(w, r, "/recipes/"+id+"/versions", http.StatusSeeOther)
	return nil
}

// setTags replaces the tags of a recipe by the words given, unless somebody else
// has set others since the page was opened.
func (a *App) setTags(w http.ResponseWriter, r *http.Request) error {
	p, err := a.openRecipe(r)
	if err != nil {
		return err
	}
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	if was, ok := r.PostForm["was"]; ok && was[0] != strings.Join(p.Recipe.Tags, " ") {
		shown, err := a.versionsOf(r)
		if err != nil {
			return err
		}
		shown.TagText, shown.TagsMet = r.PostFormValue("tags"), true
		return a.showVersions(w, r, http.StatusConflict, shown)
	}
	tags := strings.FieldsFunc(strings.ToLower(cutTo(r.PostFormValue("tags"), 200)), func(c rune) bool { return c == ',' || c == ';' || unicode.IsSpace(c) })
	slices.Sort(tags)
	p.Recipe.Tags = slices.Compact(tags)
	if err := a.store.SetTags(r.Context(), p.Recipe, share.Words(p.Version.Body, lib)); err != nil {
		return err
	}
	http.Redirect(w, r, "/recipes/"+p.Recipe.ID+"/versions", http.StatusSeeOther)
	return nil
}

// planned is a saved version with its plan.
type planned struct {
	Recipe  store.Recipe
	Version store.Version
	Plan    *plan.Plan
	Trouble string // why there is no plan
	made    recipe.Recipe
}

// Title names the version.
func (p planned) Title() string { return fmt.Sprintf("%s %d", p.Recipe.Name, p.Version.Number) }

// planVersion opens and plans a saved version, on the scales of the workshop.
func (a *App) planVersion(ctx context.Context, id string) (planned, error) {
	v, err := a.store.Version(ctx, id)
	if err != nil {
		return planned{}, err
	}
	rec, err := a.store.Recipe(ctx, v.Recipe)
	if err != nil {
		return planned{}, err
	}
	out := planned{Recipe: rec, Version: v}
	if _, err := tomldoc.Decode(fmt.Sprintf("version %d", v.Number), []byte(v.Body), &out.made); err != nil {
		return out, err
	}
	lib, err := a.library(ctx)
	if err != nil {
		return out, err
	}
	if faults := out.made.Check(lib); len(faults) > 0 {
		out.Trouble = faults[0].Text
		return out, nil
	}
	scales, err := thingsOf[stock.Scale](ctx, a.store, kindScale)
	if err != nil {
		return out, err
	}
	weighed := out.made
	onScales(&weighed, scales)
	out.Plan, err = plan.Make(weighed, lib)
	var f recipe.Fault
	if errors.As(err, &f) {
		out.Trouble = f.Text
		return out, nil
	}
	return out, err
}
