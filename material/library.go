package material

import (
	"embed"
	"fmt"
	"io/fs"
	"maps"
	"path"
	"slices"
	"strings"
	"sync"

	"barwright/internal/near"
	"barwright/internal/tomldoc"
)

//go:embed data/*.toml
var builtinFiles embed.FS

// Library finds materials by id. It is safe for concurrent use. Built-in
// files are read when they are first asked for.
type Library struct {
	load map[string]func() (Material, error)
}

// Builtin returns the library that comes with the program.
var Builtin = sync.OnceValue(func() *Library {
	sub, err := fs.Sub(builtinFiles, "data")
	if err != nil {
		panic(err)
	}
	lib := &Library{load: map[string]func() (Material, error){}}
	names, err := fs.Glob(sub, "*.toml")
	if err != nil {
		panic(err)
	}
	for _, name := range names {
		id := strings.TrimSuffix(name, ".toml")
		lib.load[id] = sync.OnceValues(func() (Material, error) {
			data, err := fs.ReadFile(sub, name)
			if err != nil {
				return Material{}, err
			}
			return Parse(path.Join("material/data", name), data, nil)
		})
	}
	return lib
})

// With returns a library that also holds the material files (*.toml) of dir,
// a maker's own materials and lots; name is the folder's name for errors. A
// file may replace a material that is there.
func (l *Library) With(dir fs.FS, name string) (*Library, error) {
	out := &Library{load: maps.Clone(l.load)}
	files, err := fs.Glob(dir, "*.toml")
	if err != nil {
		return nil, err
	}
	if len(files) == 0 {
		return nil, &tomldoc.Error{File: name, Text: "no material files (*.toml) in this folder", Advice: "name the folder that holds your own materials"}
	}
	var lots []string
	for _, file := range files {
		data, err := fs.ReadFile(dir, file)
		if err != nil {
			return nil, err
		}
		m, err := Parse(path.Join(name, file), data, l)
		if err != nil {
			return nil, err
		}
		if slices.Contains(lots, m.ID) {
			return nil, &tomldoc.Error{File: path.Join(name, file), Text: fmt.Sprintf("a second file with the id %q", m.ID), Advice: "ids are used once"}
		}
		lots = append(lots, m.ID)
		out.load[m.ID] = func() (Material, error) { return m, nil }
	}
	return out, nil
}

// Parse reads one material file. A file with "of" is a lot of a material in
// base and takes its figures where it gives none.
func Parse(file string, data []byte, base *Library) (Material, error) {
	var m Material
	doc, err := tomldoc.Decode(file, data, &m)
	if err != nil {
		return Material{}, err
	}
	if m.Of != "" {
		if base == nil {
			return Material{}, doc.Fault("of", "", "a built-in material is not a lot of another")
		}
		b, err := base.Find(m.Of)
		if err != nil {
			return Material{}, doc.Fault("of", base.hint(m.Of), "%q is not a known material", m.Of)
		}
		m = m.over(b)
	}
	if key, err := m.check(); err != nil {
		return Material{}, doc.Fault(key, "see docs/materials.md for the form of a material file", "%s: %v", key, err)
	}
	return m, nil
}

// UnknownError is an id that no library holds.
type UnknownError struct{ ID, Advice string }

func (e *UnknownError) Error() string { return fmt.Sprintf("%q is not a known material", e.ID) }

// Hint names the nearest id.
func (e *UnknownError) Hint() string { return e.Advice }

// Find returns a material, or an *UnknownError that names the nearest id.
func (l *Library) Find(id string) (Material, error) {
	load, ok := l.load[id]
	if !ok {
		return Material{}, &UnknownError{id, l.hint(id)}
	}
	return load()
}

func (l *Library) hint(id string) string {
	if n := near.Word(id, l.IDs()); n != "" {
		return fmt.Sprintf("did you mean %q?", n)
	}
	return "barwright materials lists them"
}

// IDs returns every id in alphabetical order.
func (l *Library) IDs() []string { return slices.Sorted(maps.Keys(l.load)) }

// Plus returns a library that also holds ms; one of the same id is replaced.
func (l *Library) Plus(ms ...Material) *Library {
	out := &Library{load: maps.Clone(l.load)}
	for _, m := range ms {
		out.load[m.ID] = func() (Material, error) { return m, nil }
	}
	return out
}
