package web

import (
	"errors"
	"maps"

	"github.com/pelletier/go-toml/v2"

	"barwright/internal/keyed"
	"barwright/material"
	"barwright/stock"
)

// What turns the text of a form into a thing, and a thing into text.

// checked is a thing that can judge itself.
type checked interface {
	Check() (key string, err error)
}

func readThing[T checked](keys map[string]string, _ *material.Library) (written, map[string]string) {
	var v T
	faults := fill(&v, keys)
	if len(faults) == 0 {
		if key, err := v.Check(); err != nil {
			faults[key] = withAdvice(err)
		}
	}
	return kept(v, faults)
}

// kept is a thing without faults as it will be kept: as a TOML file.
func kept(v any, faults map[string]string) (written, map[string]string) {
	if len(faults) > 0 {
		return written{}, faults
	}
	body, err := toml.Marshal(v)
	if err != nil {
		panic("web: a thing without its TOML: " + err.Error())
	}
	keys := keyed.Fields(v)
	return written{keys["id"], keys["name"], keys["of"], string(body)}, nil
}

// readWorkshop reads the one workshop, which has no id of its own but its
// kind's.
func readWorkshop(keys map[string]string, lib *material.Library) (written, map[string]string) {
	own := maps.Clone(keys)
	delete(own, "id")
	made, faults := readThing[stock.Workshop](own, lib)
	made.id = kindWorkshop
	return made, faults
}

func showThing[T any](body string) (map[string]string, error) {
	var v T
	if err := toml.Unmarshal([]byte(body), &v); err != nil {
		return nil, err
	}
	return keyed.Fields(v), nil
}

func fill(dst any, fields map[string]string) map[string]string {
	faults := map[string]string{}
	for _, f := range keyed.Fill(dst, fields) {
		faults[f.Path] = withAdvice(f.Err)
	}
	return faults
}

func withAdvice(err error) string {
	var h interface{ Hint() string }
	if errors.As(err, &h) && h.Hint() != "" {
		return err.Error() + "; " + h.Hint()
	}
	return err.Error()
}
