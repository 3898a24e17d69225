package quantity

import "math"

// Mass is a mass as written: "880 g", "2 lb".
type Mass struct{ sized }

var massUnits = []unit{
	{"g", 1, []string{"gram", "grams", "gramme", "grammes"}},
	{"kg", 1000, []string{"kilo", "kilos", "kilogram", "kilograms"}},
	// International avoirdupois units, exact (NIST Handbook 44, appendix C).
	{"oz", 28.349523125, []string{"ounce", "ounces"}},
	{"lb", 453.59237, []string{"lbs", "pound", "pounds"}},
	{"mg", 0.001, nil},
}

// Grams returns a mass of g grams.
func Grams(g float64) Mass { return Mass{sized{g, "g"}} }

// ParseMass reads a mass; zero and negative masses are errors.
func ParseMass(text string) (Mass, error) {
	s, err := parseSized(text, "mass", massUnits)
	if err == nil && s.Value <= 0 {
		err = fail("a mass is more than zero", "%q is not a mass to weigh", shorten(text))
	}
	return Mass{s}, err
}

// G returns the mass in grams.
func (m Mass) G() float64 { return m.base(massUnits) }

// ShowIn prints a mass of g grams in a unit of mass with the given decimals
// at most. A unit that is none is a programmer's mistake and panics.
func ShowIn(g float64, unit string, decimals int) string {
	u, ok := find(massUnits, unit)
	if !ok {
		panic("quantity: no unit of mass: " + unit)
	}
	p := math.Pow10(decimals)
	return plain(math.Round(g/u.size*p)/p) + " " + u.name
}

// UnmarshalText reads the mass from a TOML or JSON string.
func (m *Mass) UnmarshalText(b []byte) (err error) {
	*m, err = ParseMass(string(b))
	return err
}
