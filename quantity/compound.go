package quantity

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// Amount is how much of an addition: exactly one of a share of the fats, a
// mass or a volume.
type Amount struct {
	Share  *Share
	Mass   *Mass
	Volume *Volume
}

// ParseAmount reads "1.5 %", "20 g" or "1 tbsp us".
func ParseAmount(text string) (Amount, error) {
	v, word, err := split(text)
	if err != nil {
		return Amount{}, err
	}
	if v < 0 {
		return Amount{}, belowZero(text, "amount")
	}
	_, isMass := find(massUnits, word)
	_, isVolume := find(volumeUnits, kitchenWord(word))
	_, lacksCountry := find(volumeUnits, kitchenWord(word)+" us")
	switch {
	case isPercent(word) || strings.HasPrefix(word, "%"): // "% of fats" is told by ParseShare
		s, err := ParseShare(text)
		return Amount{Share: &s}, err
	case isMass:
		m, err := ParseMass(text)
		return Amount{Mass: &m}, err
	case isVolume || lacksCountry:
		v, err := ParseVolume(text)
		return Amount{Volume: &v}, err
	}
	return Amount{}, unitError(text, word, "mass or volume", slices.Concat([]unit{{name: "%"}}, massUnits, volumeUnits))
}

func (a Amount) String() string {
	switch {
	case a.Share != nil:
		return a.Share.String()
	case a.Mass != nil:
		return a.Mass.String()
	case a.Volume != nil:
		return a.Volume.String()
	}
	return ""
}

// MarshalText makes the amount a TOML or JSON string.
func (a Amount) MarshalText() ([]byte, error) { return []byte(a.String()), nil }

// UnmarshalText reads the amount from a TOML or JSON string.
func (a *Amount) UnmarshalText(b []byte) (err error) {
	*a, err = ParseAmount(string(b))
	return err
}

// Bars is a wanted number of bars of a cured weight each: "11 x 100 g".
type Bars struct {
	Count int
	Each  Mass
}

// ParseBars reads "11 x 100 g".
func ParseBars(text string) (Bars, error) {
	const advice = `write it like "11 x 100 g", the weight of a cured bar`
	n, each, ok := strings.Cut(strings.ReplaceAll(strings.ToLower(text), "×", "x"), "x")
	n = strings.TrimSpace(typeset.Replace(n))
	if grouped.MatchString(n) {
		n = strings.ReplaceAll(n, " ", "")
	}
	count, err := strconv.Atoi(n)
	if !ok || err != nil || count < 1 || count > 100000 {
		return Bars{}, fail(advice, "%q is not a number of bars and their weight", shorten(text))
	}
	m, err := ParseMass(strings.TrimSpace(each))
	return Bars{count, m}, err
}

func (b Bars) String() string { return strconv.Itoa(b.Count) + " x " + b.Each.String() }

// MarshalText makes the bars a TOML or JSON string.
func (b Bars) MarshalText() ([]byte, error) { return []byte(b.String()), nil }

// UnmarshalText reads the bars from a TOML or JSON string.
func (b *Bars) UnmarshalText(t []byte) (err error) {
	*b, err = ParseBars(string(t))
	return err
}

// Stuff is a named stuff with a thickness or a mass: "softwood 12 mm",
// "steel 1.2 kg", or "none".
type Stuff struct {
	Name      string
	Thickness *Length
	Mass      *Mass
}

// None is the stuff that is not there: a bare face, no vessel.
var None = Stuff{Name: "none"}

var sizeStart = regexp.MustCompile(`[-+]?[.,]?[0-9]`)

// ParseStuff reads a name and an optional thickness or mass.
func ParseStuff(text string) (Stuff, error) {
	text = strings.TrimSpace(typeset.Replace(text))
	size := sizeStart.FindStringIndex(text)
	if size == nil {
		return namedStuff(text, text)
	}
	at := size[0]
	s, err := namedStuff(text[:at], text)
	if err != nil {
		return Stuff{}, err
	}
	if s.Name == None.Name {
		return Stuff{}, fail(`write "none" alone, or what it is, like "softwood 12 mm"`, "%q: nothing has no size", shorten(text))
	}
	_, word, err := split(text[at:])
	if err != nil {
		return Stuff{}, err
	}
	if _, ok := find(massUnits, word); ok {
		m, err := ParseMass(text[at:])
		s.Mass = &m
		return s, err
	}
	if _, ok := find(lengthUnits, word); !ok {
		return Stuff{}, unitError(text, word, "length or mass", slices.Concat(lengthUnits, massUnits))
	}
	l, err := ParseLength(text[at:])
	s.Thickness = &l
	return s, err
}

func namedStuff(name, text string) (Stuff, error) {
	name = strings.Join(strings.Fields(strings.ToLower(name)), " ")
	if name == "" {
		return Stuff{}, fail(`write what it is first, like "softwood 12 mm" or "steel 1.2 kg"`, "%q does not say of what", shorten(text))
	}
	return Stuff{Name: name}, nil
}

func (s Stuff) String() string {
	switch {
	case s.Thickness != nil:
		return s.Name + " " + s.Thickness.String()
	case s.Mass != nil:
		return s.Name + " " + s.Mass.String()
	}
	return s.Name
}

// MarshalText makes the stuff a TOML or JSON string.
func (s Stuff) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the stuff from a TOML or JSON string.
func (s *Stuff) UnmarshalText(b []byte) (err error) {
	*s, err = ParseStuff(string(b))
	return err
}

// BarLimit is the most of a scent that its own document allows, as a share of
// the finished bar: "0.7 % of bar".
type BarLimit struct{ Share Share }

// ParseBarLimit reads "0.7 % of bar".
func ParseBarLimit(text string) (BarLimit, error) {
	const advice = `write it like "0.7 % of bar", the most its document allows in the finished bar`
	share, ok := strings.CutSuffix(strings.TrimSpace(typeset.Replace(text)), "of bar")
	if !ok {
		return BarLimit{}, fail(advice, "%q does not say of what", shorten(text))
	}
	s, err := ParseShare(share)
	if err == nil && s.Percent > 100 {
		err = fail(advice, "%q is more than the whole bar", shorten(text))
	}
	return BarLimit{s}, err
}

func (l BarLimit) String() string { return l.Share.String() + " of bar" }

// MarshalText makes the limit a TOML or JSON string.
func (l BarLimit) MarshalText() ([]byte, error) { return []byte(l.String()), nil }

// UnmarshalText reads the limit from a TOML or JSON string.
func (l *BarLimit) UnmarshalText(b []byte) (err error) {
	*l, err = ParseBarLimit(string(b))
	return err
}
