package quantity

import "strings"

// Share is a part of a whole as written, in per cent.
type Share struct{ Percent float64 }

// ParseShare reads "5 %"; a number alone is an error, because 0.05 and 5 are
// both somebody's five per cent.
func ParseShare(text string) (Share, error) {
	v, word, err := split(text)
	if err != nil {
		return Share{}, err
	}
	switch {
	case v < 0:
		return Share{}, belowZero(text, "share")
	case word == "":
		return Share{}, fail("write it in per cent, like \"5 %\"", "%q has no unit", shorten(text))
	case !isPercent(word):
		return Share{}, fail("write it in per cent, like \"5 %\"", "%q is not a share", shorten(text))
	}
	return Share{v}, nil
}

func isPercent(word string) bool {
	return word == "%" || strings.EqualFold(word, "percent") || strings.EqualFold(word, "per cent")
}

// Fraction returns the share as a fraction: 0.05 for 5 %.
func (s Share) Fraction() float64 { return s.Percent / 100 }

func (s Share) String() string { return plain(s.Percent) + " %" }

// MarshalText makes the share a TOML or JSON string.
func (s Share) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads the share from a TOML or JSON string.
func (s *Share) UnmarshalText(b []byte) (err error) {
	*s, err = ParseShare(string(b))
	return err
}

// ShareRange is two shares, the lower first: "98 % to 99.5 %".
type ShareRange struct{ Low, High Share }

// ParseShareRange reads "98 % to 99.5 %".
func ParseShareRange(text string) (ShareRange, error) {
	const advice = `write it like "98 % to 99.5 %"`
	low, high, ok := strings.Cut(typeset.Replace(text), " to ")
	if !ok {
		return ShareRange{}, fail(advice, "%q is not a range", shorten(text))
	}
	if !strings.Contains(low, "%") {
		low += " %"
	}
	l, err := ParseShare(low)
	if err != nil {
		return ShareRange{}, err
	}
	h, err := ParseShare(high)
	if err != nil {
		return ShareRange{}, err
	}
	if l.Percent > h.Percent {
		return ShareRange{}, fail(advice, "%q runs downward", shorten(text))
	}
	return ShareRange{l, h}, nil
}

func (r ShareRange) String() string { return r.Low.String() + " to " + r.High.String() }

// MarshalText makes the range a TOML or JSON string.
func (r ShareRange) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText reads the range from a TOML or JSON string.
func (r *ShareRange) UnmarshalText(b []byte) (err error) {
	*r, err = ParseShareRange(string(b))
	return err
}
