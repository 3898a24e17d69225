package chart

import (
	"cmp"
	"fmt"
	"slices"

	"barwright/calendar"
	"barwright/internal/svg"
	"barwright/quantity"
)

// Sizes of the strip.
const (
	stripWide   = 1180.0
	stripNames  = 196.0
	stripRow    = 46.0
	stripTop    = 40.0
	stripLetter = 6.6 // about the width of a letter of its small words
	namesLength = 26  // letters of a name that fit beside it
)

// Strip draws what is due from a day on, for so many weeks: a line for every
// batch, a mark for every day, a box where the day is a range. Entries outside
// are left out. Weeks below 1 panic.
func Strip(entries []calendar.Entry, from quantity.Date, weeks int) string {
	if weeks < 1 {
		panic("chart: a strip of no week")
	}
	entries = slices.Clone(entries)
	calendar.Sort(entries)
	to := calendar.After(from, 7*weeks)
	var rows []string
	in := map[string][]calendar.Entry{}
	for _, e := range entries {
		if e.Until.Before(from) || !e.On.Before(to) {
			continue
		}
		if in[e.Batch] == nil {
			rows = append(rows, e.Batch)
		}
		in[e.Batch] = append(in[e.Batch], e)
	}
	height := stripTop + stripRow*float64(len(rows)) + 8
	s := strip{from: from, days: scale{0, float64(7 * weeks), stripNames, stripWide - 8}}
	s.Picture = svg.New("strip", stripWide, height, fmt.Sprintf("What is due, %s to %s", dayMonth(from), dayMonth(to)), fmt.Sprintf("A line for each of %d batches; the list of days has the same in words.", len(rows)))
	s.weeks(weeks, height)
	for i, code := range rows {
		s.row(stripTop+stripRow*float64(i), in[code])
	}
	return s.String()
}

type strip struct {
	*svg.Picture
	from quantity.Date
	days scale
}

// dayMonth is a day as it is said.
func dayMonth(d quantity.Date) string { return d.Time().Format("2 Jan") }

func (s strip) weeks(weeks int, height float64) {
	for w := range weeks + 1 {
		x := s.days.at(float64(7 * w))
		s.Line(ruleLine, []svg.Point{{X: x, Y: stripTop - 8}, {X: x, Y: height - 4}})
		if w < weeks {
			words := dayMonth(calendar.After(s.from, 7*w))
			if w == 0 {
				words = "today"
			}
			s.Text(quietText, x+4, 20, svg.Start, 12, words)
		}
	}
}

// x is where a day begins, never left of today nor right of the end.
func (s strip) x(d quantity.Date) float64 {
	return s.days.at(min(max(float64(s.from.DaysUntil(d)), s.days.low), s.days.high))
}

func (s strip) row(y float64, entries []calendar.Entry) {
	s.Line(ruleLine, []svg.Point{{X: 0, Y: y}, {X: stripWide, Y: y}})
	s.Text(inkText, 0, y+18, svg.Start, 13, shortened(cmp.Or(entries[0].Name, entries[0].Batch)))
	s.Text(quietText, 0, y+35, svg.Start, 12, entries[0].Batch)
	middle := y + 32
	for _, e := range entries { // boxes below marks
		if e.On != e.Until {
			s.Box(svg.Style{Class: "due-range", Fill: "#dfecea", Stroke: "#14544e", Width: 0.5}, s.x(e.On), middle-6, s.x(calendar.After(e.Until, 1))-s.x(e.On), 12)
		}
	}
	free := stripNames
	for _, e := range entries {
		x := s.x(e.On)
		if e.On == e.Until {
			x = s.days.at(float64(s.from.DaysUntil(e.On)) + 0.5)
			s.Dot(svg.Style{Class: "due", Fill: "#14544e"}, x, middle, 4)
		}
		words := string(e.Kind)
		if wide := stripLetter * float64(len(words)); x-4 >= free && x+wide < stripWide {
			s.Text(quietText, x-4, y+19, svg.Start, 12, words)
			free = x + wide + 6
		}
	}
}

func shortened(name string) string {
	if r := []rune(name); len(r) > namesLength {
		return string(r[:namesLength-1]) + "…"
	}
	return name
}
