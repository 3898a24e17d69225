package web_test

import (
	"fmt"
	"mime"
	"net/http/httptest"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"testing"

	"barwright/demo"
	"barwright/store"
)

// The recipe file that comes out is the file that was saved, under a name that
// every computer takes.
func TestRecipeFile(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	w := s.ask(200, httptest.NewRequest("GET", "/recipes/cooks-grit/file?version=cooks-grit-v1", nil))
	v, err := s.store.Version(t.Context(), "cooks-grit-v1")
	if err != nil || w.Body.String() != v.Body {
		t.Errorf("%q (%v)", w.Body, err)
	}
	if _, p, err := mime.ParseMediaType(w.Header().Get("Content-Disposition")); err != nil || p["filename"] != "cook-s-grit-v1.toml" {
		t.Errorf("%q (%v)", w.Header().Get("Content-Disposition"), err)
	}
	s.get(404, "/recipes/cooks-grit/file?version=plain-tow-v1") // another recipe's version
	s.get(404, "/recipes/no-such/file")
	s.get(404, "/recipes/cooks-grit/sheet?version=plain-tow-v1")
}

// Copy, archive and tags.
func TestCopyArchiveTags(t *testing.T) {
	t.Parallel()
	s, ctx := openShop(t, demo.NinthLock), t.Context()
	to := s.post(303, "/recipes/wax-rind/copy", nil).Header().Get("Location")
	copied, err := s.store.Recipe(ctx, strings.TrimPrefix(to, "/recipes/"))
	if err != nil || copied.Name != "Copy of Wax Rind" || copied.Versions != 1 {
		t.Fatalf("%+v (%v)", copied, err)
	}
	v, err := s.store.Version(ctx, copied.Head)
	if err != nil || v.Reason != "copied from Wax Rind, version 3" {
		t.Errorf("%+v (%v)", v, err)
	}
	s.post(303, "/recipes/wax-rind/archive", nil)
	if page := s.get(200, "/recipes"); strings.Contains(page, ">Wax Rind<") || !strings.Contains(page, ">Copy of Wax Rind<") {
		t.Error("it is still in the list")
	}
	if page := s.get(200, "/recipes?archived=1"); !strings.Contains(page, ">Wax Rind<") {
		t.Error("it is not among those put away")
	}
	if page := s.get(200, "/recipes/wax-rind/versions"); !strings.Contains(page, "put away since 25 November 2026") {
		t.Error("its page does not say so")
	}
	s.post(303, "/recipes/wax-rind/archive", url.Values{"back": {"1"}})
	s.post(303, "/recipes/wax-rind/tags", url.Values{"tags": {"  Fair WAX fair <b> "}})
	r, err := s.store.Recipe(ctx, "wax-rind")
	if err != nil || !r.Archived.IsZero() || !slices.Equal(r.Tags, []string{"<b>", "fair", "wax"}) {
		t.Errorf("%+v (%v)", r, err)
	}
	if page := s.get(200, "/recipes?tag=fair"); !strings.Contains(page, ">Wax Rind<") || strings.Contains(page, ">Plain Tow<") {
		t.Error("the tag does not find it")
	}
	for _, act := range []string{"copy", "archive", "tags"} {
		s.post(404, "/recipes/no-such/"+act, nil)
	}
}

// Branches are drawn where they are made.
func TestVersionTree(t *testing.T) {
	t.Parallel()
	s, ctx := openShop(t, demo.NinthLock), t.Context()
	body, err := s.store.Version(ctx, "wax-rind-v1")
	if err != nil {
		t.Fatal(err)
	}
	for i, parent := range []string{"wax-rind-v1", "wax-rind-v2", "b1"} {
		v := store.Version{ID: fmt.Sprintf("b%d", i), Recipe: "wax-rind", Parent: parent, Reason: "aside", Body: body.Body, MadeAt: today}
		if _, err := s.store.SaveVersion(ctx, v, "Wax Rind", "", true); err != nil {
			t.Fatal(err)
		}
	}
	page := s.get(200, "/recipes/wax-rind/versions")
	if n := strings.Count(page, `<span class="tag">branch</span>`); n != 2 {
		t.Errorf("%d branches, want 2", n)
	}
	// Newest first: 6 from 5, 5 from 2, 4 from 1, 3 from 2, 2 from 1, 1.
	want := []string{
		"down node||", "up down node||", "up down|down node|", "up down|up down|down node",
		"up down right node|up down left right|up left", // 3 ends at 2, passing 4
		"up right node|up left|",                        // 4 ends at 1
	}
	rows := regexp.MustCompile(`(?s)<span class="lanes"[^>]*>(.*?)</span>`).FindAllStringSubmatch(page, -1)
	for i, row := range rows {
		var got []string
		for _, m := range regexp.MustCompile(`class="lane([^"]*)"`).FindAllStringSubmatch(row[1], -1) {
			got = append(got, strings.TrimSpace(m[1]))
		}
		if i >= len(want) || strings.Join(got, "|") != want[i] {
			t.Errorf("row %d: %q", i, strings.Join(got, "|"))
		}
	}
	if len(rows) != len(want) {
		t.Errorf("%d rows", len(rows))
	}
}

// What changed, in words, with its consequences; story 3 of honey two ways.
func TestCompare(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	page := s.get(200, "/recipes/dark-heather/compare")
	for _, want := range []string{"Dark Heather 1 → Dark Heather 2", "honey goes into the lye instead of in at trace", "fats at 42 → 36 °C", "lye at 41 → 35 °C", "rest with a fan", "5 things changed at once: no single one explains a difference."} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q", want)
		}
	}
	page = s.get(200, "/recipes/wax-rind/compare?a=wax-rind-v1&b=wax-rind-v3")
	for _, want := range []string{"beeswax 5 → 3 %", "falls out below", "cost of the batch", "EUR", "Findings that went", "may freeze"} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q", want)
		}
	}
	page = s.get(200, "/compare?a=wax-rind-v1&b=plain-tow-v2") // of two recipes
	if !strings.Contains(page, "Wax Rind 1 → Plain Tow 2") || !strings.Contains(page, "beef tallow 25 → 55 %") {
		t.Error("two recipes")
	}
	page = s.get(200, "/recipes/plain-tow/compare?a=plain-tow-v1&b=plain-tow-v1")
	if !strings.Contains(page, "Nothing: the two are the same.") {
		t.Error("a version with itself")
	}
	s.get(404, "/recipes/plain-tow/compare?a=no-such&b=plain-tow-v1")
	s.get(404, "/recipes/no-such/compare")
}

// The sheet of a plan with a stop says so on top and holds no weights.
func TestSheetOfAStop(t *testing.T) {
	t.Parallel()
	s := openShop(t, demo.NinthLock)
	if page := s.get(200, "/recipes/plain-tow/sheet"); strings.Contains(page, "CANNOT BE STARTED") || !strings.Contains(page, "Beef tallow") || !strings.Contains(page, "Jug check") {
		t.Error("the sheet of a good plan")
	}
	bad := strings.Replace(recipeFile(t, "plain-tow"), `superfat = "5 %"`, `superfat = "0 %"`, 1)
	page := s.upload(200, [2]string{"lye-heavy.toml", bad})
	form := formOf(page, "f.")
	form.Set("do", "save")
	to := s.post(303, "/import", form).Header().Get("Location")
	page = s.get(200, strings.Replace(to, "?saved=1", "/sheet", 1))
	if !strings.Contains(page, "CANNOT BE STARTED") || strings.Contains(page, "Jug check") || strings.Contains(page, "pot, ") {
		t.Error("the sheet of a lye-heavy plan")
	}
}
