// Package tomldoc reads a TOML document into a struct and remembers on which
// line everything stood, so that every error names its place and its remedy.
//
// Syntax is checked by go-toml; the walk over its parse tree is ours because
// unknown keys must name the nearest valid one, and because hints of the
// values' own parsers must reach the person.
//
// Start with Decode. What it does not do: write documents; go-toml does.
package tomldoc

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"sort"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/pelletier/go-toml/v2"
	"github.com/pelletier/go-toml/v2/unstable"
)

// MaxBytes is the largest document read. A long recipe has 10 kB.
const MaxBytes = 1 << 18

// Error is one fault of a document, with its place and what to do.
type Error struct {
	File   string
	Line   int // 0 when the fault has no line
	Text   string
	Advice string
}

func (e *Error) Error() string {
	if e.Line == 0 {
		return fmt.Sprintf("%s: %s", e.File, e.Text)
	}
	return fmt.Sprintf("%s, line %d: %s", e.File, e.Line, e.Text)
}

// Hint returns what to do about it.
func (e *Error) Hint() string { return e.Advice }

// Faults are several faults of one document, in the order of its lines.
// errors.As finds the first.
type Faults []*Error

func (fs Faults) Error() string {
	lines := make([]string, len(fs))
	for i, f := range fs {
		lines[i] = f.Error()
	}
	return strings.Join(lines, "\n")
}

// Unwrap returns each of them.
func (fs Faults) Unwrap() []error {
	out := make([]error, len(fs))
	for i, f := range fs {
		out[i] = f
	}
	return out
}

// Join returns faults as one error: nil, an *Error or Faults.
func Join(fs []*Error) error {
	switch len(fs) {
	case 0:
		return nil
	case 1:
		return fs[0]
	}
	return Faults(fs)
}

// All returns every fault in err, one that Decode or Join returned; nil when it
// holds none.
func All(err error) []*Error {
	var several Faults
	var one *Error
	switch {
	case errors.As(err, &several):
		return several
	case errors.As(err, &one):
		return []*Error{one}
	}
	return nil
}

// Doc remembers the lines of a document that was read.
type Doc struct {
	File     string
	lines    map[string]int // of every table and key that was given
	unread   []string       // paths of what could not be read
	whole    bool           // the document is TOML, so that everything in it was looked at
	newlines []int          // offsets
}

// Whole reports whether everything in the document was looked at, even if some
// of it could not be read; a fault of syntax ends the reading.
func (d *Doc) Whole() bool { return d.whole }

// Unread reports whether something at a path, below or above it could not be
// read, so that what is missing there may be no fault of its own.
func (d *Doc) Unread(path string) bool {
	for _, p := range d.unread {
		if p == path || strings.HasPrefix(p, path+".") || strings.HasPrefix(path, p+".") {
			return true
		}
	}
	return false
}

// Has reports whether the document gives the table or key at a path.
func (d *Doc) Has(path string) bool { _, ok := d.lines[path]; return ok }

// Line returns the line of a dotted path ("fats.1.share"), or of the nearest
// table above it, or 0.
func (d *Doc) Line(path string) int {
	for path != "" {
		if n, ok := d.lines[path]; ok {
			return n
		}
		path = path[:max(0, strings.LastIndexByte(path, '.'))]
	}
	return 0
}

// Fault returns an Error at a path.
func (d *Doc) Fault(path, advice, format string, args ...any) *Error {
	return d.errorAt(d.Line(path), advice, format, args...)
}

func (d *Doc) errorAt(line int, advice, format string, args ...any) *Error {
	return &Error{File: d.File, Line: line, Text: oneLine(fmt.Sprintf(format, args...)), Advice: advice}
}

// oneLine keeps a message short and on its line, whatever it quotes.
func oneLine(s string) string {
	const most = 300
	s = strings.Map(func(r rune) rune {
		if unicode.IsControl(r) || unicode.In(r, unicode.Zl, unicode.Zp) {
			return ' '
		}
		return r
	}, s)
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}

// Decode reads data into dst, a pointer to a struct with toml tags. Fields
// are strings, booleans, numbers, slices, maps from strings to these, structs,
// pointers to them, or anything with UnmarshalText. Unknown keys are errors.
// The error is an *Error, or Faults when there are several, and then dst holds
// what could be read. A byte order mark and the line ends of any computer are
// read over.
func Decode(file string, data []byte, dst any) (*Doc, error) {
	d := &Doc{File: file, lines: map[string]int{}}
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if err := d.checkSyntax(data); err != nil {
		return d, err
	}
	for i, b := range data {
		if b == '\n' {
			d.newlines = append(d.newlines, i)
		}
	}
	w := walker{doc: d, root: reflect.ValueOf(dst).Elem()}
	faults := w.walk(data)
	d.whole = len(faults) <= mostFaults
	return d, Join(faults)
}

// checkSyntax also finds keys and tables given twice.
func (d *Doc) checkSyntax(data []byte) *Error {
	if len(data) > MaxBytes {
		return d.errorAt(0, "is it the right file?", "the file is longer than %d kB, too long for a file of this kind", MaxBytes/1024)
	}
	if !utf8.Valid(data) {
		return d.errorAt(0, "save it again as UTF-8 text", "the file is not text in UTF-8")
	}
	var tree map[string]any
	err := toml.Unmarshal(data, &tree)
	if err == nil {
		return nil
	}
	line := 0
	var de *toml.DecodeError
	if errors.As(err, &de) {
		line, _ = de.Position()
	}
	text, advice := inPlainWords(strings.TrimPrefix(err.Error(), "toml: "))
	return d.errorAt(line, advice, "%s", text)
}

// inPlainWords turns what the TOML library says of the commonest slips into
// words for people who have never heard of TOML.
func inPlainWords(said string) (text, advice string) {
	advice = `every line is a key, an equals sign and a value in quotes: superfat = "5 %"`
	switch {
	case strings.Contains(said, "strings cannot have new lines"), strings.Contains(said, "unterminated"):
		return "a closing quote is missing", `put the value between two quotes: superfat = "5 %"`
	case strings.Contains(said, "array table"), strings.Contains(said, "already exists as a table"):
		return "a list is written as a single table", "write it with two brackets, like [[fats]], on every line of the list"
	}
	return said, advice
}

// lineAt returns the line a node begins on, or otherwise when the parser does
// not say where that is.
func (d *Doc) lineAt(n *unstable.Node, otherwise int) int {
	if n.Raw.Length == 0 {
		return otherwise
	}
	return sort.SearchInts(d.newlines, int(n.Raw.Offset)) + 1
}
