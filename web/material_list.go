package web

import (
	"context"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"barwright/material"
)

// materialsPage lists the materials by kind.
type materialsPage struct {
	Query  string
	Groups []materialGroup
	Found  int
}

// materialGroup is the materials of some kinds.
type materialGroup struct {
	Name      string
	Materials []listedMaterial
}

// listedMaterial is one material of the list, with what the workshop has of it.
type listedMaterial struct {
	named
	Has string // "own", "2 lots"
}

// materialGroups names the groups of the list.
var materialGroups = []struct {
	name  string
	kinds []material.Kind
}{
	{"Fats and oils", []material.Kind{material.Triglyceride}},
	{"Waxes", []material.Kind{material.Wax}},
	{"Fatty acids", []material.Kind{material.FreeAcid}},
	{"Alkalis", []material.Kind{material.Alkali}},
	{"Honey, sugars and liquids", []material.Kind{material.Sugar, material.Liquid}},
	{"Acids and salts", []material.Kind{material.KitchenAcid, material.Salt}},
	{"Powders", []material.Kind{material.Powder}},
	{"Scents", []material.Kind{material.Scent}},
	{"Keepers", []material.Kind{material.Keeper}},
}

func (a *App) materials(w http.ResponseWriter, r *http.Request) error {
	lib, _, err := a.materialLibrary(r.Context(), "")
	if err != nil {
		return err
	}
	has, err := a.hasOf(r.Context())
	if err != nil {
		return err
	}
	p := materialsPage{Query: cutTo(strings.TrimSpace(r.FormValue("q")), 100)}
	for _, g := range materialGroups {
		group := materialGroup{Name: g.name}
		for _, n := range materialNames(lib, func(m material.Material) bool { return slices.Contains(g.kinds, m.Kind) && isAsked(m, p.Query) }) {
			group.Materials = append(group.Materials, listedMaterial{n, strings.Join(has[n.ID], ", ")})
		}
		if len(group.Materials) > 0 {
			p.Groups = append(p.Groups, group)
			p.Found += len(group.Materials)
		}
	}
	return a.show(w, r, http.StatusOK, "materials", "workshop", "Materials", p)
}

// hasOf says what the workshop has of each material, by id.
func (a *App) hasOf(ctx context.Context) (map[string][]string, error) {
	out := map[string][]string{}
	own, err := a.store.Things(ctx, kindMaterial)
	if err != nil {
		return nil, err
	}
	for _, t := range own {
		out[t.ID] = append(out[t.ID], "own")
	}
	shelf, err := a.shelfNow(ctx)
	if err != nil {
		return nil, err
	}
	count := map[string]int{}
	for _, l := range shelf.Lots {
		if l.LeftG() > 0 {
			count[l.Of]++
		}
	}
	for id, n := range count {
		words := "1 lot"
		if n > 1 {
			words = strconv.Itoa(n) + " lots"
		}
		out[id] = append(out[id], words)
	}
	return out, nil
}

// isAsked reports whether every word is in the material's name, its name on
// labels, what it is made of, or its id.
func isAsked(m material.Material, words string) bool {
	text := strings.ToLower(strings.Join([]string{m.Name, m.INCI, m.From, m.ID}, " "))
	for _, word := range strings.Fields(strings.ToLower(words)) {
		if !strings.Contains(text, word) {
			return false
		}
	}
	return true
}
