package web

import (
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"barwright/internal/keyed"
	"barwright/material"
	"barwright/source"
	"barwright/stock"
)

func isAlkali(k material.Kind) bool   { return k == material.Alkali }
func isScent(k material.Kind) bool    { return k == material.Scent }
func isNoAlkali(k material.Kind) bool { return k != material.Alkali }

// lotKind is a lot on the shelf.
var lotKind = &thingKind{kind: kindLot, one: "lot", home: "/stock", path: "/stock/", section: "stock", read: readLot, show: showLot, groups: []fieldGroup{
	{Fields: []thingField{
		{Key: "of", Label: "What it is", Example: "Beef tallow", Hint: "type part of its name", As: asMaterial, Wide: true},
		{Key: "name", Label: "Name or code of the lot", Example: "TLW-7", Hint: "what is written on the tub"},
		{Key: "on_hand", Label: "On hand", Example: "2.5 kg", Hint: "empty when it is used up", As: asLeft, NeedsUnit: true}}},
	{Legend: "Where it is from", Fields: []thingField{
		{Key: "from", Label: "Bought at, or made of", Example: "the butcher; cappings of Alder", Wide: true},
		{Key: "price", Label: "Price", Example: "4.20 / kg", Hint: "or of a pack: 12.90 / 500 g", As: asPrice},
		{Key: "own", Label: "of our own making", As: asTick}}},
	{Legend: "Dates", Fields: []thingField{
		{Key: "packed", Label: "Packed", As: asDay, Example: "5 Nov 2026"}, {Key: "received", Label: "Received", As: asDay, Example: "12 Nov 2026"}, {Key: "best_before", Label: "Best before", As: asDay, Example: "30 Jun 2027"}}},
	{Legend: "Certificate", Hint: "What the lot's own paper says, or what you measured. Where it gives no range, a saponification value is taken as ±1 and everything else as exact.", Threes: true, only: isNoAlkali, Fields: lotFigures()},
	{Legend: "Assay of an alkali", only: isAlkali, Fields: []thingField{
		{Key: "purity", Label: "Assay on the label", Example: "98.5 %", Hint: "planned with where a recipe writes no assay itself", Wide: true, Bare: " %"}}},
	{Legend: "Limit and habits of a scent", only: isScent, Fields: []thingField{
		{Key: "limit", Label: "Most in the bar, from its own document", Example: "0.7 % of bar", Hint: "holds recipes that write no limit themselves", Wide: true, Bare: " % of bar"},
		{Key: "hurries", Label: "thickens the batter quickly", As: asTick}, {Key: "rices", Label: "makes grains when blended in", As: asTick}}},
	{Legend: "Hold it back", Hint: "A held lot is never taken for a batch.", Folds: true, Fields: []thingField{
		{Key: "held", Label: "Held, because", Example: "spots on day 74", Hint: "empty while it may be used", Wide: true}}},
	{Fields: []thingField{noteField}},
}}

// certificateKeys are the figures a lot's own paper may give.
var certificateKeys = []struct {
	key, label, unit, example string
	only                      func(material.Kind) bool
}{
	{"sap", "Saponification value, mg KOH/g", "mg KOH/g", "197.6", material.Kind.IsFat},
	{"acid_value", "Acid value, mg KOH/g", "mg KOH/g", "1.2", material.Kind.IsFat},
	{"water", "Water, %", "%", "17.8", func(k material.Kind) bool { return !k.IsFat() && !isScent(k) }},
	{"density", "Density, g/ml", "g/ml", "0.915", nil},
}

func lotFigures() (out []thingField) {
	for _, c := range certificateKeys {
		out = append(out, thingField{Key: c.key + ".typical", Label: c.label, Example: c.example, Unit: c.unit, only: c.only},
			thingField{Key: c.key + ".low", Label: atLeast, Unit: c.unit, only: c.only}, thingField{Key: c.key + ".high", Label: atMost, Unit: c.unit, only: c.only})
	}
	return append(out, thingField{Key: paperKey, Label: "Number or day of the paper", Example: "certificate 4711, 3 March"},
		thingField{Key: "density.at_c", Label: "Density at, °C", Example: usualDensityC, Unit: "°C"})
}

// paperKey is the field that goes into the locator of every figure of a
// certificate.
const paperKey = "paper"

func readLot(typed map[string]string, lib *material.Library) (written, map[string]string) {
	var l stock.Lot
	keys, faults := certificate(typed)
	id, fault := materialNamed(typed["of"], lib)
	keys["of"] = id
	for key, text := range fill(&l, keys) {
		faults[key] = text
	}
	if fault != "" {
		faults["of"] = fault
	}
	if len(faults) == 0 {
		of, err := lib.Find(l.Of)
		if err != nil {
			panic("web: " + err.Error()) // materialNamed found it
		}
		if key, err := l.Check(of); err != nil {
			faults[key] = withAdvice(err)
		}
	}
	return kept(l, faults)
}

func showLot(body string) (map[string]string, error) {
	var l stock.Lot
	if err := toml.Unmarshal([]byte(body), &l); err != nil {
		return nil, err
	}
	fields := keyed.Fields(l)
	for _, f := range []struct {
		key string
		*source.Figure
	}{{"sap", l.Sap}, {"acid_value", l.AcidValue}, {"water", l.Water}, {"density", l.Density}} {
		if f.Figure == nil {
			continue
		}
		for _, end := range []struct {
			key   string
			value float64
		}{{".low", f.Low}, {".typical", f.Typical}, {".high", f.High}} {
			fields[f.key+end.key] = plainNumber(end.value, 6) // 0 too
		}
		if f.Locator != "" {
			fields[paperKey] = f.Locator
		}
	}
	return fields, nil
}

// certificate makes whole figures of what was typed of a certificate: those
// typed empty go, the others get the unit, source and grade of a lot's own
// paper, and ends that were not typed.
func certificate(typed map[string]string) (keys, faults map[string]string) {
	keys, faults = map[string]string{}, map[string]string{}
	for key, text := range typed {
		keys[key] = text
	}
	paper := keys[paperKey]
	delete(keys, paperKey)
	for _, c := range certificateKeys {
		low, typical, high := keys[c.key+".low"], keys[c.key+".typical"], keys[c.key+".high"]
		if low+typical+high == "" {
			for key := range keys {
				if strings.HasPrefix(key, c.key+".") {
					delete(keys, key)
				}
			}
			continue
		}
		if typical == "" {
			faults[c.key+".typical"] = "the likely value is missing"
		}
		lowest, highest := ends(c.key, typical)
		setEmpty(keys, map[string]string{c.key + ".low": lowest, c.key + ".high": highest, c.key + ".source": "certificate", c.key + ".grade": source.Measured.String()})
		keys[c.key+".unit"], keys[c.key+".locator"] = c.unit, paper
		if c.key == "density" {
			setEmpty(keys, map[string]string{"density.at_c": usualDensityC})
		}
	}
	return keys, faults
}

func setEmpty(keys, values map[string]string) {
	for key, value := range values {
		if keys[key] == "" {
			keys[key] = value
		}
	}
}

// usualDensityC is the temperature densities are given at [°C].
const usualDensityC = "20"

// sapSpread is taken for a certificate that gives no range [mg KOH/g]; see
// docs/materials.md.
const sapSpread = 1

// ends are what a figure lies between when its paper does not say; "" when the
// figure is no number, which is told by itself.
func ends(key, typical string) (low, high string) {
	v, err := strconv.ParseFloat(typical, 64)
	switch {
	case err != nil:
		return "", ""
	case key != "sap":
		return typical, typical
	}
	return plainNumber(v-sapSpread, 6), plainNumber(v+sapSpread, 6)
}
