package chart

import (
	"fmt"
	"math"

	"barwright/heat"
	"barwright/internal/svg"
)

// look is how an outcome looks: a colour, a mark in another shape, a word.
type look struct{ class, fill, text, word string }

var looks = map[heat.Outcome]look{
	heat.NoGel:      {"none", coolC, "#ffffff", "none"},
	heat.PartialGel: {"partial", "#fbefd9", ink, "partial"},
	heat.FullGel:    {"full", heatC, "#ffffff", "full"},
}

// CoverMap draws what comes of a batch by its temperature at the pour and by
// how it rests. Every cell says its likeliest outcome and how likely, and what
// overheats is marked; the plan's cell has a frame.
func CoverMap(name string, m heat.CoverMap) string {
	const left, top, cw, ch = 190.0, 64.0, 74.0, 40.0
	w, h := left+cw*float64(len(m.StartsC))+20, top+ch*float64(len(m.Rows))+58
	p := svg.New("heat-covers", w, h, "Cover map: "+name, describeMap(m))
	p.Text(inkText, 16, 22, svg.Start, 15, "What comes of it, by pour and cover")
	p.Text(quietText, left, 44, svg.Start, 12, "poured at °C")
	planned := m.PlannedColumn()
	for i, c := range m.StartsC {
		p.Text(inkText, left+cw*(float64(i)+0.5), top-6, svg.Middle, 12, plain(c, 0))
	}
	for j, row := range m.Rows {
		y := top + ch*float64(j)
		p.Text(inkText, left-8, y+ch/2+4, svg.End, 12, short(row.Words))
		for i, c := range row.Cells {
			drawCell(p, left+cw*float64(i), y, cw, ch, c)
		}
	}
	for j, row := range m.Rows {
		if row.Planned {
			p.Box(svg.Style{Class: "planned", Stroke: ink, Width: 3}, left+cw*float64(planned)+1.5, top+ch*float64(j)+1.5, cw-3, ch-3)
		}
	}
	p.Text(quietText, 16, h-32, svg.Start, 12, fmt.Sprintf("Framed: the plan, %.0f °C. ! may overheat. Where no chance reaches 80 %%, the cell is striped.", m.PlannedC))
	p.Text(quietText, 16, h-14, svg.Start, 12, fmt.Sprintf("Each chance from %d runs of the forecast, so within some 10 points.", m.Runs))
	return p.String()
}

// sure is the chance from which on a cell is plain.
const sure = heat.Enough

func drawCell(p *svg.Picture, x, y, w, h float64, c heat.MapCell) {
	l := looks[c.Likely]
	p.Box(svg.Style{Class: "outcome-" + l.class, Fill: l.fill, Stroke: paper, Width: 2}, x, y, w, h)
	chance := c.Chance.Of(c.Likely)
	if chance < sure {
		for s := 8.0; s < w+h; s += 12 { // stripes, cut at the cell
			x1, y1 := math.Min(s, w), math.Max(0, s-w)
			x2, y2 := math.Max(0, s-h), math.Min(s, h)
			p.Line(svg.Style{Class: "unsure", Stroke: paper, Width: 2}, []svg.Point{{X: x + x1, Y: y + y1}, {X: x + x2, Y: y + y2}})
		}
		p.Box(svg.Style{Class: "outcome-" + l.class, Fill: l.fill}, x+6, y+5, w-12, h-10)
	}
	words := l.word
	if c.Chance.Overheat > 0.2 {
		words += " !"
	}
	p.Text(svg.Style{Class: "outcome-word", Fill: l.text}, x+w/2, y+h/2-1, svg.Middle, 12, words)
	p.Text(svg.Style{Class: "outcome-word", Fill: l.text}, x+w/2, y+h/2+12, svg.Middle, 11, fmt.Sprintf("%.0f %%", 100*chance))
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
