// Package quantity parses, converts and prints what makers write beside a
// number: masses, kitchen volumes, temperatures, shares, lengths and times.
//
// A quantity keeps the number and the unit as written, so that a recipe in
// ounces prints in ounces again and parse(print(q)) = q exactly. Convert once,
// with G, ML, C, Fraction, MM or Seconds, on the way into a calculation.
//
// Start with ParseMass and Mass.G. What it does not do: arithmetic between
// quantities, or guessing a unit that is not there.
package quantity

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"barwright/internal/near"
)

// The largest and, but for zero, the smallest number accepted in any unit.
const (
	MaxValue = 1e7
	MinValue = 1e-6
)

// Error says what is wrong with a written quantity and what to write instead.
type Error struct{ Text, Advice string }

func (e *Error) Error() string { return e.Text }

// Hint returns what to write instead.
func (e *Error) Hint() string { return e.Advice }

func fail(advice, format string, args ...any) error {
	return &Error{Text: fmt.Sprintf(format, args...), Advice: advice}
}

// typeset turns the signs of word processors and old cookery books into those
// of a plain keyboard.
var typeset = strings.NewReplacer("\u00a0", " ", "\u2007", " ", "\u2009", " ", "\u202f", " ", "\u2212", "-", "\u2044", "/",
	"½", " 1/2", "⅓", " 1/3", "⅔", " 2/3", "¼", " 1/4", "¾", " 3/4", "⅛", " 1/8")

// ParseNumber reads a plain number without a unit, zero or more. "1,000" is
// asked about, as everywhere.
func ParseNumber(text string) (float64, error) {
	const advice = `like "70"`
	v, unit, err := split(strings.TrimSpace(typeset.Replace(text)))
	switch {
	case err != nil:
		return 0, err
	case unit != "" || v < 0:
		return 0, fail(advice, "%q is not a plain number", shorten(text))
	}
	return v, nil
}

// split cuts "33,5 %" into the number 33.5 and the unit "%". It accepts a
// decimal point or comma, thousands parted by a space of any width, a fraction
// ("1/2") and a whole number with a fraction ("2 1/2").
func split(text string) (value float64, unit string, err error) {
	s := strings.TrimSpace(typeset.Replace(text))
	end := 0
	for end < len(s) && strings.IndexByte("0123456789.,/ +-", s[end]) >= 0 {
		end++
	}
	value, err = number(strings.TrimSpace(s[:end]), text)
	return value, strings.TrimSpace(s[end:]), err
}

// number reads the number s of a text.
func number(s, text string) (float64, error) {
	const advice = `write a plain number with its unit, like "5.5 %" or "880 g"`
	if s == "" {
		return 0, fail(advice, "%q has no number", shorten(text))
	}
	if grouped.MatchString(s) {
		s = strings.ReplaceAll(s, " ", "")
	} else if mark, ok := thousandsOrDecimals(s); ok {
		whole, parts, _ := strings.Cut(s, mark)
		few := strings.TrimSuffix(whole+"."+parts, ".000") // 1.000 would be asked about again
		return 0, fail("write "+whole+parts+" or "+few,
			"%[1]q can be read two ways: is the %[2]s a decimal %[2]s or does it part thousands?", shorten(text), markNames[mark])
	}
	if whole, parts, ok := thousandsAndDecimals(s); ok {
		return 0, fail("write "+whole+"."+parts+" or "+whole+","+parts, "%q has a mark between its thousands", shorten(text))
	}
	v, err := fraction(s)
	if err != nil {
		v, err = decimal(s)
	}
	switch size := math.Abs(v); {
	case err != nil:
		return 0, fail(advice, "%q is not one number", shorten(text))
	case size > MaxValue:
		return 0, fail("is the unit right?", "%q is beyond any batch", shorten(text))
	case size != 0 && size < MinValue:
		return 0, fail("is the unit right?", "%q is too little to measure", shorten(text))
	case size == 0:
		return 0, nil // never -0
	}
	return v, nil
}

// grouped is "1 020" and "12 862,5", as this program prints large numbers.
var grouped = regexp.MustCompile(`^-?[1-9]\d{0,2}(?: \d{3})+(?:[.,]\d+)?$`)

var markNames = map[string]string{",": "comma", ".": "point"}

// thousandsOrDecimals reports "1,040": one comma, one to three digits before
// it (not a lone zero) and exactly three after it. A point is taken for a
// decimal point, because fine scales show 12.345 g, unless what follows is
// 000: that is how half of the world writes thousands.
func thousandsOrDecimals(s string) (mark string, ok bool) {
	mark = ","
	if strings.HasSuffix(s, ".000") {
		mark = "."
	}
	before, after, ok := strings.Cut(strings.TrimPrefix(s, "-"), mark)
	return mark, ok && len(after) == 3 && len(before) >= 1 && len(before) <= 3 && before != "0" && strings.Trim(before+after, "0123456789") == ""
}

var thousandsForm = regexp.MustCompile(`^-?(?:\d{1,3}(?:\.\d{3})+,\d+|\d{1,3}(?:,\d{3})+\.\d+)$`)

// thousandsAndDecimals cuts "1.000,5" and "1,000.5" into 1000 and 5.
func thousandsAndDecimals(s string) (whole, parts string, ok bool) {
	last := strings.LastIndexAny(s, ".,")
	if !thousandsForm.MatchString(s) {
		return "", "", false
	}
	return strings.NewReplacer(".", "", ",", "").Replace(s[:last]), s[last+1:], true
}

var fractionForm = regexp.MustCompile(`^(?:(\d{1,7}) +)?(\d{1,7}) ?/ ?(\d{1,7})$`)

// fraction reads "1/2" and "2 1/2".
func fraction(s string) (float64, error) {
	m := fractionForm.FindStringSubmatch(s)
	if m == nil {
		return 0, strconv.ErrSyntax
	}
	whole, _ := strconv.Atoi("0" + m[1]) // digits only, as the form says
	num, _ := strconv.Atoi(m[2])
	den, _ := strconv.Atoi(m[3])
	if den == 0 {
		return 0, strconv.ErrRange
	}
	return float64(whole) + float64(num)/float64(den), nil
}

// decimal reads digits with at most one decimal mark; no exponent, no NaN.
func decimal(s string) (float64, error) {
	s = strings.ReplaceAll(s, ",", ".")
	if s == "" || strings.Trim(strings.TrimPrefix(s, "-"), "0123456789.") != "" || strings.Trim(s, "-.") == "" {
		return 0, strconv.ErrSyntax
	}
	return strconv.ParseFloat(s, 64)
}

func plain(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// shorten keeps an error to one line, however long the text it quotes.
func shorten(s string) string {
	if r := []rune(s); len(r) > 40 {
		return string(r[:40]) + "…"
	}
	return s
}

// unit is one way to write a unit: the word printed, its size in the base
// unit, and other spellings.
type unit struct {
	name  string
	size  float64
	other []string
}

func (u unit) is(word string) bool {
	if word == u.name {
		return true
	}
	for _, o := range u.other {
		if word == o {
			return true
		}
	}
	return false
}

func find(units []unit, word string) (unit, bool) {
	w := strings.Join(strings.Fields(strings.ToLower(word)), " ")
	for _, u := range units {
		if u.is(w) {
			return u, true
		}
	}
	return unit{}, false
}

// sized is a value with one of a list of units.
type sized struct {
	Value float64
	Unit  string
}

func parseSized(text, kind string, units []unit) (sized, error) {
	v, word, err := split(text)
	if err != nil {
		return sized{}, err
	}
	if v < 0 {
		return sized{}, belowZero(text, kind)
	}
	u, ok := find(units, word)
	if !ok {
		return sized{}, unitError(text, word, kind, units)
	}
	return sized{v, u.name}, nil
}

// belowZero is the error of a negative number where none can be, whatever else
// is wrong with the text.
func belowZero(text, kind string) error {
	advice := "a " + kind + " is more than zero"
	switch kind {
	case "time":
		advice = "a span of time is more than zero"
	case "share":
		advice = "a share is zero or more"
	case "amount":
		advice = "an amount is more than zero"
	}
	return fail(advice, "%q is below zero", shorten(text))
}

func unitError(text, word, kind string, units []unit) error {
	names := make([]string, len(units))
	for i, u := range units {
		names[i] = u.name
	}
	advice := "use one of: " + strings.Join(names, ", ")
	if word == "" {
		return fail(advice, "%q has no unit", shorten(text))
	}
	_, isMass := find(massUnits, word)
	_, isVolume := find(volumeUnits, word)
	switch n := near.Word(word, names); {
	case kind == "mass" && isVolume:
		advice = "weigh it, and write g, kg, oz or lb"
	case kind == "volume" && isMass:
		advice = "fill it with water and weigh that: a gram of water is a millilitre"
	case n != "":
		advice = fmt.Sprintf("did you mean %q? %s", n, advice)
	}
	return fail(advice, "%q is not a unit of %s", shorten(word), kind)
}

func (s sized) base(units []unit) float64 {
	u, _ := find(units, s.Unit)
	return s.Value * u.size
}

// String prints number and unit as they are read back.
func (s sized) String() string { return plain(s.Value) + " " + s.Unit }

// MarshalText makes the quantity a TOML or JSON string.
func (s sized) MarshalText() ([]byte, error) { return []byte(s.String()), nil }
