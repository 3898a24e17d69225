package share_test

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"io/fs"
	"maps"
	"os"
	"path"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"time"
	"unicode/utf8"

	"barwright/material"
	"barwright/recipe"
	"barwright/share"
)

var day = time.Date(2026, 11, 25, 12, 0, 0, 5e6, time.UTC)

// bodies are the recipe files of this repository.
func bodies(t testing.TB) []string {
	t.Helper()
	names, err := fs.Glob(os.DirFS("../recipes"), "*.toml")
	if err != nil || len(names) < 10 {
		t.Fatalf("%d recipe files (%v)", len(names), err)
	}
	var out []string
	for _, name := range names {
		data, err := os.ReadFile(path.Join("../recipes", name))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, string(data))
	}
	return out
}

// words are texts that have broken programs before.
var words = []string{"", "plain", "=1+1", "+4", "-4 %", "@name", "'quoted", "''", "a,b", `"both" 'kinds'`, "two\nlines", "tab\there", "\tfirst", "trailing ", " ", "é 石鹸 🧼",
	"CON", "nul", "../../etc", `..\..`, "a/b", ".", "..", "<script>", strings.Repeat("long ", 60), "bell\abell", "NUL\x00byte", "bad\xffbyte", "\u202e", "\ufeffbom", "100 %"}

func nameOf(body string) string {
	_, after, _ := strings.Cut(body, `name = "`)
	name, _, _ := strings.Cut(after, `"`)
	return name
}

// The tables can be read by any program that reads RFC 4180, and hold no cell
// that a spreadsheet would work out.
func TestTablesHoldNoFormula(t *testing.T) {
	t.Parallel()
	body := bodies(t)[0]
	for _, word := range words {
		w := share.Workshop{Recipes: []share.Recipe{{ID: "r", Name: word, Versions: []share.Version{{ID: "v", Reason: word, MadeBy: word, Body: body}}}}}
		files := share.Files(w)
		for name, data := range files {
			if !strings.HasSuffix(name, ".csv") {
				continue
			}
			if !utf8.Valid(data) || strings.Count(string(data), "\r\n") == 0 {
				t.Errorf("%s: %q", name, data)
			}
			rows, err := csv.NewReader(bytes.NewReader(data)).ReadAll()
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			for _, cell := range slices.Concat(rows...) {
				if cell != "" && strings.ContainsAny(cell[:1], "=+-@\t") {
					t.Errorf("%s: the cell %q", name, cell)
				}
			}
		}
	}
}

// Names for files: every computer takes them, whatever the recipe is called.
func TestFileName(t *testing.T) {
	t.Parallel()
	for name, want := range map[string]string{
		"Plain Tow": "plain-tow", "Cook's Grit": "cook-s-grit", "Crème brûlée": "creme-brulee", "Große Straße": "grosse-strasse", "Łódź": "lodz", "Ærø": "aero",
		"石鹸": "recipe", "🧼": "recipe", "": "recipe", "...": "recipe", "CON": "the-con", "nul": "the-nul", "../../etc/passwd": "etc-passwd", "  -a- ": "a",
		strings.Repeat("ab ", 100): strings.TrimSuffix(strings.Repeat("ab-", 20), "-"), "NUL\x00": "the-nul", "\xff\xfe": "recipe", "ﬁne": "fine", "I İ ı": "i-i-i",
	} {
		if got := share.FileName(name); got != want {
			t.Errorf("%q becomes %q, want %q", name, got, want)
		}
	}
}

// Two recipes of one name have two folders, always the same ones.
func TestTwoOfOneName(t *testing.T) {
	t.Parallel()
	body := bodies(t)[0]
	two := func(ids ...string) string {
		var w share.Workshop
		for _, id := range ids {
			w.Recipes = append(w.Recipes, share.Recipe{ID: id, Name: "Same", Versions: []share.Version{{ID: id + "v", Body: body}}})
		}
		files := share.Files(w)
		return string(files["recipes.csv"])
	}
	const want = "folder,name,tags,put_away,id\r\nsame,Same,,,a\r\nsame-2,Same,,,b\r\n"
	if got := two("b", "a"); got != want || got != two("a", "b") {
		t.Errorf("%q", got)
	}
}

// A single recipe file keeps its remarks, and is known the second time.
func TestLoose(t *testing.T) {
	t.Parallel()
	data := []byte("# a remark\n" + bodies(t)[0])
	r, err := share.Loose("over/there/grit.toml", data, material.Builtin(), day)
	if err != nil || r.Versions[0].Body != string(data) || r.Versions[0].Reason != "brought in from grit.toml" {
		t.Fatalf("%+v (%v)", r, err)
	}
	again, err := share.Loose("elsewhere/grit.toml", data, material.Builtin(), day.Add(time.Hour))
	if err != nil || again.ID != r.ID {
		t.Errorf("the same file is %s and %s (%v)", r.ID, again.ID, err)
	}
	if _, err := recipe.Parse("saved", []byte(r.Versions[0].Body), material.Builtin()); err != nil {
		t.Error(err)
	}
	folder := fstest.MapFS{"grit.toml": {Data: data}, "notes.txt": {Data: []byte("x")}}
	w, err := share.ReadLoose(folder, material.Builtin(), day)
	if err != nil || len(w.Recipes) != 1 || w.Recipes[0].ID != r.ID {
		t.Errorf("%+v (%v)", w, err)
	}
	if _, err := share.ReadLoose(fstest.MapFS{}, material.Builtin(), day); err == nil {
		t.Error("an empty folder was read")
	}
}

// A zip of the folder reads like the folder.
func TestZipOfTheFolder(t *testing.T) {
	t.Parallel()
	files := map[string][]byte{}
	for name, data := range goodFiles(t) {
		files["my workshop/"+name] = data
	}
	z := zipOf(t, files)
	w, err := share.Read(z)
	if err != nil || len(w.Recipes) != 1 || !share.IsExport(z) {
		t.Errorf("%+v (%v)", w, err)
	}
}

func zipOf(t *testing.T, files map[string][]byte) *zip.Reader {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range slices.Sorted(maps.Keys(files)) {
		f, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.Write(files[name]); err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	r, err := zip.NewReader(bytes.NewReader(b.Bytes()), int64(b.Len()))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func mapFS(files map[string][]byte) fstest.MapFS {
	m := fstest.MapFS{}
	for name, data := range files {
		m[name] = &fstest.MapFile{Data: data}
	}
	return m
}
