package recipe

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"barwright/mould"
)

// list compares the lines of one list.
func (d *differ) list(list string) {
	was, now := linesOf(d.was, list), linesOf(d.now, list)
	kind := alone
	if sharesOnly(was) && sharesOnly(now) {
		kind = map[string]changeKind{"fats": fatShare, "alkali": alkaliShare}[list]
	}
	for _, a := range was {
		name := d.name(a["material"])
		i := slices.IndexFunc(now, func(b map[string]string) bool { return b["material"] == a["material"] })
		if i < 0 {
			d.out = append(d.out, Change{fmt.Sprintf("%s left out, was %s", name, lineWords(a)), kind})
			continue
		}
		d.line(kind, name, a, now[i])
		now = slices.Delete(now, i, i+1)
	}
	for _, b := range now {
		d.out = append(d.out, Change{fmt.Sprintf("%s added, %s", d.name(b["material"]), lineWords(b)), kind})
	}
}

func sharesOnly(lines []map[string]string) bool {
	return !slices.ContainsFunc(lines, func(l map[string]string) bool { return l["share"] == "" })
}

// linesOf returns the keys of every line of a list.
func linesOf(fields map[string]string, list string) []map[string]string {
	var lines []map[string]string
	for i := 0; ; i++ {
		prefix, line := fmt.Sprintf("%s.%d.", list, i), map[string]string{}
		for path, text := range fields {
			if key, ok := strings.CutPrefix(path, prefix); ok {
				line[key] = text
			}
		}
		if len(line) == 0 {
			return lines
		}
		lines = append(lines, line)
	}
}

// line compares two lines of one material.
func (d *differ) line(kind changeKind, name string, was, now map[string]string) {
	d.add(kind, name, was["share"]+was["amount"], now["share"]+now["amount"]) // a line has one of them
	if a, b := was["when"], now["when"]; a != b {
		d.out = append(d.out, Change{fmt.Sprintf("%s goes %s instead of %s", name, whenWords[b], whenWords[a]), alone})
	}
	for _, k := range []struct{ key, what string }{{"purity", "assay"}, {"purity_range", "assay from"}, {"stock_strength", "strength of the stock"},
		{"strength", "strength"}, {"limit", "limit of its document"}, {"stir", "stirred in by"}, {"temperature", "at"}} {
		d.add(alone, name+", "+k.what, was[k.key], now[k.key])
	}
	d.flag(name+" with its gas driven off", was["flat"], now["flat"])
}

// flag notes a change of something that is so or not.
func (d *differ) flag(what, was, now string) {
	switch {
	case was == now:
	case now == "":
		d.out = append(d.out, Change{"no longer: " + what, alone})
	default:
		d.out = append(d.out, Change{what, alone})
	}
}

var whenWords = map[string]string{string(InLye): "into the lye", string(InFats): "into the fats", string(AtTrace): "in at trace"}

// lineWords says how much of a line there is and when it goes in.
func lineWords(l map[string]string) string {
	text := l["share"] + l["amount"]
	if text == "" {
		text = "all of the alkali"
	}
	if when := whenWords[l["when"]]; when != "" {
		text += " " + when
	}
	return text
}

// rest compares the nth stage after the pour.
func (d *differ) rest(i int) {
	name := "rest"
	if i > 0 {
		name = fmt.Sprintf("rest %d", i+1)
	}
	get := func(fields map[string]string, key string) string { return fields[fmt.Sprintf("rest.%d.%s", i, key)] }
	d.add(alone, name, get(d.was, "place"), get(d.now, "place"))
	for _, k := range []struct{ key, what string }{{"temperature", ", at"}, {"cover", ", under"}, {"rh", ", humidity"}, {"for", ", for"}} {
		d.add(alone, name+k.what, get(d.was, k.key), get(d.now, k.key))
	}
	d.flag(name+" with a fan", get(d.was, "fan"), get(d.now, "fan"))
}

// name is what a material is called inside a sentence.
func (d *differ) name(id string) string {
	m, err := d.lib.Find(id)
	if err != nil {
		return id
	}
	first, size := utf8.DecodeRuneInString(m.Name)
	if second, _ := utf8.DecodeRuneInString(m.Name[size:]); unicode.IsUpper(second) { // "BHT"
		return m.Name
	}
	return string(unicode.ToLower(first)) + m.Name[size:]
}

func sizeWords(s *Size) string {
	switch {
	case s == nil:
		return ""
	case s.Fats != nil:
		return s.Fats.String() + " of fats"
	case s.Batter != nil:
		return s.Batter.String() + " of batter"
	case s.Bars != nil:
		return s.Bars.String() + " bars"
	case s.Mould:
		return "what the mould takes"
	}
	return ""
}

// mouldWords says how big a mould is, without its walls.
func mouldWords(m *mould.Mould) string {
	if m == nil {
		return ""
	}
	text := m.Shape
	if m.Inside != nil {
		text += " of " + m.Inside.String()
	}
	if m.Volume != nil {
		text += " of " + m.Volume.String()
	}
	if m.Axis != "" {
		text += ", " + m.Axis
	}
	if n := m.Cavities(); n > 1 {
		text = fmt.Sprintf("%d x %s", n, text)
	}
	return text
}
