package web

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"
)

// parted parts a quantity from its unit: "26.0 g".
func parted(text string) (value, unit string) {
	if i := strings.LastIndexAny(text, " \u202f\u00a0"); i >= 0 {
		return text[:i], strings.TrimSpace(text[i+1:])
	}
	return text, ""
}

// bare prints a number as forms send it, with no more decimals than it needs.
func bare(v float64, decimals int) string {
	p := math.Pow10(decimals)
	return strconv.FormatFloat(math.Round(v*p)/p, 'f', -1, 64)
}

// scaleNumber prints grams of a scale, without an empty decimal.
func scaleNumber(g float64) string {
	if r := math.Round(10*g) / 10; r != math.Trunc(r) {
		return number(r, 1)
	}
	return number(g, 0)
}

// decimalsOf is how many decimals a scale with such steps shows.
func decimalsOf(stepG float64) int {
	switch {
	case stepG >= 0.999:
		return 0
	case stepG >= 0.0999:
		return 1
	case stepG >= 0.00999:
		return 2
	}
	return 3
}

// byScale are the steps of the buttons for a weight: from a step of the scale
// up to what is worth it.
func byScale(stepG, g float64) (out []string) {
	for by := math.Pow10(3); by >= 0.001; by /= 10 {
		if by <= math.Max(10, g) && by >= stepG*0.99 {
			out = append(out, bare(by, 3))
		}
	}
	return out
}

// clockMinutes prints a span as 4:10, or 2:04:10 from an hour on.
func clockMinutes(d time.Duration) string {
	sign := ""
	if d < 0 {
		sign, d = "\u2212", -d
	}
	s := int(d / time.Second)
	if s >= 3600 {
		return fmt.Sprintf("%s%d:%02d:%02d", sign, s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%s%d:%02d", sign, s/60, s%60)
}
