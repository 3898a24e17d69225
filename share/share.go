// Package share turns a whole workshop into plain open files and back: TOML
// for what is edited, CSV for lists.
//
// Start with Files and Read. It knows nothing of databases or disks: files are
// a map going out and an fs.FS coming in.
package share

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"
)

// Workshop is everything a workshop has.
type Workshop struct {
	Recipes []Recipe
	Things  []Thing
}

// Recipe is a recipe with all its versions, the first one first.
type Recipe struct {
	ID       string
	Name     string
	Tags     []string
	Archived time.Time // zero while it is in use
	Versions []Version
}

// Version is one version. Parent is the number of the version it was made
// from, 0 for the first.
type Version struct {
	Number, Parent int
	Reason         string
	MadeAt         time.Time
	MadeBy         string
	Body           string // the recipe file
}

// Thing is a mould, a place, a lot and so on, as it is now.
type Thing struct {
	Kind, ID, Body string
}

const readme = `A workshop of Barwright as plain files.

recipes.csv              every recipe: folder, name, tags, when it was put away
recipes/NAME/vN.toml     its versions, each a recipe file
recipes/NAME/versions.csv  number, parent, reason, day and person of each
things/KIND/ID.toml      moulds, places, scales, lots, materials, the workshop

"barwright import FOLDER" reads it back; nothing that is there is overwritten.
`

// Files returns the workshop as files by path. The same workshop always gives
// the same bytes.
func Files(w Workshop) (map[string][]byte, error) {
	out := map[string][]byte{"README.txt": []byte(readme)}
	list := [][]string{{"folder", "name", "tags", "put_away"}}
	for _, r := range w.Recipes {
		if err := checkID(r.ID); err != nil {
			return nil, err
		}
		dir := path.Join("recipes", r.ID)
		list = append(list, []string{r.ID, r.Name, strings.Join(r.Tags, " "), stamp(r.Archived)})
		versions := [][]string{{"number", "parent", "reason", "made_at", "made_by"}}
		for _, v := range r.Versions {
			out[path.Join(dir, fmt.Sprintf("v%d.toml", v.Number))] = []byte(v.Body)
			versions = append(versions, []string{strconv.Itoa(v.Number), strconv.Itoa(v.Parent), v.Reason, stamp(v.MadeAt), v.MadeBy})
		}
		out[path.Join(dir, "versions.csv")] = table(versions)
	}
	out["recipes.csv"] = table(list)
	for _, t := range w.Things {
		if err := checkID(t.ID); err != nil {
			return nil, err
		}
		out[path.Join("things", t.Kind, t.ID+".toml")] = []byte(t.Body)
	}
	return out, nil
}

// table writes rows as CSV (RFC 4180).
func table(rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	w.WriteAll(rows) // a buffer does not fail
	return b.Bytes()
}

func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339Nano)
}

// checkID refuses what could lead out of a folder.
func checkID(id string) error {
	if id == "" || len(id) > 100 || strings.Trim(id, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-") != "" {
		return fmt.Errorf("%.60q is not a name for a file", id)
	}
	return nil
}

// Error is a file that cannot be read, and what to do.
type Error struct{ File, Text string }

func (e *Error) Error() string { return e.File + ": " + e.Text }

// Hint returns what to do about it.
func (e *Error) Hint() string { return "name a folder that barwright export wrote" }

// Kinds are the kinds of things that are read.
var Kinds = []string{"workshop", "mould", "place", "scale", "material", "lot"}

// Most that is read of one workshop.
const (
	mostRecipes = 10000
	mostBytes   = 1 << 18 // of one file
)

// Read reads the files of a workshop. What the bodies say is for the caller to
// check.
func Read(files fs.FS) (Workshop, error) {
	var w Workshop
	rows, err := readTable(files, "recipes.csv", 4)
	if err != nil {
		return w, err
	}
	if len(rows) > mostRecipes {
		return w, &Error{"recipes.csv", fmt.Sprintf("%d recipes are too many", len(rows))}
	}
	for _, row := range rows {
		r := Recipe{ID: row[0], Name: row[1], Tags: strings.Fields(row[2])}
		if err := checkID(r.ID); err != nil {
			return w, &Error{"recipes.csv", err.Error()}
		}
		if r.Archived, err = parseStamp(row[3]); err != nil {
			return w, &Error{"recipes.csv", err.Error()}
		}
		if r.Versions, err = readVersions(files, path.Join("recipes", r.ID)); err != nil {
			return w, err
		}
		w.Recipes = append(w.Recipes, r)
	}
	w.Things, err = readThings(files)
	return w, err
}

func readVersions(files fs.FS, dir string) ([]Version, error) {
	name := path.Join(dir, "versions.csv")
	rows, err := readTable(files, name, 5)
	if err != nil {
		return nil, err
	}
	var out []Version
	for i, row := range rows {
		v := Version{Reason: row[2], MadeBy: row[4]}
		var errs [3]error
		v.Number, errs[0] = strconv.Atoi(row[0])
		v.Parent, errs[1] = strconv.Atoi(row[1])
		v.MadeAt, errs[2] = parseStamp(row[3])
		if errs[0] != nil || errs[1] != nil || errs[2] != nil || v.Number != i+1 || v.Parent < 0 || v.Parent > i {
			return nil, &Error{name, fmt.Sprintf("line %d is not a version in order", i+2)}
		}
		body, err := readFile(files, path.Join(dir, fmt.Sprintf("v%d.toml", v.Number)))
		if err != nil {
			return nil, err
		}
		v.Body = string(body)
		out = append(out, v)
	}
	if len(out) == 0 {
		return nil, &Error{name, "no version"}
	}
	return out, nil
}

func readThings(files fs.FS) ([]Thing, error) {
	var out []Thing
	for _, kind := range Kinds {
		names, err := fs.Glob(files, path.Join("things", kind, "*.toml"))
		if err != nil {
			return nil, err
		}
		slices.Sort(names)
		for _, name := range names {
			t := Thing{Kind: kind, ID: strings.TrimSuffix(path.Base(name), ".toml")}
			if err := checkID(t.ID); err != nil {
				return nil, &Error{name, err.Error()}
			}
			body, err := readFile(files, name)
			if err != nil {
				return nil, err
			}
			t.Body = string(body)
			out = append(out, t)
		}
	}
	return out, nil
}

func readTable(files fs.FS, name string, columns int) ([][]string, error) {
	data, err := readFile(files, name)
	if err != nil {
		return nil, err
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.FieldsPerRecord = columns
	rows, err := r.ReadAll()
	if err != nil {
		return nil, &Error{name, err.Error()}
	}
	if len(rows) == 0 {
		return nil, &Error{name, "it is empty"}
	}
	return rows[1:], nil
}

// readFile reads a file that is no longer than it should be.
func readFile(files fs.FS, name string) ([]byte, error) {
	info, err := fs.Stat(files, name)
	switch {
	case err != nil:
		return nil, &Error{name, "it is not there"}
	case info.Size() > 64*mostBytes || strings.HasSuffix(name, ".toml") && info.Size() > mostBytes:
		return nil, &Error{name, "it is too long"}
	}
	data, err := fs.ReadFile(files, name)
	if err != nil {
		return nil, &Error{name, "it cannot be read"}
	}
	return data, nil
}

func parseStamp(text string) (time.Time, error) {
	if text == "" {
		return time.Time{}, nil
	}
	t, err := time.Parse(time.RFC3339Nano, text)
	if err != nil {
		return t, fmt.Errorf("%.40q is not a time", text)
	}
	return t, nil
}
