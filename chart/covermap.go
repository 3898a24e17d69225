package chart

import (
	"fmt"
	"math"

	"barwright/heat"
	"barwright/internal/svg"
)

// look is how an outcome looks: a colour, the colour of a word on it, a word.
type look struct{ class, fill, text, word string }

var looks = map[heat.Outcome]look{
	heat.NoGel:      {"none", coolC, "#ffffff", "no gel"},
	heat.PartialGel: {"partial", "#f3dcae", ink, "halfway"},
	heat.FullGel:    {"full", heatC, "#ffffff", "full gel"},
}

// grid is the room of a cover map: where its cells begin and how large they are.
type grid struct{ left, top, cw, ch float64 }

func (g grid) box(i, j int) (x, y float64) {
	return g.left + g.cw*float64(i), g.top + g.ch*float64(j)
}

// CoverMap draws what comes of a batch by its temperature at the pour and by
// how it rests: each cell its likeliest outcome, paler where that has less than
// 80 %, a line around what has 80 % and more, dots where it may overheat. The
// plan's cell has a frame; beyond the temperatures it can be poured at it is
// hatched.
func CoverMap(name string, m heat.CoverMap) string {
	g := grid{188, 64, 16, 26}
	w := g.left + g.cw*float64(len(m.StartsC)) + 16
	h := g.top + g.ch*float64(len(m.Rows)) + 72
	p := svg.New("heat-covers", w, h, "Cover map: "+name, describeMap(m))
	p.Text(inkText, 16, 22, svg.Start, 15, "What comes of it, by pour and cover")
	p.Text(quietText, g.left, 42, svg.Start, 12, "poured at °C")
	for j, row := range m.Rows {
		_, y := g.box(0, j)
		p.Text(inkText, g.left-8, y+g.ch/2+4, svg.End, 12, short(row.Words))
		for i, c := range row.Cells {
			g.cell(p, i, j, c)
		}
	}
	g.degrees(p, m)
	g.contour(p, m)
	g.beyond(p, m)
	g.words(p, m)
	for j, row := range m.Rows {
		if x, y := g.box(m.PlannedColumn(), j); row.Planned {
			p.Box(svg.Style{Class: "plan-halo", Stroke: paper, Width: 6}, x, y, g.cw, g.ch)
			p.Box(svg.Style{Class: "planned", Stroke: ink, Width: 3}, x, y, g.cw, g.ch)
		}
	}
	for k, line := range []string{fmt.Sprintf("Framed: the plan, %.0f °C. Within a line, and not pale: a chance of 80 %% and more.", m.PlannedC), "Dotted: may overheat. Hatched: too cold to pour, or so hot that it traces at once.",
		fmt.Sprintf("Each chance from %d runs of the forecast: nine in ten lie within 20 points. Estimates.", m.Runs)} {
		p.Text(quietText, 16, h-50+18*float64(k), svg.Start, 12, line)
	}
	return p.String()
}

// sure is the chance from which on an outcome is taken as reached.
const sure = heat.Enough

// cell paints one cell.
func (g grid) cell(p *svg.Picture, i, j int, c heat.MapCell) {
	x, y := g.box(i, j)
	l := looks[c.Likely]
	p.Box(svg.Style{Class: "cell-back", Fill: paper}, x, y, g.cw, g.ch)
	opacity := 1.0
	if c.Chance.Of(c.Likely) < sure {
		opacity = 0.45
	}
	p.Box(svg.Style{Class: "outcome-" + l.class, Fill: l.fill, Opacity: opacity}, x+0.5, y+0.5, g.cw-1, g.ch-1)
	if c.Chance.Overheat > mayOverheat {
		for k := range 3 {
			p.Dot(svg.Style{Class: "may-overheat", Fill: "#ffffff"}, x+g.cw/2, y+g.ch*(float64(k)+0.5)/3, 1.8)
		}
	}
}

// mayOverheat is the chance from which on a cell is dotted.
const mayOverheat = 0.20

// degrees writes every fifth temperature.
func (g grid) degrees(p *svg.Picture, m heat.CoverMap) {
	for i, c := range m.StartsC {
		if x, _ := g.box(i, 0); math.Mod(c, 5) == 0 {
			p.Text(inkText, x+g.cw/2, g.top-6, svg.Middle, 12, plain(c, 0))
		}
	}
}

// reached is the outcome that a cell has 80 % and more of, "" for none.
func reached(m heat.CoverMap, i, j int) heat.Outcome {
	if j < 0 || j >= len(m.Rows) || i < 0 || i >= len(m.StartsC) {
		return ""
	}
	for _, o := range []heat.Outcome{heat.NoGel, heat.PartialGel, heat.FullGel} {
		if m.Rows[j].Cells[i].Chance.Of(o) >= sure {
			return o
		}
	}
	return ""
}

// contour draws the lines between what has 80 % and what has not.
func (g grid) contour(p *svg.Picture, m heat.CoverMap) {
	line := svg.Style{Class: "contour", Stroke: ink, Width: 1.6}
	for j := range m.Rows {
		for i := range m.StartsC {
			x, y := g.box(i, j)
			if i > 0 && reached(m, i, j) != reached(m, i-1, j) {
				p.Line(line, []svg.Point{{X: x, Y: y}, {X: x, Y: y + g.ch}})
			}
			if j > 0 && reached(m, i, j) != reached(m, i, j-1) {
				p.Line(line, []svg.Point{{X: x, Y: y}, {X: x + g.cw, Y: y}})
			}
		}
	}
}

// beyond hatches the temperatures nobody would pour at.
func (g grid) beyond(p *svg.Picture, m heat.CoverMap) {
	bottom := g.top + g.ch*float64(len(m.Rows))
	for i, c := range m.StartsC {
		if c >= m.Limits.LowC && c <= m.Limits.HighC {
			continue
		}
		x, _ := g.box(i, 0)
		for y := g.top; y < bottom; y += g.ch / 2 {
			p.Line(svg.Style{Class: "beyond", Stroke: paper, Width: 2.5}, []svg.Point{{X: x, Y: y + g.ch/2}, {X: x + g.cw, Y: y}})
		}
	}
}

// words names each outcome once, where it has most room, and what overheats.
func (g grid) words(p *svg.Picture, m heat.CoverMap) {
	for _, o := range []heat.Outcome{heat.NoGel, heat.PartialGel, heat.FullGel} {
		j, from, to := longest(m, func(c heat.MapCell) bool { return c.Likely == o && c.Chance.Overheat <= mayOverheat })
		g.word(p, j, from, to, looks[o].word, looks[o])
	}
	j, from, to := longest(m, func(c heat.MapCell) bool { return c.Chance.Overheat > mayOverheat })
	g.word(p, j, from, to, "may overheat", looks[heat.FullGel])
}

// word writes a word in the middle of some cells of a row, on a ground of its
// own; where there is no room for it it is left to the footer.
func (g grid) word(p *svg.Picture, j, from, to int, words string, l look) {
	const letter = 6.6 // of text of size 12
	wide := letter*float64(len(words)) + 10
	if g.cw*float64(to-from) < wide {
		return
	}
	x, y := g.box(from, j)
	middle := x + g.cw*float64(to-from)/2
	p.Box(svg.Style{Class: "word-ground-" + l.class, Fill: l.fill}, middle-wide/2, y+4, wide, g.ch-8)
	p.Text(svg.Style{Class: "outcome-word", Fill: l.text}, middle, y+g.ch/2+4, svg.Middle, 12, words)
}

// longest is the longest run of cells in a row that are so, at temperatures it
// can be poured at; of those as long the one in the middle.
func longest(m heat.CoverMap, is func(heat.MapCell) bool) (row, from, to int) {
	var best []int // rows
	for j, r := range m.Rows {
		for i := 0; i < len(r.Cells); i++ {
			k := i
			for k < len(r.Cells) && is(r.Cells[k]) && m.Limits.LowC <= m.StartsC[k] && m.StartsC[k] <= m.Limits.HighC {
				k++
			}
			switch {
			case k-i > to-from:
				best, from, to = []int{j}, i, k
			case k > i && k-i == to-from && i == from:
				best = append(best, j)
			}
			i = max(i, k)
		}
	}
	if len(best) == 0 {
		return 0, 0, 0
	}
	return best[len(best)/2], from, to
}

func short(s string) string {
	if r := []rune(s); len(r) > 28 {
		return string(r[:27]) + "…"
	}
	return s
}

func describeMap(m heat.CoverMap) string {
	text := fmt.Sprintf("Likeliest outcome by temperature at the pour, %.0f to %.0f °C, for each way to rest, the coldest first.", m.StartsC[0], m.StartsC[len(m.StartsC)-1])
	for _, row := range m.Rows {
		text += " " + row.Words + ":"
		for i, c := range row.Cells {
			if i == 0 || c.Likely != row.Cells[i-1].Likely {
				text += fmt.Sprintf(" %s from %.0f °C", c.Likely, m.StartsC[i])
			}
		}
		text += "."
	}
	return text
}

// CoverMapCSV returns the same data as text.
func CoverMapCSV(m heat.CoverMap) string {
	var t table
	t.row("rest", "planned", "start_c", "likely", "none", "partial", "full", "overheat")
	for _, row := range m.Rows {
		for i, c := range row.Cells {
			t.row(row.Words, row.Planned, m.StartsC[i], string(c.Likely), c.Chance.None, c.Chance.Partial, c.Chance.Full, c.Chance.Overheat)
		}
	}
	return t.b.String()
}
