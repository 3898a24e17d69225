package curve

import (
	"fmt"
	"strings"

	"barwright/quantity"
)

// Log is the curve of one batch as a workshop keeps it: of which version of a
// recipe, poured when, and the core's temperatures.
type Log struct {
	ID       string        `toml:"id"`
	Version  string        `toml:"version"`
	Batch    string        `toml:"batch,omitempty"` // the batch, when its making was recorded
	Poured   quantity.Date `toml:"poured"`
	LateMin  float64       `toml:"late_min,omitempty"` // from the pour to the first reading
	Note     string        `toml:"note,omitempty"`
	Notes    []string      `toml:"put_right,omitempty"` // what had to be put right
	Readings string        `toml:"readings"`            // lines of minutes and °C
}

// mostKept is how many readings a log keeps: one a minute for two days.
const mostKept = 2880

// NewLog keeps what was read, at most one reading a minute: the first of each.
func NewLog(c Curve) Log {
	l := Log{Notes: c.Notes}
	var b strings.Builder
	b.WriteString("minutes, °C\n")
	minute, lines := -1, 0
	for _, r := range c.Readings {
		if m := int(r.TimeS / 60); m != minute && lines < mostKept {
			minute, lines = m, lines+1
			fmt.Fprintf(&b, "%.1f, %.2f\n", r.TimeS/60, r.C)
		}
	}
	l.Readings = b.String()
	return l
}

// Curve returns the readings, timed from the pour.
func (l Log) Curve() (Curve, error) {
	c, err := Read([]byte(l.Readings))
	for i := range c.Readings {
		c.Readings[i].TimeS += 60 * l.LateMin
	}
	return c, err
}

// Check returns what is wrong with the log and the key it is wrong at.
func (l Log) Check() (key string, err error) {
	switch {
	case l.ID == "":
		return "id", &Error{Text: "the curve has no id", Advice: "name it after its file"}
	case l.Version == "":
		return "version", &Error{Text: "the curve does not say which version of a recipe was poured", Advice: "write its id"}
	case !(l.LateMin >= 0 && l.LateMin <= 24*60):
		return "late_min", &Error{Text: "the first reading is more than a day from the pour", Advice: "give minutes from the pour to the first reading"}
	}
	if _, err := l.Curve(); err != nil {
		return "readings", err
	}
	return "", nil
}
