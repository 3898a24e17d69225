package web_test

import (
	"archive/zip"
	"bytes"
	"html"
	"io"
	"maps"
	"mime"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"

	"barwright/demo"
	"barwright/share"
	"barwright/store"
)

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
	if page := s.upload(413, [2]string{"huge.toml", strings.Repeat("x", 17<<20)}); !strings.Contains(page, "more than this page takes") {
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
