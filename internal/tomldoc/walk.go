package tomldoc

import (
	"cmp"
	"encoding"
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"barwright/internal/near"
)

// walker carries the values of a parse tree over into a struct.
type walker struct {
	doc    *Doc
	root   reflect.Value
	parser unstable.Parser
}

// mostFaults is how many are told: with more it is hardly such a file.
const mostFaults = 20

// walk returns the faults of all tables and keys. The keys of a table that is
// none are not looked at.
func (w *walker) walk(data []byte) (faults []*Error) {
	w.parser.Reset(data)
	table, prefix, isTable := w.root, "", true
	for w.parser.NextExpression() {
		var err *Error
		switch e := w.parser.Expression(); e.Kind {
		case unstable.Table, unstable.ArrayTable:
			table, prefix, err = w.open(e)
			isTable = err == nil
		case unstable.KeyValue:
			if isTable {
				err = w.assign(table, prefix, 0, e)
			}
		}
		if err != nil {
			faults = append(faults, err)
		}
		if len(faults) == mostFaults {
			return append(faults, w.doc.errorAt(0, "correct these first", "there may be more than these %d", mostFaults))
		}
	}
	if err := w.parser.Error(); err != nil {
		faults = append(faults, w.doc.errorAt(0, "", "%v", err))
	}
	return faults
}

// open resolves [a.b] or [[a]] to the value its keys are set on.
func (w *walker) open(e *unstable.Node) (v reflect.Value, prefix string, err *Error) {
	keys, line := w.keys(e, 0)
	v = w.root
	defer func() {
		if err != nil {
			w.doc.unread = append(w.doc.unread, strings.Join(keys, "."))
		}
	}()
	for i, key := range keys {
		if v, err = w.field(v, prefix, key, line); err != nil {
			return v, prefix, err
		}
		prefix = join(prefix, key)
		if v, prefix, err = w.enter(v, prefix, line, e.Kind == unstable.ArrayTable, i == len(keys)-1); err != nil {
			return v, prefix, err
		}
	}
	w.doc.lines[prefix] = line
	return v, prefix, nil
}

// enter goes into the table v, as [v] or [[v]] asks; isLast is false for a
// table on the way to another.
func (w *walker) enter(v reflect.Value, prefix string, line int, isArray, isLast bool) (reflect.Value, string, *Error) {
	v = alloc(v)
	switch {
	case v.Kind() == reflect.Slice:
		return w.enterList(v, prefix, line, isArray, isLast)
	case v.Kind() != reflect.Map && !isTable(v.Type()):
		return v, prefix, w.doc.errorAt(line, fmt.Sprintf("write it on a line of its table, %s = …", last(prefix)), "%s is a value, not a table", prefix)
	case isArray && isLast:
		return v, prefix, w.doc.errorAt(line, fmt.Sprintf("write [%s]", prefix), "there is only one %s", prefix)
	}
	return v, prefix, nil
}

// enterList goes into a new table of the list v when the header asks for that,
// else into the last.
func (w *walker) enterList(v reflect.Value, prefix string, line int, isArray, isLast bool) (reflect.Value, string, *Error) {
	switch {
	case !isTable(v.Type().Elem()), isLast && !isArray, !isLast && v.Len() == 0:
		return v, prefix, w.isList(v, prefix, line)
	case isLast:
		v.Set(reflect.Append(v, reflect.Zero(v.Type().Elem())))
	}
	i := v.Len() - 1
	return v.Index(i), join(prefix, strconv.Itoa(i)), nil
}

// assign sets key = value below a table; line is that of the table, for keys
// whose own the parser does not know.
func (w *walker) assign(v reflect.Value, prefix string, line int, e *unstable.Node) *Error {
	keys, line := w.keys(e, line)
	err := w.assignKeys(v, prefix, keys, line, e.Value())
	if err != nil {
		w.doc.unread = append(w.doc.unread, join(prefix, strings.Join(keys, ".")))
	}
	return err
}

func (w *walker) assignKeys(v reflect.Value, prefix string, keys []string, line int, value *unstable.Node) (err *Error) {
	for i, key := range keys {
		if v.Kind() == reflect.Map && i == len(keys)-1 {
			return w.assignMap(v, prefix, key, line, value)
		}
		if v, err = w.field(v, prefix, key, line); err != nil {
			return err
		}
		if isNil := v.Kind() == reflect.Pointer && v.IsNil(); isNil && i == len(keys)-1 {
			defer func(unset reflect.Value) {
				if err != nil {
					unset.SetZero() // what cannot be read is not there
				}
			}(v)
		}
		v, prefix = alloc(v), join(prefix, key)
		w.doc.lines[prefix] = line
	}
	return w.set(v, prefix, line, value)
}

func (w *walker) assignMap(m reflect.Value, prefix, key string, line int, value *unstable.Node) *Error {
	elem := reflect.New(m.Type().Elem()).Elem()
	w.doc.lines[join(prefix, key)] = line
	if err := w.set(elem, join(prefix, key), line, value); err != nil {
		return err
	}
	m.SetMapIndex(reflect.ValueOf(key), elem)
	return nil
}

func (w *walker) set(v reflect.Value, path string, line int, n *unstable.Node) *Error {
	if isText(v) {
		return w.setText(v, path, line, n)
	}
	fault := func(advice, what string) *Error {
		return w.doc.errorAt(line, advice, "%.60s must be %s", last(path), what)
	}
	digits := strings.ReplaceAll(string(n.Data), "_", "")
	switch v.Kind() {
	case reflect.String:
		if n.Kind != unstable.String {
			return fault(`like "Plain Tow"`, "text in quotes")
		}
		v.SetString(string(n.Data))
	case reflect.Bool:
		if n.Kind != unstable.Bool {
			return fault("without quotes", "true or false")
		}
		v.SetBool(string(n.Data) == "true")
	case reflect.Int:
		i, err := strconv.Atoi(digits)
		if n.Kind != unstable.Integer || err != nil {
			return fault("without quotes, like 1", "a whole number")
		}
		v.SetInt(int64(i))
	case reflect.Float64:
		f, err := strconv.ParseFloat(digits, 64)
		if (n.Kind != unstable.Float && n.Kind != unstable.Integer) || err != nil || f != f || f > 1e12 || f < -1e12 {
			return fault("without quotes, like 0.92", "a plain number")
		}
		v.SetFloat(f)
	case reflect.Slice:
		return w.setSlice(v, path, line, n)
	case reflect.Struct, reflect.Map:
		if n.Kind != unstable.InlineTable {
			return fault(fmt.Sprintf("write [%s] and its keys on the lines below", path), "a table")
		}
		for it := n.Children(); it.Next(); {
			if err := w.assign(v, path, line, it.Node()); err != nil {
				return err
			}
		}
	default:
		panic(fmt.Sprintf("tomldoc cannot fill a %s at %s", v.Type(), path))
	}
	return nil
}

// setText sets a value that has a parser of its own.
func (w *walker) setText(v reflect.Value, path string, line int, n *unstable.Node) *Error {
	switch n.Kind {
	case unstable.String, unstable.Integer, unstable.Float:
	default:
		return w.doc.errorAt(line, `a value is written in quotes with its unit, like "5 %"`, "%.60s must be one value in quotes", last(path))
	}
	if err := v.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText(n.Data); err != nil {
		return w.doc.errorAt(line, cmp.Or(hintOf(err), "correct it, or take the line away"), "%.60s: %v", last(path), err)
	}
	return nil
}

func (w *walker) setSlice(v reflect.Value, path string, line int, n *unstable.Node) *Error {
	if n.Kind != unstable.Array {
		return w.isList(v, path, line)
	}
	for it := n.Children(); it.Next(); {
		elem, p := reflect.New(v.Type().Elem()).Elem(), join(path, strconv.Itoa(v.Len()))
		at := w.doc.lineAt(it.Node(), line)
		if isTable(elem.Type()) && it.Node().Kind != unstable.InlineTable {
			return w.isList(v, path, at)
		}
		w.doc.lines[p] = at
		if err := w.set(elem, p, at, it.Node()); err != nil {
			return err
		}
		v.Set(reflect.Append(v, elem))
	}
	return nil
}

// isList is the fault of taking the list v for something else.
func (w *walker) isList(v reflect.Value, path string, line int) *Error {
	if isTable(v.Type().Elem()) {
		return w.doc.errorAt(line, fmt.Sprintf("write [[%s]] and its keys on the lines below", path), "%s is a list of tables", path)
	}
	return w.doc.errorAt(line, fmt.Sprintf(`like %s = [ "…", "…" ]`, last(path)), "%s is a list", path)
}

// field finds the field of a struct by its toml tag.
func (w *walker) field(v reflect.Value, prefix, key string, line int) (reflect.Value, *Error) {
	switch {
	case v.Kind() == reflect.Slice:
		return v, w.isList(v, prefix, line)
	case v.Kind() == reflect.Map:
		return v, w.doc.errorAt(line, "write it on a line of its table", "%.60s is a value, not a table", join(prefix, key))
	case !isTable(v.Type()):
		return v, w.doc.errorAt(line, fmt.Sprintf("write %.60s = …", last(prefix)), "%.60s is one value and has no %.40q", prefix, key)
	}
	f, names, ok := named(v, key)
	if ok {
		return f, nil
	}
	advice := "the keys here are " + strings.Join(names, ", ")
	if n := near.Word(key, names); n != "" {
		advice = fmt.Sprintf("did you mean %q? %s", n, advice)
		w.doc.unread = append(w.doc.unread, join(prefix, n)) // most likely it stands here
	}
	where := "in this file"
	if prefix != "" {
		where = "in " + last(prefix)
	}
	return v, w.doc.errorAt(line, advice, "unknown key %.40q %s", key, where)
}

// named returns the field with a toml tag, embedded structs included, or the
// names there are.
func named(v reflect.Value, key string) (field reflect.Value, names []string, ok bool) {
	for i := range v.NumField() {
		f := v.Type().Field(i)
		name, _, _ := strings.Cut(f.Tag.Get("toml"), ",")
		switch {
		case f.Anonymous && name == "" && f.Type.Kind() == reflect.Struct:
			inner, more, ok := named(v.Field(i), key)
			if ok {
				return inner, nil, true
			}
			names = append(names, more...)
		case name == "" || name == "-":
		case name == key:
			return v.Field(i), nil, true
		default:
			names = append(names, name)
		}
	}
	return v, names, false
}

// keys returns the parts of a node's dotted key and the line it stands on.
func (w *walker) keys(e *unstable.Node, line int) (keys []string, at int) {
	for it := e.Key(); it.Next(); {
		if len(keys) == 0 {
			line = w.doc.lineAt(it.Node(), line)
		}
		keys = append(keys, string(it.Node().Data))
	}
	return keys, line
}

// alloc follows a pointer or map, making what it points to when it is nil.
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

// isTable reports whether a value of type t has keys of its own.
func isTable(t reflect.Type) bool {
	return t.Kind() == reflect.Struct && !isText(reflect.New(t).Elem())
}

// isText reports whether v has a parser of its own, whatever it is made of.
func isText(v reflect.Value) bool {
	_, ok := v.Addr().Interface().(encoding.TextUnmarshaler)
	return ok
}

func join(prefix, key string) string {
	if prefix == "" {
		return key
	}
	return prefix + "." + key
}

// last returns the key at the end of a path; of a place in a list, the list's.
func last(path string) string {
	dot := strings.LastIndexByte(path, '.')
	if _, err := strconv.Atoi(path[dot+1:]); err == nil && dot > 0 {
		return last(path[:dot])
	}
	return path[dot+1:]
}

func hintOf(err error) string {
	var h interface{ Hint() string }
	if errors.As(err, &h) {
		return h.Hint()
	}
	return ""
}
