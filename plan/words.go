package plan

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// points prints per cent of superfat as far as it is known: one decimal, whole
// numbers far from any bar.
func points(v float64) string {
	if math.Abs(v) >= 20 {
		return strconv.FormatFloat(math.Round(v), 'f', 0, 64)
	}
	s := strconv.FormatFloat(math.Round(v*10)/10, 'f', 1, 64)
	if s == "-0.0" {
		return "0.0"
	}
	return s
}

// against prints v beside a limit it misses: as few decimals, from least on,
// as leave it on its own side, so that nobody reads "1.0 is not 1 or more".
func against(v, limit float64, least int) string {
	for decimals := least; decimals < 6; decimals++ {
		s := strconv.FormatFloat(v, 'f', decimals, 64)
		if shown, err := strconv.ParseFloat(s, 64); err == nil && (shown < limit) == (v < limit) && (shown > limit) == (v > limit) {
			return strings.Replace(s, "-", "\u2212", 1)
		}
	}
	return shortNumber(v)
}

// superfatAgainst prints a superfat beside its limit, both in per cent.
func superfatAgainst(v, limit float64) string {
	if math.Abs(v) >= 20 {
		return against(v, limit, 0)
	}
	return against(v, limit, 1)
}

// oneIn prints a chance between 1 in 1000 and 1 in 100 as what it is known to:
// one digit.
func oneIn(chance float64) string {
	batches := 1 / chance
	step := math.Pow10(int(math.Floor(math.Log10(batches))))
	return strconv.FormatFloat(min(900, math.Round(batches/step)*step), 'f', 0, 64)
}

// Minutes prints a time as far as it can be known: "under 1", "1.7", "4".
func Minutes(v float64) string {
	switch {
	case v < 0.75:
		return "under 1"
	case v < 2.95:
		return strconv.FormatFloat(v, 'f', 1, 64)
	}
	s := strconv.FormatFloat(v, 'f', 0, 64)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + "\u202f" + s[i:]
	}
	return s
}

// InMinutes prints a time with its unit: "under 1 minute", "4 minutes".
func InMinutes(v float64) string {
	if v < 0.75 {
		return Minutes(v) + " minute"
	}
	return Minutes(v) + " minutes"
}

// aboutMinutes is InMinutes with its doubt, but for what is under a minute.
func aboutMinutes(v float64) string {
	if v < 0.75 {
		return InMinutes(v)
	}
	return "about " + InMinutes(v)
}

// rangeOf prints the ends of a window.
func rangeOf(r Range) string { return fmt.Sprintf("%s to %s", Minutes(r.Low), Minutes(r.High)) }

// sentence starts a sentence with a capital.
func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
