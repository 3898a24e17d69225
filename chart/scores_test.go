package chart_test

import (
	"encoding/xml"
	"testing"

	"barwright/chart"
	"barwright/judging"
)

// A mean lies where the scale has it: 5 is halfway between 3 and 7.
func TestScores(t *testing.T) {
	t.Parallel()
	out := chart.Scores("said", []chart.Score{{Name: "Slip", Said: judging.Said{N: 3, Mean: 5, Low: 3, High: 7}}})
	var picture struct {
		Dot struct {
			CX float64 `xml:"cx,attr"`
		} `xml:"circle"`
		Box struct {
			X     float64 `xml:"x,attr"`
			Width float64 `xml:"width,attr"`
		} `xml:"rect"`
	}
	if err := xml.Unmarshal([]byte(out), &picture); err != nil {
		t.Fatal(err)
	}
	if d := picture.Dot.CX - (picture.Box.X + picture.Box.Width/2); d > 0.02 || d < -0.02 || picture.Box.Width < 50 {
		t.Errorf("%+v", picture)
	}
}
