package recipe_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"barwright/material"
	"barwright/recipe"
)

// files returns the recipes that come with the program, by file name.
func files(t testing.TB) map[string][]byte {
	t.Helper()
	names, err := filepath.Glob(filepath.Join("..", "recipes", "*.toml"))
	if err != nil {
		t.Fatal(err)
	}
	all := map[string][]byte{}
	for _, name := range names {
		if all[filepath.Base(name)], err = os.ReadFile(name); err != nil {
			t.Fatal(err)
		}
	}
	if len(all) < 10 {
		t.Fatalf("%d recipes, want at least 10", len(all))
	}
	return all
}

func parse(t testing.TB, file string, data []byte) recipe.Recipe {
	t.Helper()
	r, err := recipe.Parse(file, data, material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// parse(print(r)) = r for every file, and line ends, a byte order mark and
// comments change nothing.
func TestFiles(t *testing.T) {
	t.Parallel()
	for file, data := range files(t) {
		r := parse(t, file, data)
		variants := map[string][]byte{
			"printed":   r.Print(),
			"line ends": []byte(strings.ReplaceAll(string(data), "\n", "\r\n")),
			"mark":      append([]byte("\ufeff"), data...),
			"comments":  []byte("# more\n" + strings.ReplaceAll(string(data), "\n", " # said\n")),
		}
		if !strings.Contains(string(data), "'") {
			variants["literal"] = []byte(strings.ReplaceAll(string(data), `"`, "'"))
		}
		for how, text := range variants {
			again := parse(t, file+", "+how, text)
			if diff := cmp.Diff(r, again, whole); diff != "" || again.Hash() != r.Hash() {
				t.Errorf("%s, %s: hash %s, was %s\n%s", file, how, again.Hash(), r.Hash(), diff)
			}
		}
	}
}

// The hash of a recipe changes with every key of it.
func TestHash(t *testing.T) {
	t.Parallel()
	hashes := map[string]string{}
	for file, data := range files(t) {
		hashes[parse(t, file, data).Hash()] = file
	}
	if len(hashes) != len(files(t)) {
		t.Errorf("%d hashes of %d recipes", len(hashes), len(files(t)))
	}
	base := parse(t, "base", []byte(wished))
	seen := map[string]string{base.Hash(): "nothing"}
	if len(base.Hash()) != 16 {
		t.Errorf("the hash is %q", base.Hash())
	}
	for key, value := range editable {
		r, err := base.With(change1(key, value))
		if err != nil {
			t.Fatal(err)
		}
		if first, ok := seen[r.Hash()]; ok {
			t.Errorf("changing %s gives the hash of changing %s", key, first)
		}
		seen[r.Hash()] = key
	}
}

func TestDefaults(t *testing.T) {
	t.Parallel()
	r := parse(t, "found", []byte(found))
	if !r.IsFound() || r.FatStepG() != 1 || r.AlkaliStepG() != 1 || r.NoiseG() != 0 {
		t.Errorf("found %v, steps %g and %g g, noise %g g", r.IsFound(), r.FatStepG(), r.AlkaliStepG(), r.NoiseG())
	}
	text, _ := change(t, wished, "[scale]\nfats = \"1 g\"", "[scale]\nfats = \"5 g\"\nalkali = \"0.1 g\"\nrepeatability = \"50 mg\"")
	r = parse(t, "wished", []byte(text))
	if r.IsFound() || r.FatStepG() != 5 || r.AlkaliStepG() != 0.1 || r.NoiseG() != 0.05 {
		t.Errorf("found %v, steps %g and %g g, noise %g g", r.IsFound(), r.FatStepG(), r.AlkaliStepG(), r.NoiseG())
	}
}
