package web_test

import (
	"strings"
	"testing"
	"time"

	ical "github.com/emersion/go-ical"
)

// The served file read by a parser that is not ours (github.com/emersion/go-ical):
// all-day events with UIDs that are one each and stay when days move on.
func TestServedCalendar(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	read := func() map[string]string {
		t.Helper()
		got, err := ical.NewDecoder(strings.NewReader(c.get(200, "/calendar.ics"))).Decode()
		if err != nil {
			t.Fatal(err)
		}
		out := map[string]string{}
		for _, e := range got.Events() {
			uid, _ := e.Props.Text(ical.PropUID)
			start := e.Props.Get(ical.PropDateTimeStart)
			if out[uid] != "" || start.Params.Get("VALUE") != "DATE" {
				t.Errorf("%s comes twice, or is not all-day: %v", uid, start)
			}
			out[uid] = start.Value
		}
		return out
	}
	before := read()
	if len(before) < 20 {
		t.Fatalf("%d events", len(before))
	}
	// b11 was cut on 1 August 2026: best before a year later; weighed 120 days
	// later, on 29 November (counted on a calendar).
	if before["b11-best_20before-0@barwright"] != "20270801" || before["b11-weigh-9@barwright"] != "20261129" {
		t.Errorf("b11: best before %s, day 120 %s", before["b11-best_20before-0@barwright"], before["b11-weigh-9@barwright"])
	}
	c.now = c.now.Add(48 * time.Hour)
	if after := read(); len(after) != len(before) {
		t.Errorf("two days later %d events, before %d", len(after), len(before))
	}
}

// "For the fair on the 29th pour by …": counted back on a calendar by the days
// that the page itself names.
func TestBackwardOnThePage(t *testing.T) {
	t.Parallel()
	s := openShop(t, "ninth-lock")
	page := s.get(200, "/calendar?for=2027-03-29&recipe=plain-tow&pack=3")
	if !strings.Contains(page, "For Monday 29 March 2027 pour Plain Tow by") || !strings.Contains(page, "dry by Friday 26 March 2027") {
		t.Error("no answer, or not three days for packing")
	}
	if page := s.get(200, "/calendar?for=2026-11-29&recipe=plain-tow&pack=3"); !strings.Contains(page, "Too late") {
		t.Error("a fair in four days is promised")
	}
	for query, want := range map[string]string{"for=29.3.&recipe=plain-tow&pack=3": "a day, like", "for=2027-03-29&recipe=plain-tow&pack=many": "whole days", "for=2027-03-29&recipe=none&pack=3": "one of the list"} {
		if page := s.get(422, "/calendar?"+query); !strings.Contains(page, want) || !strings.Contains(page, `aria-invalid="true"`) {
			t.Errorf("%s: %q is not said beside its field", query, want)
		}
	}
}
