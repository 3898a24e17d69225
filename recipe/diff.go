package recipe

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"barwright/material"
)

// Change is one thing that differs between two recipes, in words.
type Change struct {
	What     string // "beeswax", "lye strength"
	Was, Now string // "" where it was not there, or is no longer
}

func (c Change) String() string {
	switch {
	case c.Was == "":
		return fmt.Sprintf("%s added: %s", c.What, c.Now)
	case c.Now == "":
		return fmt.Sprintf("%s gone, was %s", c.What, c.Was)
	}
	return fmt.Sprintf("%s %s → %s", c.What, c.Was, c.Now)
}

// Diff lists what differs from a to b, in the order of the file. Lines of a
// list are matched by their material, so that moving a line is no change.
func Diff(a, b Recipe, lib *material.Library) []Change {
	was, now := a.byName(lib), b.byName(lib)
	var out []Change
	for _, key := range keysOf(was, now) {
		if was[key] != now[key] {
			out = append(out, Change{What: key[len(rank(key)):], Was: was[key], Now: now[key]})
		}
	}
	return out
}

// byName returns the fields of a recipe by names for people, each behind a
// rank that keeps the order of the file.
func (r Recipe) byName(lib *material.Library) map[string]string {
	out := map[string]string{}
	for path, text := range r.Fields() {
		if name := r.nameFor(path, lib); name != "" {
			out[name] = text
		}
	}
	return out
}

// sections keeps the order of the file.
var sections = []string{"name", "note", "method", "superfat", "lye_strength", "water", "size", "alkali", "fats", "additions", "lye", "combine", "mould", "rest", "scale"}

func (r Recipe) nameFor(path string, lib *material.Library) string {
	parts := strings.Split(path, ".")
	at := slices.Index(sections, parts[0])
	if at < 0 {
		return ""
	}
	order := fmt.Sprintf("%02d:", at)
	words := func(s string) string { return strings.ReplaceAll(s, "_", " ") }
	called := func(id string) string {
		if m, err := lib.Find(id); err == nil {
			return m.Name
		}
		return id
	}
	var i int
	if len(parts) == 3 {
		fmt.Sscan(parts[1], &i)
	}
	switch {
	case len(parts) == 1:
		return order + words(parts[0])
	case parts[0] == "fats" && parts[2] != "material":
		return order + called(r.Fats[i].Material)
	case parts[0] == "additions" && parts[2] == "amount":
		return order + called(r.Additions[i].Material)
	case parts[0] == "additions" && parts[2] != "material":
		return order + called(r.Additions[i].Material) + ", " + words(parts[2])
	case parts[0] == "alkali" && parts[2] != "material":
		return order + called(r.Alkali[i].Material) + ", " + words(parts[2])
	case parts[0] == "alkali":
		return fmt.Sprintf("%salkali %d", order, i+1)
	case parts[0] == "rest":
		return fmt.Sprintf("%srest %d, %s", order, i+1, words(parts[2]))
	case len(parts) == 2:
		return order + words(parts[0]) + ", " + words(parts[1])
	}
	return ""
}

func rank(key string) string { return key[:strings.IndexByte(key, ':')+1] }

func keysOf(a, b map[string]string) []string {
	var keys []string
	for k := range a {
		keys = append(keys, k)
	}
	for k := range b {
		if _, ok := a[k]; !ok {
			keys = append(keys, k)
		}
	}
	slices.SortFunc(keys, cmp.Compare)
	return keys
}
