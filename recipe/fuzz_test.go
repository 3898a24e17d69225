package recipe_test

import (
	"errors"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/google/go-cmp/cmp"

	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/recipe"
)

// Whatever the bytes: no panic, and either one clear error or a recipe that
// prints and reads back the same.
func FuzzParse(f *testing.F) {
	if seeds, err := filepath.Glob("testdata/fuzz/FuzzParse/*"); err != nil || len(seeds) == 0 {
		f.Fatal("no seeds in the repository")
	}
	for _, data := range files(f) {
		f.Add(data)
	}
	f.Add([]byte(wished))
	f.Add([]byte(found))
	lib := ownLibrary(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		r, err := recipe.Parse("f.toml", data, lib)
		if err != nil {
			var e *tomldoc.Error
			if !errors.As(err, &e) || e.Text == "" || e.Advice == "" || len([]rune(e.Text)) > 301 || strings.ContainsFunc(e.Text+e.Advice, unicode.IsControl) {
				t.Fatalf("%q: %#v", data, err)
			}
			return
		}
		again, err := recipe.Parse("printed", r.Print(), lib)
		if err != nil {
			t.Fatalf("%v in\n%s", err, r.Print())
		}
		if diff := cmp.Diff(r, again, whole); diff != "" {
			t.Fatalf("%s in\n%s", diff, r.Print())
		}
	})
}

// Edits of whatever key and text: no panic, and what passes the checks prints
// and reads back.
func FuzzWith(f *testing.F) {
	if seeds, err := filepath.Glob("testdata/fuzz/FuzzWith/*"); err != nil || len(seeds) == 0 {
		f.Fatal("no seeds in the repository")
	}
	for key, value := range editable {
		f.Add(key, value)
		f.Add(key, "")
	}
	lib := material.Builtin()
	base := parse(f, "base", []byte(wished))
	before := string(base.Print())
	f.Fuzz(func(t *testing.T, key, value string) {
		r, err := base.With(change1(key, value))
		if string(base.Print()) != before {
			t.Fatalf("%q = %q changed the recipe", key, value)
		}
		if err != nil {
			if len(err.Error()) > 1000 || strings.ContainsFunc(err.Error(), unicode.IsControl) {
				t.Fatalf("%q = %q: %q", key, value, err)
			}
			return
		}
		if len(r.Check(lib)) > 0 {
			return
		}
		again, err := recipe.Parse("edited", r.Print(), lib)
		if err != nil || cmp.Diff(r, again, whole) != "" {
			t.Fatalf("%q = %q: %v\n%s", key, value, err, cmp.Diff(r, again, whole))
		}
	})
}
