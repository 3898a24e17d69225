package web

import (
	"errors"
	"fmt"
	"strings"

	"barwright/internal/near"
	"barwright/material"
	"barwright/recipe"
)

// What people call materials.

// named is a material people can choose.
type named struct{ ID, Name string }

// nameOf is what a material is called; what is none stays as it is written.
func nameOf(id string, lib *material.Library) string {
	if m, err := lib.Find(id); err == nil {
		return m.Name
	}
	return id
}

// isNoLot reports a material that lots can be of.
func isNoLot(m material.Material) bool { return m.Of == "" || m.Of == m.ID }

func isLot(m material.Material) bool { return !isNoLot(m) }

// called returns the materials that somebody may mean by a text: the one of
// that id or name; else those whose names begin so; else those that have it
// anywhere in their names.
func called(text string, lib *material.Library, may func(material.Material) bool) []named {
	text = strings.ToLower(strings.TrimSpace(text))
	if text == "" {
		return nil
	}
	var begin, have []named
	for _, id := range lib.IDs() {
		m, err := lib.Find(id)
		if err != nil || !may(m) {
			continue
		}
		switch name := strings.ToLower(m.Name); {
		case id == text, name == text:
			return []named{{id, m.Name}}
		case strings.HasPrefix(name, text):
			begin = append(begin, named{id, m.Name})
		case strings.Contains(name, text):
			have = append(have, named{id, m.Name})
		}
	}
	if len(begin) > 0 {
		return begin
	}
	return have
}

// idOf turns what people call a material into its id; what names none, or
// several, stays as it is, for the check to complain about.
func idOf(text string, lib *material.Library) string {
	text = strings.TrimSpace(text)
	if _, err := lib.Find(text); err == nil {
		return text
	}
	found := called(text, lib, isNoLot)
	if len(found) == 0 {
		found = called(text, lib, isLot) // "Beef tallow, lot T" can only be a lot
	}
	if len(found) == 1 && len(text) > 2 {
		return found[0].ID
	}
	return text
}

// materialNamed returns the id of the material that people call so; else what
// is wrong. It may not be a lot.
func materialNamed(text string, lib *material.Library) (id, fault string) {
	if strings.TrimSpace(text) == "" {
		return "", "say what it is a lot of"
	}
	found := called(text, lib, isNoLot)
	switch {
	case len(found) == 1:
		return found[0].ID, ""
	case len(found) > 1 && len(found) < mostMeant:
		return text, "several are called so: " + namesOf(found, ", ")
	}
	return text, fmt.Sprintf("no material is called %.60q; the list of materials has them all", text)
}

// mostMeant is how many names are worth reading out.
const mostMeant = 8

func namesOf(all []named, between string) string {
	var names []string
	for _, n := range all {
		names = append(names, n.Name)
	}
	return strings.Join(names, between)
}

// unknownOnPage says of a line's material that is none, in names and not in
// ids, what may be meant; false when the fault is another.
func unknownOnPage(f recipe.Fault, text string, lib *material.Library) (recipe.Fault, bool) {
	var unknown *material.UnknownError
	if _, err := lib.Find(text); !strings.HasSuffix(f.Path, ".material") || !errors.As(err, &unknown) {
		return f, false
	}
	f.Text, f.Advice = fmt.Sprintf("No material is called %.60q.", text), "Type part of its name and choose it from the list."
	if found := called(text, lib, isNoLot); len(found) > 1 && len(found) < mostMeant {
		f.Text = fmt.Sprintf("Which one: %s?", namesOf(found, ", "))
		f.Advice = "Type more of its name."
	} else if meant := near.Word(text, allNames(lib)); meant != "" {
		f.Text, f.Advice = fmt.Sprintf("No material is called %.60q. Do you mean %s?", text, meant), ""
	}
	return f, true
}

// byName says a fault of a line with the name of its material in the place of
// its id.
func byName(f recipe.Fault, fields map[string]string, lib *material.Library) recipe.Fault {
	list, rest, _ := strings.Cut(f.Path, ".")
	num, _, _ := strings.Cut(rest, ".")
	if m, err := lib.Find(fields[list+"."+num+".material"]); err == nil {
		f.Text = strings.ReplaceAll(f.Text, fmt.Sprintf("%q", m.ID), m.Name)
	}
	return f
}

func allNames(lib *material.Library) (names []string) {
	for _, id := range lib.IDs() {
		names = append(names, nameOf(id, lib))
	}
	return names
}
