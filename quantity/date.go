package quantity

import "time"

// Date is a day of the calendar, "2026-11-29" (ISO 8601).
type Date struct{ day string }

// DateOf returns the day of a time, in the time's own zone.
func DateOf(t time.Time) Date { return Date{t.Format(time.DateOnly)} }

// ParseDate reads a day.
func ParseDate(text string) (Date, error) {
	if _, err := time.Parse(time.DateOnly, text); err != nil {
		return Date{}, fail(`write year, month and day, like "2026-11-29"`, "%q is not a day", shorten(text))
	}
	return Date{text}, nil
}

// Time returns the start of the day in UTC.
func (d Date) Time() time.Time {
	t, _ := time.Parse(time.DateOnly, d.day)
	return t
}

// Before reports whether d is an earlier day than e.
func (d Date) Before(e Date) bool { return d.day < e.day }

// DaysUntil returns the days from d to e.
func (d Date) DaysUntil(e Date) int { return int(e.Time().Sub(d.Time()).Hours() / 24) }

func (d Date) String() string { return d.day }

// MarshalText makes the day a TOML or JSON string.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.day), nil }

// UnmarshalText reads the day from a TOML or JSON string.
func (d *Date) UnmarshalText(b []byte) (err error) {
	*d, err = ParseDate(string(b))
	return err
}
