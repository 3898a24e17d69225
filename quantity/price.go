package quantity

import (
	"slices"
	"strings"
)

// Price is money in the workshop's own currency as written: of a mass or a
// volume ("5.10 / kg"), of a pack ("3.20 / 500 g"), or of a piece ("0.08
// each").
type Price struct {
	Amount float64
	Per    string // a unit of mass, ml or l; a pack like "500 g"; or "each"
	In     string // the currency's three letters, where it was written and nobody has checked it
}

// each is what Price.Per says of a price of one piece.
const each = "each"

// ParsePrice reads a price without knowing the workshop's currency: a sign or
// word that can only be one is kept in Price.In for the caller to check. See
// ParsePriceIn.
func ParsePrice(text string) (Price, error) { return ParsePriceIn(text, "") }

// ParsePriceIn reads "5.10 / kg", "€4.20 per kg", "3.20 for 500 g" or "0.08
// each"; zero or more. A price in another currency than the workshop's is an
// error, and so are a sign that several currencies share while the workshop's
// is unknown (""), and a bare number: it does not say per what.
func ParsePriceIn(text, currency string) (Price, error) {
	const advice = `write it like "5.10 / kg", "3.20 / 500 g" or "0.08 each"`
	money, per, ok := cutPer(strings.TrimSpace(typeset.Replace(text)))
	if !ok {
		return Price{}, fail(advice, "%q does not say per what", shorten(text))
	}
	money, in, err := withoutCurrency(money, currency)
	if err != nil {
		return Price{}, err
	}
	v, word, err := split(money)
	switch {
	case err != nil:
		return Price{}, err
	case word != "":
		return Price{}, fail(advice, "%q is not a price", shorten(text))
	case v < 0:
		return Price{}, fail(advice, "%q is not a price: it is below zero", shorten(text))
	}
	per, err = readPer(per)
	if currency != "" {
		in = ""
	}
	return Price{v, per, in}, err
}

// cutPer parts the money from what it is for.
func cutPer(text string) (money, per string, ok bool) {
	for _, mark := range []string{"/", " per ", " for ", " a "} {
		if money, per, ok = strings.Cut(text, mark); ok {
			per = strings.TrimSpace(per)
			return strings.TrimSpace(money), per, per != ""
		}
	}
	money, ok = strings.CutSuffix(text, each)
	return strings.TrimSpace(money), each, ok
}

// readPer reads what a price is of.
func readPer(text string) (per string, err error) {
	word := strings.ToLower(text)
	if word == each || word == "piece" {
		return each, nil
	}
	if u, ok := find(massUnits, word); ok {
		return u.name, nil
	}
	if u, ok := find(volumeUnits[:2], word); ok {
		return u.name, nil
	}
	if !strings.ContainsAny(text, "0123456789") {
		return "", unitError(text, text, "mass or volume", slices.Concat(massUnits, volumeUnits[:2]))
	}
	pack, err := parseSized(text, "mass or volume", slices.Concat(massUnits, volumeUnits[:2]))
	switch {
	case err != nil:
		return "", err
	case pack.Value == 0:
		return "", fail("a pack is more than zero", "%q is an empty pack", shorten(text))
	case pack.Value == 1:
		return pack.Unit, nil
	}
	return pack.String(), nil
}

// signs of money with the currencies that use them.
var signs = map[string][]string{
	"€": {"EUR"}, "£": {"GBP"}, "$": {"USD", "AUD", "CAD", "HKD", "MXN", "NZD", "SGD"}, "¥": {"JPY", "CNY"}, "₹": {"INR"},
	"zł": {"PLN"}, "kč": {"CZK"}, "kr": {"DKK", "ISK", "NOK", "SEK"}, "us$": {"USD"}, "euro": {"EUR"}, "euros": {"EUR"},
}

// codes are the currencies known by their three letters.
var codes = strings.Fields("AUD BGN BRL CAD CHF CNY CZK DKK EUR GBP HKD HUF INR ISK JPY KRW MXN NOK NZD PLN RON SEK SGD TRY USD ZAR")

// withoutCurrency takes a currency off an amount of money, and tells which it
// was, "" for none.
func withoutCurrency(money, currency string) (amount, in string, err error) {
	word := strings.Trim(money, "0123456789.,+-/ ")
	if word == "" {
		return money, "", nil
	}
	amount = strings.TrimSpace(strings.Replace(money, word, "", 1))
	means := signs[strings.ToLower(word)]
	if code := strings.ToUpper(word); slices.Contains(codes, code) || strings.EqualFold(code, currency) {
		means = []string{code}
	}
	const advice = "leave the currency out: prices are in the workshop's own"
	switch known := strings.ToUpper(currency); {
	case len(means) == 0:
		return "", "", fail(advice, "%q is not a currency known here", shorten(word))
	case known != "" && !slices.Contains(means, known):
		return "", "", fail("change it into "+known, "prices are kept in %s here, and this one is in %s", known, shorten(word))
	case known == "" && len(means) > 1:
		return "", "", fail(advice, "%q may be %s", shorten(word), strings.Join(means[:len(means)-1], ", ")+" or "+means[len(means)-1])
	}
	return amount, means[0], nil
}

// PerGram returns the money for one gram, and false for any other price.
func (p Price) PerGram() (money float64, ok bool) { return p.perUnit(massUnits) }

// PerML returns the money for one millilitre, and false for any other price.
func (p Price) PerML() (money float64, ok bool) { return p.perUnit(volumeUnits[:2]) }

func (p Price) perUnit(units []unit) (money float64, ok bool) {
	if u, ok := find(units, p.Per); ok {
		return p.Amount / u.size, true
	}
	pack, err := parseSized(p.Per, "mass or volume", units)
	if err != nil {
		return 0, false
	}
	return p.Amount / pack.base(units), true
}

func (p Price) String() string {
	money := strings.TrimSpace(plain(p.Amount) + " " + p.In)
	if p.Per == each {
		return money + " " + each
	}
	return money + " / " + p.Per
}

// MarshalText makes the price a TOML or JSON string.
func (p Price) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// UnmarshalText reads the price from a TOML or JSON string.
func (p *Price) UnmarshalText(b []byte) (err error) {
	*p, err = ParsePrice(string(b))
	return err
}
