package recipe_test

import (
	"encoding"
	"errors"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"barwright/finding"
	"barwright/material"
	"barwright/recipe"
)

func change1(key, value string) finding.Edit { return finding.Edit{Key: key, Value: value} }

// editable has a new value for a key of every table and list of the wished
// recipe; those of tables and keys that it does not have are new.
var editable = map[string]string{
	"format": "2", "name": "Other", "note": "said", "method": "hot", "superfat": "6 %", "lye_strength": "30 %", "water": "100 g",
	"size.fats": "600 g", "size.batter": "1 kg", "size.mould": "true", "size.bars": "11 x 100 g",
	"alkali.0.material": "koh", "alkali.0.share": "100 %", "alkali.0.amount": "70 g", "alkali.0.purity": "98 %",
	"alkali.0.purity_range": "98 % to 99 %", "alkali.0.stock_strength": "50 %",
	"fats.0.material": "shea", "fats.0.share": "59 %", "fats.1.share": "41 %", "fats.1.amount": "200 g",
	"additions.0.material": "sugar", "additions.0.amount": "1 tbsp us", "additions.0.when": "lye", "additions.0.strength": "5 %", "additions.0.flat": "true",
	"additions.1.limit": "0.7 % of bar", "additions.1.stir": "hand", "additions.0.temperature": "4 °C",
	"lye.water_temperature": "10 °C", "lye.ice": "50 %", "lye.vessel": "glass 300 g",
	"combine.fats_temperature": "41 °C", "combine.lye_temperature": "39 °C", "combine.pot": "steel 1 kg", "combine.stir": "blender",
	"mould.name": "Box", "mould.shape": "cavity", "mould.inside": "10 x 4 x 3 in", "mould.axis": "level", "mould.volume": "85 ml", "mould.count": "2", "mould.holds": "1.4 l",
	"mould.wall": "softwood 12 mm", "mould.lid": "card 1 mm", "mould.fill": "90 %",
	"rest.0.place": "oven", "rest.0.temperature": "50 °C", "rest.0.cover": "blanket 25 mm", "rest.0.fan": "true", "rest.0.rh": "60 %", "rest.0.for": "2 h", "rest.1.for": "1 h",
	"scale.fats": "5 g", "scale.alkali": "0.1 g", "scale.repeatability": "0.2 g", "scale.fats_capacity": "6 kg", "scale.alkali_capacity": "300 g",
}

// editable leaves no key of a recipe out.
func TestEditable(t *testing.T) {
	t.Parallel()
	have := map[string]bool{}
	for key := range editable {
		have[strings.NewReplacer("0.", "", "1.", "").Replace(key)] = true
	}
	var walk func(typ reflect.Type, prefix string)
	walk = func(typ reflect.Type, prefix string) {
		for i := range typ.NumField() {
			f := typ.Field(i).Type
			name, _, _ := strings.Cut(typ.Field(i).Tag.Get("toml"), ",")
			for f.Kind() == reflect.Pointer || f.Kind() == reflect.Slice {
				f = f.Elem()
			}
			_, isText := reflect.New(f).Interface().(encoding.TextUnmarshaler)
			if f.Kind() == reflect.Struct && !isText {
				walk(f, prefix+name+".")
			} else if !have[prefix+name] {
				t.Errorf("no edit of %s", prefix+name)
			}
		}
	}
	walk(reflect.TypeFor[recipe.Recipe](), "")
}

func keys(m map[string]string) []string { return slices.Sorted(maps.Keys(m)) }

// An edited recipe is what the file with that line would be.
func TestEditIsALine(t *testing.T) {
	t.Parallel()
	base := parse(t, "base", []byte(wished))
	for _, c := range []struct {
		name  string
		edits []finding.Edit
		pairs []string // of the text
	}{
		{"value", []finding.Edit{change1("superfat", "6,5 %")}, edit(`superfat = "5 %"`, `superfat = "6.5 %"`)},
		{"nested", []finding.Edit{change1("size.fats", "1 lb")}, edit(`fats = "500 g"`, `fats = "1 lb"`)},
		{"new key", []finding.Edit{change1("mould.wall", "softwood 12 mm"), change1("mould.count", "3")}, edit(`shape = "box"`, "shape = \"box\"\nwall = \"softwood 12 mm\"\ncount = 3")},
		{"in a list", []finding.Edit{change1("fats.1.share", "30 %"), change1("fats.0.share", "70 %")}, edit(`"60 %"`, `"70 %"`, `"40 %"`, `"30 %"`)},
		{"key away", []finding.Edit{change1("rest.1.for", "1 h"), change1("rest.1.for", "")}, nil},
		{"table away", []finding.Edit{change1("scale", ""), change1("combine", "")},
			edit("[scale]\nfats = \"1 g\"\n", "", "[combine]\nfats_temperature = \"40 °C\"\nlye_temperature = \"38 °C\"\n", "")},
		{"line away", []finding.Edit{change1("additions.0", "")}, edit("[[additions]]\nmaterial = \"honey\"\namount = \"1 %\"\nwhen = \"trace\"\n", "")},
		{"last line away", []finding.Edit{change1("rest.1", "")}, edit("[[rest]]\nplace = \"fridge\"\ntemperature = \"4 °C\"\n", "")},
		{"list away line by line", []finding.Edit{change1("rest.1", ""), change1("rest.0", "")},
			edit("[[rest]]\nplace = \"fridge\"\ntemperature = \"4 °C\"\n", "", "[[rest]]\nplace = \"room\"\ntemperature = \"20 °C\"\nfor = \"24 h\"\n", "")},
		{"list away", []finding.Edit{change1("rest", "")},
			edit("[[rest]]\nplace = \"fridge\"\ntemperature = \"4 °C\"\n", "", "[[rest]]\nplace = \"room\"\ntemperature = \"20 °C\"\nfor = \"24 h\"\n", "")},
		{"nothing away", []finding.Edit{change1("water", ""), change1("size.bars", ""), change1("size.mould", ""), change1("note", "")}, nil},
		{"flag and back", []finding.Edit{change1("size.mould", "true"), change1("size.mould", "false")}, nil},
		{"to the mould", []finding.Edit{change1("size.mould", "true"), change1("size.fats", "")}, edit(`fats = "500 g"`, "mould = true")},
		{"none", nil, nil},
	} {
		got, err := base.With(c.edits...)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		text, _ := change(t, wished, c.pairs...)
		if diff := cmp.Diff(parse(t, c.name, []byte(text)), got, whole); diff != "" {
			t.Errorf("%s: %s", c.name, diff)
		}
	}
	// Taking a key from a table that is not there does not make the table.
	bare, err := base.With(change1("scale", ""), change1("scale.fats", ""), change1("lye", ""), change1("lye.ice", ""))
	if err != nil || bare.Scale != nil || bare.Lye != nil {
		t.Errorf("scale %v, lye %v, %v", bare.Scale, bare.Lye, err)
	}
}

func TestEditRefused(t *testing.T) {
	t.Parallel()
	base := parse(t, "base", []byte(wished))
	for _, c := range []struct{ key, value, want, hint string }{
		{"superfatt", "5 %", `unknown key "superfatt"`, `did you mean "superfat"?`},
		{"", "x", `unknown key ""`, "the keys here are format, name"},
		{"size.fat", "5 g", `unknown key "size.fat"`, `did you mean "fats"? the keys here are fats, batter, mould, bars`},
		{"superfat.percent", "5", `unknown key "superfat.percent"`, ""},
		{"superfat.", "5", `unknown key "superfat."`, ""},
		{"size.fats.", "", `unknown key "size.fats."`, ""},
		{"water.x", "", `unknown key "water.x"`, ""},
		{"name.x", "y", `unknown key "name.x"`, ""},
		{"a\nb", "", `unknown key "a\nb"`, "the keys here are"},
		{"scale.bogus", "", `unknown key "scale.bogus"`, "the keys here are fats, alkali, repeatability"},
		{strings.Repeat("k", 500), "", `unknown key "` + strings.Repeat("k", 60) + `"`, "the keys here are"},
		{"fats.2.share", "5 %", `"fats.2.share": there is no line "2" in a list of 2`, "the first is 0"},
		{"fats.-1", "", `"fats.-1": there is no line "-1" in a list of 2`, "the first is 0"},
		{"fats.x.share", "5 %", `"fats.x.share": there is no line "x" in a list of 2`, "the first is 0"},
		{"fats.99999999999999999999", "", `"fats.99999999999999999999": there is no line "99999999999999999999" in a list of 2`, "the first is 0"},
		{"superfat", "5", `superfat = "5": "5" has no unit`, `write it in per cent, like "5 %"`},
		{"size.fats", "1,040 g", `size.fats = "1,040 g": "1,040 g" can be read two ways: is the comma a decimal comma or does it part thousands?`, "write 1040 or 1.040"},
		{"size.mould", "yes", `size.mould = "yes": it must be true or false`, ""},
		{"format", "one", `format = "one": it must be a whole number`, ""},
		{"mould.count", "1.5", `mould.count = "1.5": it must be a whole number`, ""},
		{"size", "500 g", `size = "500 g": it has keys of its own`, ""},
		{"fats", "olive", `fats = "olive": it has keys of its own`, ""},
		{"fats.0", "olive", `fats.0 = "olive": it has keys of its own`, ""},
		{"additions.0.amount", "nan %", `additions.0.amount = "nan %": "nan %" has no number`, `write a plain number with its unit`},
		{"name", strings.Repeat("x", 300), "", ""}, // With does not check
	} {
		r, err := base.With(change1(c.key, c.value))
		if c.want == "" {
			if err != nil || len(r.Check(material.Builtin())) == 0 {
				t.Errorf("%s: %v", c.key, err)
			}
			continue
		}
		if err == nil || err.Error() != c.want || r.Name != "" {
			t.Errorf("%q = %q: got %v, want %s", c.key, c.value, err, c.want)
			continue
		}
		hint := ""
		if h := (interface{ Hint() string })(nil); errors.As(err, &h) {
			hint = h.Hint()
		}
		if !strings.HasPrefix(hint, c.hint) || c.hint == "" && hint != "" {
			t.Errorf("%q = %q: hint %q, want %q", c.key, c.value, hint, c.hint)
		}
	}
	// The first bad edit spoils them all.
	if r, err := base.With(change1("superfat", "6 %"), change1("bogus", ""), change1("name", "Other")); err == nil || r.Name != "" {
		t.Errorf("%v, %v", r, err)
	}
}

// Edits never change the recipe they are applied to, nor one another's
// outcome, and what is not edited stays.
func TestEditsCopy(t *testing.T) {
	t.Parallel()
	lib := material.Builtin()
	rapid.Check(t, func(t *rapid.T) {
		r := drawRecipe(t)
		before := string(r.Print())
		var edits []finding.Edit
		for range rapid.IntRange(1, 5).Draw(t, "edits") {
			key := rapid.SampledFrom(keys(editable)).Draw(t, "key")
			edits = append(edits, change1(key, rapid.SampledFrom([]string{"", editable[key]}).Draw(t, "value")))
			if cut := strings.LastIndexByte(key, '.'); cut > 0 && rapid.IntRange(0, 9).Draw(t, "whole") == 0 {
				edits = append(edits, change1(key[:cut], "")) // the table or line it is in
			}
		}
		first, err1 := r.With(edits...)
		second, err2 := r.With(edits...)
		if string(r.Print()) != before {
			t.Fatalf("%v changed the recipe from\n%s\nto\n%s", edits, before, r.Print())
		}
		if (err1 == nil) != (err2 == nil) || cmp.Diff(first, second, whole) != "" {
			t.Fatalf("%v: %v, %v, %s", edits, err1, err2, cmp.Diff(first, second, whole))
		}
		if err1 != nil {
			return // a line that this recipe does not have
		}
		// One by one comes to the same, and the steps do not change.
		step := r
		for _, e := range edits {
			was := string(step.Print())
			next, err := step.With(e)
			if err != nil {
				t.Fatal(err)
			}
			if string(step.Print()) != was {
				t.Fatalf("%v changed its recipe", e)
			}
			step = next
		}
		if diff := cmp.Diff(first, step, whole); diff != "" {
			t.Fatalf("%v: %s", edits, diff)
		}
		if len(first.Check(lib)) == 0 { // it prints and reads back like any other
			again, err := recipe.Parse("edited", first.Print(), lib)
			if err != nil || cmp.Diff(first, again, whole) != "" {
				t.Fatalf("%v: %v\n%s\n%s", edits, err, cmp.Diff(first, again, whole), first.Print())
			}
		}
	})
}

// Applying an edit and its inverse gives the recipe back.
func TestEditBack(t *testing.T) {
	t.Parallel()
	base := parse(t, "base", []byte(wished))
	for _, key := range keys(editable) {
		there, err := base.With(change1(key, editable[key]))
		if err != nil {
			t.Fatal(err)
		}
		if cmp.Diff(base, there, whole) == "" {
			t.Errorf("%s = %q changes nothing", key, editable[key])
		}
	}
	for key, was := range map[string]string{"superfat": "5 %", "fats.1.share": "40 %", "mould.inside": "250 x 90 x 65 mm", "note": "", "lye.ice": "0 %", "rest.0.for": "24 h"} {
		back, err := base.With(change1(key, editable[key]), change1(key, was))
		if diff := cmp.Diff(base, back, whole); err != nil || diff != "" {
			t.Errorf("%s and back: %v %s", key, err, diff)
		}
	}
}
