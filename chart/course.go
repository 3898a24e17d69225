package chart

import (
	"fmt"
	"math"

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

// Course draws core and edge against time with the core's band, the gel line
// and the measured curve.
func Course(h Heat) string {
	const width, height, left, right, top, bottom = 720, 400, 46, 96, 56, 40
	p := svg.New("heat-course", width, height, "Core and edge after the pour: "+h.Name, h.describe())
	x := scale{0, h.lastS() / 3600, left, width - right}
	low, high := h.span()
	y := scale{low, high, height - bottom, top}
	h.frame(p, x, y)
	h.gelLine(p, x, y)
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
	h.names(p, x, y)
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
	for _, v := range ticks(x.low, x.high, 12) {
		p.Text(quietText, x.at(v), y.from+18, svg.Middle, 12, plain(v, 1))
	}
	p.Text(quietText, x.to, y.from+34, svg.End, 12, "hours after the pour")
	for _, s := range h.Stages {
		at := x.at(s.FromS / 3600)
		if s.FromS > 0 && s.FromS < h.lastS() {
			p.Line(svg.Style{Class: "stage", Stroke: quiet, Width: 1, Dash: "1 3"}, []svg.Point{{X: at, Y: y.to}, {X: at, Y: y.from}})
		}
		if s.FromS < h.lastS() {
			p.Text(quietText, at+3, y.to-4, svg.Start, 11, plain(s.TC, 0)+" °C around it")
		}
	}
}

func (h Heat) gelLine(p *svg.Picture, x, y scale) {
	g := h.Gel.TemperatureC
	p.Box(svg.Style{Class: "gel-band", Fill: quiet, Opacity: 0.10}, x.from, y.at(g.High), x.to-x.from, y.at(g.Low)-y.at(g.High))
	p.Line(svg.Style{Class: "gel-line", Stroke: quiet, Width: 1.5, Dash: "6 4"}, []svg.Point{{X: x.from, Y: y.at(g.Typical)}, {X: x.to, Y: y.at(g.Typical)}})
	p.Text(quietText, x.to+6, y.at(g.Typical)+4, svg.Start, 12, fmt.Sprintf("gel line %.0f °C", g.Typical))
}

// names writes core, edge and peak beside their lines, apart from each other.
func (h Heat) names(p *svg.Picture, x, y scale) {
	last := len(h.Series.TimeS) - 1
	core, edge := y.at(h.Series.CoreC[last]), y.at(h.Series.EdgeC[last])
	if math.Abs(core-edge) < 16 {
		middle := (core + edge) / 2
		core, edge = middle-8, middle+8
	}
	p.Text(svg.Style{Class: "core-name", Fill: heatC}, x.to+6, core+4, svg.Start, 13, "core")
	p.Text(svg.Style{Class: "edge-name", Fill: coolC}, x.to+6, edge+4, svg.Start, 13, "edge")
	px, py := x.at(h.Peak.TimeS/3600), y.at(h.Peak.CoreC)
	p.Dot(svg.Style{Class: "peak", Fill: heatC}, px, py, 3.5)
	anchor := svg.Start
	if px > (x.from+x.to)/2 {
		anchor = svg.End
	}
	p.Text(inkText, px, py-8, anchor, 12, fmt.Sprintf("peak %.0f °C (%.0f to %.0f) at %s", h.Peak.CoreC, h.Peak.C.Low, h.Peak.C.High, hours(h.Peak.TimeS)))
}

// describe is the picture in words.
func (h Heat) describe() string {
	return fmt.Sprintf("The core starts at %.0f °C, is likely to peak at %.0f °C (%.0f to %.0f) %s after the pour, and is at %.0f °C after %s. The edge stays below it. The gel line lies at %.0f °C (%.0f to %.0f). Chances: no gel %.0f %%, halfway %.0f %%, full %.0f %%, overheating %.0f %%.",
		h.Series.CoreC[0], h.Peak.CoreC, h.Peak.C.Low, h.Peak.C.High, hours(h.Peak.TimeS), h.Series.CoreC[len(h.Series.CoreC)-1], hours(h.lastS()),
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
