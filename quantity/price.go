package quantity

import (
	"strings"
)

// Price is money per mass as written, "5.10 / kg", in the workshop's own
// currency, or money per piece, "0.08 each".
type Price struct {
	Amount float64
	Per    string // a unit of mass, or "each"
}

// ParsePrice reads "5.10 / kg" or "0.08 each"; a price is zero or more.
func ParsePrice(text string) (Price, error) {
	const advice = `write it like "5.10 / kg" or "0.08 each"`
	money, per, ok := strings.Cut(text, "/")
	if !ok {
		if money, ok = strings.CutSuffix(strings.TrimSpace(text), "each"); !ok {
			return Price{}, fail(advice, "%q does not say per what", shorten(text))
		}
		per = "each"
	}
	v, word, err := split(money)
	if err != nil {
		return Price{}, err
	}
	if word != "" || v < 0 {
		return Price{}, fail(advice, "%q is not a price", shorten(text))
	}
	if per = strings.TrimSpace(per); per != "each" {
		u, ok := find(massUnits, per)
		if !ok {
			return Price{}, unitError(text, per, "mass", massUnits)
		}
		per = u.name
	}
	return Price{v, per}, nil
}

// PerGram returns the money for one gram, and false for a price each.
func (p Price) PerGram() (float64, bool) {
	u, ok := find(massUnits, p.Per)
	if !ok {
		return 0, false
	}
	return p.Amount / u.size, true
}

func (p Price) String() string {
	if p.Per == "each" {
		return plain(p.Amount) + " each"
	}
	return plain(p.Amount) + " / " + p.Per
}

// MarshalText makes the price a TOML or JSON string.
func (p Price) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// UnmarshalText reads the price from a TOML or JSON string.
func (p *Price) UnmarshalText(b []byte) (err error) {
	*p, err = ParsePrice(string(b))
	return err
}
