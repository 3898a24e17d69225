package web

import (
	"cmp"
	"fmt"
	"regexp"
	"strings"

	"barwright/material"
	"barwright/quantity"
)

// What people type in a field, and what it surely means.

// bareNumber is a number typed without its unit.
var bareNumber = regexp.MustCompile(`^[0-9.,/ ]*[0-9][0-9.,/ ]*$`)

// tidy gives a typed text the form it is kept in, and says when what it means
// is not sure. currency is the workshop's own.
func (f thingField) tidy(text, currency string) (tidied, fault string) {
	text = strings.ReplaceAll(text, "\r\n", "\n")
	if f.As == asFile {
		return text, ""
	}
	text = strings.TrimSpace(text)
	switch {
	case text == "":
		return "", f.Need
	case f.As == asDay:
		return tidyDay(text)
	case f.As == asPrice:
		return tidyPrice(text, f.Bare, currency)
	case f.As == asWater:
		return waterFill(text), ""
	case f.Unit != "":
		return f.tidyFigure(text)
	case f.As == asLeft && (strings.HasPrefix(text, "-") || strings.HasPrefix(text, "\u2212")):
		return text, "there cannot be less than nothing; leave it empty when it is used up"
	case f.As == asLeft && isZero(text):
		return "", ""
	case !bareNumber.MatchString(text):
		return text, ""
	case f.NeedsUnit:
		return text, fmt.Sprintf("%.20s of what? write g, kg, oz or lb after it", text)
	}
	return text + f.Bare, ""
}

// typed is a kept text as its field shows it.
func (f thingField) typed(kept string, lib *material.Library) string {
	switch f.As {
	case asMaterial:
		return nameOf(kept, lib)
	case asDay:
		if d, err := quantity.ParseDate(kept); err == nil {
			return dayWords(d)
		}
	case asPrice:
		if p, err := quantity.ParsePrice(kept); err == nil {
			return priceText(p)
		}
	}
	return kept
}

// asTyped are kept fields as the form shows them.
func (k *thingKind) asTyped(kept map[string]string, lib *material.Library) map[string]string {
	out := map[string]string{}
	for _, f := range k.fields() {
		out[f.Key] = f.typed(kept[f.Key], lib)
	}
	return out
}

var figureForm = regexp.MustCompile(`^-?[0-9]+(?:\.[0-9]+)?$`)

// tidyFigure reads a figure of a certificate, with its unit or without.
func (f thingField) tidyFigure(text string) (figure, fault string) {
	figure = strings.TrimSpace(strings.TrimSuffix(text, f.Unit))
	figure = strings.NewReplacer("\u2212", "-", ",", ".").Replace(figure)
	if figureForm.MatchString(figure) {
		return figure, ""
	}
	return text, fmt.Sprintf("%.40q is not one number in %s; write it like %s", text, f.Unit, cmp.Or(f.Example, "197.6"))
}

func tidyDay(text string) (day, fault string) {
	d, err := quantity.ReadDate(text)
	if err != nil {
		return text, withAdvice(err)
	}
	return d.String(), ""
}

// isZero reports "0", "0 g", "0.0 kg".
func isZero(text string) bool {
	number, _, _ := strings.Cut(text, " ")
	return strings.Trim(strings.TrimRight(number, "gk"), "0.,") == "" && strings.Contains(number, "0")
}

// waterFill turns the mass of the water in a mould, as a scale shows it, into
// its volume: a gram of water is a millilitre.
func waterFill(text string) string {
	m, err := quantity.ParseMass(text)
	if err != nil {
		return text
	}
	return plainNumber(m.G(), 1) + " ml"
}

// tidyPrice reads a price as people write it. A bare amount is one for the unit
// bare.
func tidyPrice(text, bare, currency string) (price, fault string) {
	p, err := quantity.ParsePriceIn(text, currency)
	if err != nil && !saysPer.MatchString(text) {
		p, err = quantity.ParsePriceIn(text+bare, currency)
	}
	if err != nil {
		return text, withAdvice(err)
	}
	return p.String(), ""
}

// saysPer finds what a price is of.
var saysPer = regexp.MustCompile(`/| per | for | a |each`)

// priceText prints a price with its cents, without what goes without saying.
func priceText(p quantity.Price) string {
	amount := plainNumber(p.Amount, 4)
	if _, cents, _ := strings.Cut(amount, "."); len(cents) < 2 {
		amount = fmt.Sprintf("%.2f", p.Amount)
	}
	if p.In != "" {
		amount += " " + p.In // another than the workshop's own, or nobody knows
	}
	if p.Per == "each" {
		return amount
	}
	return amount + " / " + p.Per
}
