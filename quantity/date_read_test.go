package quantity_test

import (
	"errors"
	"testing"
	"time"

	"pgregory.net/rapid"

	"barwright/quantity"
)

func TestReadDate(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]string{
		"2026-11-05": "2026-11-05", " 5 Nov 2026 ": "2026-11-05", "5 november 2026": "2026-11-05", "Nov 5, 2026": "2026-11-05", "5. Nov. 2026": "2026-11-05", "5th of November 2026": "2026-11-05", "2026 Nov 5": "2026-11-05",
		"5.11.2026": "2026-11-05", "05.11.2026": "2026-11-05", "31/12/2026": "2026-12-31", "12/31/2026": "2026-12-31", "5/5/2026": "2026-05-05", "2026/11/5": "2026-11-05", "2026.11.05": "2026-11-05", "29 Feb 2028": "2028-02-29", "1 Sept 2026": "2026-09-01",
		"5\u00a0Nov\u202f2026": "2026-11-05",
	} {
		if got, err := quantity.ReadDate(text); err != nil || got.String() != want {
			t.Errorf("%q: %s (%v), want %s", text, got, err, want)
		}
	}
	const like = "write it like 5 Nov 2026, or 2026-11-05"
	for text, want := range map[string][2]string{
		"5/11/2026":   {`"5/11/2026" can be read two ways`, "write 5 Nov 2026 or 11 May 2026"},
		"5-11-2026":   {`"5-11-2026" can be read two ways`, "write 5 Nov 2026 or 11 May 2026"},
		"5.11.26":     {`"5.11.26" has half a year`, "write all four digits of the year, like 5 Nov 2026"},
		"11/2026":     {`"11/2026" does not say which day`, "a label that gives a month means its last day: 30 Nov 2026"},
		"Feb 2028":    {`"Feb 2028" does not say which day`, "a label that gives a month means its last day: 29 Feb 2028"},
		"2026-11":     {`"2026-11" does not say which day`, "a label that gives a month means its last day: 30 Nov 2026"},
		"30 Feb 2026": {"February 2026 has no day 30", "is one of the two wrong?"},
		"31.11.2026":  {"November 2026 has no day 31", "is one of the two wrong?"},
		"soon":        {`"soon" is not a day`, like}, "": {`"" is not a day`, like}, "2026": {`"2026" is not a day`, like}, "0.0.2026": {`"0.0.2026" is not a day`, like}, "0/0/2026": {`"0/0/2026" is not a day`, like},
		"5.13.2026": {`"5.13.2026" is not a day`, like}, "5 Nov 20261": {`"5 Nov 20261" is not a day`, like}, "5 Nov Dec 2026": {`"5 Nov Dec 2026" is not a day`, like}, "ma 5 2026": {`"ma 5 2026" is not a day`, like},
		"99999999999999999999 Nov 2026": {`"99999999999999999999 Nov 2026" is not a day`, like}, "13/2026/1/2": {`"13/2026/1/2" is not a day`, like},
	} {
		got, err := quantity.ReadDate(text)
		var e *quantity.Error
		if !errors.As(err, &e) || e.Text != want[0] || e.Advice != want[1] {
			t.Errorf("%q: %s, %+v, want %s; %s", text, got, err, want[0], want[1])
		}
	}
}

// A day reads back however it is written.
func TestReadDateBack(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		day := time.Date(1990, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 40000).Draw(t, "days"))
		form := rapid.SampledFrom([]string{time.DateOnly, "2 Jan 2006", "2 January 2006", "Jan 2, 2006", "2.1.2006", "02.01.2006", "2006/1/2"}).Draw(t, "form")
		if got, err := quantity.ReadDate(day.Format(form)); err != nil || got != quantity.DateOf(day) {
			t.Fatalf("%q: %s (%v)", day.Format(form), got, err)
		}
	})
}
