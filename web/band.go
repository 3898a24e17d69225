package web

import (
	"fmt"
	"math"

	"barwright/lye"
	"barwright/plan"
)

// bandPicture is the superfat band, laid out in the units of its view box.
type bandPicture struct {
	Width, Height, Bottom float64
	Desc                  string
	Ticks                 []bandTick
	Rows                  []bandRow
}

type bandTick struct {
	X     float64
	Label string
	Zero  bool
}

type bandRow struct {
	Name                                  string
	Y, TextY, LineY                       float64
	LowX, RangeW, LikelyX, WorstX, WorstW float64
}

// bandOf draws exact and weighed band over one scale that always shows zero.
func bandOf(p *plan.Plan) bandPicture {
	const width, left, right, top, rowHeight = 560.0, 96.0, 548.0, 24.0, 24.0
	rows := []struct {
		name string
		lye.Band
	}{{"exact", p.Superfat.Band}, {"as weighed", p.Superfat.AsWeighed.Band}}
	low, high := 0.0, 6.0
	for _, r := range rows {
		low, high = math.Min(low, math.Min(r.Worst, r.Low)), math.Max(high, r.High)
	}
	low, high = math.Max(-40, math.Floor(low)-1), math.Min(100, math.Ceil(high)+1)
	x := func(v float64) float64 {
		return round1(left + (right-left)*(math.Max(low, math.Min(high, v))-low)/(high-low))
	}
	pic := bandPicture{Width: width, Height: top + 2*rowHeight + 4, Bottom: top + 2*rowHeight}
	step := math.Max(1, math.Ceil((high-low)/10))
	for v := math.Ceil(low/step) * step; v <= high; v += step {
		pic.Ticks = append(pic.Ticks, bandTick{x(v), number(v, 0), v == 0})
	}
	for i, r := range rows {
		y := top + float64(i)*rowHeight
		pic.Rows = append(pic.Rows, bandRow{Name: r.name, Y: y, TextY: y + 10, LineY: y + 5, LowX: x(r.Low), RangeW: math.Max(1, x(r.High)-x(r.Low)),
			LikelyX: x(r.Typical) - 1.5, WorstX: x(r.Worst), WorstW: math.Max(0, x(r.Low)-x(r.Worst))})
		pic.Desc += fmt.Sprintf("%s: likely %.1f per cent, 95 per cent of batches between %.1f and %.1f, worst case %.1f. ", r.name, r.Typical, r.Low, r.High, r.Worst)
	}
	return pic
}

func round1(v float64) float64 { return math.Round(v*10) / 10 }
