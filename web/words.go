package web

import (
	"html/template"
	"math"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"barwright/chart"
	"barwright/finding"
	"barwright/heat"
	"barwright/plan"
	"barwright/source"
)

// words are the formatters templates print numbers with: thin spaces before
// units, a real minus sign, never more digits than are known.
var words = template.FuncMap{
	"g0":        func(v float64) string { return number(v, 0) + "\u202fg" },
	"g1":        func(v float64) string { return number(v, 1) + "\u202fg" },
	"g2":        func(v float64) string { return number(v, 2) + "\u202fg" },
	"ml":        func(v float64) string { return number(v, 0) + "\u202fml" },
	"pct0":      func(v float64) string { return number(v, 0) + "\u202f%" },
	"pct1":      func(v float64) string { return number(v, 1) + "\u202f%" },
	"celsius":   func(v float64) string { return number(v, 0) + "\u202f°C" },
	"num0":      func(v float64) string { return number(v, 0) },
	"num1":      func(v float64) string { return number(v, 1) },
	"num2":      func(v float64) string { return number(v, 2) },
	"money":     func(v float64) string { return number(v, 2) },
	"minutes":   plan.Minutes,
	"deref":     func(v *float64) float64 { return *v },
	"phrase":    func(g source.Grade) string { return g.Phrase() },
	"mark":      func(s finding.Severity) string { return marks[s] },
	"cite":      func(key string) source.Citation { return source.Cite(key) },
	"lower":     lowerFirst,
	"upper":     upperFirst,
	"where":     where,
	"whole":     unbroken,
	"sentence":  func(text string) string { return unbroken(wholeSentence(text)) },
	"shelf":     shelfTable,
	"chance":    chance,
	"bandOf":    bandOf,
	"hours":     chart.Span,
	"day":       dayWords,
	"odds":      func(c float64) string { return finding.Typeset(plan.Chance(c)) },
	"goal":      func(o heat.Outcome) string { return gelWords[o] },
	"likelyGel": func(c heat.Chance) string { return gelWords[c.Likeliest()] },
	"percent":   func(share float64) float64 { return 100 * share },
	"hasPrefix": strings.HasPrefix,
	"args":      func(v ...any) []any { return v },
	"tapID":     newID,
}

// lowerFirst puts a name inside a sentence.
func lowerFirst(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if second, _ := utf8.DecodeRuneInString(s[size:]); size == 0 || unicode.IsUpper(second) { // "BHT"
		return s
	}
	return string(unicode.ToLower(first)) + s[size:]
}

// gelWords says an outcome.
var gelWords = map[heat.Outcome]string{heat.NoGel: "no gel", heat.PartialGel: "gel halfway", heat.FullGel: "full gel"}

// unbroken keeps a number and its unit on one line.
func unbroken(text string) string {
	return beforeUnit.ReplaceAllString(text, "$1\u00a0$2")
}

var beforeUnit = regexp.MustCompile(`(\d) (%|°C|g\b|kg\b|ml\b|h\b|min\b|points\b)`)

// marks is the word beside the shape of a severity.
var marks = map[finding.Severity]string{finding.Stop: "Stop", finding.Caution: "Caution", finding.Note: "Note", finding.OK: "Fine"}

// number prints v with a fixed number of decimals, groups of thousands parted
// by thin spaces.
func number(v float64, decimals int) string {
	s := strconv.FormatFloat(math.Abs(v), 'f', decimals, 64)
	whole, frac, _ := strings.Cut(s, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "\u202f" + whole[i:]
	}
	if frac != "" {
		whole += "." + frac
	}
	if v < 0 && strings.Trim(s, "0.") != "" {
		return "\u2212" + whole
	}
	return whole
}

func roundTo(v float64, decimals int) float64 {
	p := math.Pow10(decimals)
	return math.Round(v*p) / p
}

func chance(c float64) string {
	switch {
	case c < 0.0005:
		return "under 1 in 2\u202f000"
	case c > 0.9995:
		return "certain"
	case c >= 0.1:
		return number(100*c, 0) + "\u202f%"
	}
	return number(100*c, 2) + "\u202f%"
}
