package chart

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"barwright/internal/svg"
)

// Trade is what an objective comes to as one limit moves.
type Trade struct {
	Name   string // of the picture
	Limit  string // "Cox value, at most"
	Unit   string // of the limit, after its numbers
	Comes  string // what the objective is, "EUR a kilo of fats"
	Points []TradePoint
}

// TradePoint is one value of the limit; Fits is false where no recipe meets
// it, and then Objective says nothing.
type TradePoint struct {
	Value, Objective float64
	Fits             bool
}

// TradeCurve draws it, TradeCurveNarrow for the width of a phone. Where nothing
// fits there is no line, and a word says so.
func TradeCurve(t Trade) string {
	return t.draw(sheet{"trade", 560, 300, 56, 20, 44, 48, false})
}

// TradeCurveNarrow is the same for the width of a phone.
func TradeCurveNarrow(t Trade) string {
	return t.draw(sheet{"trade-narrow", 340, 260, 50, 14, 44, 48, true})
}

func (t Trade) draw(s sheet) string {
	p := svg.New(s.id, s.width, s.height, t.Name, t.describe())
	x, y := t.scales(s)
	p.Text(inkText, 0, 18, svg.Start, 14, upper(t.Comes))
	for _, v := range ticks(y.low, y.high, 5) {
		p.Line(ruleLine, []svg.Point{{X: x.from, Y: y.at(v)}, {X: x.to, Y: y.at(v)}})
		p.Text(quietText, x.from-6, y.at(v)+4, svg.End, 12, fixed(v, decimals(y)))
	}
	for _, v := range ticks(x.low, x.high, int((x.to-x.from)/60)) {
		p.Text(quietText, x.at(v), y.from+18, svg.Middle, 12, plain(v, decimals(x)))
	}
	p.Text(quietText, x.to, y.from+38, svg.End, 12, t.axis())
	t.course(p, x, y)
	return p.String()
}

func (t Trade) axis() string {
	if t.Unit == "" {
		return t.Limit
	}
	return t.Limit + ", " + strings.TrimPrefix(t.Unit, "/ ")
}

// course draws the points that fit, and names those that do not.
func (t Trade) course(p *svg.Picture, x, y scale) {
	line := svg.Style{Class: "core", Stroke: heatC, Width: 2.5}
	var run []svg.Point
	for _, q := range t.Points {
		if !q.Fits {
			p.Line(line, run)
			run = nil
			p.Text(quietText, x.at(q.Value), y.from-6, svg.Middle, 12, "none")
			continue
		}
		at := svg.Point{X: x.at(q.Value), Y: y.at(q.Objective)}
		run = append(run, at)
		p.Dot(svg.Style{Class: "peak", Fill: heatC}, at.X, at.Y, 3.5)
	}
	p.Line(line, run)
}

// scales holds every point, with room above and below.
func (t Trade) scales(s sheet) (x, y scale) {
	low, high := math.Inf(1), math.Inf(-1)
	first, last := math.Inf(1), math.Inf(-1)
	for _, q := range t.Points {
		first, last = min(first, q.Value), max(last, q.Value)
		if q.Fits {
			low, high = min(low, q.Objective), max(high, q.Objective)
		}
	}
	if math.IsInf(low, 1) { // nothing fits anywhere
		low, high = 0, 1
	}
	room := max(0.12*(high-low), 0.02*max(math.Abs(high), 0.5))
	if last <= first {
		last = first + 1
	}
	return scale{first, last, s.left, s.width - s.right}, scale{low - room, high + room, s.height - s.bottom, s.top}
}

// fixed prints all decimals, so that a column of numbers stands in line.
func fixed(v float64, decimals int) string {
	return strings.Replace(strconv.FormatFloat(v, 'f', decimals, 64), "-", "\u2212", 1)
}

// decimals are as many as tell its ticks apart.
func decimals(s scale) int {
	switch span := s.high - s.low; {
	case span < 0.1:
		return 3
	case span < 5:
		return 2
	case span < 50:
		return 1
	}
	return 0
}

// describe is the picture in words.
func (t Trade) describe() string {
	var words []string
	for _, q := range t.Points {
		text := fmt.Sprintf("at %s nothing fits", plain(q.Value, 3))
		if q.Fits {
			text = fmt.Sprintf("at %s %s", plain(q.Value, 3), plain(q.Objective, 3))
		}
		words = append(words, text)
	}
	return fmt.Sprintf("%s against %s: %s.", upper(t.Comes), t.axis(), strings.Join(words, "; "))
}

func upper(s string) string { return strings.ToUpper(s[:min(1, len(s))]) + s[min(1, len(s)):] }

// TradeCSV is the same as a table; the objective is empty where nothing fits.
func TradeCSV(t Trade) string {
	var out table
	out.row(t.axis(), t.Comes)
	for _, q := range t.Points {
		if q.Fits {
			out.row(q.Value, q.Objective)
		} else {
			out.row(q.Value, "")
		}
	}
	return out.b.String()
}
