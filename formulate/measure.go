package formulate

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"barwright/internal/near"
	"barwright/makeup"
	"barwright/material"
	"barwright/melt"
	"barwright/plan"
	"barwright/quantity"
)

// kind says how the values of a measure are written.
type kind int

const (
	percent kind = iota // "12 %"
	number              // "70"
	perKg               // "4.20 / kg"
	each                // "0.45 each"
	celsius             // "38 °C"
)

// measure is one quantity that a limit or a target can speak of.
type measure struct {
	name    string // in the goal file
	words   string // in a sentence
	kind    kind
	natural bool    // nature gives it a range
	little  float64 // what "a little more" is
	per     func(c *candidate, l *lot) float64
	of      func(g *problem, b blend) float64 // where it is not linear in the shares
	onlyMax bool                              // it cannot be asked to be at least something
}

// value returns the measure of a blend, in its unit.
func (m *measure) value(g *problem, b blend) float64 {
	if m.of != nil {
		return m.of(g, b)
	}
	sum := 0.0
	for _, p := range b {
		sum += p.share / 100 * m.per(p.candidate, p.lot)
	}
	return sum
}

// linear reports whether the measure of a blend is the mean of its fats.
func (m *measure) linear() bool { return m.of == nil }

var groupWords = map[material.Group]string{material.Short: "C4 and C6 acids", material.C8C10: "C8 and C10 acids", material.C12C14: "lauric and myristic acid",
	material.C16C18: "palmitic and stearic acid", material.C20C24: "C20 to C24 acids", material.Mono: "acids with one double bond",
	material.Poly: "linoleic and linolenic acid", material.Hydroxy: "ricinoleic acid", material.OtherFat: "other acids"}

// measures lists every quantity of the goal file but share.
var measures = func() (all []*measure) {
	for _, g := range material.Groups {
		all = append(all, &measure{name: string(g), words: groupWords[g], natural: true, little: 1,
			per: func(c *candidate, _ *lot) float64 { return c.groups[g] }})
	}
	all = append(all,
		&measure{name: "iodine_value", words: "iodine value", kind: number, natural: true, little: 1,
			per: func(c *candidate, _ *lot) float64 { return c.iodine }},
		&measure{name: "cox", words: "Cox value", kind: number, natural: true, little: 0.1,
			per: func(c *candidate, _ *lot) float64 { return c.cox }},
		&measure{name: "sap", words: "saponification value", kind: number, natural: true, little: 1,
			per: func(c *candidate, _ *lot) float64 { return c.Sap.Typical }},
		&measure{name: "unsaponified", words: "unsaponified wax", little: 1,
			per: func(c *candidate, _ *lot) float64 { return c.unsaponified }},
		&measure{name: "free_acids", words: "free fatty acids", little: 1,
			per: func(c *candidate, _ *lot) float64 { return on(c.Kind == material.FreeAcid) }},
		&measure{name: "hard_wax", words: "hard wax", little: 1,
			per: func(c *candidate, _ *lot) float64 { return on(plan.IsHardWax(c.Material)) }},
		&measure{name: "own", words: "fat of our own", little: 1,
			per: func(_ *candidate, l *lot) float64 { return on(l.own) }},
		&measure{name: "cost_per_kg", words: "price of the fats", kind: perKg, little: 0.10,
			per: func(_ *candidate, l *lot) float64 { return l.perKg }},
		&measure{name: "cost_per_bar", words: "price of the fats in a bar", kind: each, little: 0.01, of: costPerBar},
		&measure{name: "cloud_point", words: "cloud point", kind: celsius, little: 1, onlyMax: true,
			of: func(_ *problem, b blend) float64 { return b.cloud().TypicalC }},
		&measure{name: "clear_point", words: "temperature that melts it clear", kind: celsius, little: 1, onlyMax: true,
			of: func(_ *problem, b blend) float64 { return b.cloud().ClearC }},
		&measure{name: "change", words: "change from the recipe", little: 1, onlyMax: true,
			of: func(g *problem, b blend) float64 { return b.changeFrom(g.from) }})
	for _, tC := range []float64{20, 35, 45} {
		all = append(all, &measure{name: fmt.Sprintf("dissolving_%gc", tC), words: fmt.Sprintf("soap that can dissolve at %g °C", tC), natural: true, little: 1,
			of: func(g *problem, b blend) float64 { return b.fats().Dissolving(tC, g.koh) }})
	}
	return all
}()

func on(b bool) float64 {
	if b {
		return 100
	}
	return 0
}

// shareOf is the measure "share" of one candidate.
func shareOf(id, name string) *measure {
	return &measure{name: "share", words: name, little: 1,
		per: func(c *candidate, _ *lot) float64 { return on(c.ID == id) }}
}

// findMeasure returns the measure of a name, or what to write instead.
func findMeasure(name string) (m *measure, advice string) {
	names := []string{"share"}
	for _, m := range measures {
		if m.name == name {
			return m, ""
		}
		names = append(names, m.name)
	}
	slices.Sort(names)
	advice = "the quantities are " + strings.Join(names, ", ")
	if n := near.Word(name, names); n != "" {
		advice = fmt.Sprintf("did you mean %q? %s", n, advice)
	}
	return nil, advice
}

// read returns the value that a text gives the measure.
func (m *measure) read(v Value) (float64, error) {
	switch m.kind {
	case percent:
		s, err := quantity.ParseShare(v.Text)
		return s.Percent, err
	case celsius:
		t, err := quantity.ParseTemperature(v.Text)
		return t.C(), err
	case perKg:
		p, err := quantity.ParsePrice(v.Text)
		perGram, ok := p.PerGram()
		if err == nil && !ok {
			err = &quantity.Error{Text: fmt.Sprintf("%.40q is not a price by mass", v.Text), Advice: `like "4.20 / kg"`}
		}
		return short(1000 * perGram), err
	case each:
		p, err := quantity.ParsePrice(v.Text)
		if err == nil && p.Per != "each" {
			err = &quantity.Error{Text: fmt.Sprintf("%.40q is not a price of a bar", v.Text), Advice: `like "0.45 each"`}
		}
		return p.Amount, err
	}
	return quantity.ParseNumber(strings.TrimSuffix(strings.TrimSpace(v.Text), "mg KOH/g"))
}

// show prints a value of the measure with its unit.
func (m *measure) show(v float64) string {
	switch m.kind {
	case percent:
		return trim(v, 2) + " %"
	case perKg:
		return strconv.FormatFloat(v, 'f', 2, 64) + " / kg"
	case each:
		return strconv.FormatFloat(v, 'f', 3, 64) + " each"
	case celsius:
		return trim(v, 1) + " °C"
	}
	return trim(v, 2)
}

// more says that there is more or less of the measure by so much: "1 % more
// ricinoleic acid", "a Cox value lower by 0.1".
func (m *measure) more(by float64, less bool) string {
	switch {
	case m.kind == percent && less:
		return fmt.Sprintf("%s less %s", m.show(by), m.words)
	case m.kind == percent:
		return fmt.Sprintf("%s more %s", m.show(by), m.words)
	case less:
		return fmt.Sprintf("a %s lower by %s", m.words, m.show(by))
	}
	return fmt.Sprintf("a %s higher by %s", m.words, m.show(by))
}

// end says where the measure ends: "up to 14 % ricinoleic acid".
func (m *measure) end(text string, atLeast bool) string {
	word := "up to"
	if atLeast {
		word = "at least"
	}
	if m.kind == percent {
		return fmt.Sprintf("%s %s %s", word, text, m.words)
	}
	return fmt.Sprintf("a %s %s %s", m.words, word, text)
}

// trim prints v with at most so many decimals.
func trim(v float64, decimals int) string {
	p := math.Pow10(decimals)
	return strconv.FormatFloat(math.Round(v*p)/p, 'f', -1, 64)
}

// short rounds v to the twelfth decimal, which is what a model is written in:
// no figure of a fat is known to half as many.
func short(v float64) float64 { return math.Round(v*1e12) / 1e12 }

// blend is fats with their shares in per cent.
type blend []portion

type portion struct {
	*candidate
	lot   *lot
	share float64 // [%]
}

func (b blend) fats() makeup.Fats {
	out := make(makeup.Fats, len(b))
	for i, p := range b {
		out[i] = makeup.Fat{Material: p.Material, MassG: p.share}
	}
	return out
}

// cloud returns the cloud point, at absolute zero when nothing can fall out.
func (b blend) cloud() melt.Cloud {
	parts := make([]melt.Part, len(b))
	for i, p := range b {
		parts[i] = melt.Part{Material: p.Material, Share: p.share / 100}
	}
	solutes, unknown := melt.SolutesOf(parts)
	c, ok := melt.CloudPoint(solutes)
	switch {
	case len(unknown) > 0: // nobody knows, so it is not safe
		c.TypicalC, c.ClearC = math.Inf(1), math.Inf(1)
	case !ok:
		c.TypicalC, c.ClearC = quantity.AbsoluteZeroC, quantity.AbsoluteZeroC
	}
	return c
}

// changeFrom returns half the sum of the differences of shares [points].
func (b blend) changeFrom(from []portion) float64 {
	diff := map[string]float64{}
	for _, p := range b {
		diff[p.ID] += p.share
	}
	for _, p := range from {
		diff[p.ID] -= p.share
	}
	sum := 0.0
	for _, d := range diff {
		sum += math.Abs(d)
	}
	return sum / 2
}

// costPerBar returns the fats in a bar of the wanted weight as poured, in
// money: the bar is fats and lye. docs/model/formulate.md eq. 5.
func costPerBar(g *problem, b blend) float64 {
	cost, lye := 0.0, 0.0
	for _, p := range b {
		cost += p.share / 100 * p.lot.perKg
		lye += p.share / 100 * g.lyePerFat(p.candidate)
	}
	return g.barG / 1000 * cost / (1 + lye)
}
