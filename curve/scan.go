package curve

import (
	"encoding/csv"
	"math"
	"regexp"
	"slices"
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

var spacedForm = regexp.MustCompile(`^(\S+(?: ?(?:s|sec|min|h|hours?|minutes?|seconds?|[aApP][mM]))?|\d{4}-\d\d-\d\d[ T]\S+)\s+(-?[0-9.,]+ ?(?:°? ?[CFcf])?)$`)

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

var (
	dateForm  = regexp.MustCompile(`^\d{1,4}[-./]\d{1,2}[-./]\d{1,4}$`)
	clockForm = regexp.MustCompile(`^(\d{1,3}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?\s*([aApP][mM])?$`)
	stampForm = regexp.MustCompile(`^(\d{1,4})[-./](\d{1,2})[-./](\d{1,4})[T ,]+(\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?\s*(?:[aApP][mM])?)(?:Z|[+-]\d\d:?\d\d)?$`)
	spanForm  = regexp.MustCompile(`^(-?[0-9]+(?:[.,][0-9]+)?)\s*(s|sec|seconds?|m|min|minutes?|h|hours?)$`)
)

// readTime reads a time in any of its forms into r.
func (t *table) readTime(r *row, text string) bool {
	text = strings.TrimSpace(text)
	if m := stampForm.FindStringSubmatch(text); m != nil {
		clock, ok := clockS(m[4])
		day, month := days(m[1], m[2], m[3])
		r.time, r.monthFirst = 86400*day+clock, 86400*month+clock
		return ok && !(math.IsNaN(day) && math.IsNaN(month))
	}
	if s, ok := clockS(text); ok {
		r.time = t.clock.runs(s, strings.ContainsAny(text, "mM"))
		r.monthFirst = r.time
		return true
	}
	if m := spanForm.FindStringSubmatch(strings.ToLower(text)); m != nil {
		v, err := strconv.ParseFloat(strings.ReplaceAll(m[1], ",", "."), 64)
		r.time = v * map[byte]float64{'s': 1, 'm': 60, 'h': 3600}[m[2][0]]
		r.monthFirst = r.time
		return err == nil
	}
	v, err := strconv.ParseFloat(strings.ReplaceAll(text, ",", "."), 64)
	r.time, r.monthFirst, r.plain = v, v, true
	return err == nil && !math.IsNaN(v) && math.Abs(v) < 1e11
}

// clockS reads "14:05", "2:05:30 PM" and "26:10".
func clockS(text string) (float64, bool) {
	m := clockForm.FindStringSubmatch(text)
	if m == nil {
		return 0, false
	}
	h, _ := strconv.Atoi(m[1])
	min, _ := strconv.Atoi(m[2])
	s, _ := strconv.Atoi("0" + m[3])
	if min > 59 || s > 59 {
		return 0, false
	}
	switch strings.ToLower(m[4]) {
	case "pm":
		h = h%12 + 12
	case "am":
		h %= 12
	}
	return float64(3600*h + 60*min + s), true
}

// clock follows a clock that is read again and again.
type clock struct {
	seen  bool
	last  float64 // [s]
	added float64 // for the midnights and noons it has passed [s]
	day   bool    // it has shown an hour that a clock of twelve does not
	late  bool    // it has shown an hour that only a clock does, not the hours since a pour
}

// Steps back by more than this are a clock that began again, not lines out of
// order [s].
const (
	backOfTwelve = 3 * 3600.0
	backOfDay    = 12 * 3600.0
)

// runs returns the time of a reading since the midnight, or noon, before the
// first. A clock that says a.m. or p.m., or has shown an hour of 0 or beyond 12,
// begins again at midnight, another at one o'clock.
func (c *clock) runs(s float64, said bool) float64 {
	c.late = c.late || said || s >= 13*3600
	c.day = c.day || c.late || s < 3600
	back := c.last - s
	switch {
	case !c.seen:
	case back > backOfDay:
		c.added += 24 * 3600
	case back > backOfTwelve && !c.day:
		c.added += 12 * 3600
	case back > backOfTwelve && c.late:
		c.added += 24 * 3600 // from an afternoon to the next morning
	}
	c.last, c.seen = s, true
	return c.added + s
}

// days counts the days of a date, the first number taken for the day and for
// the month; NaN where it cannot be. With the year first they are the same.
func days(a, b, c string) (dayFirst, monthFirst float64) {
	x, _ := strconv.Atoi(a)
	y, _ := strconv.Atoi(b)
	z, _ := strconv.Atoi(c)
	if len(a) == 4 {
		d := dayNumber(x, y, z)
		return d, d
	}
	return dayNumber(z, y, x), dayNumber(z, x, y)
}

// mostDays are those of every month, in a leap year.
var mostDays = [12]int{31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31}

// dayNumber counts from a far day of the Gregorian calendar, NaN when there is
// no such day.
func dayNumber(year, month, day int) float64 {
	if month < 1 || month > 12 || day < 1 || day > mostDays[month-1] || year > 9999 {
		return math.NaN()
	}
	if month < 3 { // years beginning in March
		year, month = year-1, month+12
	}
	return float64(365*year + year/4 - year/100 + year/400 + (153*(month-3)+2)/5 + day)
}

// setDates decides for the whole table whether the day or the month comes
// first in its dates: what every line allows, else what makes the log shorter.
func (t *table) setDates() {
	dayFirst, monthFirst := t.lasts(func(r row) float64 { return r.time }), t.lasts(func(r row) float64 { return r.monthFirst })
	if math.IsNaN(dayFirst) || monthFirst < dayFirst {
		for i := range t.rows {
			t.rows[i].time = t.rows[i].monthFirst
		}
	}
	t.rows = slices.DeleteFunc(t.rows, func(r row) bool {
		if math.IsNaN(r.time) {
			t.skipped++
		}
		return math.IsNaN(r.time)
	})
}

// lasts is how long the log is by one of its times; NaN when a line has none.
func (t *table) lasts(of func(row) float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range t.rows {
		low, high = min(low, of(r)), max(high, of(r)) // both keep a NaN
	}
	return high - low
}

// timeUnit returns the seconds of a plain number's unit, and what was guessed
// when nobody says.
func (t table) timeUnit() (seconds float64, guessed string) {
	switch t.unit {
	case "s":
		return 1, ""
	case "min":
		return 60, ""
	case "h":
		return 3600, ""
	}
	plain, last, whole := 0, 0.0, true
	for _, r := range t.rows {
		if r.plain {
			plain++
			last = math.Max(last, r.time)
			whole = whole && r.time == math.Trunc(r.time)
		}
	}
	switch {
	case plain == 0:
		return 1, ""
	case last > 1e9:
		return 1, "seconds of a computer's clock"
	case last <= 72 && !whole:
		return 3600, "hours"
	case last > 3000:
		return 1, "seconds"
	}
	return 60, "minutes"
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
