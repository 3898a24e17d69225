package tomldoc

import (
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"barwright/quantity"
)

// paper has every kind of field a document can have.
type paper struct {
	Name  string               `toml:"name"`
	Count int                  `toml:"count"`
	Ratio float64              `toml:"ratio"`
	Loud  bool                 `toml:"loud"`
	Share *quantity.Share      `toml:"share"`
	Warm  quantity.Temperature `toml:"warm"`
	Words []string             `toml:"words"`
	Size  *size                `toml:"size"`
	Lines []line               `toml:"lines"`
	Acids map[string]float64   `toml:"acids"`
	Deep  struct {
		Acids map[string]float64 `toml:"acids"`
		Lines []line             `toml:"lines"`
	} `toml:"deep"`
	hidden int
	Mine   int `toml:"-"`
	Bare   int
}

type size struct {
	Fats *quantity.Mass `toml:"fats"`
	All  bool           `toml:"all"`
}

type line struct {
	Material string          `toml:"material"`
	Share    *quantity.Share `toml:"share"`
}

func TestReads(t *testing.T) {
	t.Parallel()
	percent := func(p float64) *quantity.Share { return &quantity.Share{Percent: p} }
	grams := func(g float64) *quantity.Mass { m := quantity.Grams(g); return &m }
	acids := map[string]float64{"c18_1": 80, "c16_0": 20}
	for _, c := range []struct {
		name, text string
		want       paper
	}{
		{"empty", "", paper{}},
		{"comments only", "# nothing\n\n# yet", paper{}},
		{"blank", " \t\r\n\n", paper{}},
		{"values", "name = \"x\"\ncount = 1_000\nratio = -2.5e1\nloud = true\nshare = '5 %'\nwords = ['a', 'b']\n",
			paper{Name: "x", Count: 1000, Ratio: -25, Loud: true, Share: percent(5), Words: []string{"a", "b"}}},
		{"whole ratio", "ratio = 3", paper{Ratio: 3}},
		{"byte order mark", "\ufeffname = 'x'\n", paper{Name: "x"}},
		{"line ends of another system", "name = 'x'\r\n[size]\r\nfats = '1 g'\r\n", paper{Name: "x", Size: &size{Fats: grams(1)}}},
		{"no line end", "[size]\nall = true", paper{Size: &size{All: true}}},
		{"dotted", "size.fats = '1 g'\nsize . all = true\nacids.c18_1 = 80\nacids.c16_0 = 20", paper{Size: &size{grams(1), true}, Acids: acids}},
		{"inline", "size = { fats = '1 g', all = true }\nacids = { c18_1 = 80, c16_0 = 20 }", paper{Size: &size{grams(1), true}, Acids: acids}},
		{"deep", "[deep.acids]\nc18_1 = 80\nc16_0 = 20\n[[deep.lines]]\nmaterial = 'x'", paper{Deep: struct {
			Acids map[string]float64 `toml:"acids"`
			Lines []line             `toml:"lines"`
		}{acids, []line{{Material: "x"}}}}},
		{"tables of a list", "[[lines]]\nmaterial = 'a'\nshare = '60 %'\n[[lines]]\n[[lines]]\nshare = '40 %'",
			paper{Lines: []line{{"a", percent(60)}, {}, {"", percent(40)}}}},
		{"list in a line", "lines = [\n  { material = 'a' },\n  # between\n  { share = '40 %' },\n]", paper{Lines: []line{{Material: "a"}, {Share: percent(40)}}}},
		{"empty list", "lines = []\nwords = []", paper{}},
		{"long text", "name = '''a\nb'''\ncount = 2", paper{Name: "a\nb", Count: 2}},
	} {
		var got paper
		if _, err := Decode("f.toml", []byte(c.text), &got); err != nil {
			t.Errorf("%s: %v", c.name, err)
		} else if !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s: got %+v, want %+v", c.name, got, c.want)
		}
	}
}

const (
	syntaxHint = `every line is a key, an equals sign and a value in quotes: superfat = "5 %"`
	valueHint  = `a value is written in quotes with its unit, like "5 %"`
	percent    = `write it in per cent, like "5 %"`
	topKeys    = "the keys here are name, count, ratio, loud, share, warm, words, size, lines, acids, deep"
)

func TestRefuses(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		text string
		line int
		want string
		hint string
	}{
		// the text itself
		{"name = 'x'\ncount 3\n", 2, "expected '=' after key", syntaxHint},
		{"name = 'x'\n\nname = 'y'\n", 3, "key name is already defined", syntaxHint},
		{"\"a\\nb\" = 1\n\"a\\nb\" = 1\n", 2, "key a b is already defined", syntaxHint},
		{"[size]\nall = true\n# x\n[size]\n", 4, "table size already exists", syntaxHint},
		{"name = \"x\ncount = 1\n", 1, "a closing quote is missing", `put the value between two quotes: superfat = "5 %"`},
		{"[size\n", 1, "expected ']' to close table name", syntaxHint},
		{"\r\n\r\nname = x\r\n", 3, "unexpected character U+0078 'x' at start of value", syntaxHint},
		{"\ufeffname = 'x'\ncount =\n", 2, "unexpected character U+000A at start of value", syntaxHint},
		{"name = 'x'\ncount = 2025-13-40", 2, "impossible date", syntaxHint},
		{"name = 'a\x00b'", 1, "literal strings cannot have control characters", syntaxHint},
		{"count = 99999999999999999999", 1, "decimal number is too large to fit in a 64-bit signed integer", syntaxHint},
		{"name = '\xff\xfe'", 0, "the file is not text in UTF-8", "save it again as UTF-8 text"},
		{"\xff\xfen\x00a\x00", 0, "the file is not text in UTF-8", "save it again as UTF-8 text"},
		{strings.Repeat("# a comment line\n", 200000), 0, "the file is longer than 256 kB, too long for a file of this kind", "is it the right file?"},
		// unknown keys
		{"name = 'x'\ncolour = 'red'", 2, `unknown key "colour" in this file`, topKeys},
		{"name = 'x'\nnam = 'y'", 2, `unknown key "nam" in this file`, `did you mean "name"? ` + topKeys},
		{"\n[sise]\n", 2, `unknown key "sise" in this file`, `did you mean "size"? ` + topKeys},
		{"[size]\n\nfat = '1 g'", 3, `unknown key "fat" in size`, `did you mean "fats"? the keys here are fats, all`},
		{"[[lines]]\n[[lines]]\nmaterial = 'a'\nshares = '5 %'", 4, `unknown key "shares" in lines`, `did you mean "share"? the keys here are material, share`},
		{"lines = [\n  { material = 'a' },\n  { material = 'a',\n    shares = '5 %' } ]", 4, `unknown key "shares" in lines`, `did you mean "share"? the keys here are material, share`},
		{"[deep.acid]\n", 1, `unknown key "acid" in deep`, `did you mean "acids"? the keys here are acids, lines`},
		{"hidden = 1", 1, `unknown key "hidden" in this file`, topKeys},
		{"Bare = 1", 1, `unknown key "Bare" in this file`, `did you mean "name"? ` + topKeys},
		{"\"\" = 1", 1, `unknown key "" in this file`, topKeys},
		{"- = 1", 1, `unknown key "-" in this file`, topKeys},
		{"\"na\\nme\" = 1", 1, `unknown key "na\nme" in this file`, `did you mean "name"? ` + topKeys},
		{strings.Repeat("a", 1000) + " = 1", 1, `unknown key "` + strings.Repeat("a", 40) + `" in this file`, topKeys},
		// wrong sorts of value
		{"name = 7", 1, "name must be text in quotes", `like "Plain Tow"`},
		{"name = ['x']", 1, "name must be text in quotes", `like "Plain Tow"`},
		{"name = 2025-01-02", 1, "name must be text in quotes", `like "Plain Tow"`},
		{"count = '7'", 1, "count must be a whole number", "without quotes, like 1"},
		{"count = 7.0", 1, "count must be a whole number", "without quotes, like 1"},
		{"count = 0x10", 1, "count must be a whole number", "without quotes, like 1"},
		{"ratio = nan", 1, "ratio must be a plain number", "without quotes, like 0.92"},
		{"ratio = -inf", 1, "ratio must be a plain number", "without quotes, like 0.92"},
		{"ratio = 1e13", 1, "ratio must be a plain number", "without quotes, like 0.92"},
		{"ratio = '1'", 1, "ratio must be a plain number", "without quotes, like 0.92"},
		{"ratio = true", 1, "ratio must be a plain number", "without quotes, like 0.92"},
		{"[acids]\nc18_1 = nan", 2, "c18_1 must be a plain number", "without quotes, like 0.92"},
		{"[acids]\n\"c\\n1\" = 'x'", 2, "c 1 must be a plain number", "without quotes, like 0.92"},
		{"loud = 1", 1, "loud must be true or false", "without quotes"},
		{"loud = 'true'", 1, "loud must be true or false", "without quotes"},
		{"share = 5", 1, `share: "5" has no unit`, percent},
		{"share = nan", 1, `share: "nan" has no number`, `write a plain number with its unit, like "5.5 %" or "880 g"`},
		{"share = true", 1, "share must be one value in quotes", valueHint},
		{"share = ['5 %']", 1, "share must be one value in quotes", valueHint},
		{"share = { percent = 5 }", 1, "share must be one value in quotes", valueHint},
		{"share = 12:00:00", 1, "share must be one value in quotes", valueHint},
		{"words = 'a'", 1, "words is a list", `like words = [ "…", "…" ]`},
		{"words = [\n'a',\n7 ]", 3, "words must be text in quotes", `like "Plain Tow"`},
		{"lines = ['a']", 1, "lines is a list of tables", "write [[lines]] and its keys on the lines below"},
		{"lines = [\n{},\n'a']", 3, "lines is a list of tables", "write [[lines]] and its keys on the lines below"},
		{"lines = 'a'", 1, "lines is a list of tables", "write [[lines]] and its keys on the lines below"},
		{"size = '1 g'", 1, "size must be a table", "write [size] and its keys on the lines below"},
		{"deep.acids = 1", 1, "acids must be a table", "write [deep.acids] and its keys on the lines below"},
		// tables and lists mistaken for each other
		{"\n[lines]\n", 2, "lines is a list of tables", "write [[lines]] and its keys on the lines below"},
		{"lines.material = 'a'", 1, "lines is a list of tables", "write [[lines]] and its keys on the lines below"},
		{"[[size]]\n", 1, "there is only one size", "write [size]"},
		{"[[deep.acids]]\n", 1, "there is only one deep.acids", "write [deep.acids]"},
		{"[share]\n", 1, "share is a value, not a table", "write it on a line of its table, share = …"},
		{"[warm]\nValue = 3", 1, "warm is a value, not a table", "write it on a line of its table, warm = …"},
		{"[size.fats]\n", 1, "size.fats is a value, not a table", "write it on a line of its table, fats = …"},
		{"size.fats.\"\" = 3\n", 1, `size.fats is one value and has no ""`, "write fats = …"},
		{"share.percent = 3\n", 1, `share is one value and has no "percent"`, "write share = …"},
		{"[name]\n", 1, "name is a value, not a table", "write it on a line of its table, name = …"},
		{"name.x = 1\n", 1, `name is one value and has no "x"`, "write name = …"},
		{"[words]\n", 1, "words is a list", `like words = [ "…", "…" ]`},
		{"[[words]]\n", 1, "words is a list", `like words = [ "…", "…" ]`},
		{"[acids.c18_1]\n", 1, "acids.c18_1 is a value, not a table", "write it on a line of its table"},
		{"acids.c18_1.x = 1", 1, "acids.c18_1 is a value, not a table", "write it on a line of its table"},
		{"[[lines]]\n[lines.share]\n", 2, "lines.0.share is a value, not a table", "write it on a line of its table, share = …"},
	} {
		var got paper
		_, err := Decode("f.toml", []byte(c.text), &got)
		var e *Error
		if !errors.As(err, &e) {
			t.Errorf("%.60q: no error but %v", c.text, err)
			continue
		}
		if e.File != "f.toml" || e.Line != c.line || e.Text != c.want || e.Hint() != c.hint {
			t.Errorf("%.60q:\n got line %d: %s\nhint %s\nwant line %d: %s\nhint %s", c.text, e.Line, e.Text, e.Hint(), c.line, c.want, c.hint)
		}
		if want := fmt.Sprintf("f.toml, line %d: %s", c.line, c.want); c.line > 0 && err.Error() != want {
			t.Errorf("%.60q: %q, want %q", c.text, err, want)
		}
	}
}

func TestLines(t *testing.T) {
	t.Parallel()
	text := "name = 'x'\n\n[size]\nfats = '1 g'\n[[lines]]\nmaterial = 'a'\n\n[[lines]]\nmaterial = 'b'\n[deep]\nacids = { c18_1 = 1,\n c16_0 = 2 }\nlines = [ { material = 'c' },\n{ material = 'd' } ]\n"
	var p paper
	d, err := Decode("f.toml", []byte(text), &p)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		path string
		line int
		has  bool
	}{
		{"name", 1, true}, {"size", 3, true}, {"size.fats", 4, true}, {"size.all", 3, false}, {"lines.0", 5, true}, {"lines.0.material", 6, true},
		{"lines.1.material", 9, true}, {"lines.1.share", 8, false}, {"deep.acids", 11, true}, {"deep.acids.c18_1", 11, true}, {"deep.acids.c16_0", 12, true},
		{"deep.lines.1", 14, true}, {"deep.lines.1.material", 14, true}, {"count", 0, false}, {"", 0, false}, {"no.such.thing", 0, false},
	} {
		if got := d.Line(c.path); got != c.line || d.Has(c.path) != c.has {
			t.Errorf("%q is on line %d, given %v; want %d, %v", c.path, got, d.Has(c.path), c.line, c.has)
		}
	}
	if e := d.Fault("lines.1.share", "do", "no %s", "share"); e.Error() != "f.toml, line 8: no share" || e.Hint() != "do" {
		t.Errorf("%v, hint %s", e, e.Hint())
	}
	if e := d.Fault("count", "", "no count"); e.Error() != "f.toml: no count" {
		t.Error(e)
	}
}

// Documents made to be slow or to go deep end soon, with an error that can be
// shown. Line by line each takes minutes, more than a test may, or the whole stack.
func TestHostile(t *testing.T) {
	t.Parallel()
	for name, text := range map[string]string{
		"deep list":      "words = " + strings.Repeat("[", MaxBytes/2),
		"deep table":     "size = " + strings.Repeat("{a=", MaxBytes/4),
		"long header":    "[" + strings.Repeat("a.", MaxBytes/4) + "a]",
		"long key":       strings.Repeat("a", MaxBytes/2) + " = 1",
		"long text":      "name = '" + strings.Repeat("x", MaxBytes/2) + "'\nloud = 1",
		"long quantity":  "share = '" + strings.Repeat("9", MaxBytes/2) + " %'",
		"many unknown":   numbered(20000),
		"many tables":    strings.Repeat("[[lines]]\nmaterial='a'\n", MaxBytes/24) + "x",
		"many in a line": "lines = [" + strings.Repeat("{material='a'},\n", MaxBytes/20) + "7 ]",
	} {
		var p paper
		_, err := Decode("f.toml", []byte(text), &p)
		if problem := untidy(err); problem != "" {
			t.Errorf("%s: %s", name, problem)
		}
	}
}

// numbered returns n tables with a name each.
func numbered(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "a%d.b=1\n", i)
	}
	return b.String()
}

// untidy says what keeps an error from being shown to people.
func untidy(err error) string {
	var e *Error
	switch {
	case !errors.As(err, &e):
		return fmt.Sprintf("%v is not an *Error", err)
	case !utf8.ValidString(e.Text+e.Advice) || strings.ContainsFunc(e.Text+e.Advice, func(r rune) bool { return unicode.IsControl(r) || unicode.In(r, unicode.Zl, unicode.Zp) }):
		return fmt.Sprintf("%q is not one line of text", e.Text)
	case e.Text == "" || len([]rune(e.Text)) > 301 || len(e.Advice) > 600:
		return fmt.Sprintf("the error has %d letters, its hint %d", len(e.Text), len(e.Advice))
	case e.Advice == "":
		return fmt.Sprintf("%q has no hint", e.Text)
	}
	return ""
}

func FuzzDecode(f *testing.F) {
	if seeds, err := filepath.Glob("testdata/fuzz/FuzzDecode/*"); err != nil || len(seeds) == 0 {
		f.Fatal("no seeds in the repository")
	}
	for _, s := range []string{"", "name = 'x'\r\ncount = 1", "[size]\nfats = '1 g'", "[[lines]]\nmaterial = 'a'", "acids = { c18_1 = nan }", "share.x = 1",
		"\ufeff#", "\"\".\"\" = 1", "[[deep.lines]]\n[deep.acids]\nx.y = 1", "words = ['''\n''', \"\\u0000\"]"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var p paper
		d, err := Decode("f.toml", data, &p)
		if err != nil {
			if problem := untidy(err); problem != "" {
				t.Fatalf("%q: %s", data, problem)
			}
			if e := new(Error); errors.As(err, &e) && e.Line > strings.Count(string(data), "\n")+1 {
				t.Fatalf("%q: line %d", data, e.Line)
			}
			return
		}
		if p.hidden != 0 || p.Mine != 0 || p.Bare != 0 {
			t.Fatalf("%q sets what has no key", data)
		}
		if p.Ratio != p.Ratio || p.Name != "" && d.Line("name") == 0 {
			t.Fatalf("%q: %+v", data, p)
		}
	})
}

// Every fault is told, each on its line, and the rest is read all the same.
func TestAllFaults(t *testing.T) {
	t.Parallel()
	var v struct {
		Name  string          `toml:"name"`
		Share *quantity.Share `toml:"share"`
		Fats  []struct {
			Amount quantity.Mass `toml:"amount"`
		} `toml:"fats"`
	}
	text := "nam = \"x\"\nshare = \"5\"\n[[fats]]\namount = \"5 g\"\n[fat]\namount = 7\n[[fats]]\namount = \"6 ml\"\n"
	doc, err := Decode("bad.toml", []byte(text), &v)
	want := []string{
		`bad.toml, line 1: unknown key "nam" in this file`, `bad.toml, line 2: share: "5" has no unit`,
		`bad.toml, line 5: unknown key "fat" in this file`, `bad.toml, line 8: amount: "ml" is not a unit of mass`,
	}
	fs := All(err)
	if err == nil || err.Error() != strings.Join(want, "\n") || len(fs) != len(want) {
		t.Fatalf("%v", err)
	}
	for i, f := range fs {
		if f.Error() != want[i] || f.Hint() == "" {
			t.Errorf("%v, hint %q; want %s", f, f.Hint(), want[i])
		}
	}
	var first *Error
	if !errors.As(err, &first) || first != fs[0] {
		t.Errorf("errors.As finds %v", first)
	}
	if v.Share != nil {
		t.Errorf("share %v was not read", v.Share)
	}
	if len(v.Fats) != 2 || v.Fats[0].Amount.G() != 5 {
		t.Errorf("read %+v", v)
	}
	for path, unread := range map[string]bool{"name": true, "share": true, "fats": true, "fats.0.amount": true, "fats.1": true, "fats.1.amount": true, "other": false} {
		if doc.Unread(path) != unread {
			t.Errorf("%s: unread %v", path, !unread)
		}
	}
	if !doc.Whole() {
		t.Error("it was looked at to its end")
	}
}

// A file that is something else altogether is not told line by line.
func TestTooManyFaults(t *testing.T) {
	t.Parallel()
	var text strings.Builder
	for i := range 1000 {
		fmt.Fprintf(&text, "k%d = 1\n", i)
	}
	doc, err := Decode("bad.toml", []byte(text.String()), &struct{}{})
	fs := All(err)
	if len(fs) != 21 || doc.Whole() || fs[20].Error() != "bad.toml: there may be more than these 20" {
		t.Errorf("%d faults, the last %v", len(fs), fs[len(fs)-1])
	}
}
