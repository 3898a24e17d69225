package web

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
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

// signs of money, each of some currencies.
var signs = map[string][]string{"€": {"EUR"}, "£": {"GBP"}, "$": {"USD", "CAD", "AUD", "NZD", "SGD", "MXN"}, "¥": {"JPY", "CNY"}}

// tidyPrice reads a price as people write it: with the workshop's currency or
// its sign, "per" for "/", or of a pack ("12,90 / 500 g"). A bare amount is one
// for the unit bare.
func tidyPrice(text, bare, currency string) (price, fault string) {
	money, per, ok := strings.Cut(strings.Replace(text, " per ", " / ", 1), "/")
	if !ok {
		money, ok = strings.CutSuffix(strings.TrimSpace(text), "each")
		if per = strings.TrimPrefix(bare, " / "); ok {
			per = "each"
		}
	}
	amount, other := withoutCurrency(money, currency)
	if other != "" {
		return text, fmt.Sprintf("prices are kept in %s here, and this one is in %.12s", currency, other)
	}
	per = strings.TrimSpace(per)
	if pack, err := quantity.ParseMass(per); err == nil {
		if p, err := quantity.ParsePrice(amount + " / g"); err == nil {
			return plainNumber(p.Amount*1000/pack.G(), 4) + " / kg", ""
		}
	}
	if per = strings.TrimSpace(per); per == "each" {
		text = amount + " each"
	} else {
		text = amount + " / " + per
	}
	p, err := quantity.ParsePrice(text)
	if err != nil {
		return text, withAdvice(err)
	}
	return p.String(), ""
}

// withoutCurrency takes the workshop's currency off an amount; other is a
// currency that is another one.
func withoutCurrency(money, currency string) (amount, other string) {
	word := strings.Trim(money, "0123456789.,-\u2212 \u00a0\u202f")
	amount = strings.TrimSpace(strings.Replace(money, word, "", 1))
	if word == "" || strings.EqualFold(word, currency) || slices.Contains(signs[word], strings.ToUpper(currency)) {
		return amount, ""
	}
	return amount, word
}

// priceText prints a price with its cents, without what goes without saying.
func priceText(p quantity.Price) string {
	amount := plainNumber(p.Amount, 4)
	if _, cents, _ := strings.Cut(amount, "."); len(cents) < 2 {
		amount = fmt.Sprintf("%.2f", p.Amount)
	}
	if p.Per == "each" {
		return amount
	}
	return amount + " / " + p.Per
}
