package chart

import (
	"fmt"

	"barwright/internal/svg"
	"barwright/judging"
)

// Score is one line of a picture of scores.
type Score struct {
	Name, Least, Most string
	Said              judging.Said
}

const (
	scoreWide = 330.0 // as wide as a phone
	scoreRow  = 44.0
)

// Scores draws means with their intervals on the scale of 1 to 9, a line each.
// id is unique on its page.
func Scores(id string, rows []Score) string {
	height := 24 + scoreRow*float64(len(rows)) + 6
	p := svg.New(id, scoreWide, height, "Scores from 1 to 9", fmt.Sprintf("Means of testers with 90 %% intervals, %d lines; the words beside it say the same.", len(rows)))
	at := scale{1, 9, 14, scoreWide - 14}
	for v := 1.0; v <= 9; v++ {
		p.Line(ruleLine, []svg.Point{{X: at.at(v), Y: 22}, {X: at.at(v), Y: height - 6}})
		p.Text(quietText, at.at(v), 14, svg.Middle, 12, plain(v, 0))
	}
	for i, r := range rows {
		y := 24 + scoreRow*float64(i+1) - 14
		p.Text(inkText, 0, y-13, svg.Start, 13, r.Name)
		p.Box(svg.Style{Class: "due-range", Fill: "#dfecea", Stroke: "#14544e", Width: 0.5}, at.at(r.Said.Low), y-6, at.at(r.Said.High)-at.at(r.Said.Low), 12)
		p.Dot(svg.Style{Class: "due", Fill: "#14544e"}, at.at(r.Said.Mean), y, 4.5)
	}
	return p.String()
}
