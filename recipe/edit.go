package recipe

import (
	"encoding"
	"fmt"
	"reflect"
	"strconv"
	"strings"

	"barwright/finding"

	"github.com/pelletier/go-toml/v2"
)

// With returns the recipe with the edits applied, in order. It does not check
// the result. An edit of a key that a recipe does not have is an error.
func (r Recipe) With(edits ...finding.Edit) (Recipe, error) {
	out := r.clone()
	for _, e := range edits {
		if err := set(reflect.ValueOf(&out).Elem(), strings.Split(e.Key, "."), e.Value); err != nil {
			return Recipe{}, fmt.Errorf("%s = %q: %w", e.Key, e.Value, err)
		}
	}
	return out, nil
}

// clone returns a copy that shares nothing with r.
func (r Recipe) clone() Recipe {
	var out Recipe
	if err := toml.Unmarshal(r.Print(), &out); err != nil {
		panic(fmt.Sprintf("recipe %q does not read back: %v", r.Name, err))
	}
	return out
}

func set(v reflect.Value, path []string, text string) error {
	if len(path) == 0 {
		return setValue(v, text)
	}
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			v.Set(reflect.New(v.Type().Elem()))
		}
		v = v.Elem()
	}
	switch v.Kind() {
	case reflect.Slice:
		i, err := strconv.Atoi(path[0])
		if err != nil || i < 0 || i >= v.Len() {
			return fmt.Errorf("no line %q", path[0])
		}
		return set(v.Index(i), path[1:], text)
	case reflect.Struct:
		for i := range v.NumField() {
			if name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("toml"), ","); name == path[0] {
				return set(v.Field(i), path[1:], text)
			}
		}
	}
	return fmt.Errorf("no key %q", path[0])
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
		v.SetBool(text == "true")
	case reflect.Int:
		n, err := strconv.Atoi(text)
		if err != nil {
			return err
		}
		v.SetInt(int64(n))
	default:
		return fmt.Errorf("a %s cannot be set", v.Kind())
	}
	return nil
}
