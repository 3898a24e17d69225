package material

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"barwright/source"
)

func builtin(t *testing.T, id string) Material {
	t.Helper()
	m, err := Builtin().Find(id)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func allBuiltin(t *testing.T) []Material {
	t.Helper()
	var all []Material
	for _, id := range Builtin().IDs() {
		all = append(all, builtin(t, id))
	}
	return all
}

// No built-in figure was measured here: that is how one whose grade line was
// forgotten reads.
func TestBuiltinFiguresAreWhole(t *testing.T) {
	t.Parallel()
	for _, m := range allBuiltin(t) {
		for _, f := range m.figures() {
			if *f.Figure == (source.Figure{}) {
				continue
			}
			if !f.Known() || f.Grade == source.Measured {
				t.Errorf("%s: %s has no unit or no grade", m.ID, f.key)
			}
			if err := f.Check(); err != nil {
				t.Errorf("%s: %s: %v", m.ID, f.key, err)
			}
			if want := figureRules[f.key].unit; f.Unit != want {
				t.Errorf("%s: %s is in %q, want %q", m.ID, f.key, f.Unit, want)
			}
			if f.Grade == source.Doubtful && f.Note == "" {
				t.Errorf("%s: %s is doubtful and its note does not say why", m.ID, f.key)
			}
		}
		if m.Profile.Known() && m.Profile.Grade == source.Measured {
			t.Errorf("%s: the profile has no grade", m.ID)
		}
		if m.Crystal.Known() && (m.Crystal.Grade == source.Measured || m.Crystal.MolarMass <= 0 || m.Kind != Wax) {
			t.Errorf("%s: crystal data without grade or molar mass, or not of a wax", m.ID)
		}
	}
}

// A fat's density is of little use without its temperature. What is spooned
// dry weighs by its bulk density, always below that of its grains; liquids are
// told by the temperature their density holds at.
func TestBuiltinDensities(t *testing.T) {
	t.Parallel()
	fats := 0
	for _, m := range allBuiltin(t) {
		if m.Kind.IsFat() {
			fats++
		}
		switch liquid := m.Density.AtC != 0; {
		case !m.Density.Known():
			t.Errorf("%s has no density", m.ID)
		case (m.Kind.IsFat() || m.Kind == Liquid || m.Kind == Scent || m.InSolution) && !liquid:
			t.Errorf("%s: the density has no temperature", m.ID)
		case !liquid && m.Kind != Alkali && !m.BulkDensity.Known():
			t.Errorf("%s is spooned dry and has no bulk density", m.ID)
		case m.BulkDensity.Known() && m.BulkDensity.High >= m.Density.Low:
			t.Errorf("%s: heaped it is as dense as its grains", m.ID)
		}
	}
	if fats < 55 { // a folder that was copied in part is noticed
		t.Errorf("%d fats, waxes and fatty acids, want at least 55", fats)
	}
}

// awaited sources stand in the list for chapters that are not written yet, or
// are named in words only. An entry fails once its key is cited.
var awaited = []string{"dunn_2009_slides", "kanicky_shah_2002"}

// The list of sources has no dead entry, and each says how far it was read.
func TestEverySourceIsCited(t *testing.T) {
	t.Parallel()
	var text strings.Builder
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		switch ext := filepath.Ext(path); {
		case filepath.Base(path) == "data_test.go": // holds the list of those awaited
		case ext == ".go", ext == ".md", ext == ".toml" && filepath.Base(path) != "sources.toml":
			data, err := os.ReadFile(path)
			text.Write(data)
			return err
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	words := map[string]bool{}
	for _, w := range regexp.MustCompile(`[a-z][a-z0-9_]+`).FindAllString(text.String(), -1) {
		words[w] = true
	}
	keys := source.Keys()
	if len(keys) == 0 {
		t.Fatal("no sources")
	}
	slices.Sort(keys)
	for _, key := range keys {
		if gap := slices.Contains(awaited, key); words[key] == gap {
			t.Errorf("source %q: cited %v, awaited %v", key, words[key], gap)
		}
		if c := source.Cite(key); c.Title == "" || !slices.Contains([]string{"whole", "table", "abstract", "second hand", "recalled"}, c.Read) {
			t.Errorf("source %q: no title, or does not say how far it was read", key)
		}
	}
}

var (
	docBlock = regexp.MustCompile("(?s)```toml\n(.*?)```")
	docWord  = regexp.MustCompile("`([a-z0-9_]+)`")
)

// docs/materials.md lists every id and nothing else under "The ids", and its
// examples are files that can be read.
func TestMaterialsDoc(t *testing.T) {
	t.Parallel()
	data, err := os.ReadFile(filepath.Join("..", "docs", "materials.md"))
	if err != nil {
		t.Fatal(err)
	}
	examples := docBlock.FindAllSubmatch(data, -1)
	if len(examples) < 2 {
		t.Errorf("%d examples, want a material and a lot", len(examples))
	}
	for _, e := range examples {
		if _, err := Parse("example", e[1], Builtin()); err != nil {
			t.Errorf("%v in\n%s", err, e[1])
		}
	}
	_, list, ok := strings.Cut(string(data), "\n## The ids\n")
	if !ok {
		t.Fatal("no list of ids")
	}
	var listed []string
	for _, w := range docWord.FindAllStringSubmatch(list, -1) {
		listed = append(listed, w[1])
	}
	slices.Sort(listed)
	for _, id := range Builtin().IDs() {
		if !slices.Contains(listed, id) {
			t.Errorf("%s is not listed", id)
		}
	}
	for i, id := range listed {
		if !slices.Contains(Builtin().IDs(), id) || i > 0 && listed[i-1] == id {
			t.Errorf("%s is listed twice, or is no material", id)
		}
	}
}
