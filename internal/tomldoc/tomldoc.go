// Package tomldoc reads a TOML document into a struct and remembers on which
// line everything stood, so that every error names its place and its remedy.
//
// Syntax is checked by go-toml; the walk over its parse tree is ours because
// unknown keys must name the nearest valid one, and because hints of the
// values' own parsers must reach the person.
package tomldoc

import (
	"encoding"
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"

	"barwright/internal/near"
)

// MaxBytes is the largest document read.
const MaxBytes = 1 << 20

// Error is one fault of a document, with its place and what to do.
type Error struct {
	File   string
	Line   int // 0 when the fault has no line
	Text   string
	Advice string
}

func (e *Error) Error() string {
	if e.Line == 0 {
		return fmt.Sprintf("%s: %s", e.File, e.Text)
	}
	return fmt.Sprintf("%s, line %d: %s", e.File, e.Line, e.Text)
}

// Hint returns what to do about it.
func (e *Error) Hint() string { return e.Advice }

// Doc remembers the lines of a document that was read.
type Doc struct {
	File  string
	lines map[string]int
}

// Line returns the line of a dotted path ("fats.1.share"), or of the nearest
// table above it, or 0.
func (d *Doc) Line(path string) int {
	for path != "" {
		if n, ok := d.lines[path]; ok {
			return n
		}
		path = path[:max(0, strings.LastIndexByte(path, '.'))]
	}
	return 0
}

// Fault returns an Error at a path.
func (d *Doc) Fault(path, advice, format string, args ...any) *Error {
	return &Error{File: d.File, Line: d.Line(path), Text: fmt.Sprintf(format, args...), Advice: advice}
}

// Decode reads data into dst, a pointer to a struct with toml tags. Fields
// are strings, booleans, numbers, slices, maps of strings, structs, pointers
// to them, or anything with UnmarshalText. Unknown keys are errors.
func Decode(file string, data []byte, dst any) (*Doc, error) {
	d := &Doc{File: file, lines: map[string]int{}}
	if err := d.checkSyntax(data); err != nil {
		return d, err
	}
	w := walker{doc: d, root: reflect.ValueOf(dst).Elem()}
	w.parser.Reset(data)
	table, prefix := w.root, ""
	for w.parser.NextExpression() {
		e := w.parser.Expression()
		var err error
		switch e.Kind {
		case unstable.Table, unstable.ArrayTable:
			table, prefix, err = w.open(e)
		case unstable.KeyValue:
			err = w.assign(table, prefix, e)
		}
		if err != nil {
			return d, err
		}
	}
	return d, nil
}

func (d *Doc) checkSyntax(data []byte) error {
	if len(data) > MaxBytes {
		return &Error{File: d.File, Text: fmt.Sprintf("the file has %.1f MB; a file of this kind has at most 1", float64(len(data))/1e6),
			Advice: "is it the right file?"}
	}
	if !utf8.Valid(data) {
		return &Error{File: d.File, Text: "the file is not text in UTF-8", Advice: "save it again as UTF-8 text"}
	}
	var any map[string]any
	err := toml.Unmarshal(data, &any)
	var de *toml.DecodeError
	if errors.As(err, &de) {
		line, _ := de.Position()
		return &Error{File: d.File, Line: line, Text: strings.TrimPrefix(de.Error(), "toml: "),
			Advice: `every line is a key, an equals sign and a value in quotes: superfat = "5 %"`}
	}
	if err != nil {
		return &Error{File: d.File, Text: strings.TrimPrefix(err.Error(), "toml: ")}
	}
	return nil
}

type walker struct {
	doc    *Doc
	root   reflect.Value
	parser unstable.Parser
}

// open resolves [a.b] or [[a]] to the value its keys are set on.
func (w *walker) open(e *unstable.Node) (reflect.Value, string, error) {
	keys, line := w.keys(e)
	v, prefix := w.root, ""
	for i, key := range keys {
		var err error
		if v, err = w.field(v, prefix, key, line); err != nil {
			return v, prefix, err
		}
		prefix = join(prefix, key)
		if v.Kind() == reflect.Slice {
			if last := i == len(keys)-1; last && e.Kind == unstable.ArrayTable {
				v.Set(reflect.Append(v, reflect.Zero(v.Type().Elem())))
			} else if last || v.Len() == 0 {
				return v, prefix, &Error{w.doc.File, line, fmt.Sprintf("%s is a list", key), fmt.Sprintf("write [[%s]]", key)}
			}
			prefix = join(prefix, strconv.Itoa(v.Len()-1))
			v = v.Index(v.Len() - 1)
		} else if e.Kind == unstable.ArrayTable && i == len(keys)-1 {
			return v, prefix, &Error{w.doc.File, line, fmt.Sprintf("there is only one %s", key), fmt.Sprintf("write [%s]", key)}
		}
		v = alloc(v)
	}
	if v.Kind() != reflect.Struct && v.Kind() != reflect.Map {
		return v, prefix, &Error{w.doc.File, line, fmt.Sprintf("%s is a value, not a table", prefix), fmt.Sprintf("write %s = …", prefix)}
	}
	w.doc.lines[prefix] = line
	return v, prefix, nil
}

// assign sets key = value below a table.
func (w *walker) assign(table reflect.Value, prefix string, e *unstable.Node) error {
	keys, line := w.keys(e)
	v := table
	for _, key := range keys {
		if v.Kind() == reflect.Map {
			return w.assignMap(v, prefix, key, line, e.Value())
		}
		var err error
		if v, err = w.field(v, prefix, key, line); err != nil {
			return err
		}
		v, prefix = alloc(v), join(prefix, key)
		w.doc.lines[prefix] = line
	}
	return w.set(v, prefix, line, e.Value())
}

func (w *walker) assignMap(m reflect.Value, prefix, key string, line int, value *unstable.Node) error {
	elem := reflect.New(m.Type().Elem()).Elem()
	w.doc.lines[join(prefix, key)] = line
	if err := w.set(elem, join(prefix, key), line, value); err != nil {
		return err
	}
	m.SetMapIndex(reflect.ValueOf(key), elem)
	return nil
}

func (w *walker) set(v reflect.Value, path string, line int, n *unstable.Node) error {
	fault := func(format string, args ...any) error {
		return &Error{w.doc.File, line, fmt.Sprintf(format, args...), hintFor(v)}
	}
	if u, ok := v.Addr().Interface().(encoding.TextUnmarshaler); ok {
		switch n.Kind {
		case unstable.String, unstable.Integer, unstable.Float:
			if err := u.UnmarshalText(n.Data); err != nil {
				return &Error{w.doc.File, line, last(path) + ": " + err.Error(), hintOf(err)}
			}
			return nil
		}
		return fault("%s must be one value in quotes", last(path))
	}
	switch v.Kind() {
	case reflect.String:
		if n.Kind != unstable.String {
			return fault("%s must be text in quotes", last(path))
		}
		v.SetString(string(n.Data))
	case reflect.Bool:
		if n.Kind != unstable.Bool {
			return fault("%s must be true or false", last(path))
		}
		v.SetBool(string(n.Data) == "true")
	case reflect.Int:
		i, err := strconv.Atoi(strings.ReplaceAll(string(n.Data), "_", ""))
		if n.Kind != unstable.Integer || err != nil {
			return fault("%s must be a whole number", last(path))
		}
		v.SetInt(int64(i))
	case reflect.Float64:
		f, err := strconv.ParseFloat(strings.ReplaceAll(string(n.Data), "_", ""), 64)
		if (n.Kind != unstable.Float && n.Kind != unstable.Integer) || err != nil || f != f || f > 1e12 || f < -1e12 {
			return fault("%s must be a plain number", last(path))
		}
		v.SetFloat(f)
	case reflect.Slice:
		return w.setSlice(v, path, line, n)
	case reflect.Struct:
		if n.Kind != unstable.InlineTable {
			return fault("%s must be a table", last(path))
		}
		for it := n.Children(); it.Next(); {
			if err := w.assign(v, path, it.Node()); err != nil {
				return err
			}
		}
	default:
		return fault("%s cannot be read", last(path))
	}
	return nil
}

func (w *walker) setSlice(v reflect.Value, path string, line int, n *unstable.Node) error {
	if n.Kind != unstable.Array {
		return &Error{w.doc.File, line, last(path) + " must be a list", `write [ "…", "…" ]`}
	}
	for it := n.Children(); it.Next(); {
		elem := reflect.New(v.Type().Elem()).Elem()
		p := join(path, strconv.Itoa(v.Len()))
		w.doc.lines[p] = line
		if err := w.set(elem, p, line, it.Node()); err != nil {
			return err
		}
		v.Set(reflect.Append(v, elem))
	}
	return nil
}

// field finds the field of a struct by its toml tag.
func (w *walker) field(v reflect.Value, prefix, key string, line int) (reflect.Value, error) {
	if v.Kind() != reflect.Struct {
		return v, &Error{w.doc.File, line, fmt.Sprintf("%s is a value and has no %q", prefix, key), ""}
	}
	var names []string
	for i := range v.NumField() {
		name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("toml"), ",")
		if name == key {
			return v.Field(i), nil
		}
		if name != "" && name != "-" {
			names = append(names, name)
		}
	}
	advice := "the keys here are " + strings.Join(names, ", ")
	if n := near.Word(key, names); n != "" {
		advice = fmt.Sprintf("did you mean %q? %s", n, advice)
	}
	where := "in this file"
	if prefix != "" {
		where = "in " + strings.TrimRight(prefix, ".0123456789")
	}
	return v, &Error{w.doc.File, line, fmt.Sprintf("unknown key %q %s", key, where), advice}
}

func (w *walker) keys(e *unstable.Node) (keys []string, line int) {
	for it := e.Key(); it.Next(); {
		n := it.Node()
		keys = append(keys, string(n.Data))
		if line == 0 {
			line = w.parser.Shape(n.Raw).Start.Line
		}
	}
	return keys, line
}

// alloc follows a pointer, making what it points to when it is nil.
func alloc(v reflect.Value) reflect.Value {
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			v.Set(reflect.New(v.Type().Elem()))
		}
		return v.Elem()
	}
	if v.Kind() == reflect.Map && v.IsNil() {
		v.Set(reflect.MakeMap(v.Type()))
	}
	return v
}

func join(prefix, key string) string {
	if prefix == "" {
		return key
	}
	return prefix + "." + key
}

func last(path string) string { return path[strings.LastIndexByte(path, '.')+1:] }

func hintOf(err error) string {
	var h interface{ Hint() string }
	if errors.As(err, &h) {
		return h.Hint()
	}
	return ""
}

func hintFor(v reflect.Value) string {
	if _, ok := v.Addr().Interface().(encoding.TextUnmarshaler); ok {
		return `a value is written in quotes with its unit, like "5 %"`
	}
	return ""
}
