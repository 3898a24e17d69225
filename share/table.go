package share

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"barwright/internal/tomldoc"
)

// printTable prints rows as CSV (RFC 4180), the first one the names of the
// columns.
func printTable(rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	w.UseCRLF = true
	for _, row := range rows {
		for i := range row {
			row[i] = guard(row[i])
		}
	}
	w.WriteAll(rows) // a buffer does not fail
	return b.Bytes()
}

// formula are the signs by which a spreadsheet takes a cell for a formula and
// works it out, and the sign that keeps it from that.
const formula = "=+-@\t'"

// guard makes a text fit for a cell: what a spreadsheet would take for a
// formula gets the sign before it that says text, and no sign of control but
// tab and new line stays.
func guard(text string) string {
	text = strings.Map(func(r rune) rune {
		switch {
		case r == '\r':
			return -1
		case unicode.IsControl(r) && r != '\n' && r != '\t':
			return ' '
		}
		return r
	}, strings.ToValidUTF8(text, "\ufffd"))
	if text != "" && strings.Contains(formula, text[:1]) {
		return "'" + text
	}
	return text
}

// unguard is the text of a cell.
func unguard(cell string) string {
	if len(cell) > 1 && cell[0] == '\'' && strings.Contains(formula, cell[1:2]) {
		return cell[1:]
	}
	return cell
}

// table is a CSV file that was read: columns are found by their names, in any
// order.
type table struct {
	file    string
	columns map[string]int
	rows    []row
}

type row struct {
	table *table
	line  int
	cells []string
}

// readTable reads a CSV file that has certain columns.
func readTable(file string, data []byte, must ...string) (*table, error) {
	if !utf8.Valid(data) || bytes.IndexByte(data, 0) >= 0 {
		return nil, &tomldoc.Error{File: file, Text: "the file is not text in UTF-8", Advice: "save it again as CSV in UTF-8"}
	}
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\ufeff"))))
	t := &table{file: file, columns: map[string]int{}}
	for {
		cells, err := r.Read()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, t.syntax(err)
		}
		if len(t.columns) == 0 {
			for i, name := range cells {
				t.columns[strings.TrimSpace(name)] = i
			}
			continue
		}
		line, _ := r.FieldPos(0)
		t.rows = append(t.rows, row{t, line, cells})
	}
	for _, name := range must {
		if _, ok := t.columns[name]; !ok {
			return nil, &tomldoc.Error{File: file, Line: 1, Text: fmt.Sprintf("there is no column %q", name), Advice: "columns are parted by commas; the first line names them: " + strings.Join(must, ",")}
		}
	}
	return t, nil
}

func (t *table) syntax(err error) error {
	var pe *csv.ParseError
	line := 0
	if errors.As(err, &pe) {
		line, err = pe.Line, pe.Err
	}
	return &tomldoc.Error{File: t.file, Line: line, Text: err.Error(), Advice: "every line has as many cells as the first, parted by commas; a cell with a comma or a quote stands in quotes"}
}

// get returns a cell, "" where there is no such column.
func (r row) get(column string) string {
	i, ok := r.table.columns[column]
	if !ok {
		return ""
	}
	return unguard(r.cells[i])
}

func (r row) fault(advice, format string, args ...any) error {
	return &tomldoc.Error{File: r.table.file, Line: r.line, Text: fmt.Sprintf(format, args...), Advice: advice}
}

// time reads a cell that holds a time or is empty.
func (r row) time(column string) (time.Time, error) {
	text := r.get(column)
	if text == "" {
		return time.Time{}, nil
	}
	for _, form := range []string{time.RFC3339Nano, time.DateOnly} {
		if t, err := time.Parse(form, text); err == nil && t.Year() >= 1970 && t.Year() < 2200 {
			return t.UTC(), nil
		}
	}
	return time.Time{}, r.fault(`write it like 2026-11-29 or 2026-11-29T18:00:00Z`, "%s %.40q is not a time", column, text)
}

func stamp(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format(time.RFC3339Nano)
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return ""
}

// distinct refuses a second row with the same cell.
func distinct(rows []row, column string) error {
	seen := map[string]bool{}
	for _, r := range rows {
		key := r.get(column)
		if key != "" && seen[key] {
			return r.fault("every row has its own", "a second row with the %s %.60q", column, key)
		}
		seen[key] = true
	}
	return nil
}
