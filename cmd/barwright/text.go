package main

import (
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode/utf8"

	"barwright/finding"
)

// wrapped prints text in lines of at most width characters, each indented.
func wrapped(w io.Writer, indent, text string) { hanging(w, indent, indent, text) }

// hanging prints text with its own indent for the first line. A number stays
// on one line with its unit.
func hanging(w io.Writer, first, rest, text string) {
	if text == "" {
		return
	}
	line, empty := first, true
	for _, word := range strings.Split(numberUnit.ReplaceAllString(text, "$1\u00a0$2"), " ") {
		if !empty && utf8.RuneCountInString(line)+1+utf8.RuneCountInString(word) > width {
			printLine(w, line)
			line, empty = rest, true
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	printLine(w, line)
}

var numberUnit = regexp.MustCompile(`(\d) (%|°C|(?:g|ml|K|points?|minutes|days)\b)`)

func printLine(w io.Writer, line string) { fmt.Fprintln(w, finding.Plain(line)) }

// clip shortens text to n characters.
func clip(s string, n int) string {
	if r := []rune(s); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return s
}

// trim prints v with at most decimals places and no trailing zeros.
func trim(v float64, decimals int) string {
	p := math.Pow10(decimals)
	return strconv.FormatFloat(math.Round(v*p)/p, 'f', -1, 64)
}

// minus prints a number with one decimal and a real minus sign.
func minus(v float64) string {
	s := strconv.FormatFloat(math.Round(v*10)/10, 'f', 1, 64)
	if s == "-0.0" {
		s = "0.0"
	}
	return strings.Replace(s, "-", "−", 1)
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
