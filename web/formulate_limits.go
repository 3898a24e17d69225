package web

import (
	"fmt"
	"slices"
	"strings"

	"barwright/formulate"
)

// wishLimit is one line of limits or targets.
type wishLimit struct {
	I                  int
	Quantity, Material string
	Words              string // of a share, which is in no list
	Min, Max           string
	Value, Weight      string
	Unit               string
	Fault              string
}

// Limits are the limits of the form, with empty lines after them.
func (p *formulatePage) Limits() []wishLimit { return p.lines("limits", 2) }

// Targets are what is aimed at.
func (p *formulatePage) Targets() []wishLimit { return p.lines("objective.targets", 2) }

func (p *formulatePage) lines(list string, more int) (out []wishLimit) {
	for i := range p.Draft.count(list) + more {
		at := fmt.Sprintf("%s.%d", list, i)
		get := func(key string) string { return p.Draft.fields[at+"."+key] }
		l := wishLimit{I: i, Quantity: get("quantity"), Material: get("material"), Min: get("min"), Max: get("max"), Value: get("value"), Weight: get("weight")}
		l.Fault = p.faultAt(at+".quantity", at+".material", at+".min", at+".max", at+".value", at+".weight", at)
		for _, q := range formulate.Quantities() {
			if q.Name == l.Quantity {
				l.Unit = q.Unit
			}
		}
		if l.Quantity == "share" {
			l.Words = "share of " + l.Material
		}
		out = append(out, l)
	}
	return out
}

// quantityGroup is some of what can be wished about, under one head.
type quantityGroup struct {
	Head string
	Of   []formulate.Quantity
}

// Quantities lists what can be wished about.
func (p *formulatePage) Quantities() []quantityGroup {
	groups := []quantityGroup{{Head: "Acids the bar is made of"}, {Head: "Values"}, {Head: "Wax and free acids"}, {Head: "Can dissolve"}, {Head: "Money and change"}}
	for _, q := range formulate.Quantities() {
		i := 0
		switch {
		case q.Name == "iodine_value" || q.Name == "cox" || q.Name == "sap":
			i = 1
		case q.Name == "unsaponified" || q.Name == "free_acids" || q.Name == "hard_wax" || strings.HasSuffix(q.Name, "_point"):
			i = 2
		case strings.HasPrefix(q.Name, "dissolving"):
			i = 3
		case strings.HasPrefix(q.Name, "cost") || q.Name == "own" || q.Name == "change":
			i = 4
		}
		q.Words = upperFirst(q.Words)
		groups[i].Of = append(groups[i].Of, q)
	}
	return groups
}

// Aims lists what can be aimed at.
func (p *formulatePage) Aims() (out []formulate.Quantity) {
	for _, q := range formulate.Quantities() {
		if q.Words = upperFirst(q.Words); !q.Bent {
			out = append(out, q)
		}
	}
	return out
}

// curveChoice is one limit that a curve can be drawn against.
type curveChoice struct {
	Key, Words string
	Chosen     bool
}

// Curves are the limits that are set, each an end to draw the curve against.
func (p *formulatePage) Curves() (out []curveChoice) {
	words := map[string]string{}
	for _, q := range formulate.Quantities() {
		words[q.Name] = q.Words
	}
	add := func(end, name string) {
		c := curveChoice{end + ":" + name, upperFirst(words[name]) + map[string]string{"min": ", at least", "max": ", at most"}[end], false}
		c.Chosen = p.Draft.fields["curve.quantity"] == name && (p.Draft.fields["curve.min"] != "") == (end == "min")
		if words[name] != "" && !slices.ContainsFunc(out, func(o curveChoice) bool { return o.Key == c.Key }) {
			out = append(out, c)
		}
	}
	for i := range p.Draft.count("limits") {
		for _, end := range []string{"min", "max"} {
			if at := fmt.Sprintf("limits.%d.", i); p.Draft.fields[at+end] != "" {
				add(end, p.Draft.fields[at+"quantity"])
			}
		}
	}
	if name := p.Draft.fields["curve.quantity"]; name != "" {
		add(map[bool]string{true: "min", false: "max"}[p.Draft.fields["curve.min"] != ""], name)
	}
	return out
}

// Minimise is what is made as small as possible.
func (p *formulatePage) Minimise() string { return p.Draft.fields["objective.minimise"] }

// FromWords says the recipe it starts from.
func (p *formulatePage) FromWords() string {
	var words []string
	for i := 0; ; i++ {
		at := fmt.Sprintf("objective.from.%d.", i)
		id := p.Draft.fields[at+"material"]
		if id == "" {
			return strings.Join(words, ", ")
		}
		name := id
		for _, n := range p.FatNames {
			if n.ID == id {
				name = lowerFirst(n.Name)
			}
		}
		words = append(words, name+" "+unbroken(p.Draft.fields[at+"share"]))
	}
}
