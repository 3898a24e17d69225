package quantity

var durationUnits = []unit{
	{"s", 1, []string{"sec", "second", "seconds"}},
	{"min", 60, []string{"minute", "minutes"}},
	{"h", 3600, []string{"hour", "hours", "hr", "hrs"}},
	{"d", 86400, []string{"day", "days"}},
}

// Duration is a span of time as written: "24 h".
type Duration struct{ sized }

// ParseDuration reads a span of time above zero.
func ParseDuration(text string) (Duration, error) {
	s, err := parseSized(text, "time", durationUnits)
	if err == nil && s.Value <= 0 {
		err = fail("a span of time is more than zero", "%q is no time at all", shorten(text))
	}
	return Duration{s}, err
}

// Seconds returns the span in seconds.
func (d Duration) Seconds() float64 { return d.base(durationUnits) }

// UnmarshalText reads the span from a TOML or JSON string.
func (d *Duration) UnmarshalText(b []byte) (err error) {
	*d, err = ParseDuration(string(b))
	return err
}
