package share_test

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"strings"
	"testing"
	"testing/fstest"

	"barwright/share"
)

// goodFiles are those of a small workshop with one of everything.
func goodFiles(t testing.TB) map[string][]byte {
	t.Helper()
	body := bodies(t)[0]
	r := share.Recipe{ID: "r", Name: nameOf(body), Versions: []share.Version{{ID: "r1", Reason: "first", MadeAt: day, Body: body}, {ID: "r2", Parent: 1, Reason: "second", MadeAt: day, Body: body}}}
	thing := func(kind, id, body string) share.Thing {
		return share.Thing{Kind: kind, ID: id, Revisions: []share.Revision{{Body: body, MadeAt: day}}}
	}
	lot := thing("lot", "tlw_1", "id = 'tlw_1'\nof = 'tallow_beef'\nprice = '4.20 / kg'\non_hand = '2 kg'\n")
	lot.Revisions = append(lot.Revisions, share.Revision{Body: "id = 'tlw_1'\nof = 'tallow_beef'\non_hand = '1 kg'\n", MadeAt: day})
	return share.Files(share.Workshop{Recipes: []share.Recipe{r}, Things: []share.Thing{
		lot, thing("mould", "m1", "id = 'm1'\nname = 'Loaf'\nmould = { shape = 'box', inside = '300 x 60 x 60 mm' }\n"), thing("place", "p1", "id = 'p1'\nname = 'Room'\nplace = 'room'\n"),
		thing("scale", "s1", "id = 's1'\nname = 'Scale'\nstep = '1 g'\n"), thing("workshop", "workshop", "name = 'Lock'\n"),
		thing("material", "own_fat", "id = 'own_fat'\nname = 'Own tallow'\nof = 'tallow_beef'\n"),
	}})
}

// Everything that can be wrong with a folder is told with the file, the line
// where there is one, and what to do; nothing of it is read.
func TestBadFolders(t *testing.T) {
	t.Parallel()
	good := goodFiles(t)
	if _, err := share.Read(mapFS(good)); err != nil {
		t.Fatal(err)
	}
	const versions, history = "recipes/cook-s-grit/versions.csv", "stock/history.csv"
	for _, c := range []struct {
		name, file string
		change     func(string) string // nil takes the file away
		want       string
	}{
		{"no list", "recipes.csv", nil, "recipes.csv: it is not there"},
		{"another list", "recipes.csv", replace("folder", "ordner"), `recipes.csv, line 1: there is no column "folder"`},
		{"semicolons", "recipes.csv", replace(",", ";"), `recipes.csv, line 1: there is no column "folder"`},
		{"ragged", "recipes.csv", add("x\r\n"), "recipes.csv, line 3: "},
		{"open quote", "recipes.csv", add("\"x,,,,\r\n"), "recipes.csv, line 3: "},
		{"no text", "recipes.csv", add("\xff\xfe,,,,\r\n"), "recipes.csv: the file is not text"},
		{"NUL", "recipes.csv", add("a\x00,,,,\r\n"), "recipes.csv: the file is not text"},
		{"way out", "recipes.csv", replace("cook-s-grit", "../../etc"), `recipes.csv, line 2: "../../etc" is not a folder`},
		{"way out, other slashes", "recipes.csv", replace("cook-s-grit", `..\etc`), "recipes.csv, line 2: "},
		{"up", "recipes.csv", replace("cook-s-grit", ".."), `recipes.csv, line 2: ".." is not a folder`},
		{"rooted", "recipes.csv", replace("cook-s-grit", "/etc"), "recipes.csv, line 2: "},
		{"odd id", "recipes.csv", replace(",r\r\n", ",a/b\r\n"), `recipes.csv, line 2: "a/b" is not an id`},
		{"long id", "recipes.csv", replace(",r\r\n", ","+strings.Repeat("r", 300)+"\r\n"), "recipes.csv, line 2: "},
		{"twice", "recipes.csv", add("cook-s-grit,x,,,q\r\n"), `recipes.csv, line 3: a second row with the folder "cook-s-grit"`},
		{"id twice", "recipes.csv", add("other,x,,,r\r\n"), `recipes.csv, line 3: a second row with the id "r"`},
		{"no folder", "recipes.csv", add("other,x,,,q\r\n"), "recipes/other/versions.csv: it is not there"},
		{"odd day", "recipes.csv", replace(",,,r", ",,yesterday,r"), `recipes.csv, line 2: put_away "yesterday" is not a time`},
		{"no versions", versions, func(string) string { return "number,parent,reason\r\n" }, versions + ": the recipe has no version"},
		{"out of order", versions, replace("2,1,second", "3,1,second"), versions + `, line 3: "3" stands where version 2 should`},
		{"unborn parent", versions, replace("2,1,second", "2,2,second"), versions + `, line 3: version 2 cannot be made of version "2"`},
		{"no number", versions, replace("2,1,second", "two,1,second"), versions + ", line 3: "},
		{"version id twice", versions, replace(",r2\r\n", ",r1\r\n"), versions + `, line 3: the id "r1" is none, or another version has it`},
		{"lost version", "recipes/cook-s-grit/v1.toml", nil, "recipes/cook-s-grit/v1.toml: it is not there"},
		{"broken recipe", "recipes/cook-s-grit/v1.toml", replace(`superfat = "5 %"`, `superfat = "5 g"`), "recipes/cook-s-grit/v1.toml, line 4: "},
		{"unknown key", "recipes/cook-s-grit/v2.toml", replace("superfat", "superfatt"), "recipes/cook-s-grit/v2.toml, line 4: "},
		{"nameless", "recipes/cook-s-grit/v2.toml", replace(`name = "Cook's Grit"`, `name = ""`), "recipes/cook-s-grit/v2.toml, line 3: the recipe has no name"},
		{"huge recipe", "recipes/cook-s-grit/v1.toml", add(strings.Repeat("# \n", 1<<18)), "recipes/cook-s-grit/v1.toml: the file is longer than 256 kB"},
		{"lot gone", "stock/tlw_1.toml", nil, "stock/tlw_1.toml: it is not there"},
		{"earlier gone", "stock/earlier/tlw_1.1.toml", nil, "stock/earlier/tlw_1.1.toml: it is not there"},
		{"history out of order", history, replace("tlw_1,2", "tlw_1,3"), history + `, line 3: "tlw_1", revision "3" is out of order`},
		{"history parted", "moulds/history.csv", add("m2,1,yes,,\r\nm1,1,,,\r\n"), `moulds/history.csv, line 4: "m1", revision "1" is out of order`},
		{"odd lot", "stock/tlw_1.toml", replace("'1 kg'", "'1 l'"), "stock/tlw_1.toml, line 3: "},
		{"lot of another name", "stock/tlw_1.toml", replace("'tlw_1'", "'tlw_2'"), `stock/tlw_1.toml: the file is named after "tlw_1" and holds id = "tlw_2"`},
		{"lot that is a material", "stock/olive.toml", func(string) string { return "id = 'olive'\nof = 'tallow_beef'\n" }, `stock/olive.toml, line 1: a lot cannot go by "olive"`},
		{"odd file name", "stock/a b.toml", func(string) string { return "id = 'a b'\nof = 'olive'\n" }, `stock/a b.toml: "a b" is not an id`},
		{"mould without sides", "moulds/m1.toml", replace(", inside = '300 x 60 x 60 mm'", ""), "moulds/m1.toml, line 3: a box needs its inside"},
		{"place nobody knows", "places/p1.toml", replace("'room'", "'cellar'"), `places/p1.toml, line 3: "cellar" is not a place`},
		{"scale without a step", "scales/s1.toml", replace("step = '1 g'", "step = '1 kg'"), "scales/s1.toml, line 3: "},
		{"nameless workshop", "workshop/workshop.toml", replace("Lock", " "), "workshop/workshop.toml, line 1: the workshop has no name"},
		{"material of nothing", "materials/own_fat.toml", replace("tallow_beef", "tallow_bef"), "materials/own_fat.toml, line 3: "},
		{"material with an odd figure", "materials/own_fat.toml", add("[sap]\ntypical = 999\n"), "materials/own_fat.toml, line "},
		{"bytes that are no text", "stock/earlier/tlw_1.1.toml", add("\xff"), "stock/tlw_1.toml: the file, or an earlier one of it, is not text"},
	} {
		files := maps.Clone(good)
		files["moulds/earlier/m2.1.toml"] = []byte("id = 'm2'\n")
		if c.change == nil {
			delete(files, c.file)
		} else if now := c.change(string(files[c.file])); now == string(files[c.file]) {
			t.Errorf("%s: changes nothing", c.name)
		} else {
			files[c.file] = []byte(now)
		}
		w, err := share.Read(mapFS(files))
		var hinted interface{ Hint() string }
		switch {
		case err == nil || len(w.Recipes)+len(w.Things) > 0:
			t.Errorf("%s: read %d recipes (%v)", c.name, len(w.Recipes), err)
		case !strings.HasPrefix(err.Error(), c.want):
			t.Errorf("%s: %q, want %q", c.name, err, c.want)
		case !errors.As(err, &hinted) || len(hinted.Hint()) < 10:
			t.Errorf("%s: %q without a hint", c.name, err)
		}
	}
}

func replace(old, now string) func(string) string {
	return func(s string) string { return strings.ReplaceAll(s, old, now) }
}

func add(text string) func(string) string { return func(s string) string { return s + text } }

// What people do to a folder by hand or in a spreadsheet is read.
func TestFoldersByHand(t *testing.T) {
	t.Parallel()
	files := goodFiles(t)
	files["recipes.csv"] = []byte("\ufeffname,folder,remark\nwhatever,cook-s-grit,mine\n") // other columns, in another order, without ids
	files["recipes/cook-s-grit/versions.csv"] = []byte("number,parent,reason,made_at\n1,0,first,2026-05-01\n2,1,second,\n")
	delete(files, "stock/history.csv") // then what is in the folder is all there is
	files["moulds/m2.toml"] = []byte("id = 'm2'\nname = 'New'\nmould = { shape = 'cavity', volume = '85 ml' }\n")
	w, err := share.Read(mapFS(files))
	if err != nil {
		t.Fatal(err)
	}
	a, err := share.Merge(share.Workshop{}, w, day, nil)
	if err != nil {
		t.Fatal(err)
	}
	r := a.Recipes[0]
	if r.ID != "cook-s-grit" || r.Name != "Cook's Grit" || r.Versions[1].ID != "cook-s-grit-v2" || r.Versions[0].MadeAt.Month() != 5 || !r.Versions[1].MadeAt.Equal(day) {
		t.Errorf("%+v", r)
	}
	if len(a.Things) != 7 {
		t.Errorf("%d things", len(a.Things))
	}
}

// A material that takes the place of a built-in one changes other recipes: it
// is told.
func TestMaterialsAreTold(t *testing.T) {
	t.Parallel()
	files := goodFiles(t)
	files["materials/olive.toml"] = []byte("id = 'olive'\nname = 'Olive oil'\nof = 'tallow_beef'\n")
	w, err := share.Read(mapFS(files))
	if err != nil {
		t.Fatal(err)
	}
	a, err := share.Merge(share.Workshop{}, w, day, nil)
	if err != nil || len(a.Beware) != 1 || !strings.Contains(a.Beware[0], "olive oil takes the place") {
		t.Errorf("%q (%v)", a.Beware, err)
	}
}

// What grows beyond any workshop is refused before it is read.
func TestBombs(t *testing.T) {
	t.Parallel()
	one := goodFiles(t)
	one["recipes.csv"] = append(one["recipes.csv"], bytes.Repeat([]byte("a"), 9<<20)...)
	if _, err := share.Read(zipOf(t, one)); err == nil || !strings.Contains(err.Error(), "longer than 8192 kB") {
		t.Errorf("one huge file: %v", err)
	}
	many := goodFiles(t)
	list := []string{"folder"}
	body := append([]byte(bodies(t)[0]), bytes.Repeat([]byte("# "+strings.Repeat("x", 1000)+"\n"), 240)...)
	for i := range 300 {
		dir := fmt.Sprintf("r%d", i)
		list = append(list, dir)
		many["recipes/"+dir+"/versions.csv"] = []byte("number,parent,reason\n1,0,x\n")
		many["recipes/"+dir+"/v1.toml"] = body
	}
	many["recipes.csv"] = []byte(strings.Join(list, "\n"))
	if _, err := share.Read(mapFS(many)); err == nil || !strings.Contains(err.Error(), "more than 64 MB") {
		t.Errorf("many files: %v", err)
	}
	folder := fstest.MapFS{"recipes.csv": {Mode: fs.ModeDir | 0o755}}
	if _, err := share.Read(folder); err == nil {
		t.Error("a folder called recipes.csv was read")
	}
}

// FuzzRead: no file crashes the reader, and what it reads goes out again.
func FuzzRead(f *testing.F) {
	good := goodFiles(f)
	for name, data := range good {
		f.Add(name, data)
	}
	f.Fuzz(func(t *testing.T, name string, data []byte) {
		files := maps.Clone(good)
		files[name] = data
		w, err := share.Read(mapFS(files))
		if err != nil {
			return
		}
		if left := share.Files(w)[share.LeftOut]; left != nil {
			t.Errorf("what was read does not go out: %s", left)
		}
	})
}
