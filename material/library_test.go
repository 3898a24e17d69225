package material

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"barwright/internal/tomldoc"
	"barwright/quantity"
	"barwright/source"
)

// Every built-in file reads, is named after its id and passes its own checks.
func TestBuiltinFiles(t *testing.T) {
	t.Parallel()
	lib := Builtin()
	if len(lib.IDs()) == 0 {
		t.Fatal("no material files")
	}
	for _, id := range lib.IDs() {
		m, err := lib.Find(id)
		if err != nil {
			t.Error(err)
			continue
		}
		if m.ID != id {
			t.Errorf("file %s.toml holds %q", id, m.ID)
		}
	}
}

// A fat, and a lot of tallow with its certificate.
const (
	fatFile = `id = "pumpkin"
name = "Pumpkin seed oil"
kind = "triglyceride"
[sap]
low = 188
typical = 192
high = 197
unit = "mg KOH/g"
source = "makers_practice"
grade = "memory"
[density]
low = 0.912
typical = 0.917
high = 0.922
unit = "g/ml"
at_c = 20
source = "makers_practice"
grade = "memory"
[profile]
source = "modeldata_oils"
grade = "published"
[profile.acids]
c16_0 = 12
c18_1 = 36
c18_2 = 50
other = 2
`
	lotFile = `id = "tallow_7"
of = "tallow_beef"
[sap]
low = 196.5
typical = 197.6
high = 198.7
unit = "mg KOH/g"
source = "certificate"
locator = "4711"
grade = "measured"
`
	crystalBlock = "[crystal]\nmolar_mass = 676\nmelt_c = 62\nheat_kj_per_mol = 124\nsource = 'own_estimate'\ngrade = 'estimated'\n"
	waterBlock   = "[water]\nlow = 15\ntypical = 16\nhigh = 17\nunit = '%'\nsource = 'certificate'\ngrade = 'measured'\n"
)

// replace puts texts in place of others, in pairs, and returns the line of the
// sign "§", which it takes out.
func replace(t *testing.T, text string, pairs ...string) (string, int) {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("no %q to replace", pairs[i])
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	before, after, ok := strings.Cut(text, "§")
	if !ok {
		return text, 0
	}
	return before + after, strings.Count(before, "\n") + 1
}

func TestBrokenFiles(t *testing.T) {
	t.Parallel()
	swap := func(pairs ...string) []string { return pairs }
	const kinds = "[triglyceride wax free_acid alkali liquid sugar acid salt powder scent keeper]"
	for _, c := range []struct {
		file  string
		pairs []string
		want  string
	}{
		{fatFile, swap("id = \"pumpkin\"\n", ""), "id: no id"},
		{fatFile, swap(`"pumpkin"`, `§"pump\nkin"`), "id: must be one line of at most 200 letters, without blanks around it"},
		{fatFile, swap(`"pumpkin"`, `§" pumpkin"`), "id: must be one line of at most 200 letters, without blanks around it"},
		{fatFile, swap(`"Pumpkin seed oil"`, `§"`+strings.Repeat("x", 201)+`"`), "name: must be one line of at most 200 letters, without blanks around it"},
		{fatFile, swap("name = \"Pumpkin seed oil\"\n", ""), "name: no name"},
		{fatFile, swap(`"triglyceride"`, `§"triglycerid"`), `kind: "triglycerid" is not a kind, did you mean "triglyceride"?; the kinds are ` + kinds},
		{fatFile, swap(`"triglyceride"`, `§"grease"`), `kind: "grease" is not a kind; the kinds are ` + kinds},
		{fatFile, swap("kind = \"triglyceride\"\n", ""), `kind: "" is not a kind; the kinds are ` + kinds},
		{fatFile, swap(`"triglyceride"`, `§"alkali"`), "kind: the alkalis are naoh and koh, and lots of these"},
		{fatFile, swap(`"pumpkin"`, `"koh"`, `"triglyceride"`, `"alkali"`), "molar_mass: an alkali needs its molar mass"},
		{fatFile, swap(`"triglyceride"`, `"wax"`), "acid_value: a wax needs its acid value: only its acids are dosed for"},
		{fatFile, swap("[sap]\nlow = 188\ntypical = 192\nhigh = 197\nunit = \"mg KOH/g\"\nsource = \"makers_practice\"\ngrade = \"memory\"\n", ""), "sap: a fat needs its saponification value"},
		{fatFile, swap("[sap]", "§[sap]", `"memory"`, `"unknown"`), "sap: a fat needs its saponification value"},
		{fatFile, swap("[density]\nlow = 0.912\ntypical = 0.917\nhigh = 0.922\nunit = \"g/ml\"\nat_c = 20\nsource = \"makers_practice\"\ngrade = \"memory\"\n", ""), "density: a fat needs its density"},
		{fatFile, swap("[profile]\nsource = \"modeldata_oils\"\ngrade = \"published\"\n[profile.acids]\nc16_0 = 12\nc18_1 = 36\nc18_2 = 50\nother = 2\n", ""), "profile: a fat needs its fatty-acid profile"},
		// figures
		{fatFile, swap("[sap]\nlow = 188\n", "§[sap]\n"), "sap: no low"},
		{fatFile, swap("[sap]", "§[sap]", "typical = 192\n", ""), "sap: no typical"},
		{fatFile, swap("[sap]", "§[sap]", "high = 197\n", ""), "sap: no high"},
		{fatFile, swap("[sap]", "§[sap]", "unit = \"mg KOH/g\"\n", ""), "sap: no unit"},
		{fatFile, swap("[sap]", "§[sap]", "source = \"makers_practice\"\n", ""), "sap: no source"},
		{fatFile, swap("[sap]", "§[sap]", "grade = \"memory\"\n", ""), "sap: no grade"},
		{fatFile, swap("[sap]", "§[sap]", `"mg KOH/g"`, `"mg NaOH/g"`), "sap: must be 1 to 660 mg KOH/g"},
		{fatFile, swap("[sap]", "§[sap]", "high = 197", "high = 661"), "sap: must be 1 to 660 mg KOH/g"},
		{fatFile, swap("[sap]", "§[sap]", "low = 188", "low = 0.5"), "sap: must be 1 to 660 mg KOH/g"},
		{fatFile, swap("[sap]", "§[sap]", "typical = 192", "typical = 198"), "sap: low 188, typical 198 and high 197 are not in order"},
		{fatFile, swap("[sap]", "§[sap]", `"makers_practice"`, `"hearsay"`), `sap: source "hearsay" is not in source/sources.toml`},
		{fatFile, swap(`"memory"`, `§"vague"`), `grade: "vague" is not a grade; the grades are measured, standard, published, derived, estimated, practice, memory, doubtful, unknown`},
		{fatFile, swap("typical = 192", "§typical = nan"), "typical must be a plain number"},
		{fatFile, swap("high = 197", "§high = inf"), "high must be a plain number"},
		{fatFile, swap("high = 197", `§high = "197"`), "high must be a plain number"},
		{fatFile, swap("[density]", "§[density]", "at_c = 20", "at_c = 500"), "density: at_c is a temperature from -80 to 400 °C, not 500"},
		{fatFile, swap("[density]", "§[density]", "low = 0.912", "low = -0.912"), "density: must be 0.2 to 6 g/ml"},
		{fatFile, swap("[sap]", "§[sapp]"), `unknown key "sapp" in this file`},
		// profile and crystal
		{fatFile, swap("c16_0 = 12", "§c16_9 = 12"), `profile.acids.c16_9: "c16_9" is not a fatty acid of the list, did you mean "c16_0"?`},
		{fatFile, swap("c16_0 = 12", "§\"a\\nb\" = 12"), `profile.acids.a b: "a\nb" is not a fatty acid of the list`},
		{fatFile, swap("c16_0 = 12", "§c16_0 = -12"), "profile.acids.c16_0: -12 % is not a share"},
		{fatFile, swap("c16_0 = 12", "§c16_0 = 112"), "profile.acids.c16_0: 112 % is not a share"},
		{fatFile, swap("[profile.acids]", "§[profile.acids]", "c16_0 = 12", "c16_0 = 8.9"), "profile.acids: the acids come to 96.9 %; a profile comes to 97 to 101.5 %"},
		{fatFile, swap("[profile.acids]", "§[profile.acids]", "c16_0 = 12", "c16_0 = 13.6"), "profile.acids: the acids come to 101.6 %; a profile comes to 97 to 101.5 %"},
		{fatFile, swap("c16_0 = 12\nc18_1 = 36\nc18_2 = 50\nother = 2", "c16_0 = 4\n§other = 96"), "profile.acids.other: at least 5 % of the acids must be named"},
		{fatFile, swap("source = \"modeldata_oils\"\n", "", "[profile]", "§[profile]"), "profile: no source"},
		{fatFile, swap("grade = \"published\"\n", "", "[profile]", "§[profile]"), "profile: no grade"},
		{fatFile, swap("source = \"modeldata_oils\"", "§source = \"x\""), `profile.source: source "x" is not in source/sources.toml`},
		{fatFile, swap("[profile.acids]\nc16_0 = 12\nc18_1 = 36\nc18_2 = 50\nother = 2\n", "", "[profile]", "§[profile]"), "profile: no acids"},
		{fatFile + crystalBlock, swap("[crystal]\nmolar_mass = 676", "§[crystal]"), "crystal: no molar_mass"},
		{fatFile + crystalBlock, swap("grade = 'estimated'\n", "", "[crystal]", "§[crystal]"), "crystal: no grade"},
		{fatFile + crystalBlock, swap("molar_mass = 676", "§molar_mass = 0"), "crystal.molar_mass: must be 100 to 2000 g/mol"},
		{fatFile + crystalBlock, swap("melt_c = 62", "§melt_c = -274"), "crystal.melt_c: must be -50 to 200 °C"},
		{fatFile + crystalBlock, swap("heat_kj_per_mol = 124", "§heat_kj_per_mol = 0"), "crystal.heat_kj_per_mol: must be 1 to 1000 kJ/mol"},
		{fatFile + crystalBlock, swap("'own_estimate'", "§'x'"), `crystal.source: source "x" is not in source/sources.toml`},
		// the rest
		{fatFile, swap("kind =", "§usual_percent = 101\nkind ="), "usual_percent: 101 % is not a strength"},
		{fatFile, swap("kind =", "§limit = '0.7 % of bar'\nkind ="), "limit: only a scent has a limit for the bar"},
		{fatFile, swap("kind =", "§purity = '98 %'\nkind ="), "purity: only an alkali has an assay"},
		{"id = 'x'\nof = 'naoh'\n", swap("of =", "§purity = '40 %'\nof ="), "purity: must be 50 to 100 %"},
		{fatFile, swap("kind =", "§antioxidant = 'rosmary'\nkind ="), `antioxidant: "rosmary" is not one known here, did you mean "rosemary"?; they are [bht rosemary tocopherol edta citrate]`},
		{"id = 'h'\nof = 'honey'\n" + waterBlock + "[sugars]\nlow = 80\ntypical = 85\nhigh = 90\nunit = '%'\nsource = 'certificate'\ngrade = 'measured'\n", swap("[sugars]", "§[sugars]"),
			"sugars: water 16 % and sugars 85 % are more than the whole"},
		// lots
		{lotFile, swap("id = \"tallow_7\"\n", ""), "id: no id"},
		{lotFile, swap(`"tallow_beef"`, `§"tallow_beaf"`), `"tallow_beaf" is not a known material`},
		{lotFile, swap("[sap]", "§kind = \"wax\"\n[sap]"), `"tallow_beef" is triglyceride, not wax`},
		{lotFile, swap("[sap]", "§[sap]", "unit = \"mg KOH/g\"\n", ""), "sap: no unit"},
		{lotFile, swap("[sap]", "§[sap]", "grade = \"measured\"\n", ""), "sap: no grade"},
		{lotFile, swap("[sap]", "§[sap]", "low = 196.5\n", ""), "sap: no low"},
		{lotFile, swap("[sap]", "§[sap]", `"mg KOH/g"`, `"g NaOH/g"`), "sap: must be 1 to 660 mg KOH/g"},
		{lotFile, swap("[sap]\n", "name = \"x\n"), ""}, // broken TOML; its words are the library's
	} {
		text, line := replace(t, c.file, c.pairs...)
		_, err := Parse("bad.toml", []byte(text), Builtin())
		var e *tomldoc.Error
		if !errors.As(err, &e) {
			t.Errorf("no error but %v, want %s", err, c.want)
			continue
		}
		if c.want != "" && (e.Text != c.want || e.Line != line) || e.Hint() == "" {
			t.Errorf("got line %d: %s\nwant line %d: %s, and a hint, not %q", e.Line, e.Text, line, c.want, e.Hint())
		}
	}
	if _, err := Parse("bad.toml", []byte(lotFile), nil); err == nil || !strings.Contains(err.Error(), "line 2: a built-in material is not a lot of another") {
		t.Errorf("a lot among the built-in files: %v", err)
	}
	if _, err := Parse("bad.toml", make([]byte, 3<<20), Builtin()); err == nil {
		t.Error("a file of 3 MB is read")
	}
}

// What a file may leave out.
func TestGoodFiles(t *testing.T) {
	t.Parallel()
	for name, text := range map[string]string{
		"fat": fatFile, "with crystals": fatFile + crystalBlock, "lot": lotFile, "bare lot": "id = 'x'\nof = 'lard'\n",
		"powder":    "id = 'dust'\nname = 'Dust'\nkind = 'powder'\n",
		"a gap":     "id = 'dust'\nname = 'Dust'\nkind = 'powder'\n[density]\ngrade = 'unknown'\nnote = 'nobody measured it'\n",
		"same kind": strings.Replace(lotFile, "[sap]", "kind = 'triglyceride'\n[sap]", 1),
		"of itself": strings.Replace(lotFile, "tallow_7", "tallow_beef", 1),
	} {
		m, err := Parse(name, []byte(text), Builtin())
		if err != nil {
			t.Error(err)
		}
		if name == "a gap" && (m.Density.Known() || m.Density.Grade != source.Unknown) {
			t.Errorf("the gap is known: %+v", m.Density)
		}
	}
}

// Grams of honey in a spoon: a US tablespoon is 14.7868 ml, an imperial fluid
// ounce 28.4131 ml, a US cup 236.588 ml (NIST Handbook 44, appendix C; Weights
// and Measures Act 1985); at 17.2 % water honey has 1.420 g/ml (White, 1975).
// The table rounds to 0.1 g.
func TestHoneySpoons(t *testing.T) {
	t.Parallel()
	gML, ok := builtin(t, "honey").SpoonDensity()
	if !ok {
		t.Fatal("nobody knows what a spoon of honey weighs")
	}
	for text, want := range map[string]float64{"1 tsp us": 7.0, "1 tbsp us": 21.0, "1 fl oz us": 42.0, "1 cup us": 335.9, "1 tsp metric": 7.1, "1 tbsp metric": 21.3,
		"1 cup metric": 355.0, "1 fl oz uk": 40.3, "1 tbsp uk": 25.2, "1 cup uk": 403.4} {
		v, err := quantity.ParseVolume(text)
		if err != nil {
			t.Fatal(err)
		}
		if got := v.ML() * gML; math.Abs(got-want) > 0.1 {
			t.Errorf("%s of honey: %.2f g, want %.1f", text, got, want)
		}
	}
}

func TestWith(t *testing.T) {
	t.Parallel()
	file := func(text string) *fstest.MapFile { return &fstest.MapFile{Data: []byte(text)} }
	dir := fstest.MapFS{
		"a lot.toml":     file(strings.Replace(lotFile, "tallow_beef", "pumpkin", 1)), // of a material further down
		"pumpkin.toml":   file(fatFile),
		"own_lard.toml":  file(strings.NewReplacer("pumpkin", "lard", "Pumpkin seed oil", "Our lard").Replace(fatFile)), // in place of the built-in
		"lard_lot.toml":  file("id = 'lard_lot'\nof = 'lard'\n"),
		"tallow.toml":    file(strings.Replace(lotFile, "tallow_7", "tallow_beef", 1)), // a lot under its material's id
		"notes.txt":      file("not a material"),
		"sub/other.toml": file("neither = 'this'"),
	}
	lib, err := Builtin().With(dir, "own")
	if err != nil {
		t.Fatal(err)
	}
	if got, want := len(lib.IDs()), len(Builtin().IDs())+3; got != want || !slices.IsSorted(lib.IDs()) {
		t.Errorf("%d materials, want %d in order", got, want)
	}
	for _, c := range []struct {
		id, of, name string
		sap          float64
	}{
		{"pumpkin", "", "Pumpkin seed oil", 192}, {"tallow_7", "pumpkin", "Pumpkin seed oil", 197.6}, {"lard", "", "Our lard", 192},
		{"lard_lot", "lard", "Our lard", 192}, {"tallow_beef", "tallow_beef", builtin(t, "tallow_beef").Name, 197.6},
	} {
		m, err := lib.Find(c.id)
		if err != nil || m.ID != c.id || m.Of != c.of || m.Name != c.name || m.Sap.Typical != c.sap {
			t.Errorf("%s: %s of %q, %s, %g mg KOH/g; %v", c.id, m.ID, m.Of, m.Name, m.Sap.Typical, err)
		}
	}
	if m := builtin(t, "lard"); m.Name == "Our lard" || slices.Contains(Builtin().IDs(), "pumpkin") {
		t.Error("her own folder changed the built-in library")
	}
}

func TestWithRefused(t *testing.T) {
	t.Parallel()
	lot2 := strings.NewReplacer("tallow_7", "lot_2", "tallow_beef", "tallow_7").Replace(lotFile)
	for _, c := range []struct {
		name, want string
		files      map[string]string
	}{
		{"empty folder", "own: no material files (*.toml) in this folder", nil},
		{"no files of the kind", "own: no material files (*.toml) in this folder", map[string]string{"a.txt": fatFile}},
		{"one id twice", `own/b.toml: a second file with the id "pumpkin"`, map[string]string{"a.toml": fatFile, "b.toml": fatFile}},
		{"one id of fat and lot", `own/b.toml: a second file with the id "tallow_7"`, map[string]string{"a.toml": strings.Replace(fatFile, "pumpkin", "tallow_7", 1), "b.toml": lotFile}},
		{"lot of a lot", `own/z.toml, line 2: "tallow_7" is a lot itself`, map[string]string{"a.toml": lotFile, "z.toml": lot2}},
		{"lot of a lot further down", `own/a.toml, line 2: "tallow_7" is a lot itself`, map[string]string{"a.toml": lot2, "z.toml": lotFile}},
		{"lot of nothing", `own/a.toml, line 2: "nothing_like_it" is not a known material`, map[string]string{"a.toml": strings.Replace(lotFile, "tallow_beef", "nothing_like_it", 1)}},
		{"broken", `own/b.toml, line 3: kind: "fat" is not a kind; the kinds are [triglyceride wax free_acid alkali liquid sugar acid salt powder scent keeper]`,
			map[string]string{"a.toml": lotFile, "b.toml": strings.Replace(fatFile, "triglyceride", "fat", 1)}},
		{"empty file", "own/a.toml: id: no id", map[string]string{"a.toml": ""}},
	} {
		dir := fstest.MapFS{}
		for name, text := range c.files {
			dir[name] = &fstest.MapFile{Data: []byte(text)}
		}
		_, err := Builtin().With(dir, "own")
		var e *tomldoc.Error
		if !errors.As(err, &e) || err.Error() != c.want || e.Hint() == "" {
			t.Errorf("%s: got %v, want %s and a hint", c.name, err, c.want)
		}
	}
	if _, err := Builtin().With(fstest.MapFS{"a.toml/b": {}}, "own"); err == nil {
		t.Error("a folder is read as a file")
	}
	// Lots of lots of an earlier folder are refused too.
	first, err := Builtin().With(fstest.MapFS{"a.toml": {Data: []byte(lotFile)}}, "own")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := first.With(fstest.MapFS{"b.toml": {Data: []byte(lot2)}}, "more"); err == nil || !strings.Contains(err.Error(), "is a lot itself") {
		t.Errorf("a lot of a lot of another folder: %v", err)
	}
}

func TestFindUnknown(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ id, want, hint string }{
		{"tallow_beet", `"tallow_beet" is not a known material`, `did you mean "tallow_beef"?`},
		{"", `"" is not a known material`, "barwright materials lists them"},
		{"unobtainium", `"unobtainium" is not a known material`, "barwright materials lists them"},
		{"a\nb" + strings.Repeat("x", 1000), `"a\nb` + strings.Repeat("x", 37) + `" is not a known material`, "barwright materials lists them"},
	} {
		_, err := Builtin().Find(c.id)
		var e *UnknownError
		if !errors.As(err, &e) || err.Error() != c.want || e.Hint() != c.hint {
			t.Errorf("%.20q: %v, hint %v", c.id, err, e)
		}
	}
}

// Whether an id is known is asked of thousands of lots at once: the nearest one
// is looked for only when somebody is told.
func TestFindUnknownIsCheap(t *testing.T) {
	if n := testing.AllocsPerRun(100, func() { Builtin().Find("no_such_lot") }); n > 2 {
		t.Errorf("%g pieces of memory for each", n)
	}
}

// Figures lists what is known, each with a name for people.
func TestFigures(t *testing.T) {
	t.Parallel()
	for _, m := range allBuiltin(t) {
		for _, f := range m.Figures() {
			if f.Name == "" || !f.Known() {
				t.Errorf("%s: %+v", m.ID, f)
			}
		}
	}
	if n := len(builtin(t, "honey").Figures()); n != 3 { // density, water, sugars
		t.Errorf("honey has %d figures", n)
	}
}
