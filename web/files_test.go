package web_test

import (
	"archive/zip"
	"bytes"
	"fmt"
	"html"
	"io"
	"maps"
	"mime"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"barwright/demo"
	"barwright/share"
	"barwright/store"
	"barwright/web"
)

// shop is a workshop that is served, without a browser.
type shop struct {
	t     *testing.T
	store *store.Store
	app   http.Handler
}

func openShop(t *testing.T, fill string) shop {
	t.Helper()
	s, err := store.Open(t.Context(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	if fill != "" {
		if err := demo.Fill(t.Context(), s, fill, today); err != nil {
			t.Fatal(err)
		}
	}
	app, err := web.New(s, web.Options{Now: func() time.Time { return today }})
	if err != nil {
		t.Fatal(err)
	}
	return shop{t, s, app.Handler()}
}

// ask sends a request and returns the answer, which must have this status.
func (s shop) ask(status int, r *http.Request) *httptest.ResponseRecorder {
	s.t.Helper()
	r.Host = "localhost"
	w := httptest.NewRecorder()
	s.app.ServeHTTP(w, r)
	if w.Code != status {
		s.t.Fatalf("%s %s answers %d, want %d: %s", r.Method, r.URL, w.Code, status, told(w.Body.String()))
	}
	return w
}

func (s shop) get(status int, path string) string {
	s.t.Helper()
	return html.UnescapeString(s.ask(status, httptest.NewRequest("GET", path, nil)).Body.String())
}

func (s shop) post(status int, path string, form url.Values) *httptest.ResponseRecorder {
	s.t.Helper()
	r := httptest.NewRequest("POST", path, strings.NewReader(form.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	return s.ask(status, r)
}

// upload chooses files on the import page.
func (s shop) upload(status int, files ...[2]string) string {
	s.t.Helper()
	var b bytes.Buffer
	m := multipart.NewWriter(&b)
	for _, f := range files {
		w, err := m.CreateFormFile("file", f[0])
		if err != nil {
			s.t.Fatal(err)
		}
		io.WriteString(w, f[1])
	}
	m.Close()
	r := httptest.NewRequest("POST", "/import", &b)
	r.Header.Set("Content-Type", m.FormDataContentType())
	return s.ask(status, r).Body.String()
}

// told is what a page tells of faults.
func told(page string) (out []string) {
	for _, m := range regexp.MustCompile(`class="fault"[^>]*>([^<]*)<`).FindAllStringSubmatch(page, -1) {
		out = append(out, html.UnescapeString(m[1]))
	}
	return out
}

// formOf is the form of a page whose fields begin with a prefix, as a browser
// would send it.
func formOf(page, prefix string) url.Values {
	form := url.Values{}
	for _, m := range regexp.MustCompile(`(?s)<input([^>]*)>|<textarea([^>]*)>\n?(.*?)</textarea>`).FindAllStringSubmatch(page, -1) {
		attrs := m[1] + m[2]
		name := attr(attrs, "name")
		if !strings.HasPrefix(name, prefix) || strings.Contains(attrs, "checkbox") && !strings.Contains(attrs, "checked") || strings.Contains(attrs, "radio") {
			continue
		}
		value := attr(attrs, "value")
		if m[2] != "" {
			value = strings.ReplaceAll(html.UnescapeString(m[3]), "\n", "\r\n") // as forms are sent
		}
		form.Set(name, value)
	}
	return form
}

func attr(attrs, name string) string {
	m := regexp.MustCompile(`(?:^|\s)` + name + `="([^"]*)"`).FindStringSubmatch(attrs)
	if m == nil {
		return ""
	}
	return html.UnescapeString(m[1])
}

func recipeFile(t *testing.T, name string) string {
	t.Helper()
	data, err := os.ReadFile("../recipes/" + name + ".toml")
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

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
	for _, want := range []string{"Dark Heather 1 → Dark Heather 2", "honey goes into the lye instead of in at trace", "fats at 42 → 36 °C", "lye at 41 → 35 °C", "3 things changed at once: no single one explains a difference."} {
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

// A recipe file comes in as it is, remarks and all, after it was shown.
func TestImportAndBack(t *testing.T) {
	t.Parallel()
	s, ctx := openShop(t, ""), t.Context()
	for _, name := range []string{"plain-tow", "reed-bed", "dark-heather", "cooks-grit", "slow-olive", "saltern", "lather-puck", "oatwater", "wax-rind", "hive-reserve"} {
		text := recipeFile(t, name)
		page := s.upload(200, [2]string{name + ".toml", text})
		if all, err := s.store.Recipes(ctx, store.Search{Words: name}); err != nil || len(all) > 0 {
			t.Fatalf("%d recipes before saving (%v)", len(all), err)
		}
		form := formOf(page, "f.")
		form.Set("do", "save")
		to := s.post(303, "/import", form).Header().Get("Location")
		id := strings.TrimSuffix(strings.TrimPrefix(to, "/recipes/"), "?saved=1")
		r, err := s.store.Recipe(ctx, id)
		if err != nil {
			t.Fatal(err)
		}
		v, err := s.store.Version(ctx, r.Head)
		if err != nil || v.Body != text || v.Reason != "brought in from "+name+".toml" {
			t.Errorf("%s came in as %q for %q (%v)", name, v.Body, v.Reason, err)
		}
		if out := s.ask(200, httptest.NewRequest("GET", "/recipes/"+id+"/file", nil)).Body.String(); out != text {
			t.Errorf("%s went out as %q", name, out)
		}
	}
	if found, err := s.store.Recipes(ctx, store.Search{Words: "babassu"}); err != nil || len(found) != 2 {
		t.Errorf("%d found by a fat (%v)", len(found), err)
	}
	page := s.upload(200, [2]string{"again.toml", recipeFile(t, "saltern")})
	if !strings.Contains(page, "you brought this file in before") {
		t.Error("a file that is known is not said to be")
	}
}

// Several files come in together or not at all; each fault has its line and a
// hint, and what was read is kept.
func TestImportIsAllOrNothing(t *testing.T) {
	t.Parallel()
	s, ctx := openShop(t, ""), t.Context()
	good, bad := recipeFile(t, "plain-tow"), strings.Replace(recipeFile(t, "saltern"), `material = "olive"`, `material = "oliv"`, 1)
	bad = strings.Replace(bad, `superfat = "18 %"`, `superfat = "180 %"`, 1)
	page := s.upload(422, [2]string{"good.toml", good}, [2]string{"bad.toml", bad})
	text := html.UnescapeString(page)
	for _, want := range []string{"Line 4: ", "Line ", `"oliv" is not a known material`, "olive_pomace", `value="Olive oil"`} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in %q", want, told(page))
		}
	}
	form := formOf(page, "f.")
	form.Set("do", "save")
	w := s.post(422, "/import", form)
	if all, err := s.store.Recipes(ctx, store.Search{}); err != nil || len(all) > 0 {
		t.Fatalf("%d recipes came in (%v)", len(all), err)
	}
	if kept := formOf(w.Body.String(), "f."); kept.Get("f.1.text") != form.Get("f.1.text") || kept.Get("f.0.text") != form.Get("f.0.text") {
		t.Error("what was read is lost")
	}
	// The text is corrected on the page, the unknown fat is the one offered.
	form.Set("f.1.text", strings.Replace(form.Get("f.1.text"), "180 %", "18 %", 1))
	form.Set("f.0.out", "1")
	to := s.post(303, "/import", form).Header().Get("Location")
	all, err := s.store.Recipes(ctx, store.Search{})
	if err != nil || len(all) != 1 || all[0].Name != "Saltern" || !strings.Contains(to, all[0].ID) {
		t.Fatalf("%+v (%v)", all, err)
	}
	v, err := s.store.Version(ctx, all[0].Head)
	if err != nil || !strings.Contains(v.Body, "olive") || strings.Contains(v.Body, "oliv\"") || !strings.HasPrefix(v.Reason, "brought in from bad.toml; ") {
		t.Errorf("%+v (%v)", v, err)
	}
}

// A reader's copy is fitted to her mould and her scale, and stays the same
// soap.
func TestReadersCopy(t *testing.T) {
	t.Parallel()
	s, ctx := openShop(t, demo.NinthLock), t.Context()
	page := s.upload(200, [2]string{"plain-tow.toml", recipeFile(t, "plain-tow")})
	form := formOf(page, "f.")
	form.Set("f.0.mould", "m2")
	form.Set("f.0.size", "fill")
	form.Set("f.0.alkali", "small")
	page = s.post(200, "/import", form).Body.String()
	text := html.UnescapeString(page)
	for _, want := range []string{"97\u202f%", "Differs from the file", "step of the alkali's scale 1 → 0.1 g"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q", want)
		}
	}
	form.Set("do", "save")
	to := s.post(303, "/import", form).Header().Get("Location")
	r, err := s.store.Recipe(ctx, strings.TrimSuffix(strings.TrimPrefix(to, "/recipes/"), "?saved=1"))
	if err != nil {
		t.Fatal(err)
	}
	if page := s.get(200, "/recipes/"+r.ID); !strings.Contains(page, "M2 wood slab") {
		t.Error("it is not in the mould wished")
	}
	for key, value := range map[string]string{"f.0.much": "much", "f.0.size": "bars"} {
		form.Set(key, value)
	}
	form.Del("do")
	if faults := told(s.post(422, "/import", form).Body.String()); !slices.ContainsFunc(faults, func(f string) bool { return strings.Contains(f, "11 x 100 g") }) {
		t.Errorf("%q", faults)
	}
}

// Odd files are told, not swallowed, and nothing comes in.
func TestOddFiles(t *testing.T) {
	t.Parallel()
	s := openShop(t, "")
	for name, c := range map[string]struct {
		text string
		want string
	}{
		"empty.toml":               {"", "no name"},
		"binary.toml":              {"\xff\xfe\x00\x01", "not text in UTF-8"},
		"picture.png":              {"\x89PNG\r\n\x1a\n\x00", "not text"},
		"long.toml":                {strings.Repeat("# long\n", 50000), "longer than 256 kB"},
		"<script>.toml":            {"name = '<script>alert(1)</script>'", "format"},
		strings.Repeat("long", 80): {"x", ""},
		"../../etc/passwd":         {"root:x:0:0", "Line 1"},
		"half.zip":                 {"PK\x03\x04half", "not a whole zip"},
		"closing.toml":             {"name = 'x'\n</textarea><script>alert(1)</script>", "Line 2"},
		"nul\x00.toml":             {"name = 'x'", ""},
		"bom.toml":                 {"\ufeffname = 'x", "a closing quote is missing"},
		"unknown.toml":             {"format = 1\nname = 'x'\nsuperfatt = '5 %'\n", `did you mean "superfat"`},
		"lye.toml":                 {"format = 1\nname = 'x'\nlye = '5 g'\n", "Line 3"},
		"deep.toml":                {"a = " + strings.Repeat("[", 5000) + strings.Repeat("]", 5000), ""},
	} {
		page := html.UnescapeString(s.upload(422, [2]string{name, c.text}))
		if !strings.Contains(page, c.want) {
			t.Errorf("%.20q: no %q in %q", name, c.want, told(page))
		}
		if strings.Contains(page, "<script>alert(1)") && !strings.Contains(c.text, "<script>") {
			t.Errorf("%q is not escaped", name)
		}
	}
	raw := s.upload(422, [2]string{"<img src=x>.toml", "name = '<script>alert(1)</script>'\n</textarea><script>alert(2)</script>"})
	if strings.Contains(raw, "<script>alert") || strings.Contains(raw, "<img") {
		t.Error("a file or its name is not escaped")
	}
	if page := s.upload(413, [2]string{"huge.toml", strings.Repeat("x", 2<<20)}); !strings.Contains(page, "more than this page takes") {
		t.Error("a huge file")
	}
	s.upload(422) // nothing chosen
	s.post(422, "/import", nil)
	if all, err := s.store.Recipes(t.Context(), store.Search{}); err != nil || len(all) > 0 {
		t.Errorf("%d recipes came in (%v)", len(all), err)
	}
}

// The workshop goes out as a zip, comes into an empty one by way of the page,
// and goes out again as the same files.
func TestExportAndBack(t *testing.T) {
	t.Parallel()
	first, second := openShop(t, demo.NinthLock), openShop(t, "")
	w := first.ask(200, httptest.NewRequest("GET", "/export", nil))
	if _, p, err := mime.ParseMediaType(w.Header().Get("Content-Disposition")); err != nil || p["filename"] != "ninth-lock-soap-room-2026-11-25.zip" {
		t.Errorf("%q (%v)", w.Header(), err)
	}
	data := w.Body.String()
	page := second.upload(200, [2]string{"shop.zip", data})
	if !strings.Contains(page, "10 recipes would come in") {
		t.Errorf("%s", page)
	}
	if all, err := second.store.Recipes(t.Context(), store.Search{}); err != nil || len(all) > 0 {
		t.Errorf("%d recipes before saving (%v)", len(all), err)
	}
	form := formOf(page, "zip")
	form.Set("do", "save")
	second.post(303, "/import", form)
	again := second.ask(200, httptest.NewRequest("GET", "/export", nil)).Body.String()
	if !maps.Equal(unzipped(t, data), unzipped(t, again)) {
		t.Error("other files went out the second time")
	}
	if page := second.upload(200, [2]string{"shop.zip", data}); !strings.Contains(page, "All of it is here already") {
		t.Error("a second time is not known")
	}
	// One broken file in it, and nothing comes in.
	third := openShop(t, "")
	files := map[string][]byte{}
	for name, text := range unzipped(t, data) {
		files[name] = []byte(strings.Replace(text, `superfat = '18 %'`, `superfat = '18 g'`, 1))
	}
	page = third.upload(422, [2]string{"shop.zip", zipText(t, files)})
	if !strings.Contains(html.UnescapeString(page), "recipes/saltern/v2.toml, line 3: ") {
		t.Errorf("%q", told(page))
	}
	if page := third.upload(422, [2]string{"other.zip", zipText(t, map[string][]byte{"a.txt": []byte("x")})}); !strings.Contains(page, "holds no workshop") {
		t.Errorf("%q", told(page))
	}
}

func zipText(t *testing.T, files map[string][]byte) string {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for name, data := range files {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		w.Write(data)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func unzipped(t *testing.T, data string) map[string]string {
	t.Helper()
	z, err := zip.NewReader(strings.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		_, name, _ := strings.Cut(f.Name, "/")
		if !share.Writes(name) {
			t.Errorf("%q in the zip", f.Name)
		}
		out[name] = string(text)
	}
	return out
}
