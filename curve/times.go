package curve

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

var (
	dateForm  = regexp.MustCompile(`^\d{1,4}[-./]\d{1,2}[-./]\d{1,4}$`)
	clockForm = regexp.MustCompile(`^(\d{1,3}):(\d{2})(?::(\d{2})(?:[.,]\d+)?)?\s*([aApP][mM])?$`)
	stampForm = regexp.MustCompile(`^(\d{1,4})[-./](\d{1,2})[-./](\d{1,4})[T ,]+(\d{1,2}:\d{2}(?::\d{2}(?:[.,]\d+)?)?\s*(?:[aApP][mM])?)(?:Z|[+-]\d\d:?\d\d)?$`)
	hoursForm = regexp.MustCompile(`^([0-9]+)\s*(?:h|hours?)\s*([0-9]{1,2})\s*(?:m|min|minutes?)?$`)
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
	if m := hoursForm.FindStringSubmatch(strings.ToLower(text)); m != nil {
		h, _ := strconv.Atoi(m[1])
		min, _ := strconv.Atoi(m[2])
		r.time = float64(3600*h + 60*min)
		r.monthFirst = r.time
		return min < 60
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
