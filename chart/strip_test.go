package chart_test

import (
	"encoding/xml"
	"strings"
	"testing"

	"barwright/calendar"
	"barwright/chart"
	"barwright/quantity"
)

func dayOf(t *testing.T, text string) quantity.Date {
	t.Helper()
	d, err := quantity.ParseDate(text)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// A day lies where the calendar has it: seven days apart is one week's line, what
// is outside is left out, a range is a box as long as its days.
func TestStrip(t *testing.T) {
	t.Parallel()
	from := dayOf(t, "2026-11-25")
	at := func(kind calendar.Kind, on, until string) calendar.Entry {
		return calendar.Entry{Batch: "kotum", Name: "Tow & <Tallow>", Kind: kind, On: dayOf(t, on), Until: dayOf(t, until)}
	}
	out := chart.Strip([]calendar.Entry{at(calendar.Weigh, "2026-11-25", "2026-11-25"), at(calendar.Weigh, "2026-12-02", "2026-12-02"), at(calendar.Ready, "2026-12-09", "2026-12-15"),
		at(calendar.BestBefore, "2027-11-25", "2027-11-25"), at(calendar.TurnOut, "2026-11-20", "2026-11-24")}, from, 7)
	var picture struct {
		Dots []struct {
			CX float64 `xml:"cx,attr"`
		} `xml:"circle"`
		Boxes []struct {
			X     float64 `xml:"x,attr"`
			Width float64 `xml:"width,attr"`
		} `xml:"rect"`
		Texts []string `xml:"text"`
	}
	if err := xml.Unmarshal([]byte(out), &picture); err != nil {
		t.Fatal(err)
	}
	if len(picture.Dots) != 2 || len(picture.Boxes) != 1 {
		t.Fatalf("%d dots, %d boxes", len(picture.Dots), len(picture.Boxes))
	}
	week := picture.Dots[1].CX - picture.Dots[0].CX
	if d := picture.Boxes[0].Width - week; d > 0.05 || d < -0.05 {
		t.Errorf("seven days are %g wide, a week %g", picture.Boxes[0].Width, week)
	}
	words := strings.Join(picture.Texts, "|")
	if !strings.Contains(words, "Tow & <Tallow>") || !strings.Contains(words, "ready") || strings.Contains(words, "best before") || strings.Contains(words, "turn out") {
		t.Error(words)
	}
}
