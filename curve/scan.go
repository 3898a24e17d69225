package curve

import (
	"encoding/csv"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// row is one line with a time and a temperature.
type row struct {
	line                int
	time                float64 // [s], or in the table's unit when plain
	monthFirst          float64 // [s], of a date whose first number is the month, as time is of one whose first is the day; NaN: it cannot be
	plain               bool    // a number without a unit
	temperature         float64
	fahrenheit, celsius bool // the cell says so itself
}

// table is every row, and what the head line says.
type table struct {
	rows                []row
	unit                string // of plain times: "s", "min", "h" or "" when nobody says
	fahrenheit, celsius bool
	skipped             int
	timeAt, tempAt      int // columns, -1: not told
	columns             int // of the head line, 0: none
	clock               clock
}

// scan reads the lines of a text.
func scan(text string) (table, error) {
	t := table{timeAt: -1, tempAt: -1}
	number := 0
	for line := range strings.Lines(strings.ReplaceAll(strings.TrimPrefix(text, "\ufeff"), "\r", "\n")) {
		number++
		if number > mostLines {
			return t, &Error{Line: number, Text: "too many lines", Advice: "send the log of one batch"}
		}
		line = strings.TrimSpace(line)
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		cells := split(line)
		r, ok := t.read(cells)
		switch {
		case ok:
			r.line = number
			t.rows = append(t.rows, r)
		case len(t.rows) == 0 && t.head(cells):
		default:
			t.skipped++
		}
	}
	t.setDates()
	if len(t.rows) == 0 {
		return t, &Error{Text: "there is no line with a time and a temperature", Advice: form}
	}
	return t, nil
}

// split cuts a line into cells at the sign that parts most of them: tab,
// semicolon, a comma that is no decimal comma, or spaces.
func split(line string) []string {
	for _, sep := range []string{"\t", ";", "|", ","} {
		if quoted := strings.Contains(line, `"`) && strings.Contains(line, sep); quoted {
			return unquoted(line, rune(sep[0]))
		} else if sep != "," && strings.Contains(line, sep) {
			return trimmed(strings.Split(line, sep))
		}
	}
	if cells := commas(line); len(cells) > 1 {
		return trimmed(cells)
	}
	return spaced(line)
}

// unquoted splits a line in which a cell may hold the separator between quotes.
func unquoted(line string, sep rune) []string {
	r := csv.NewReader(strings.NewReader(line))
	r.Comma, r.LazyQuotes = sep, true
	cells, err := r.Read()
	if err != nil {
		cells = strings.Split(line, string(sep))
	}
	return trimmed(cells)
}

// commas splits at commas; a single comma in a number after a space is a
// decimal comma: "0:15 41,5" is not split here, "0:15,41.5" is.
func commas(line string) []string {
	before, after, one := strings.Cut(line, ",")
	if !one || strings.Contains(after, ",") {
		return strings.Split(line, ",")
	}
	space := strings.LastIndexByte(before, ' ')
	if space > 0 && digits(strings.TrimPrefix(before[space+1:], "-")) && digits(after[:min(1, len(after))]) {
		return nil
	}
	return []string{before, after}
}

var spacedForm = regexp.MustCompile(`^(\d+ ?(?:h|hours?) ?\d{1,2}(?: ?(?:m|min|minutes?))?|\S+(?: ?(?:s|sec|min|h|hours?|minutes?|seconds?|[aApP][mM]))?|\d{4}-\d\d-\d\d[ T]\S+)\s+(-?[0-9.,]+ ?(?:°? ?[CFcf])?)$`)

func spaced(line string) []string {
	if m := spacedForm.FindStringSubmatch(line); m != nil {
		return []string{m[1], m[2]}
	}
	return strings.Fields(line)
}

func trimmed(cells []string) []string {
	for i, c := range cells {
		cells[i] = strings.Trim(strings.TrimSpace(c), `"'`)
	}
	return cells
}

// head reads a head line; false when it says nothing.
func (t *table) head(cells []string) bool {
	said := false
	defer func() {
		if said {
			t.columns = len(cells)
		}
	}()
	for i, c := range cells {
		w := strings.ToLower(c)
		switch {
		case has(w, "temp", "core", "°c", "°f", "celsius", "fahrenheit", "probe", "grad") && t.tempAt < 0:
			t.tempAt, said = i, true
			t.fahrenheit = has(w, "°f", "fahrenheit", "(f)", "[f]") || strings.HasSuffix(w, " f") || strings.HasSuffix(w, "_f")
			t.celsius = has(w, "°c", "celsius", "(c)", "[c]") || strings.HasSuffix(w, " c") || strings.HasSuffix(w, "_c")
		case has(w, "time", "date", "clock", "elapsed", "min", "sec", "hour", "zeit", "t_s", "stamp") && t.timeAt < 0:
			t.timeAt, said = i, true
			t.unit = unitIn(w)
		}
	}
	return said
}

func has(w string, parts ...string) bool {
	for _, p := range parts {
		if strings.Contains(w, p) {
			return true
		}
	}
	return false
}

func unitIn(w string) string {
	switch {
	case has(w, "min"):
		return "min"
	case has(w, "sec", "(s)", "[s]", "_s"):
		return "s"
	case has(w, "hour", "(h)", "[h]", "_h"):
		return "h"
	}
	return ""
}

// read reads the cells of one line.
func (t *table) read(cells []string) (row, bool) {
	if len(cells) < 2 {
		return row{}, false
	}
	cells = t.joinDecimal(cells)
	timeAt, tempAt := 0, len(cells)-1
	if t.timeAt >= 0 && t.timeAt < len(cells) {
		timeAt = t.timeAt
	}
	if t.tempAt >= 0 && t.tempAt < len(cells) {
		tempAt = t.tempAt
	} else if t.tempAt < 0 && len(cells) > 2 && dateForm.MatchString(cells[0]) && clockForm.MatchString(cells[1]) {
		tempAt = 2
	} else if t.tempAt < 0 {
		tempAt = 1
	}
	if timeAt == tempAt {
		return row{}, false
	}
	var r row
	if !r.readTemperature(cells[tempAt]) {
		return row{}, false
	}
	timeText := cells[timeAt]
	if timeAt+1 < len(cells) && timeAt+1 != tempAt && dateForm.MatchString(timeText) {
		timeText += " " + cells[timeAt+1]
	}
	return r, t.readTime(&r, timeText)
}

// joinDecimal puts a decimal comma back that was taken for a separator: the
// head line has two columns, and the line three, of which the last is "5" or "25".
func (t *table) joinDecimal(cells []string) []string {
	if t.columns != 2 || len(cells) != 3 || !digits(strings.TrimPrefix(cells[1], "-")) || !digits(cells[2]) || len(cells[2]) > 2 {
		return cells
	}
	return []string{cells[0], cells[1] + "," + cells[2]}
}

func (r *row) readTemperature(text string) bool {
	lower := strings.ToLower(text)
	r.fahrenheit = strings.HasSuffix(lower, "f")
	r.celsius = strings.HasSuffix(lower, "c")
	if r.celsius {
		if c, ok := celsiusOf(text); ok {
			r.temperature = c
			return true
		}
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(strings.TrimRight(lower, "°fcº ")), ",", "."), 64)
	r.temperature = v
	return err == nil && !math.IsNaN(v) && !math.IsInf(v, 0)
}

func (t table) least() float64 { v, _ := t.span(); return v }
func (t table) most() float64  { _, v := t.span(); return v }

func (t table) span() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, r := range t.rows {
		if !r.celsius && !r.fahrenheit {
			low, high = math.Min(low, r.temperature), math.Max(high, r.temperature)
		}
	}
	return low, high
}

// looksFahrenheit reports temperatures no batch can have in °C: all of them
// over 60, or most over 85.
func (t table) looksFahrenheit() bool {
	over, under, n := 0, 0, 0
	for _, r := range t.rows {
		if r.celsius || r.fahrenheit {
			continue
		}
		n++
		if r.temperature > 85 {
			over++
		}
		if r.temperature <= 60 {
			under++
		}
	}
	return n > 0 && (under == 0 || 2*over > n)
}

// jumps reports that the neighbours of row i are far from it.
func (t table) jumps(i int) bool {
	for _, j := range []int{i - 1, i + 1} {
		if j >= 0 && j < len(t.rows) && math.Abs(t.rows[j].temperature-t.rows[i].temperature) < 5 {
			return false
		}
	}
	return true
}

func digits(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }
