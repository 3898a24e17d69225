package quantity

import (
	"slices"
	"strings"
)

var lengthUnits = []unit{
	{"mm", 1, nil},
	{"cm", 10, nil},
	{"in", 25.4, []string{"inch", "inches", `"`}},
}

// Length is a length as written: "12 mm".
type Length struct{ sized }

// ParseLength reads a length above zero.
func ParseLength(text string) (Length, error) {
	s, err := parseSized(text, "length", lengthUnits)
	if err == nil && s.Value <= 0 {
		err = fail("a length is more than zero", "%q is not a length", shorten(text))
	}
	return Length{s}, err
}

// MM returns the length in millimetres.
func (l Length) MM() float64 { return l.base(lengthUnits) }

// UnmarshalText reads the length from a TOML or JSON string.
func (l *Length) UnmarshalText(b []byte) (err error) {
	*l, err = ParseLength(string(b))
	return err
}

// Sides are two or three lengths in one unit: "250 x 90 x 65 mm". Sides that
// are not there are zero.
type Sides struct {
	Values [3]float64
	Unit   string
}

// ParseSides reads two or three lengths parted by x.
func ParseSides(text string) (Sides, error) {
	const advice = `write it like "250 x 90 x 65 mm"`
	parts := strings.Split(strings.ReplaceAll(strings.ToLower(text), "×", "x"), "x")
	if len(parts) < 2 || len(parts) > 3 || slices.ContainsFunc(parts, func(p string) bool { return strings.TrimSpace(p) == "" }) {
		return Sides{}, fail(advice, "%q is not two or three sides", shorten(text))
	}
	last, err := ParseLength(strings.TrimSpace(parts[len(parts)-1]))
	if err != nil {
		return Sides{}, err
	}
	s := Sides{Unit: last.Unit}
	for i, p := range parts {
		l, err := ParseLength(withUnit(p, last.Unit))
		if err != nil {
			return Sides{}, err
		}
		if l.Unit != last.Unit {
			return Sides{}, fail(advice, "%q mixes %s and %s", shorten(text), l.Unit, last.Unit)
		}
		s.Values[i] = l.Value
	}
	return s, nil
}

// withUnit adds the last side's unit to a side that has none.
func withUnit(text, unit string) string {
	text = strings.TrimSpace(text)
	if _, word, err := split(text); err == nil && word == "" {
		return text + " " + unit
	}
	return text
}

// Count returns how many sides were given, 2 or 3.
func (s Sides) Count() int {
	n := 0
	for _, v := range s.Values {
		if v > 0 {
			n++
		}
	}
	return n
}

// MM returns side i in millimetres, 0 when it is not there.
func (s Sides) MM(i int) float64 { return sized{s.Values[i], s.Unit}.base(lengthUnits) }

func (s Sides) String() string {
	parts := make([]string, s.Count())
	for i := range parts {
		parts[i] = plain(s.Values[i])
	}
	return strings.Join(parts, " x ") + " " + s.Unit
}

// MarshalText makes the sides a TOML or JSON string.
func (s Sides) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the sides from a TOML or JSON string.
func (s *Sides) UnmarshalText(b []byte) (err error) {
	*s, err = ParseSides(string(b))
	return err
}
