package batch

import (
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// lowerFirst puts a name inside a sentence.
func lowerFirst(name string) string {
	first, size := utf8.DecodeRuneInString(name)
	if second, _ := utf8.DecodeRuneInString(name[size:]); unicode.IsUpper(second) { // "BHT"
		return name
	}
	return string(unicode.ToLower(first)) + name[size:]
}

// number prints v with at most so many decimals and a real minus sign.
func number(v float64, decimals int) string {
	p := math.Pow10(decimals)
	s := strconv.FormatFloat(math.Round(v*p)/p, 'f', -1, 64)
	if s == "-0" {
		return "0"
	}
	return strings.Replace(s, "-", "\u2212", 1)
}
