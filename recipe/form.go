package recipe

import (
	"encoding"
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"barwright/finding"
)

// Fields returns the recipe as the text of its keys, by dotted path: what a
// form shows. Lists count from 0.
func (r Recipe) Fields() map[string]string {
	out := map[string]string{}
	addFields(out, "", reflect.ValueOf(r))
	return out
}

func addFields(out map[string]string, path string, v reflect.Value) {
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
			if name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("toml"), ","); name != "" {
				addFields(out, joinPath(path, name), v.Field(i))
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			addFields(out, joinPath(path, strconv.Itoa(i)), v.Index(i))
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
	}
}

func joinPath(path, name string) string {
	if path == "" {
		return name
	}
	return path + "." + name
}

// usualUnits are what a number typed alone may mean. Every kind of quantity
// accepts the first of them that is its own.
var usualUnits = []string{" %", " g", " °C", " mm", " h", " ml"}

// FromFields makes a recipe of the text of its keys; list lines without any
// text are left out. A number typed without its unit gets the usual one. Every
// text that cannot be read is a Fault at its path; the recipe holds the rest.
func FromFields(fields map[string]string) (Recipe, []Fault) {
	r := Recipe{Format: 1}
	var fs faults
	for _, path := range sortedPaths(fields) {
		text := strings.TrimSpace(fields[path])
		if text == "" {
			continue
		}
		if err := grow(reflect.ValueOf(&r).Elem(), strings.Split(path, ".")); err != nil {
			fs.add(path, "", "%v", err)
			continue
		}
		if err := setLoosely(&r, path, text); err != nil {
			fs.addErr(path, err)
		}
	}
	return r, fs
}

func setLoosely(r *Recipe, path, text string) error {
	keys := strings.Split(path, ".")
	err := set(reflect.ValueOf(r).Elem(), keys, finding.Edit{Key: path, Value: text})
	if err == nil || strings.Trim(text, "0123456789.,/ ") != "" {
		return err
	}
	for _, unit := range usualUnits {
		if set(reflect.ValueOf(r).Elem(), keys, finding.Edit{Key: path, Value: text + unit}) == nil {
			return nil
		}
	}
	return err
}

// grow makes the lists on a path long enough.
func grow(v reflect.Value, path []string) error {
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
			if err != nil || i < 0 || i > maxFats {
				return fmt.Errorf("no line %q", key)
			}
			for v.Len() <= i {
				v.Set(reflect.Append(v, reflect.Zero(v.Type().Elem())))
			}
			v = v.Index(i)
		case reflect.Struct:
			f, ok := fieldByTag(v, key)
			if !ok {
				return fmt.Errorf("no key %q", key)
			}
			v = f
		default:
			return errors.New("no such key")
		}
	}
	return nil
}

func fieldByTag(v reflect.Value, key string) (reflect.Value, bool) {
	for i := range v.NumField() {
		if name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("toml"), ","); name == key {
			return v.Field(i), true
		}
	}
	return reflect.Value{}, false
}

// sortedPaths orders paths so that lists are met in the order of their lines.
func sortedPaths(fields map[string]string) []string {
	paths := make([]string, 0, len(fields))
	for p := range fields {
		paths = append(paths, p)
	}
	sortNatural(paths)
	return paths
}

// sortNatural sorts dotted paths, numbers by their value.
func sortNatural(paths []string) {
	slices.SortFunc(paths, func(a, b string) int {
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
	})
}
