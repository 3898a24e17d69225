package source

import "fmt"

// Figure is one value of nature with its range and its evidence. Low and High
// are what the source gives as the usual span; Typical lies between them.
type Figure struct {
	Low     float64 `toml:"low"`
	Typical float64 `toml:"typical"`
	High    float64 `toml:"high"`
	Unit    string  `toml:"unit"`
	AtC     float64 `toml:"at_c"` // temperature [°C] the figure holds at, where it matters
	Source  string  `toml:"source"`
	Locator string  `toml:"locator"`
	Grade   Grade   `toml:"grade"`
	Note    string  `toml:"note"`
}

// Known reports whether the figure is there at all.
func (f Figure) Known() bool { return f.Unit != "" && f.Grade != Unknown }

// Check returns what is wrong with the figure as data: a range out of order,
// no unit, or no source.
func (f Figure) Check() error {
	switch {
	case f.Grade == Unknown:
		return nil
	case f.Unit == "":
		return fmt.Errorf("no unit")
	case !f.Grade.Given():
		return fmt.Errorf("no grade")
	case !(f.Low <= f.Typical && f.Typical <= f.High):
		return fmt.Errorf("low %g, typical %g and high %g are not in order", f.Low, f.Typical, f.High)
	case f.Source == "":
		return fmt.Errorf("no source")
	case !Exists(f.Source):
		return fmt.Errorf("source %q is not in source/sources.toml", f.Source)
	}
	return nil
}

// Evidence returns grade, source and locator in one line for people.
func (f Figure) Evidence() string {
	s := f.Grade.Phrase()
	if title := Cite(f.Source).Short(); title != "" {
		s += ": " + title
	}
	if f.Locator != "" {
		s += ", " + f.Locator
	}
	return s
}

// IsMeasured reports whether the figure was measured on this very lot.
func (f Figure) IsMeasured() bool { return f.Known() && f.Grade == Measured }
