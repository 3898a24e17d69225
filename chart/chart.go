// Package chart draws what the sciences found, as SVG with a text equivalent,
// and gives the same data as CSV.
//
// Start with Course, CrossSection and CoverMap. Words stand beside what they
// name; there are no legends. What it does not do: compute.
package chart

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"barwright/internal/svg"
)

// Colours when no style sheet says otherwise: the tokens of the light page.
const (
	ink   = "#1d2320"
	quiet = "#56605a"
	rule  = "#dcd7cc"
	paper = "#fffdf9"
	heatC = "#b5501f"
	coolC = "#2b5f86"
	warn  = "#8f5a00"
)

var (
	inkText   = svg.Style{Class: "ink", Fill: ink}
	quietText = svg.Style{Class: "quiet", Fill: quiet}
	ruleLine  = svg.Style{Class: "rule", Stroke: rule, Width: 1}
)

// scale maps values to places.
type scale struct{ low, high, from, to float64 }

func (s scale) at(v float64) float64 {
	return s.from + (s.to-s.from)*(v-s.low)/(s.high-s.low)
}

// ticks returns round values from low to high, about n of them.
func ticks(low, high float64, n int) (out []float64) {
	step := math.Pow(10, math.Floor(math.Log10((high-low)/float64(n))))
	for _, m := range []float64{1, 2, 5, 10} {
		if (high-low)/(step*m) <= float64(n) {
			step *= m
			break
		}
	}
	for v := math.Ceil(low/step-1e-9) * step; v <= high+step*1e-9; v += step {
		out = append(out, v)
	}
	return out
}

// plain prints a number with at most the digits it needs.
func plain(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	if s == "-0" {
		return "0"
	}
	return strings.Replace(s, "-", "\u2212", 1)
}

// table writes rows of numbers and words as CSV.
type table struct{ b strings.Builder }

func (t *table) row(cells ...any) {
	for i, c := range cells {
		if i > 0 {
			t.b.WriteByte(',')
		}
		switch v := c.(type) {
		case float64:
			t.b.WriteString(strconv.FormatFloat(math.Round(v*1000)/1000, 'f', -1, 64))
		case string:
			if strings.ContainsAny(v, ",\"\n") {
				v = `"` + strings.ReplaceAll(v, `"`, `""`) + `"`
			}
			t.b.WriteString(v)
		default:
			fmt.Fprint(&t.b, v)
		}
	}
	t.b.WriteByte('\n')
}

// Span says a span as hours and minutes, no finer than a forecast knows:
// to 5 min below 2 h, to 10 min below 6 h, then to the half hour.
func Span(seconds float64) string {
	step := 30 * time.Minute
	switch {
	case seconds < 2*3600:
		step = 5 * time.Minute
	case seconds < 6*3600:
		step = 10 * time.Minute
	}
	d := time.Duration(seconds * float64(time.Second)).Round(step)
	h, m := int(d.Hours()), int(d.Minutes())%60
	switch {
	case h == 0:
		return fmt.Sprintf("%d min", m)
	case m == 0:
		return fmt.Sprintf("%d h", h)
	}
	return fmt.Sprintf("%d h %02d", h, m)
}
