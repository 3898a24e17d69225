package calendar

import (
	"bytes"
	"cmp"
	"fmt"
	"strings"
	"time"
	"unicode/utf8"
)

// Write prints entries as one iCalendar (RFC 5545) of all-day events: lines end
// in CRLF and are folded after 75 octets, never inside a character. domain is
// what UIDs end in; stamped is when they were made [UTC], which RFC 5545 asks
// for and readers compare.
func Write(entries []Entry, domain string, stamped time.Time) []byte {
	var w ics
	w.line("BEGIN", "VCALENDAR")
	w.line("VERSION", "2.0")
	w.line("PRODID", "-//Barwright//Rack//EN")
	w.line("CALSCALE", "GREGORIAN")
	w.line("METHOD", "PUBLISH")
	w.line("X-WR-CALNAME", "Rack")
	for _, e := range entries {
		w.event(e, domain, stamped)
	}
	w.line("END", "VCALENDAR")
	return w.Bytes()
}

// UID names an entry the same way whenever its day moves.
func (e Entry) UID(domain string) string {
	return fmt.Sprintf("%s-%s-%d@%s", uidPart(cmp.Or(e.ID, e.Batch)), uidPart(string(e.Kind)), e.N, uidPart(domain))
}

// uidPart keeps letters, digits, points and hyphens, and writes any other byte as
// _ and its number, so that two names never meet.
func uidPart(s string) string {
	var b strings.Builder
	for _, c := range []byte(s) {
		if c == '.' || c == '-' || '0' <= c && c <= '9' || 'a' <= c && c <= 'z' || 'A' <= c && c <= 'Z' {
			b.WriteByte(c)
		} else {
			fmt.Fprintf(&b, "_%02x", c)
		}
	}
	return b.String()
}

// ics gathers lines.
type ics struct{ bytes.Buffer }

func (w *ics) event(e Entry, domain string, stamped time.Time) {
	const day = "20060102"
	until := e.Until
	if until.String() == "" || until.Before(e.On) {
		until = e.On
	}
	w.line("BEGIN", "VEVENT")
	w.line("UID", e.UID(domain))
	w.line("DTSTAMP", stamped.UTC().Format(day+"T150405Z"))
	w.line("DTSTART;VALUE=DATE", e.On.Time().Format(day))
	w.line("DTEND;VALUE=DATE", until.Time().AddDate(0, 0, 1).Format(day)) // the day after the last
	w.line("SUMMARY", text(e.Summary()))
	if e.Why != "" {
		w.line("DESCRIPTION", text(e.Why))
	}
	w.line("TRANSP", "TRANSPARENT")
	w.line("END", "VEVENT")
}

// Summary is the entry in a line: what, of which soap, which batch.
func (e Entry) Summary() string {
	kind := string(e.Kind)
	if kind != "" {
		kind = strings.ToUpper(kind[:1]) + kind[1:]
	}
	if e.Name == "" {
		return kind + ": " + e.Batch
	}
	return kind + ": " + e.Name + " (" + e.Batch + ")"
}

// text escapes a TEXT value (RFC 5545, 3.3.11) and drops control characters,
// which no line may have.
func text(s string) string {
	s = strings.ToValidUTF8(strings.ReplaceAll(s, "\r\n", "\n"), "\uFFFD")
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '\\' || r == ';' || r == ',':
			b.WriteByte('\\')
			b.WriteRune(r)
		case r == '\n':
			b.WriteString(`\n`)
		case r < ' ' && r != '\t' || r == 0x7f:
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

// line writes one content line, folded (RFC 5545, 3.1).
func (w *ics) line(name, value string) {
	const mostOctets = 75
	rest, room := name+":"+value, mostOctets
	for len(rest) > room {
		cut := room
		for !utf8.RuneStart(rest[cut]) {
			cut--
		}
		w.WriteString(rest[:cut] + "\r\n ")
		rest, room = rest[cut:], mostOctets-1
	}
	w.WriteString(rest + "\r\n")
}
