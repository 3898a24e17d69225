package plan

import (
	"math"
	"strconv"
	"strings"
)

// points prints per cent of superfat: one decimal, a real minus sign.
func points(v float64) string {
	s := strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64)
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	if s == "-0.0" {
		return "0.0"
	}
	return strings.Replace(s, "-", "\u2212", 1)
}

// sentence starts a sentence with a capital.
func sentence(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
