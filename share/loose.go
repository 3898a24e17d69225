package share

import (
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"path"
	"slices"
	"strings"
	"time"

	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/recipe"
)

// Loose reads one recipe file as a recipe of one version, which keeps the file
// as it is, remarks and all. It must be a recipe that can be used with the
// materials of lib. The same file always gives the same id.
func Loose(file string, data []byte, lib *material.Library, at time.Time) (Recipe, error) {
	r, err := recipe.Parse(file, data, lib)
	if err != nil {
		return Recipe{}, err
	}
	id := LooseID(data)
	first := Version{ID: id + "-v1", Reason: "brought in from " + path.Base(file), MadeAt: at, Body: string(data)}
	return Recipe{ID: id, Name: r.Name, Versions: []Version{first}}, nil
}

// LooseID is the id of a recipe that a file makes, whatever its line ends:
// browsers and editors change those.
func LooseID(data []byte) string {
	sum := sha256.Sum256([]byte(sameEnds(string(data))))
	return "f" + hex.EncodeToString(sum[:10])
}

// sameEnds is a text with the line ends of Unix and without a byte order mark.
func sameEnds(text string) string {
	return strings.ReplaceAll(strings.TrimPrefix(text, "\ufeff"), "\r\n", "\n")
}

// ReadLoose reads every recipe file (*.toml) of a folder that is no export.
func ReadLoose(files fs.FS, lib *material.Library, at time.Time) (Workshop, error) {
	names, err := fs.Glob(files, "*.toml")
	if err != nil {
		return Workshop{}, err
	}
	if len(names) == 0 {
		return Workshop{}, &tomldoc.Error{File: "the folder", Text: "neither an export nor recipe files (*.toml) are in it", Advice: exportAdvice + ", or a folder of recipe files"}
	}
	r := &reader{files: files, left: mostBytes, leftPhotos: mostPhotos}
	var w Workshop
	slices.Sort(names)
	for _, name := range names {
		data, err := r.file(name, tomldoc.MaxBytes)
		if err != nil {
			return Workshop{}, err
		}
		rec, err := Loose(name, data, lib, at)
		if err != nil {
			return Workshop{}, err
		}
		w.Recipes = append(w.Recipes, rec)
	}
	return w, nil
}

// Words is what a recipe file can be searched by: the names of what goes in.
func Words(body string, lib *material.Library) string {
	var r recipe.Recipe
	if _, err := tomldoc.Decode("recipe", []byte(body), &r); err != nil {
		return ""
	}
	var words []string
	add := func(id string) {
		if m, err := lib.Find(id); err == nil {
			words = append(words, m.Name)
		}
	}
	for _, f := range r.Fats {
		add(f.Material)
	}
	for _, a := range r.Additions {
		add(a.Material)
	}
	return strings.Join(words, " ")
}
