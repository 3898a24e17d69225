package web

import (
	"cmp"
	"slices"

	"barwright/material"
	"barwright/plan"
)

// choices lists the materials for the two lists of the planning page, by
// name.
func choices(lib *material.Library) (fats, additions []named) {
	for _, id := range lib.IDs() {
		m, err := lib.Find(id)
		switch {
		case err != nil || m.Kind == material.Alkali:
		case m.Kind.IsFat():
			fats = append(fats, named{id, m.Name})
		default:
			additions = append(additions, named{id, m.Name})
		}
	}
	byName := func(a, b named) int { return cmp.Compare(a.Name, b.Name) }
	slices.SortFunc(fats, byName)
	slices.SortFunc(additions, byName)
	return fats, additions
}

// alkalis lists the alkalis and the lots of them, by name, the alkalis first.
func alkalis(lib *material.Library) []named {
	isOne := func(m material.Material) bool { return m.Kind == material.Alkali }
	bare := materialNames(lib, func(m material.Material) bool { return isOne(m) && isNoLot(m) })
	return append(bare, materialNames(lib, func(m material.Material) bool { return isOne(m) && !isNoLot(m) })...)
}

// chainGroups are the parts of the chain-group strip, in the order of the
// page, with groups few fats have joined to their neighbours.
var chainGroups = []struct {
	class, name string
	groups      []material.Group
}{
	{"c1", "C4–C14 saturated", []material.Group{material.Short, material.C8C10, material.C12C14}},
	{"c2", "C16–C24 saturated", []material.Group{material.C16C18, material.C20C24}},
	{"c3", "one double bond", []material.Group{material.Mono}},
	{"c4", "two or more", []material.Group{material.Poly}},
	{"c5", "hydroxy", []material.Group{material.Hydroxy}},
	{"c6", "other and wax", []material.Group{material.OtherFat}},
}

// chainStrip lays the chain groups of a plan out along 0 to 100.
func chainStrip(p *plan.Plan) []chainPart {
	var parts []chainPart
	x := 0.0
	for _, g := range chainGroups {
		v := 0.0
		for _, k := range g.groups {
			v += p.Makeup.GroupsPct[k]
		}
		if g.class == "c6" {
			v += p.Makeup.UnsaponifiedPct
		}
		if v >= 0.5 {
			parts = append(parts, chainPart{g.class, g.name, v, x, min(v, 100-x)})
			x += v
		}
	}
	return parts
}
