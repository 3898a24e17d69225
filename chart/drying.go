package chart

import (
	"fmt"
	"math"

	"barwright/cure"
	"barwright/internal/svg"
)

// Dried is a batch's drying as it is drawn: the weight of its mean marked bar.
type Dried struct {
	Name     string
	Days     []float64
	Mass     []cure.Range // on those days [g]
	Weighed  []BarPoint
	Ready    cure.Range // days
	LastDay  float64    // the last weighing
	TodayDay float64
}

// BarPoint is one weighing, as it would be of the mean bar.
type BarPoint struct {
	Day, MassG float64
	Bar        int
	ReadG      float64 // what the scale showed
	Outvoted   bool
}

var (
	widePaper   = sheet{"drying", 720, 360, 50, 20, 56, 44, false}
	narrowPaper = sheet{"drying-narrow", 340, 320, 40, 8, 56, 44, true}
)

// Drying draws the weight with its band, the weighings, and when it is dry.
func Drying(d Dried) string { return d.draw(widePaper) }

// DryingNarrow is Drying for the width of a phone.
func DryingNarrow(d Dried) string { return d.draw(narrowPaper) }

func (d Dried) draw(s sheet) string {
	p := svg.New(s.id, s.width, s.height, "The weight of a bar on the rack: "+d.Name, d.describe())
	x := scale{0, d.Days[len(d.Days)-1], s.left, s.width - s.right}
	low, high := d.span()
	y := scale{low, high, s.height - s.bottom, s.top}
	p.Text(inkText, x.from, 20, svg.Start, 15, "A marked bar's weight on the rack")
	for _, v := range ticks(low, high, 6) {
		p.Line(ruleLine, []svg.Point{{X: x.from, Y: y.at(v)}, {X: x.to, Y: y.at(v)}})
		p.Text(quietText, x.from-6, y.at(v)+4, svg.End, 12, plain(v, 1))
	}
	p.Text(quietText, x.from-6, y.to-10, svg.End, 12, "g")
	for _, v := range ticks(0, x.high, int((x.to-x.from)/50)) {
		p.Text(quietText, x.at(v), y.from+18, svg.Middle, 12, plain(v, 0))
	}
	p.Text(quietText, x.to, y.from+36, svg.End, 12, "days since the cut")
	d.readyBand(p, x, y)
	d.lines(p, x, y)
	d.points(p, x, y)
	return p.String()
}

func (d Dried) span() (low, high float64) {
	low, high = math.Inf(1), 0
	for _, r := range d.Mass {
		low, high = min(low, r.Low), max(high, r.High)
	}
	for _, w := range d.Weighed {
		if !w.Outvoted {
			low, high = min(low, w.MassG), max(high, w.MassG)
		}
	}
	room := max(0.5, 0.06*(high-low))
	return low - room, high + room
}

// readyBand marks the days between which it becomes dry.
func (d Dried) readyBand(p *svg.Picture, x, y scale) {
	if d.Ready.Low > x.high {
		return
	}
	from, to := x.at(d.Ready.Low), x.at(min(d.Ready.High, x.high))
	p.Box(svg.Style{Class: "dry-ready", Fill: quiet, Opacity: 0.10}, from, y.to, max(2, to-from), y.from-y.to)
	middle := x.at(min(d.Ready.Middle, x.high))
	p.Line(svg.Style{Class: "gel-line", Stroke: quiet, Width: 1.5, Dash: "6 4"}, []svg.Point{{X: middle, Y: y.to}, {X: middle, Y: y.from}})
	anchor := svg.Middle
	if middle > x.to-60 {
		anchor = svg.End
	} else if middle < x.from+60 {
		anchor = svg.Start
	}
	p.Text(inkText, middle, y.to-8, anchor, 12, fmt.Sprintf("dry on day %.0f (%.0f to %.0f)", d.Ready.Middle, d.Ready.Low, d.Ready.High))
}

func (d Dried) lines(p *svg.Picture, x, y scale) {
	var band, middle []svg.Point
	for i, day := range d.Days {
		band = append(band, svg.Point{X: x.at(day), Y: y.at(d.Mass[i].High)})
		middle = append(middle, svg.Point{X: x.at(day), Y: y.at(d.Mass[i].Middle)})
	}
	for i := len(d.Days) - 1; i >= 0; i-- {
		band = append(band, svg.Point{X: x.at(d.Days[i]), Y: y.at(d.Mass[i].Low)})
	}
	p.Area(svg.Style{Class: "dry-band", Fill: coolC, Opacity: 0.18}, band)
	p.Line(svg.Style{Class: "edge", Stroke: coolC, Width: 2.5}, middle)
	if d.TodayDay > 0 && d.TodayDay < x.high {
		at := x.at(d.TodayDay)
		p.Line(svg.Style{Class: "stage", Stroke: quiet, Width: 1, Dash: "1 3"}, []svg.Point{{X: at, Y: y.to}, {X: at, Y: y.from}})
		p.Text(quietText, at+3, y.from-6, svg.Start, 11, "today")
	}
}

// points draws the weighings; one that was outvoted is a ring with its own
// words, at the edge when it lies beyond.
func (d Dried) points(p *svg.Picture, x, y scale) {
	for _, w := range d.Weighed {
		if w.Day > x.high {
			continue
		}
		at := min(max(y.at(w.MassG), y.to+6), y.from-8)
		if !w.Outvoted {
			p.Dot(svg.Style{Class: "dry-point", Fill: ink}, x.at(w.Day), at, 2.6)
			continue
		}
		p.Dot(svg.Style{Class: "dry-out", Stroke: warn, Width: 2}, x.at(w.Day), at, 5)
		anchor, aside := svg.Start, 10.0
		if x.at(w.Day) > (x.from+x.to)/2 {
			anchor, aside = svg.End, -10
		}
		p.Text(svg.Style{Class: "dry-out-name", Fill: warn}, x.at(w.Day)+aside, at+4, anchor, 12, fmt.Sprintf("bar %d, day %.0f: %s g, outvoted", w.Bar, w.Day, plain(w.ReadG, 1)))
	}
}

func (d Dried) describe() string {
	last := len(d.Days) - 1
	text := fmt.Sprintf("A bar of %.1f g at the cut weighs %.1f g (%.1f to %.1f) on day %.0f. It is dry on day %.0f (%.0f to %.0f). %d weighings are drawn.",
		d.Mass[0].Middle, d.Mass[last].Middle, d.Mass[last].Low, d.Mass[last].High, d.Days[last], d.Ready.Middle, d.Ready.Low, d.Ready.High, len(d.Weighed))
	for _, w := range d.Weighed {
		if w.Outvoted {
			text += fmt.Sprintf(" The %.1f g of bar %d on day %.0f is outvoted by the others.", w.ReadG, w.Bar, w.Day)
		}
	}
	return text
}

// DryingCSV returns the same data as text.
func DryingCSV(d Dried) string {
	var t table
	t.row("what", "bar", "day", "g", "low_g", "high_g", "note")
	for i, day := range d.Days {
		t.row("forecast", "", day, d.Mass[i].Middle, d.Mass[i].Low, d.Mass[i].High, "of the mean marked bar")
	}
	for _, w := range d.Weighed {
		note := ""
		if w.Outvoted {
			note = "outvoted"
		}
		t.row("weighed", w.Bar, w.Day, w.ReadG, "", "", note)
	}
	return t.b.String()
}

// Told is one weighing beside what was said of it.
type Told struct {
	Name      string
	SaidG     cure.Range
	GotG      float64
	DaysAhead float64
}

// Calibration draws what was predicted beside what was got, over all batches:
// how far the weight was off what was said, with the range that was given, in
// the order of the weighings.
func Calibration(told []Told) string { return calibration(told, widePaper) }

// CalibrationNarrow is Calibration for the width of a phone.
func CalibrationNarrow(told []Told) string { return calibration(told, narrowPaper) }

func calibration(told []Told, s sheet) string {
	s.id = "calibration" + s.id
	inside, most := 0, 1.0
	for _, w := range told {
		most = max(most, math.Abs(w.GotG-w.SaidG.Middle), w.SaidG.High-w.SaidG.Middle, w.SaidG.Middle-w.SaidG.Low)
		if w.SaidG.Low <= w.GotG && w.GotG <= w.SaidG.High {
			inside++
		}
	}
	p := svg.New(s.id, s.width, s.height, "Predicted beside got, over all batches", fmt.Sprintf("%d of %d weighings lie in the range that was said before them.", inside, len(told)))
	x := scale{-1, float64(len(told)), s.left, s.width - s.right}
	y := scale{-1.1 * most, 1.1 * most, s.height - s.bottom, s.top}
	p.Text(inkText, x.from, 20, svg.Start, 15, "Weighed, less what was said")
	for _, v := range ticks(y.low, y.high, 5) {
		p.Line(ruleLine, []svg.Point{{X: x.from, Y: y.at(v)}, {X: x.to, Y: y.at(v)}})
		p.Text(quietText, x.from-6, y.at(v)+4, svg.End, 12, plain(v, 1))
	}
	p.Text(quietText, x.from-6, y.to-10, svg.End, 12, "g")
	p.Text(quietText, x.to, y.from+22, svg.End, 12, "oldest batch first; bars: the range that was said")
	apart := x.at(1) - x.at(0)
	for i, w := range told {
		at := x.at(float64(i))
		p.Line(svg.Style{Class: "dry-said", Stroke: coolC, Width: min(3, 0.45*apart)}, []svg.Point{{X: at, Y: y.at(w.SaidG.Low - w.SaidG.Middle)}, {X: at, Y: y.at(w.SaidG.High - w.SaidG.Middle)}})
		p.Dot(svg.Style{Class: "dry-point", Fill: ink}, at, y.at(w.GotG-w.SaidG.Middle), min(2.6, max(1.3, 0.6*apart)))
	}
	return p.String()
}
