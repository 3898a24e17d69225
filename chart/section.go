package chart

import (
	"fmt"
	"math"

	"barwright/heat"
	"barwright/internal/svg"
)

// Span of the colours of a heat picture [°C]: the same at all times, so that
// pictures of one batch can be laid side by side.
func colours(s heat.Section) scale {
	c := scale{low: math.Inf(1), high: math.Inf(-1), to: 1}
	for _, f := range s.Frames {
		for _, row := range f.C {
			for _, v := range row {
				c.low, c.high = min(c.low, v), max(c.high, v)
			}
		}
	}
	c.low, c.high = 5*math.Floor(c.low/5), 5*math.Ceil(c.high/5)
	if c.high-c.low < 10 {
		c.high = c.low + 10
	}
	return c
}

// CrossSection draws frame i of the mould's cross-section as a heat picture
// with contour lines; frames are counted from 0, and one that is not there
// panics.
func CrossSection(name string, s heat.Section, i int, gelC float64) string {
	f := s.Frames[i]
	g := mirrored(s, f)
	const most, margin, head = 420.0, 24.0, 56.0
	size := most / math.Max(g.width(), g.height())
	w, h := g.width()*size, g.height()*size
	c := colours(s)
	wide := math.Max(w+2*margin, 360)
	p := svg.New(fmt.Sprintf("heat-section-%d", i), wide, h+head+86, fmt.Sprintf("Cross-section %s after the pour: %s", Span(f.TimeS), name), describeSection(s, f, gelC))
	p.Text(inkText, margin, 20, svg.Start, 15, "Cross-section, "+Span(f.TimeS)+" after the pour")
	p.Text(quietText, margin, 40, svg.Start, 12, fmt.Sprintf("core %.0f °C, hottest %.0f, coldest %.0f; lines every %.0f °C", g.middle(), g.most(), g.least(), contourStep(c)))
	place := func(x, y float64) svg.Point {
		return svg.Point{X: margin + (x-g.x[0])*size, Y: head + h - (y-g.y[0])*size}
	}
	g.paint(p, place, c)
	for level := c.low; level <= c.high; level += contourStep(c) {
		g.contour(p, place, level, svg.Style{Class: "contour", Stroke: paper, Width: 1})
	}
	g.contour(p, place, gelC, svg.Style{Class: "gel-contour", Stroke: ink, Width: 2, Dash: "5 3"})
	p.Box(svg.Style{Class: "mould", Stroke: ink, Width: 1.5}, margin, head, w, h)
	words := fmt.Sprintf("%.0f mm wide, %.0f mm high", 1000*g.width(), 1000*g.height())
	if g.least() < gelC && g.most() > gelC {
		words += fmt.Sprintf("; dashed: gel line %.0f °C", gelC)
	}
	p.Text(quietText, margin, head+h+20, svg.Start, 12, words)
	key(p, c, margin, wide-margin, head+h+36)
	return p.String()
}

// key draws which colour is how warm, from left to right at a height.
func key(p *svg.Picture, c scale, left, right, y float64) {
	const high = 14.0
	step := (right - left) / rampSteps
	for i := range rampSteps {
		colour, class := Ramp(float64(i) / (rampSteps - 1))
		p.Box(svg.Style{Class: class, Fill: colour}, left+step*float64(i), y, step+0.5, high)
	}
	across := scale{low: c.low, high: c.high, from: left, to: right}
	for _, v := range ticks(c.low, c.high, 6) {
		anchor := svg.Middle
		switch v {
		case c.low:
			anchor = svg.Start
		case c.high:
			anchor = svg.End
		}
		p.Text(quietText, across.at(v), y+high+14, anchor, 12, plain(v, 0)+" °C")
	}
}

func contourStep(c scale) float64 {
	if c.high-c.low > 60 {
		return 10
	}
	return 5
}

func describeSection(s heat.Section, f heat.Frame, gelC float64) string {
	g := mirrored(s, f)
	return fmt.Sprintf("Through the middle of the mould, its %s across. Core %.0f °C, hottest %.0f, coldest %.0f °C; %.0f %% of the section is above the gel line of %.0f °C.",
		s.Across, g.middle(), g.most(), g.least(), 100*g.shareOver(gelC), gelC)
}

// field is a temperature over a whole section, mirrored about its middle.
type field struct {
	x, y []float64 // [m]
	c    [][]float64
}

func mirrored(s heat.Section, f heat.Frame) field {
	n := len(s.OutM)
	g := field{y: s.UpM}
	for i := range 2*n - 1 {
		j := i - (n - 1)
		g.x = append(g.x, math.Copysign(s.OutM[abs(j)], float64(j)))
	}
	for _, row := range f.C {
		var whole []float64
		for i := range 2*n - 1 {
			whole = append(whole, row[abs(i-(n-1))])
		}
		g.c = append(g.c, whole)
	}
	if s.Lying { // the middle of a level cylinder: its other half too
		m := len(g.y)
		var y []float64
		var c [][]float64
		for i := range 2*m - 1 {
			j := i - (m - 1)
			y, c = append(y, math.Copysign(g.y[abs(j)], float64(j))), append(c, g.c[abs(j)])
		}
		g.y, g.c = y, c
	}
	return g
}

func abs(i int) int { return max(i, -i) }

func (g field) width() float64  { return g.x[len(g.x)-1] - g.x[0] }
func (g field) height() float64 { return g.y[len(g.y)-1] - g.y[0] }
func (g field) middle() float64 {
	return g.at((g.x[0]+g.x[len(g.x)-1])/2, (g.y[0]+g.y[len(g.y)-1])/2)
}

func (g field) least() float64 {
	v := math.Inf(1)
	for _, row := range g.c {
		for _, c := range row {
			v = min(v, c)
		}
	}
	return v
}

func (g field) most() float64 {
	v := math.Inf(-1)
	for _, row := range g.c {
		for _, c := range row {
			v = max(v, c)
		}
	}
	return v
}

// at returns the temperature at a place, straight between the nodes.
func (g field) at(x, y float64) float64 {
	i, u := cell(g.x, x)
	j, v := cell(g.y, y)
	return (1-v)*((1-u)*g.c[j][i]+u*g.c[j][i+1]) + v*((1-u)*g.c[j+1][i]+u*g.c[j+1][i+1])
}

func cell(at []float64, x float64) (i int, share float64) {
	for i < len(at)-2 && at[i+1] < x {
		i++
	}
	return i, (x - at[i]) / (at[i+1] - at[i])
}

func (g field) shareOver(tC float64) float64 {
	const n = 60
	over := 0.0
	for i := range n {
		for j := range n {
			if g.at(g.x[0]+g.width()*(float64(i)+0.5)/n, g.y[0]+g.height()*(float64(j)+0.5)/n) > tC {
				over++
			}
		}
	}
	return over / (n * n)
}

// paint fills the section with small boxes, finer than the grid.
func (g field) paint(p *svg.Picture, place func(x, y float64) svg.Point, c scale) {
	const n = 44
	const overlap = 1.6 // else the paper shines through between boxes
	long := math.Max(g.width(), g.height())
	nx, ny := max(6, int(n*g.width()/long)), max(6, int(n*g.height()/long))
	dx, dy := g.width()/float64(nx), g.height()/float64(ny)
	for j := range ny {
		// Boxes of one colour side by side are one.
		from, last := 0, ""
		var lastClass string
		flush := func(to int) {
			a, b := place(g.x[0]+dx*float64(from), g.y[0]+dy*float64(j+1)), place(g.x[0]+dx*float64(to), g.y[0]+dy*float64(j))
			p.Box(svg.Style{Class: lastClass, Fill: last}, a.X, a.Y-overlap, b.X-a.X+overlap, b.Y-a.Y+overlap)
		}
		for i := range nx {
			colour, class := Ramp(c.at(g.at(g.x[0]+dx*(float64(i)+0.5), g.y[0]+dy*(float64(j)+0.5))))
			if i > 0 && colour != last {
				flush(i)
				from = i
			}
			last, lastClass = colour, class
		}
		flush(nx)
	}
}

// contour draws the line of one temperature, cell by cell, and writes it once.
func (g field) contour(p *svg.Picture, place func(x, y float64) svg.Point, level float64, s svg.Style) {
	var longest float64
	var label *svg.Point
	for j := range len(g.y) - 1 {
		for i := range len(g.x) - 1 {
			cut := g.cuts(i, j, level)
			for k := 0; k+1 < len(cut); k += 2 {
				a, b := place(cut[k].X, cut[k].Y), place(cut[k+1].X, cut[k+1].Y)
				p.Line(s, []svg.Point{a, b})
				if d := a.Y; label == nil || d > longest {
					longest, label = d, &svg.Point{X: (a.X + b.X) / 2, Y: (a.Y + b.Y) / 2}
				}
			}
		}
	}
	if label != nil {
		p.Text(svg.Style{Class: "contour-name", Fill: ink, Stroke: "", Opacity: 0.9}, label.X, label.Y-2, svg.Middle, 10, plain(level, 0))
	}
}

// cuts returns where a level crosses the sides of a cell, in pairs.
func (g field) cuts(i, j int, level float64) (out []svg.Point) {
	corner := [4]svg.Point{{X: g.x[i], Y: g.y[j]}, {X: g.x[i+1], Y: g.y[j]}, {X: g.x[i+1], Y: g.y[j+1]}, {X: g.x[i], Y: g.y[j+1]}}
	value := [4]float64{g.c[j][i], g.c[j][i+1], g.c[j+1][i+1], g.c[j+1][i]}
	for k := range 4 {
		a, b := value[k], value[(k+1)%4]
		if (a < level) == (b < level) {
			continue
		}
		s := (level - a) / (b - a)
		from, to := corner[k], corner[(k+1)%4]
		out = append(out, svg.Point{X: from.X + s*(to.X-from.X), Y: from.Y + s*(to.Y-from.Y)})
	}
	return out
}

// SectionCSV returns every frame as text: time, place and temperature.
func SectionCSV(s heat.Section) string {
	var t table
	t.row("t_s", "out_m", "up_m", "c")
	for _, f := range s.Frames {
		for j, row := range f.C {
			for i, c := range row {
				t.row(f.TimeS, s.OutM[i], s.UpM[j], c)
			}
		}
	}
	return t.b.String()
}
