package batch

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"barwright/internal/near"
	"barwright/quantity"
)

// Event is one thing that was done, as one device stamped it. It never changes;
// an undo and a correction are events of their own.
type Event struct {
	ID     string    // made on the device
	Device string    // the same for as long as the device keeps its storage
	Seq    int64     // counts the device's events of this batch from 1: their order, whatever its clock does
	At     time.Time // the device's wall clock, to the millisecond
	Run    string    // one run of the device's own counter, "" when it has none
	TickMS int64     // that counter [ms], which no change of the clock moves
	By     string    // who
	Do     Action
}

// Action is what an event did. Kind is its one word in files.
type Action interface {
	Kind() string
	check() error
}

// line is the form of an event in files.
type line struct {
	ID     string          `json:"id"`
	Device string          `json:"device"`
	Seq    int64           `json:"seq"`
	At     string          `json:"at"`
	Run    string          `json:"run,omitempty"`
	TickMS int64           `json:"tick_ms,omitempty"`
	By     string          `json:"by,omitempty"`
	Kind   string          `json:"kind"`
	Data   json.RawMessage `json:"data"`
}

const timeForm = "2006-01-02T15:04:05.000Z07:00"

// MarshalJSON prints the event on one line, always the same way.
func (e Event) MarshalJSON() ([]byte, error) {
	data, err := json.Marshal(e.Do)
	if err != nil {
		return nil, err
	}
	return json.Marshal(line{e.ID, e.Device, e.Seq, e.At.UTC().Format(timeForm), e.Run, e.TickMS, e.By, e.Do.Kind(), data})
}

// MaxEventBytes is the longest event read.
const MaxEventBytes = 1 << 16

// ParseEvent reads one event. It is strict: an unknown kind or key, a key given
// twice, a value out of its range is an error with words and a hint.
func ParseEvent(data []byte) (Event, error) {
	if len(data) > MaxEventBytes {
		return Event{}, fault("notes are a page at most", "an event of %d kB", len(data)/1024)
	}
	if !utf8.Valid(data) {
		return Event{}, fault("send it as UTF-8", "the event is not text in UTF-8")
	}
	var l line
	if err := decode(data, &l, "an event"); err != nil {
		return Event{}, err
	}
	at, err := time.Parse(time.RFC3339Nano, l.At)
	if err != nil {
		return Event{}, fault(`like "2026-11-29T14:03:05.120Z"`, "at: %.40q is not a time", l.At)
	}
	e := Event{ID: l.ID, Device: l.Device, Seq: l.Seq, At: at.UTC().Truncate(time.Millisecond), Run: l.Run, TickMS: l.TickMS, By: l.By}
	if e.Do, err = decodeAction(l.Kind, l.Data); err != nil {
		return Event{}, err
	}
	return e, e.Check()
}

// decodeAction reads what an event did.
func decodeAction(kind string, data []byte) (Action, error) {
	read, ok := kinds[kind]
	if !ok {
		known := sortedKinds()
		advice := "the kinds are " + strings.Join(known, ", ")
		if n := near.Word(kind, known); n != "" {
			advice = fmt.Sprintf("did you mean %q? ", n) + advice
		}
		return nil, fault(advice, "%.40q is not a kind of event", kind)
	}
	return read(data)
}

// Check returns what is wrong with an event.
func (e Event) Check() error {
	for _, id := range []struct{ key, text string }{{"id", e.ID}, {"device", e.Device}} {
		if !isID(id.text) {
			return fault("letters, digits, - and _, at most 64 of them", "%s: %.60q is not an id", id.key, id.text)
		}
	}
	if e.Run != "" && !isID(e.Run) {
		return fault("letters, digits, - and _, at most 64 of them", "run: %.60q is not an id", e.Run)
	}
	if y := e.At.Year(); y < 1990 || y > 2200 {
		return fault("is the device's clock set?", "at: the year %d", y)
	}
	switch {
	case e.Seq < 1 || e.Seq > 1e9:
		return fault("a device counts its events from 1", "seq: %d", e.Seq)
	case e.TickMS < 0 || e.TickMS > 1e13 || e.TickMS > 0 && e.Run == "":
		return fault("milliseconds of one run of the device's counter", "tick_ms: %d", e.TickMS)
	case e.Do == nil:
		return fault("every event says what was done", "an event without an action")
	}
	if err := checkText("by", e.By, 200); err != nil {
		return err
	}
	if err := e.Do.check(); err != nil {
		return fmt.Errorf("%s: %w", e.Do.Kind(), err)
	}
	return nil
}

// ParseEvents reads events, one a line; empty lines are read over. The error
// names the line.
func ParseEvents(data []byte) ([]Event, error) {
	var out []Event
	n := 0
	for text := range bytes.Lines(data) {
		n++
		if text = bytes.TrimSpace(text); len(text) == 0 {
			continue
		}
		e, err := ParseEvent(text)
		if err != nil {
			return nil, &lineError{n, err}
		}
		out = append(out, e)
	}
	return out, nil
}

type lineError struct {
	line int
	err  error
}

func (e *lineError) Error() string { return fmt.Sprintf("line %d: %v", e.line, e.err) }
func (e *lineError) Unwrap() error { return e.err }

// Hint returns what to do about it.
func (e *lineError) Hint() string {
	var h interface{ Hint() string }
	if errors.As(e.err, &h) {
		return h.Hint()
	}
	return ""
}

// PrintEvents prints events one a line.
func PrintEvents(events []Event) []byte {
	var b bytes.Buffer
	for _, e := range events {
		text, err := json.Marshal(e)
		if err != nil {
			panic(fmt.Sprintf("event %s does not print: %v", e.ID, err))
		}
		b.Write(text)
		b.WriteByte('\n')
	}
	return b.Bytes()
}

// decode reads one JSON object into dst with nothing left over.
func decode(data []byte, dst any, what string) error {
	if err := checkKeys(data); err != nil {
		return err
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(dst); err != nil {
		return fault("write it as the docs of events show", "%s: %s", what, jsonWords(err))
	}
	if _, err := d.Token(); err != io.EOF {
		return fault("one object a line", "%s: something follows it", what)
	}
	return nil
}

// jsonWords says what encoding/json found, without its prefix.
func jsonWords(err error) string {
	var wrong *json.UnmarshalTypeError
	if errors.As(err, &wrong) {
		return fmt.Sprintf("%s cannot be %s", wrong.Field, wrong.Value)
	}
	return shorten(strings.TrimPrefix(err.Error(), "json: "))
}

func shorten(s string) string {
	if r := []rune(s); len(r) > 200 {
		return string(r[:200]) + "…"
	}
	return s
}

// checkKeys refuses what encoding/json would read over: a key given twice, and
// one in other letters than its own.
func checkKeys(data []byte) error {
	d := json.NewDecoder(bytes.NewReader(data))
	d.UseNumber()
	type level struct {
		object bool
		keys   []string
		value  bool // a key was read and its value comes
	}
	var open []level
	for n := 0; ; n++ {
		t, err := d.Token()
		if err == io.EOF && len(open) == 0 && n > 0 {
			return nil
		}
		if err != nil {
			return fault("write it as the docs of events show", "it is no whole JSON object: %s", shorten(err.Error()))
		}
		top := len(open) - 1
		if delim, ok := t.(json.Delim); ok && (delim == '}' || delim == ']') {
			open = open[:top]
			continue
		}
		if top >= 0 && open[top].object && !open[top].value {
			key := t.(string)
			if slices.Contains(open[top].keys, key) || strings.Trim(key, "abcdefghijklmnopqrstuvwxyz_.0123456789") != "" {
				return fault("every key once, in small letters", "the key %.40q", key)
			}
			open[top].keys, open[top].value = append(open[top].keys, key), true
			continue
		}
		if top >= 0 {
			open[top].value = false
		}
		if delim, ok := t.(json.Delim); ok {
			if len(open) > 8 {
				return fault("write it as the docs of events show", "it is nested too deep")
			}
			open = append(open, level{object: delim == '{'})
		}
	}
}

func fault(advice, format string, args ...any) error {
	return &quantity.Error{Text: fmt.Sprintf(format, args...), Advice: advice}
}

func isID(s string) bool {
	return s != "" && len(s) <= 64 && strings.Trim(s, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-") == ""
}

// isStep reports the name of a step, a mark or a vessel.
func isStep(s string) bool {
	return s != "" && len(s) <= 80 && strings.Trim(s, "abcdefghijklmnopqrstuvwxyz0123456789_.") == ""
}
