package material

import (
	"encoding"
	"fmt"
	"reflect"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"barwright/source"
)

// Print returns the material as a file that Parse reads back unchanged: what a
// batch keeps, so that it counts with the same figures next year. Of a lot it
// holds the figures of its material too.
func (m Material) Print() []byte {
	out, err := toml.Marshal(given(reflect.ValueOf(m)))
	if err != nil {
		panic(fmt.Sprintf("material %q does not print: %v", m.ID, err))
	}
	return out
}

// given returns the fields of a struct that say something, by their keys. A
// figure that is there is printed whole: its zeros are numbers.
func given(v reflect.Value) map[string]any {
	figure, isFigure := v.Interface().(source.Figure)
	whole := isFigure && (figure.Known() || figure.Grade.Given())
	out := map[string]any{}
	for i := range v.NumField() {
		f := v.Field(i)
		key, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("toml"), ",")
		number := whole && (key == "low" || key == "typical" || key == "high")
		if f.IsZero() && !number {
			continue
		}
		_, text := f.Interface().(encoding.TextMarshaler)
		switch {
		case f.Kind() == reflect.Struct && !text:
			if inner := given(f); len(inner) > 0 {
				out[key] = inner
			}
		default:
			out[key] = f.Interface()
		}
	}
	return out
}
