// Package keyed reads and writes the keys of a struct as text, by dotted path:
// what a form shows of a TOML file and what it sends back.
//
// Start with Fields and Fill. Keys are those of the toml tags; lists count from
// 0. What it does not do: judge the values; their own parsers and checks do.
package keyed

import (
	"encoding"
	"errors"
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// mostLines is the longest list a form may send.
const mostLines = 100

// Fields returns the text of every key of v that says something. v is a struct
// or a pointer to one.
func Fields(v any) map[string]string {
	out := map[string]string{}
	add(out, "", reflect.ValueOf(v))
	return out
}

func add(out map[string]string, path string, v reflect.Value) {
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return
		}
		v = v.Elem()
	}
	if m, ok := v.Interface().(encoding.TextMarshaler); ok {
		if text, err := m.MarshalText(); err == nil && len(text) > 0 {
			out[path] = string(text)
		}
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if name := tag(v.Type().Field(i)); name != "" {
				add(out, join(path, name), v.Field(i))
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			add(out, join(path, strconv.Itoa(i)), v.Index(i))
		}
	case reflect.String:
		if v.String() != "" {
			out[path] = v.String()
		}
	case reflect.Bool:
		if v.Bool() {
			out[path] = "true"
		}
	case reflect.Int:
		if v.Int() != 0 {
			out[path] = strconv.FormatInt(v.Int(), 10)
		}
	case reflect.Float64:
		if v.Float() != 0 {
			out[path] = strconv.FormatFloat(v.Float(), 'f', -1, 64)
		}
	}
}

// Fault is one text that cannot be read.
type Fault struct {
	Path string
	Err  error
}

// Fill sets the keys of what dst points to. Empty texts are left out. A number
// alone gets the unit it usually has. What cannot be read is told by path, in
// the order of the paths, and left as it was.
func Fill(dst any, fields map[string]string) []Fault {
	root := reflect.ValueOf(dst).Elem()
	var faults []Fault
	paths := slices.Collect(maps.Keys(fields))
	slices.SortFunc(paths, compare)
	for _, path := range paths {
		text := strings.TrimSpace(fields[path])
		if text == "" {
			continue
		}
		v, err := find(root, strings.Split(path, "."))
		if err == nil {
			err = setLoosely(v, text)
		}
		if err != nil {
			faults = append(faults, Fault{path, err})
		}
	}
	return faults
}

// usualUnits are what a number typed alone may mean. Every kind of quantity
// accepts the first of them that is its own. A price is asked per what.
var usualUnits = []string{" %", " g", " °C", " mm", " h", " ml"}

func setLoosely(v reflect.Value, text string) error {
	err := set(v, text)
	if err == nil || strings.Trim(text, "0123456789.,/ \u00a0\u2009\u202f") != "" {
		return err
	}
	for _, unit := range usualUnits {
		if set(v, text+unit) == nil {
			return nil
		}
	}
	return err
}

func set(v reflect.Value, text string) error {
	if v.Kind() == reflect.Pointer {
		next := reflect.New(v.Type().Elem())
		if err := set(next.Elem(), text); err != nil {
			return err
		}
		v.Set(next)
		return nil
	}
	if u, ok := v.Addr().Interface().(encoding.TextUnmarshaler); ok {
		return u.UnmarshalText([]byte(text))
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(text)
	case reflect.Bool:
		v.SetBool(text == "true")
	case reflect.Int:
		n, err := strconv.Atoi(text)
		if err != nil {
			return errors.New("it must be a whole number")
		}
		v.SetInt(int64(n))
	case reflect.Float64:
		f, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
		if err != nil || f != f || f > 1e12 || f < -1e12 {
			return errors.New("it must be a plain number")
		}
		v.SetFloat(f)
	default:
		return errors.New("it has keys of its own")
	}
	return nil
}

// find returns what a path leads to, making tables and lines on the way.
func find(v reflect.Value, path []string) (reflect.Value, error) {
	for _, key := range path {
		if v.Kind() == reflect.Pointer {
			if v.IsNil() {
				v.Set(reflect.New(v.Type().Elem()))
			}
			v = v.Elem()
		}
		switch v.Kind() {
		case reflect.Slice:
			i, err := strconv.Atoi(key)
			if err != nil || i < 0 || i >= mostLines {
				return v, fmt.Errorf("there is no line %.20q", key)
			}
			for v.Len() <= i {
				v.Set(reflect.Append(v, reflect.Zero(v.Type().Elem())))
			}
			v = v.Index(i)
		case reflect.Struct:
			f, ok := field(v, key)
			if !ok {
				return v, fmt.Errorf("there is no key %.40q", key)
			}
			v = f
		default:
			return v, fmt.Errorf("there is no key %.40q", key)
		}
	}
	return v, nil
}

func field(v reflect.Value, key string) (reflect.Value, bool) {
	for i := range v.NumField() {
		if key != "" && tag(v.Type().Field(i)) == key {
			return v.Field(i), true
		}
	}
	return reflect.Value{}, false
}

func tag(f reflect.StructField) string {
	name, _, _ := strings.Cut(f.Tag.Get("toml"), ",")
	return name
}

func join(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

// compare sorts dotted paths, numbers by their value.
func compare(a, b string) int {
	as, bs := strings.Split(a, "."), strings.Split(b, ".")
	for i := range min(len(as), len(bs)) {
		x, errX := strconv.Atoi(as[i])
		y, errY := strconv.Atoi(bs[i])
		c := strings.Compare(as[i], bs[i])
		if errX == nil && errY == nil {
			c = x - y
		}
		if c != 0 {
			return c
		}
	}
	return len(as) - len(bs)
}
