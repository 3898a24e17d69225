package web

import (
	"cmp"
	"crypto/rand"
	"errors"
	"fmt"
	"net/http"
	"regexp"
	"strings"
	"unicode/utf8"

	"barwright/material"
	"barwright/recipe"
	"barwright/share"
	"barwright/store"
)

// save makes a version of the draft and returns where it is to be seen; "" when
// the page must be shown again, with what is wrong.
func (a *App) save(r *http.Request, p *planPage, lib *material.Library, branch bool) (to string, err error) {
	rec, faults := p.Draft.recipe(lib)
	if len(faults) > 0 {
		return "", nil
	}
	if p.same(rec) {
		p.Unchanged = true
		return "", nil
	}
	p.Reason = strings.TrimSpace(p.Reason)
	if utf8.RuneCountInString(p.Reason) > mostReason {
		return "", recipe.Fault{Text: fmt.Sprintf("The reason has more than %d letters.", mostReason), Advice: "Say it in fewer."}
	}
	if p.IsNew && p.Reason == "" {
		p.Reason = "first version"
	}
	v := store.Version{ID: newID(), Recipe: cmp.Or(p.Recipe.ID, p.Key), Parent: p.Version.ID, Reason: p.Reason, Body: string(rec.Print()), MadeAt: a.now()}
	words := share.Words(v.Body, lib)
	if p.IsNew && !branch {
		err = a.store.NewRecipe(r.Context(), store.Recipe{ID: v.Recipe, Name: rec.Name}, v, words)
	} else {
		_, err = a.store.SaveVersion(r.Context(), v, rec.Name, words, branch)
	}
	if errors.Is(err, store.ErrChanged) {
		if err = a.changedMeanwhile(r, p, v); err != nil || p.Conflict {
			return "", err
		}
	}
	if err != nil {
		return "", err
	}
	return "/recipes/" + v.Recipe + "?saved=1", nil
}

// mostReason is the longest reason for a version, in letters.
const mostReason = 300

// changedMeanwhile looks at what was saved while the page was open: it is a
// conflict, or this very version, sent twice by an impatient hand or a weak
// network.
func (a *App) changedMeanwhile(r *http.Request, p *planPage, mine store.Version) error {
	rec, err := a.store.Recipe(r.Context(), mine.Recipe)
	if err != nil {
		return err
	}
	newest, err := a.store.Version(r.Context(), rec.Head)
	if err != nil {
		return err
	}
	p.Recipe = rec
	p.Conflict = newest.Body != mine.Body || newest.Parent != mine.Parent
	return nil
}

// refuse shows the page with everything typed and why it was not saved.
func (a *App) refuse(w http.ResponseWriter, r *http.Request, p *planPage, err error) error {
	status := http.StatusUnprocessableEntity
	switch {
	case err != nil:
		var told sorry
		status, told = a.sorryFor(r, err)
		p.Sorry = &told
	case p.Conflict:
		status = http.StatusConflict
	}
	p.Refused = true
	return a.showPlan(w, r, status, p)
}

func newID() string { return strings.ToLower(rand.Text()[:16]) }

var isKey = regexp.MustCompile(`^[a-z2-7]{16}$`)

// keyOf is the key that a page of a new recipe was opened with. It becomes the
// recipe's id, so that sending the page twice does not make two.
func keyOf(r *http.Request) string {
	if key := r.FormValue("key"); isKey.MatchString(key) {
		return key
	}
	return newID()
}

// same reports a recipe that is the version it was made from.
func (p *planPage) same(rec recipe.Recipe) bool {
	if p.IsNew {
		return false
	}
	was, err := readVersion(p.Version)
	return err == nil && string(was.Print()) == string(rec.Print())
}
