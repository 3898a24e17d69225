package web_test

import (
	"database/sql"
	"fmt"
	"net/http"
	"net/url"
	"path/filepath"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"barwright/demo"
	"barwright/store"
	"barwright/web"
)

// refusing makes the database of a workshop refuse whatever is saved, as one
// that is full or damaged does; its result lets it take it again.
func (s shop) refusing() (mend func()) {
	s.t.Helper()
	db, err := sql.Open("sqlite", filepath.Join(s.dir, store.File))
	if err != nil {
		s.t.Fatal(err)
	}
	s.t.Cleanup(func() { db.Close() })
	do := func(each string) {
		for _, table := range []string{"version", "thing"} {
			if _, err := db.ExecContext(s.t.Context(), fmt.Sprintf(each, table)); err != nil {
				s.t.Fatal(err)
			}
		}
	}
	do(`CREATE TRIGGER refuse_%[1]s BEFORE INSERT ON %[1]s BEGIN SELECT RAISE(ABORT, 'no'); END`)
	return func() { do(`DROP TRIGGER refuse_%s`) }
}

// When the computer cannot save, nothing that was typed is lost: the form comes
// back with it and a sentence.
func TestRefusedKeepsWhatIsTyped(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	old := formOf(s.get(200, "/recipes/plain-tow"), "")
	fresh := formOf(s.get(200, "/recipes/new"), "")
	for _, form := range []url.Values{old, fresh} {
		for name, value := range map[string]string{"r.name": "Another Tow", "r.superfat": "6.5 %", "r.fats.0.material": "Beef tallow", "reason": "softer", "do": "save"} {
			form.Set(name, value)
		}
	}
	fresh.Set("r.fats.0.share", "100")
	lot := formOf(s.get(200, "/stock/tlw_7"), "")
	lot.Set("f.note", "a note of mine")
	lot.Set("do", "save")

	mend := s.refusing()
	for _, one := range []struct {
		path  string
		form  url.Values
		names []string
	}{{"/recipes/plain-tow", old, []string{"r.name", "r.superfat", "reason"}}, {"/recipes/new", fresh, []string{"r.name", "r.superfat", "reason", "key"}}, {"/stock/tlw_7", lot, []string{"f.note"}}} {
		page := s.post(500, one.path, one.form).Body.String()
		if !strings.Contains(page, "Not saved. Something went wrong inside the program.") {
			t.Errorf("%s does not say so: %.300s", one.path, page)
		}
		typed := formOf(page, "")
		for _, name := range one.names {
			if typed.Get(name) != one.form.Get(name) {
				t.Errorf("%s: %s is %q, was typed %q", one.path, name, typed.Get(name), one.form.Get(name))
			}
		}
	}
	if page := s.logs("/recipes/oatwater/heat", cooling(), nil); page.Code != 500 || !strings.Contains(page.Body.String(), "20.11.2026 10:10;") {
		t.Errorf("a logged curve is answered %d", page.Code)
	}
	mend()
	s.post(303, "/recipes/plain-tow", old)
	s.post(303, "/recipes/new", fresh)
	s.post(303, "/stock/tlw_7", lot)
}

// A page of a new recipe that is sent twice makes one recipe; changed after it
// was saved, it becomes that recipe's next version and no other recipe.
func TestSentTwice(t *testing.T) {
	t.Parallel()
	s, ctx := openShop(t, ""), t.Context()
	form := formOf(s.get(200, "/recipes/new"), "")
	for name, value := range map[string]string{"r.name": "First Light", "r.fats.0.material": "Beef tallow", "r.fats.0.share": "100", "do": "save"} {
		form.Set(name, value)
	}
	to := s.post(303, "/recipes/new", form).Header().Get("Location")
	if again := s.post(303, "/recipes/new", form).Header().Get("Location"); again != to {
		t.Errorf("the second went to %s, the first to %s", again, to)
	}
	versions := func() int {
		t.Helper()
		all, err := s.store.Recipes(ctx, store.Search{Limit: 10})
		if err != nil || len(all) != 1 {
			t.Fatalf("%d recipes (%v)", len(all), err)
		}
		return all[0].Versions
	}
	if n := versions(); n != 1 {
		t.Errorf("%d versions", n)
	}
	form.Set("r.superfat", "7 %") // gone back to, changed and sent once more
	page := s.post(409, "/recipes/new", form).Body.String()
	if !strings.Contains(page, "This page was saved before") || formOf(page, "").Get("r.superfat") != "7 %" {
		t.Error("it does not say that it was saved before, with what is typed")
	}
	next := formOf(page, "")
	next.Set("do", "branch")
	s.post(303, "/recipes/new", next)
	if n := versions(); n != 2 {
		t.Errorf("%d versions after the second", n)
	}

	id, _, _ := strings.Cut(strings.TrimPrefix(to, "/recipes/"), "?")
	change := formOf(s.get(200, "/recipes/"+id), "")
	change.Set("r.superfat", "8 %")
	change.Set("do", "save")
	s.post(303, "/recipes/"+id, change)
	s.post(303, "/recipes/"+id, change) // the same once more
	if n := versions(); n != 3 {
		t.Errorf("%d versions after the third", n)
	}
	change.Set("r.superfat", "9 %")
	s.post(409, "/recipes/"+id, change)
}

// A reason without end is refused, with everything typed still there.
func TestLongReason(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	form := formOf(s.get(200, "/recipes/plain-tow"), "")
	form.Set("r.superfat", "7 %")
	form.Set("reason", strings.Repeat("é", 301))
	form.Set("do", "save")
	page := s.post(422, "/recipes/plain-tow", form).Body.String()
	if !strings.Contains(page, "more than 300 letters") || formOf(page, "").Get("reason") != form.Get("reason") {
		t.Error("it does not say so")
	}
	form.Set("reason", strings.Repeat("é", 300))
	s.post(303, "/recipes/plain-tow", form)
}

// Tags that somebody else has set meanwhile are not overwritten.
func TestTagsOfTwo(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	mine := formOf(s.get(200, "/recipes/wax-rind/versions"), "")
	s.post(303, "/recipes/wax-rind/tags", url.Values{"tags": {"fair"}, "was": {mine.Get("was")}})
	mine.Set("tags", "market")
	page := s.post(409, "/recipes/wax-rind/tags", mine).Body.String()
	if form := formOf(page, ""); form.Get("tags") != "market" || form.Get("was") != "fair" || !strings.Contains(page, "somebody else") {
		t.Errorf("tags %q, were %q", form.Get("tags"), form.Get("was"))
	}
	r, err := s.store.Recipe(t.Context(), "wax-rind")
	if err != nil || strings.Join(r.Tags, " ") != "fair" {
		t.Errorf("%v (%v)", r.Tags, err)
	}
	s.post(303, "/recipes/wax-rind/tags", formOf(page, ""))
}

// cut is an app whose answers to forms can be cut off, as when the computer is
// switched off.
type cut struct {
	http.Handler
	off atomic.Bool
}

func (c *cut) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	if r.Method == http.MethodPost && c.off.Load() {
		panic(http.ErrAbortHandler)
	}
	c.Handler.ServeHTTP(w, r)
}

// A page is left only once it is saved: what was typed stays while nobody
// answers, and is saved when somebody does.
func TestSavingKeepsThePage(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	app := &cut{Handler: s.app}
	server := serve(t, app)
	for _, one := range []struct{ path, field, typed, button, saved string }{
		{"/recipes/plain-tow", "r.superfat", "6.5 %", "Save as version", `location.search === '?saved=1' && document.body.textContent.includes('Saved as version')`},
		{"/stock/tlw_7", "f.on_hand", "1234 g", "Save", `location.pathname === '/stock' && location.hash === '#lot-tlw_7' && document.getElementById('lot-tlw_7').textContent.includes('234')`},
	} {
		t.Run(one.field, func(t *testing.T) {
			b := openTab(t, server.URL)
			b.size(400, 900, false)
			b.open(one.path)
			b.typeInto(one.field, one.typed)
			app.off.Store(true)
			b.press(one.button)
			b.wait(`document.querySelector('.not-saved')?.textContent.includes('still here')`)
			b.shoot("not saved")
			if v := js[string](b, fmt.Sprintf(`document.querySelector('[name=%q]').value`, one.field)); v != one.typed {
				t.Errorf("the field reads %q", v)
			}
			app.off.Store(false)
			b.press(one.button)
			b.wait(one.saved)
		})
	}
}

// Something to correct is told where one is, with the page as it was typed.
func TestSavingTellsWhatIsWrong(t *testing.T) {
	t.Parallel()
	b := openApp(t, demo.NinthLock)
	b.size(400, 900, false)
	b.open("/stock/tlw_7")
	b.typeInto("f.on_hand", "plenty")
	b.press("Save")
	b.wait(`document.activeElement.matches('[role=alert]') && document.activeElement.textContent.includes('Not saved')`)
	b.wait(`document.querySelector('[name="f.on_hand"]').value === 'plenty' && document.querySelector('[name="f.on_hand"]').matches('[aria-invalid]')`)
	b.shoot("wrong")
	b.open("/recipes/plain-tow")
	b.press("Save as version")
	b.wait(`[...document.querySelectorAll("[role=alert]")].some((e) => e.checkVisibility() && e.textContent.includes('nothing has changed'))`)
	b.typeInto("r.fats.0.share", "x")
	b.press("Save as version")
	b.wait(`[...document.querySelectorAll("[role=alert]")].some((e) => e.checkVisibility() && e.textContent.includes('Not saved yet'))`)
	if v := js[string](b, `document.querySelector('[name="r.fats.0.share"]').value`); v != "x" {
		t.Errorf("the share reads %q", v)
	}
	b.clean()
}

// An impatient hand saves once.
func TestPressedTwice(t *testing.T) {
	t.Parallel()
	s := openShop(t, "")
	app, err := web.New(s.store, web.Options{})
	if err != nil {
		t.Fatal(err)
	}
	b := openSlow(t, app, 150*time.Millisecond)
	b.size(1360, 900, false)
	b.open("/recipes/new")
	b.typeInto("r.name", "First Light")
	b.typeInto("r.fats.0.material", "Beef tallow")
	b.do(chromedp.KeyEvent("\t"))
	b.typeInto("r.fats.0.share", "100")
	b.wait(`document.querySelector('[data-part="lye"] .big')`)
	b.press("Save the recipe")
	if _, err := chromedp.Run(b, chromedp.Evaluate[bool](`[...document.querySelectorAll('.save button.main')].forEach((e) => e.click()) || true`)); err != nil && !betweenPages(err) {
		t.Fatal(err)
	}
	b.wait(`document.body.textContent.includes('Version 1')`)
	all, err := s.store.Recipes(t.Context(), store.Search{Limit: 10})
	if err != nil || len(all) != 1 || all[0].Versions != 1 {
		t.Errorf("%+v (%v)", all, err)
	}
}
