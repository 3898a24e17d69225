package recipe_test

import (
	"errors"
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/recipe"
)

// Three small recipes that can be planned: by superfat, by amounts, and one
// found somewhere with its lye in grams. Each has every table.
const (
	wished = `format = 1
name = "Base"
superfat = "5 %"
lye_strength = "33 %"
[size]
fats = "500 g"
[[alkali]]
material = "naoh"
[[fats]]
material = "olive"
share = "60 %"
[[fats]]
material = "coconut"
share = "40 %"
[[additions]]
material = "honey"
amount = "1 %"
when = "trace"
[[additions]]
material = "lavender_oil"
amount = "10 g"
when = "trace"
[lye]
ice = "0 %"
[combine]
fats_temperature = "40 °C"
lye_temperature = "38 °C"
[mould]
shape = "box"
inside = "250 x 90 x 65 mm"
[[rest]]
place = "room"
temperature = "20 °C"
for = "24 h"
[[rest]]
place = "fridge"
temperature = "4 °C"
[scale]
fats = "1 g"
`
	found = `format = 1
name = "Found"
water = "140 g"
[[alkali]]
material = "naoh"
amount = "70 g"
[[fats]]
material = "olive"
amount = "300 g"
[[fats]]
material = "coconut"
amount = "200 g"
`
)

// ownLibrary has a powder of which no density is known.
func ownLibrary(t testing.TB) *material.Library {
	t.Helper()
	lib, err := material.Builtin().With(fstest.MapFS{"dust.toml": {Data: []byte("id = 'dust'\nname = 'Dust'\nkind = 'powder'\n")}}, "own")
	if err != nil {
		t.Fatal(err)
	}
	return lib
}

// change replaces texts, in pairs. The line that holds the last replacement's
// "§" is the one an error must name; the sign itself is taken out.
func change(t *testing.T, base string, pairs ...string) (text string, line int) {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(base, pairs[i]) {
			t.Fatalf("no %q to change", pairs[i])
		}
		base = strings.Replace(base, pairs[i], pairs[i+1], 1)
	}
	before, after, ok := strings.Cut(base, "§")
	if ok {
		line = strings.Count(before, "\n") + 1
	}
	return before + after, line
}

// Each case breaks one thing; the first fault is that thing, and the error of
// Parse names its line and hands its hint on.
func TestChecks(t *testing.T) {
	t.Parallel()
	lib := ownLibrary(t)
	for _, base := range []string{wished, found} {
		if _, err := recipe.Parse("base.toml", []byte(base), lib); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range allCases() {
		text, line := change(t, c.base, c.pairs...)
		var r recipe.Recipe
		if _, err := tomldoc.Decode("bad.toml", []byte(text), &r); err != nil {
			t.Errorf("%s: %v", c.want, err)
			continue
		}
		fs := r.Check(lib)
		if len(fs) == 0 || fs[0] != (recipe.Fault{Path: c.path, Text: c.want, Advice: c.hint}) {
			t.Errorf("got  %#v\nwant %#v", fs, recipe.Fault{Path: c.path, Text: c.want, Advice: c.hint})
			continue
		}
		_, err := recipe.Parse("bad.toml", []byte(text), lib)
		var e *tomldoc.Error
		if !errors.As(err, &e) || e.Line != line || e.Text != c.want || e.Hint() != c.hint {
			t.Errorf("got  %v, hint %q\nwant line %d: %s, hint %q", err, e.Hint(), line, c.want, c.hint)
		}
	}
}

// Nought cavities can be told from none given only in a file.
func TestCountZero(t *testing.T) {
	t.Parallel()
	text, _ := change(t, wished, "[mould]\n", "[mould]\ncount = 0\n")
	_, err := recipe.Parse("bad.toml", []byte(text), material.Builtin())
	if want := "bad.toml, line 29: 0 is not a number of cavities"; err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
}

// What the bounds allow.
func TestBounds(t *testing.T) {
	t.Parallel()
	lib := ownLibrary(t)
	for _, pairs := range [][]string{
		edit(`"5 %"`, `"0 %"`), edit(`"5 %"`, `"30 %"`), edit(`"33 %"`, `"50 %"`), edit(`"33 %"`, `"5 %"`),
		edit(`"60 %"`, `"60.05 %"`), edit(`"60 %"`, `"59,95 %"`), edit(`"500 g"`, `"1000 kg"`), edit(`"1 %"`, `"200 %"`),
		edit(`"24 h"`, `"60 d"`), edit(`"24 h"`, `"1 s"`), edit(`"40 °C"`, `"120 °C"`), edit(`"40 °C"`, `"32 °F"`),
		edit("[[rest]]\nplace = \"fridge\"", "[[rest]]\nfor = \"1 h\"\nplace = \"fridge\""),
		edit("material = \"naoh\"", "material = \"naoh\"\nshare = \"100 %\""),
		edit("material = \"naoh\"", "material = \"naoh\"\nshare = \"95 %\"\n[[alkali]]\nmaterial = \"koh\"\nshare = \"5.05 %\""),
		edit("material = \"naoh\"", "material = \"koh\"\npurity = \"90 %\"\npurity_range = \"90 % to 100 %\""),
		edit("material = \"naoh\"", "material = \"naoh\"\nstock_strength = \"50 %\""),
		edit(`ice = "0 %"`, `vessel = "none"`), edit(`ice = "0 %"`, `vessel = "glass 300 g"`),
		edit("[combine]\nfats_temperature = \"40 °C\"\nlye_temperature = \"38 °C\"\n", ""), edit("[scale]\nfats = \"1 g\"\n", ""),
		edit("[lye]\nice = \"0 %\"\n", "[lye]\n"), edit("fats = \"500 g\"", "mould = true"), edit("fats = \"500 g\"", "bars = \"11 x 100 g\""),
		edit(`"Base"`, `"`+strings.Repeat("é", 200)+`"`), edit(`"Base"`, `"Base"`+"\nnote = \"\"\"two\n\tlines\"\"\""),
	} {
		text, _ := change(t, wished, pairs...)
		if _, err := recipe.Parse("good.toml", []byte(text), lib); err != nil {
			t.Errorf("%q: %v", pairs, err)
		}
	}
	text, _ := change(t, found, "[[alkali]]", "[size]\nfats = \"500 g\"\n[[alkali]]", `amount = "300 g"`, `share = "60 %"`, `amount = "200 g"`, `share = "40 %"`)
	if _, err := recipe.Parse("good.toml", []byte(text), lib); err != nil {
		t.Errorf("found, with shares of a size: %v", err)
	}
}

// Every message that the checks can write is reached by a case above.
func TestEveryMessageIsReached(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("check*.go")
	if err != nil {
		t.Fatal(err)
	}
	verbs := regexp.MustCompile(`%[.0-9]*[a-z]`)
	messages := 0
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		tree, err := parser.ParseFile(token.NewFileSet(), file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(tree, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok {
				return true
			}
			if f, ok := call.Fun.(*ast.SelectorExpr); !ok || f.Sel.Name != "add" {
				return true
			}
			format, err := strconv.Unquote(call.Args[2].(*ast.BasicLit).Value)
			if err != nil {
				t.Fatal(err)
			}
			messages++
			quoted := strings.Split(verbs.ReplaceAllString(strings.ReplaceAll(format, "%%", "\x01"), "\x00"), "\x00")
			for i := range quoted {
				quoted[i] = regexp.QuoteMeta(strings.ReplaceAll(quoted[i], "\x01", "%"))
			}
			want := regexp.MustCompile("^" + strings.Join(quoted, "(.+)") + "$")
			for _, c := range allCases() {
				if want.MatchString(c.want) {
					return true
				}
			}
			t.Errorf("%s: no case reaches %q", file, format)
			return true
		})
	}
	if messages < 40 {
		t.Errorf("found %d messages only: are they written otherwise?", messages)
	}
}

// A recipe with many faults tells them all, each on one line with a hint.
func TestAllFaults(t *testing.T) {
	t.Parallel()
	var r recipe.Recipe
	text := "name = \"a\\nb\"\n[size]\n[[alkali]]\nmaterial = \"\\u0007\"\nshare = \"0 %\"\n[[fats]]\nmaterial = \"x\\ny\"\n[[fats]]\nmaterial = \"x\\ny\"\n" +
		"[[additions]]\nmaterial = \"honey\"\nwhen = \"a\\nb\"\nstir = \"c\\nd\"\n[combine]\n[mould]\nshape = \"e\\nf\"\n[[rest]]\nplace = \"g\\nh\"\n[[rest]]\n[scale]\nfats = \"1 kg\"\n"
	if _, err := tomldoc.Decode("bad.toml", []byte(text), &r); err != nil {
		t.Fatal(err)
	}
	fs := r.Check(material.Builtin())
	if len(fs) < 20 {
		t.Errorf("%d faults only", len(fs))
	}
	for _, f := range fs {
		if strings.ContainsFunc(f.Text+f.Advice, func(c rune) bool { return c < ' ' }) || f.Text == "" || f.Advice == "" || f.Path == "" || f.Hint() != f.Advice || f.Error() != f.Text {
			t.Errorf("%q", f)
		}
	}
}

// Every mistake of a file is told with its line, and none that is only there
// because another was made.
func TestParseTellsAll(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		pairs []string
		want  []string
	}{
		{edit(`superfat = "5 %"`, `superfat = "5"`, `"33 %"`, `"60 %"`, `"honey"`, `"hunny"`, `share = "60 %"`, `share = "60 g"`),
			[]string{`line 3: superfat: "5" has no unit`, "line 4: lye of 60 %: the most that can be planned is 50 %", `line 11: share: "60 g" is not a share`, `line 16: "hunny" is not a known material`}},
		{edit(`superfat`, `superfatt`, `"olive"`, `"olivee"`), []string{`line 3: unknown key "superfatt" in this file`, `line 10: "olivee" is not a known material`}},
		{edit(`[[alkali]]`, `[alkali]`, `place = "fridge"`, `place = "roof"`), []string{"line 7: alkali is a list of tables", `line 36: "roof" is not a place to rest`}},
		{edit(`"500 g"`, `"-500 g"`, `"24 h"`, `"24 ours"`), []string{`line 6: fats: "-500 g" is below zero`, `line 34: for: "ours" is not a unit of time`}},
	} {
		text, _ := change(t, wished, c.pairs...)
		_, err := recipe.Parse("bad.toml", []byte(text), material.Builtin())
		if want := "bad.toml, " + strings.Join(c.want, "\nbad.toml, "); err == nil || err.Error() != want {
			t.Errorf("got\n%v\nwant\n%s", err, want)
		}
	}
}
