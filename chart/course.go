package chart

import (
	"fmt"
	"math"
	"unicode/utf8"

	"barwright/heat"
	"barwright/internal/svg"
)

// Heat is a forecast as it is drawn.
type Heat struct {
	Name     string
	Series   heat.Series
	Bands    heat.Bands
	Peak     heat.Peak
	Gel      heat.Gel
	Stages   []heat.Stage
	Measured []heat.Reading // drawn over the forecast; nil without a log
}

// sheet is the room of a picture: its size, its margins, and whether words
// stand in the right margin or inside.
type sheet struct {
	id                       string
	width, height            float64
	left, right, top, bottom float64
	inside                   bool
}

var (
	wideSheet   = sheet{"heat-course", 720, 400, 46, 96, 56, 40, false}
	narrowSheet = sheet{"heat-course-narrow", 340, 320, 32, 6, 56, 40, true}
)

// Course draws core and edge against time with the core's band, the gel line
// and the measured curve.
func Course(h Heat) string { return h.course(wideSheet) }

// CourseNarrow is Course for the width of a phone.
func CourseNarrow(h Heat) string { return h.course(narrowSheet) }

func (h Heat) course(s sheet) string {
	p := svg.New(s.id, s.width, s.height, "Core and edge after the pour: "+h.Name, h.describe())
	x := scale{0, h.lastS() / 3600, s.left, s.width - s.right}
	low, high := h.span()
	y := scale{low, high, s.height - s.bottom, s.top}
	h.frame(p, x, y)
	h.gelLine(p, x, y, s.inside)
	band := make([]svg.Point, 0, 2*len(h.Series.TimeS))
	for i, t := range h.Series.TimeS {
		band = append(band, svg.Point{X: x.at(t / 3600), Y: y.at(h.Bands.CoreHighC[i])})
	}
	for i := len(h.Series.TimeS) - 1; i >= 0; i-- {
		band = append(band, svg.Point{X: x.at(h.Series.TimeS[i] / 3600), Y: y.at(h.Bands.CoreLowC[i])})
	}
	p.Area(svg.Style{Class: "band", Fill: heatC, Opacity: 0.16}, band)
	p.Line(svg.Style{Class: "edge", Stroke: coolC, Width: 2}, points(h.Series.TimeS, h.Series.EdgeC, x, y))
	p.Line(svg.Style{Class: "core", Stroke: heatC, Width: 2.5}, points(h.Series.TimeS, h.Series.CoreC, x, y))
	if len(h.Measured) > 0 {
		var times, temps []float64
		for _, r := range h.Measured {
			if r.TimeS <= h.lastS() {
				times, temps = append(times, r.TimeS), append(temps, math.Min(high, math.Max(low, r.C)))
			}
		}
		p.Line(svg.Style{Class: "measured", Stroke: ink, Width: 1.5, Dash: "2 3"}, points(times, temps, x, y))
	}
	h.names(p, x, y, s.inside)
	return p.String()
}

func points(timeS, tC []float64, x, y scale) []svg.Point {
	out := make([]svg.Point, len(timeS))
	for i, t := range timeS {
		out[i] = svg.Point{X: x.at(t / 3600), Y: y.at(tC[i])}
	}
	return out
}

func (h Heat) lastS() float64 { return h.Series.TimeS[len(h.Series.TimeS)-1] }

// span returns the temperatures the picture covers, in tens.
func (h Heat) span() (low, high float64) {
	low, high = math.Inf(1), h.Gel.TemperatureC.High
	for i := range h.Series.TimeS {
		low = min(low, h.Series.EdgeC[i], h.Bands.CoreLowC[i])
		high = max(high, h.Bands.CoreHighC[i])
	}
	return 10 * math.Floor(low/10), 10 * math.Ceil((high+1)/10)
}

// frame draws axes, the stages and the picture's head.
func (h Heat) frame(p *svg.Picture, x, y scale) {
	p.Text(inkText, x.from, 20, svg.Start, 15, "Core and edge after the pour")
	for _, v := range ticks(y.low, y.high, 8) {
		p.Line(ruleLine, []svg.Point{{X: x.from, Y: y.at(v)}, {X: x.to, Y: y.at(v)}})
		p.Text(quietText, x.from-6, y.at(v)+4, svg.End, 12, plain(v, 0))
	}
	p.Text(quietText, x.from-6, y.to-10, svg.End, 12, "°C")
	for _, v := range ticks(x.low, x.high, int((x.to-x.from)/46)) {
		p.Text(quietText, x.at(v), y.from+18, svg.Middle, 12, plain(v, 1))
	}
	p.Text(quietText, x.to, y.from+34, svg.End, 12, "hours after the pour")
	h.stages(p, x, y)
}

// stages marks where the batch goes elsewhere and how warm it is there. A name
// that would run into the one before it stands a line higher.
func (h Heat) stages(p *svg.Picture, x, y scale) {
	const letter, line = 5.8, 13 // of text of size 11
	width, _ := p.Size()
	ends := [3]float64{}
	for _, s := range h.Stages {
		if s.FromS >= h.lastS() {
			return
		}
		at := x.at(s.FromS / 3600)
		if s.FromS > 0 {
			p.Line(svg.Style{Class: "stage", Stroke: quiet, Width: 1, Dash: "1 3"}, []svg.Point{{X: at, Y: y.to}, {X: at, Y: y.from}})
		}
		words := plain(s.TC, 0) + " °C around it"
		from, anchor := at+3, svg.Start
		wide := letter * float64(utf8.RuneCountInString(words))
		if from+wide > width {
			from, anchor = at-3-wide, svg.End
		}
		row := 0
		for row < len(ends)-1 && ends[row] > from {
			row++
		}
		ends[row] = from + wide
		if anchor == svg.End {
			from = at - 3
		}
		p.Text(quietText, from, y.to-4-line*float64(row), anchor, 11, words)
	}
}

func (h Heat) gelLine(p *svg.Picture, x, y scale, inside bool) {
	g := h.Gel.TemperatureC
	p.Box(svg.Style{Class: "gel-band", Fill: quiet, Opacity: 0.10}, x.from, y.at(g.High), x.to-x.from, y.at(g.Low)-y.at(g.High))
	p.Line(svg.Style{Class: "gel-line", Stroke: quiet, Width: 1.5, Dash: "6 4"}, []svg.Point{{X: x.from, Y: y.at(g.Typical)}, {X: x.to, Y: y.at(g.Typical)}})
	words := fmt.Sprintf("gel line %.0f °C", g.Typical)
	if inside {
		p.Text(quietText, x.to-4, y.at(g.Typical)-4, svg.End, 12, words)
	} else {
		p.Text(quietText, x.to+6, y.at(g.Typical)+4, svg.Start, 12, words)
	}
}

// names writes core, edge and peak beside their lines, apart from each other.
func (h Heat) names(p *svg.Picture, x, y scale, inside bool) {
	last := len(h.Series.TimeS) - 1
	core, edge := y.at(h.Series.CoreC[last]), y.at(h.Series.EdgeC[last])
	apart, at, anchor := 16.0, x.to+6, svg.Start
	if inside {
		apart, at, anchor = 34, x.to-4, svg.End
	}
	if math.Abs(core-edge) < apart {
		middle := (core + edge) / 2
		core, edge = middle-apart/2, middle+apart/2
	}
	p.Text(svg.Style{Class: "core-name", Fill: heatC}, at, core+4, anchor, 13, "core")
	p.Text(svg.Style{Class: "edge-name", Fill: coolC}, at, edge+4, anchor, 13, "edge")
	px, py := x.at(h.Peak.TimeS/3600), y.at(h.Peak.CoreC)
	p.Dot(svg.Style{Class: "peak", Fill: heatC}, px, py, 3.5)
	anchor = svg.Start
	if px > (x.from+x.to)/2 {
		anchor = svg.End
	}
	p.Text(inkText, px, py-8, anchor, 12, fmt.Sprintf("peak %.0f °C (%.0f to %.0f) at %s", h.Peak.CoreC, h.Peak.C.Low, h.Peak.C.High, Span(h.Peak.TimeS)))
}

// describe is the picture in words.
func (h Heat) describe() string {
	return fmt.Sprintf("The core starts at %.0f °C, is likely to peak at %.0f °C (%.0f to %.0f) %s after the pour, and is at %.0f °C after %s. The edge stays below it. The gel line lies at %.0f °C (%.0f to %.0f). Chances: no gel %.0f %%, halfway %.0f %%, full %.0f %%, overheating %.0f %%.",
		h.Series.CoreC[0], h.Peak.CoreC, h.Peak.C.Low, h.Peak.C.High, Span(h.Peak.TimeS), h.Series.CoreC[len(h.Series.CoreC)-1], Span(h.lastS()),
		h.Gel.TemperatureC.Typical, h.Gel.TemperatureC.Low, h.Gel.TemperatureC.High,
		100*h.Gel.Chance.None, 100*h.Gel.Chance.Partial, 100*h.Gel.Chance.Full, 100*h.Gel.Chance.Overheat)
}

// CourseCSV returns the same data as text.
func CourseCSV(h Heat) string {
	var t table
	t.row("t_s", "core_c", "core_low_c", "core_high_c", "edge_c", "mean_c", "mean_x")
	for i, s := range h.Series.TimeS {
		t.row(s, h.Series.CoreC[i], h.Bands.CoreLowC[i], h.Bands.CoreHighC[i], h.Series.EdgeC[i], h.Series.MeanC[i], h.Series.MeanX[i])
	}
	return t.b.String()
}
