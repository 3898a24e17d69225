package web

import (
	"fmt"
	"math"

	"barwright/stock"
)

// facts are what follows from a thing as it was saved, in sentences.
func facts(k *thingKind, p *thingPage) []string {
	switch {
	case p.IsNew:
		return nil
	case k.kind == kindLot:
		return lotFacts(p)
	case k.kind == kindMould:
		return mouldFacts(p)
	}
	return nil
}

func lotFacts(p *thingPage) []string {
	var l stock.Lot
	if len(fill(&l, withoutPaper(p.saved))) > 0 {
		return nil
	}
	m, err := l.Material(p.lib)
	if err != nil {
		return []string{"Its material is not here: nothing can be planned with it."}
	}
	of := nameOf(l.Of, p.lib)
	out := []string{fmt.Sprintf("A recipe that names %s takes from its lots in the order of their best before. To plan with this very lot, name “%s”.", of, m.Name)}
	if l.HasCertificate() {
		out = append(out, fmt.Sprintf("Its certificate counts in recipes that name the lot; “%s” alone keeps the range of its kind.", of))
	}
	if l.Limit != nil {
		out = append(out, fmt.Sprintf("A recipe that names %s alone is held to the strictest limit of the lots on the shelf.", of))
	}
	if l.Purity != nil {
		out = append(out, fmt.Sprintf("A recipe that names %s alone is planned with the highest assay of the lots on the shelf: doubt goes to more superfat.", of))
	}
	return out
}

func withoutPaper(fields map[string]string) map[string]string {
	out := map[string]string{}
	for key, text := range fields {
		if key != paperKey {
			out[key] = text
		}
	}
	return out
}

func mouldFacts(p *thingPage) []string {
	var m stock.Mould
	if len(fill(&m, p.saved)) > 0 {
		return nil
	}
	if key, err := m.Check(); err != nil {
		return []string{key + ": " + withAdvice(err)}
	}
	return []string{"Its " + sidesWord(m) + " say " + number(m.Mould.SidesML(), 0) + "\u202fml." + offWords(m)}
}

func sidesWord(m stock.Mould) string {
	if m.Mould.Volume != nil {
		return "cavities"
	}
	return "sides"
}

// offWords says how far the water fill is from what the sides say, "" when
// there is none.
func offWords(m stock.Mould) string {
	off, known := m.OffPercent()
	switch {
	case !known:
		return ""
	case math.Abs(off) < 0.05:
		return " The water fill says the same."
	case off < 0:
		return fmt.Sprintf(" The water fill says %s\u202f%% less, and plans use it.", number(-off, 1))
	}
	return fmt.Sprintf(" The water fill says %s\u202f%% more, and plans use it.", number(off, 1))
}
