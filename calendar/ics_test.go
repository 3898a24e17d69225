package calendar

import (
	"bytes"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	ical "github.com/emersion/go-ical"
	"pgregory.net/rapid"

	"barwright/quantity"
)

func day(tb interface{ Fatal(...any) }, text string) quantity.Date {
	d, err := quantity.ParseDate(text)
	if err != nil {
		tb.Fatal(err)
	}
	return d
}

var made = time.Date(2026, 11, 25, 19, 0, 0, 0, time.UTC)

// Read back by a parser that is not ours (github.com/emersion/go-ical): every
// entry with its days, its words and its UID, whatever the words are.
func TestReadByAnotherParser(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.StringOf(rapid.OneOf(rapid.RuneFrom([]rune("ab ,;:\\\"'äß℃香\n")), rapid.Rune()))
		var want []Entry
		for i := range rapid.IntRange(1, 5).Draw(t, "entries") {
			on := quantity.DateOf(made.AddDate(0, 0, rapid.IntRange(-500, 500).Draw(t, "day")))
			want = append(want, Entry{Batch: "kotum", Name: words.Draw(t, "name"), Kind: Weigh, N: i, On: on, Until: After(on, rapid.IntRange(0, 20).Draw(t, "days")), Why: words.Draw(t, "why")})
		}
		out := Write(want, "rack.example", made)
		got, err := ical.NewDecoder(bytes.NewReader(out)).Decode()
		if err != nil {
			t.Fatalf("%v in\n%s", err, out)
		}
		if len(got.Events()) != len(want) {
			t.Fatalf("%d events, want %d", len(got.Events()), len(want))
		}
		for i, e := range got.Events() {
			sameEvent(t, e, want[i])
		}
	})
}

func sameEvent(t *rapid.T, e ical.Event, want Entry) {
	start, err1 := e.DateTimeStart(time.UTC)
	end, err2 := e.DateTimeEnd(time.UTC)
	summary, err3 := e.Props.Text(ical.PropSummary)
	uid, err4 := e.Props.Text(ical.PropUID)
	for _, err := range []error{err1, err2, err3, err4} {
		if err != nil {
			t.Fatal(err)
		}
	}
	if !start.Equal(want.On.Time()) || !end.Equal(want.Until.Time().AddDate(0, 0, 1)) {
		t.Fatalf("%v to %v, want %v to %v", start, end, want.On, want.Until)
	}
	if uid != want.UID("rack.example") || summary != plain(want.Summary()) {
		t.Fatalf("%q %q, want %q %q", uid, summary, want.UID("rack.example"), plain(want.Summary()))
	}
	if why, err := e.Props.Text(ical.PropDescription); want.Why != "" && (err != nil || why != plain(want.Why)) {
		t.Fatalf("%q, want %q: %v", why, plain(want.Why), err)
	}
}

// plain is what is left of words in a calendar: no control characters but a line's
// end.
func plain(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' && r != '\n' && r != '\t' || r == 0x7f {
			return -1
		}
		return r
	}, strings.ReplaceAll(s, "\r\n", "\n"))
}

// RFC 5545, 3.1: lines end in CRLF, are at most 75 octets, and fold with a
// space; a character is not torn in two.
func TestLinesOfRFC5545(t *testing.T) {
	t.Parallel()
	long := strings.Repeat("Seife mit Bienenwachs – 香皂 ", 20)
	out := Write([]Entry{{Batch: "kotum", Name: long, Kind: Ready, On: day(t, "2026-12-24"), Why: long}}, "x", made)
	if !bytes.HasSuffix(out, []byte("END:VCALENDAR\r\n")) || bytes.Contains(bytes.ReplaceAll(out, []byte("\r\n"), nil), []byte("\n")) {
		t.Error("a line that does not end in CRLF")
	}
	folded := false
	for _, l := range strings.Split(strings.TrimSuffix(string(out), "\r\n"), "\r\n") {
		folded = folded || strings.HasPrefix(l, " ")
		if len(l) > 75 || !utf8.ValidString(l) {
			t.Errorf("%d octets: %q", len(l), l)
		}
	}
	if !folded {
		t.Error("nothing was folded")
	}
	if bytes.Contains(out, []byte("VTIMEZONE")) {
		t.Error("all-day dates need no time zone")
	}
}

// RFC 5545, 3.3.11, its own example of an escaped TEXT.
func TestEscapesOfRFC5545(t *testing.T) {
	t.Parallel()
	const words, want = "Project XYZ Final Review\nConference Room - 3B\nCome Prepared.", `Project XYZ Final Review\nConference Room - 3B\nCome Prepared.`
	if got := text(words); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got := text(`a;b,c\d`); got != `a\;b\,c\\d` {
		t.Errorf("%q", got)
	}
}

// A day that moves keeps its UID; two things never share one.
func TestUIDs(t *testing.T) {
	t.Parallel()
	a := Entry{Batch: "kotum", Kind: Ready, On: day(t, "2026-12-01")}
	b := a
	b.On, b.Name = day(t, "2026-12-09"), "renamed"
	if a.UID("x") != b.UID("x") {
		t.Error("the UID moved with the day")
	}
	seen := map[string]Entry{}
	for _, e := range []Entry{{Batch: "a b"}, {Batch: "a_20b"}, {Batch: "ab"}, {Batch: "ab", N: 1}, {Batch: "ab", Kind: Weigh, N: 1}, {Batch: "ä"}, {Batch: "kotum", ID: "q7"}} {
		if other, twice := seen[e.UID("x")]; twice {
			t.Errorf("%+v and %+v are both %s", e, other, e.UID("x"))
		}
		seen[e.UID("x")] = e
	}
}

// For the fair on 29 November 2026 with eight weeks of cure, two days to the cut
// and three to pack, counted on a calendar: 26
// November packed, 1 October cut, 29 September poured.
func TestBackwardFromTheFair(t *testing.T) {
	t.Parallel()
	p := Backward(day(t, "2026-11-29"), Steps{PourToCut: 2, CutToReady: 56, ReadyToFair: 3})
	for _, c := range []struct{ got, want string }{{p.Ready.String(), "2026-11-26"}, {p.Cut.String(), "2026-10-01"}, {p.Pour.String(), "2026-09-29"}} {
		if c.got != c.want {
			t.Errorf("%s, want %s", c.got, c.want)
		}
	}
	if !p.IsLate(day(t, "2026-09-30")) || p.IsLate(day(t, "2026-09-29")) {
		t.Error("late only from the day after the last pour")
	}
	if leap := Backward(day(t, "2028-03-01"), Steps{CutToReady: 1}); leap.Pour.String() != "2028-02-29" {
		t.Errorf("the day before 1 March 2028 is %s", leap.Pour)
	}
}

func FuzzWrite(f *testing.F) {
	f.Add("kotum", "Slow Olive", "ready")
	f.Add("a\r\nBEGIN:VEVENT", "\x00\xff", "\\n;,")
	f.Fuzz(func(t *testing.T, batch, name, why string) {
		out := Write([]Entry{{Batch: batch, Name: name, Kind: Ready, On: day(t, "2026-12-24"), Why: why}}, "x", made)
		got, err := ical.NewDecoder(bytes.NewReader(out)).Decode()
		if err != nil || len(got.Events()) != 1 {
			t.Fatalf("%v, %q", err, out)
		}
	})
}
