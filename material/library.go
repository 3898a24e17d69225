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
	"barwright/source"
)

//go:embed data/*.toml
var builtinFiles embed.FS

// Library finds materials by id. It is safe for concurrent use. Built-in
// files are read when they are first asked for.
type Library struct {
	load map[string]func() (Material, error)
	away map[string]*AwayError
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

// BuiltinFile returns the file of a built-in material as it stands, for a maker
// to begin an own one with.
func BuiltinFile(id string) (text string, ok bool) {
	if _, known := Builtin().load[id]; !known {
		return "", false
	}
	data, err := builtinFiles.ReadFile("data/" + id + ".toml")
	return string(data), err == nil
}

// With returns a library that also holds the material files (*.toml) of dir,
// a maker's own materials and lots; name is the folder's name for errors. A
// file may replace a material that is there, and lots take the figures of the
// one that replaced it.
func (l *Library) With(dir fs.FS, name string) (*Library, error) {
	names, err := fs.Glob(dir, "*.toml")
	if err != nil {
		return nil, err
	}
	if len(names) == 0 {
		return nil, &tomldoc.Error{File: name, Text: "no material files (*.toml) in this folder", Advice: "name the folder that holds your own materials"}
	}
	own, ids := make([]draft, len(names)), map[string]draft{}
	for i, file := range names {
		data, err := fs.ReadFile(dir, file)
		if err != nil {
			return nil, err
		}
		if own[i], err = decode(path.Join(name, file), data); err != nil {
			return nil, err
		}
		if first, ok := ids[own[i].ID]; ok {
			return nil, own[i].doc.Fault("", "an id is used once, and "+first.doc.File+" has it", "a second file with the id %.60q", first.ID)
		}
		ids[own[i].ID] = own[i]
	}
	for _, d := range own {
		if of := ids[d.Of]; of.Of != "" && d.Of != d.ID {
			return nil, d.lotOfLot(of.Material)
		}
	}
	whole, err := l.plus(own, false)
	if err != nil {
		return nil, err
	}
	return whole.plus(own, true)
}

// plus returns a library that also holds the drafts that are lots, or those
// that are not.
func (l *Library) plus(drafts []draft, lots bool) (*Library, error) {
	out := &Library{load: maps.Clone(l.load), away: l.away}
	for _, d := range drafts {
		if (d.Of != "") != lots {
			continue
		}
		m, err := d.finish(l)
		if err != nil {
			return nil, err
		}
		out.load[m.ID] = func() (Material, error) { return m, nil }
	}
	return out, nil
}

// Parse reads one material file. A file with "of" is a lot of a material in
// base and takes its figures where it gives none.
func Parse(file string, data []byte, base *Library) (Material, error) {
	d, err := decode(file, data)
	if err != nil {
		return Material{}, err
	}
	return d.finish(base)
}

// draft is a material as its file has it: a lot still without the figures of
// its material.
type draft struct {
	Material
	doc *tomldoc.Doc
}

const formAdvice = "see docs/materials.md for the form of a material file"

// decode checks what a file must hold whether it is a lot or not.
func decode(file string, data []byte) (draft, error) {
	var d draft
	var err error
	if d.doc, err = tomldoc.Decode(file, data, &d.Material); err != nil {
		return d, err
	}
	if key, err := d.checkNames(); err != nil {
		return d, d.doc.Fault(key, formAdvice, "%s: %v", key, err)
	}
	return d, d.checkBlocks()
}

// checkBlocks looks for lines that are not there: a missing number would read
// as 0, and a missing grade as the best.
func (d draft) checkBlocks() error {
	whole := func(block string, g source.Grade, lines ...string) error {
		for _, line := range lines {
			if d.doc.Has(block) && g != source.Unknown && !d.doc.Has(block+"."+line) {
				return d.doc.Fault(block, formAdvice, "%s: no %s", block, line)
			}
		}
		return nil
	}
	for _, f := range d.figures() {
		if err := whole(f.key, f.Grade, "low", "typical", "high", "unit", "source", "grade"); err != nil {
			return err
		}
	}
	if err := whole("profile", d.Profile.Grade, "acids", "source", "grade"); err != nil {
		return err
	}
	return whole("crystal", d.Crystal.Grade, "molar_mass", "melt_c", "heat_kj_per_mol", "source", "grade")
}

func (d draft) lotOfLot(of Material) error {
	return d.doc.Fault("of", fmt.Sprintf("write of = %.40q", of.Of), "%.40q is a lot itself", of.ID)
}

// finish returns the material itself.
func (d draft) finish(base *Library) (Material, error) {
	m := d.Material
	if m.Of != "" {
		if base == nil {
			return Material{}, d.doc.Fault("of", "take the line away", "a built-in material is not a lot of another")
		}
		b, err := base.Find(m.Of)
		switch {
		case err != nil:
			return Material{}, d.doc.Fault("of", base.hint(m.Of), "%.40q is not a known material", m.Of)
		case b.Of != "":
			return Material{}, d.lotOfLot(b)
		case m.Kind != "" && m.Kind != b.Kind:
			return Material{}, d.doc.Fault("kind", "a lot is of its material's kind: take the line away", "%.40q is %s, not %.40s", m.Of, b.Kind, m.Kind)
		}
		m = m.over(b)
	}
	if key, err := m.check(); err != nil {
		return Material{}, d.doc.Fault(key, formAdvice, "%s: %v", key, err)
	}
	return m, nil
}

// UnknownError is an id that no library holds.
type UnknownError struct {
	ID string
	of *Library
}

func (e *UnknownError) Error() string { return fmt.Sprintf("%.40q is not a known material", e.ID) }

// Hint names the nearest id. It is looked for only when somebody asks: whether
// an id is known is asked of thousands of lots.
func (e *UnknownError) Hint() string { return e.of.hint(e.ID) }

// AwayError is why an id that was once used cannot be used now.
type AwayError struct{ Text, Advice string }

func (e *AwayError) Error() string { return e.Text }

// Hint says what to do about it.
func (e *AwayError) Hint() string { return e.Advice }

// Lacking returns a library that tells, of ids it does not hold, why.
func (l *Library) Lacking(why map[string]*AwayError) *Library {
	return &Library{load: l.load, away: why}
}

// Find returns a material, or an *UnknownError that names the nearest id, or
// an *AwayError.
func (l *Library) Find(id string) (Material, error) {
	load, ok := l.load[id]
	if ok {
		return load()
	}
	if why, ok := l.away[id]; ok {
		return Material{}, why
	}
	return Material{}, &UnknownError{id, l}
}

func (l *Library) hint(id string) string {
	if ids := l.named(id); len(ids) == 1 {
		return fmt.Sprintf("write %q", ids[0])
	} else if len(ids) > 1 && len(ids) < 6 {
		return "write one of: " + strings.Join(ids, ", ")
	}
	if n := near.Word(id, l.IDs()); n != "" {
		return fmt.Sprintf("did you mean %q?", n)
	}
	return "barwright materials lists them"
}

// named returns the ids of the materials that people call so: by the whole
// name, or else by a part of it.
func (l *Library) named(words string) []string {
	words = strings.ToLower(strings.Join(strings.FieldsFunc(words, func(r rune) bool { return r == ' ' || r == '_' || r == '-' }), " "))
	if len(words) < 3 {
		return nil
	}
	var whole, part []string
	for _, id := range l.IDs() {
		m, err := l.Find(id)
		if err != nil {
			continue
		}
		switch name := strings.ToLower(m.Name); {
		case name == words:
			whole = append(whole, id)
		case strings.Contains(name, words):
			part = append(part, id)
		}
	}
	if len(whole) > 0 {
		return whole
	}
	return part
}

// IDs returns every id in alphabetical order.
func (l *Library) IDs() []string { return slices.Sorted(maps.Keys(l.load)) }

// Plus returns a library that also holds ms; one of the same id is replaced.
func (l *Library) Plus(ms ...Material) *Library {
	out := &Library{load: maps.Clone(l.load), away: l.away}
	for _, m := range ms {
		out.load[m.ID] = func() (Material, error) { return m, nil }
	}
	return out
}
