package recipe

import (
	"encoding"
	"errors"
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"barwright/finding"
	"barwright/internal/near"
)

// With returns the recipe with the edits applied, in order; r stays as it is.
// It does not check the result. An edit with an empty value takes a key, a
// table or a line of a list away. A key that a recipe does not have is a
// Fault, a value that cannot be read an error with a hint.
func (r Recipe) With(edits ...finding.Edit) (Recipe, error) {
	for _, e := range edits {
		if err := set(reflect.ValueOf(&r).Elem(), strings.Split(e.Key, "."), e); err != nil {
			return Recipe{}, err
		}
	}
	return r, nil
}

// set applies the edit e at a path below v. What lies behind pointers and in
// lists is copied on the way, because v may share it with another recipe.
func set(v reflect.Value, path []string, e finding.Edit) error {
	if len(path) == 0 {
		if err := setValue(v, e.Value); err != nil {
			return fmt.Errorf("%s = %.40q: %w", e.Key, e.Value, err)
		}
		return nil
	}
	switch v.Kind() {
	case reflect.Pointer:
		return setBehind(v, path, e)
	case reflect.Slice:
		return setLine(v, path, e)
	case reflect.Struct:
		return setField(v, path, e)
	}
	return unknownKey(e, path[0], nil)
}

// setBehind edits a copy of what the pointer v points to.
func setBehind(v reflect.Value, path []string, e finding.Edit) error {
	next := reflect.New(v.Type().Elem())
	if !v.IsNil() {
		next.Elem().Set(v.Elem())
	}
	if err := set(next.Elem(), path, e); err != nil {
		return err
	}
	if !v.IsNil() || e.Value != "" { // nothing is made only to take a key from it
		v.Set(next)
	}
	return nil
}

// setLine edits one line in a copy of the list v. A key of the stage of rest
// after the last makes that stage; no other list grows by an edit.
func setLine(v reflect.Value, path []string, e finding.Edit) error {
	i, err := strconv.Atoi(path[0])
	room := v.Len()
	if err == nil && i == room && len(path) > 1 && e.Value != "" && strings.HasPrefix(e.Key, "rest.") {
		room++
	}
	if err != nil || i < 0 || i >= room {
		return Fault{Path: e.Key, Text: fmt.Sprintf("%.60q: there is no line %.20q in a list of %d", e.Key, path[0], v.Len()), Advice: "the first is 0"}
	}
	lines := reflect.MakeSlice(v.Type(), room, room)
	reflect.Copy(lines, v)
	v.Set(lines)
	if len(path) == 1 && e.Value == "" && v.Len() == 1 {
		v.SetZero()
		return nil
	}
	if len(path) == 1 && e.Value == "" {
		v.Set(reflect.AppendSlice(lines.Slice(0, i), lines.Slice(i+1, lines.Len())))
		return nil
	}
	return set(v.Index(i), path[1:], e)
}

func setField(v reflect.Value, path []string, e finding.Edit) error {
	var names []string
	for i := range v.NumField() {
		name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("toml"), ",")
		switch name {
		case "": // inside a quantity
		case path[0]:
			return set(v.Field(i), path[1:], e)
		default:
			names = append(names, name)
		}
	}
	return unknownKey(e, path[0], names)
}

func unknownKey(e finding.Edit, key string, names []string) error {
	f := Fault{Path: e.Key, Text: fmt.Sprintf("unknown key %.60q", e.Key)}
	if len(names) > 0 {
		f.Advice = "the keys here are " + strings.Join(names, ", ")
	}
	if n := near.Word(key, names); n != "" {
		f.Advice = fmt.Sprintf("did you mean %q? %s", n, f.Advice)
	}
	return f
}

func setValue(v reflect.Value, text string) error {
	if text == "" {
		v.SetZero()
		return nil
	}
	if v.Kind() == reflect.Pointer {
		v.Set(reflect.New(v.Type().Elem()))
		v = v.Elem()
	}
	if u, ok := v.Addr().Interface().(encoding.TextUnmarshaler); ok {
		return u.UnmarshalText([]byte(text))
	}
	switch v.Kind() {
	case reflect.String:
		v.SetString(text)
	case reflect.Bool:
		if text != "true" && text != "false" {
			return errors.New("it must be true or false")
		}
		v.SetBool(text == "true")
	case reflect.Int:
		n, err := strconv.Atoi(text)
		if err != nil {
			return errors.New("it must be a whole number")
		}
		v.SetInt(int64(n))
	default:
		return errors.New("it has keys of its own")
	}
	return nil
}
