// Package finding is what we tell people about a plan: how bad it is, what it
// is with its number, why, what to do, and how far to trust it.
//
// A stop cannot be acknowledged away, only planned away. Start with Finding
// and Sort.
package finding

import (
	"fmt"
	"slices"

	"barwright/source"
)

// Severity orders findings, danger first.
type Severity int

// The severities, danger first.
const (
	Stop    Severity = iota // cannot be started
	Caution                 // can be started once read
	Note                    // worth knowing
	OK                      // checked and fine
)

var severityNames = []string{"stop", "caution", "note", "ok"}

func (s Severity) String() string { return severityNames[s] }

// MarshalText makes the severity a string.
func (s Severity) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads a severity's word.
func (s *Severity) UnmarshalText(b []byte) error {
	i := slices.Index(severityNames, string(b))
	if i < 0 {
		return fmt.Errorf("%q is not a severity", b)
	}
	*s = Severity(i)
	return nil
}

// Edit is one change to a recipe: the dotted path of a key and its new text,
// as the recipe file writes it. An empty value takes the key away.
type Edit struct {
	Key   string `json:"key"`
	Value string `json:"value"`
}

// Finding is one thing a plan tells.
type Finding struct {
	ID       string       `json:"id"`
	Severity Severity     `json:"severity"`
	Title    string       `json:"title"`   // the finding with its number
	Because  string       `json:"because"` // the inputs that matter
	Fix      string       `json:"fix"`     // what to do, "" when there is nothing to do
	Edits    []Edit       `json:"edits,omitempty"`
	Grade    source.Grade `json:"grade"`
	Sources  []string     `json:"sources"`
}

// Sort orders findings danger first, keeping the given order within one
// severity.
func Sort(fs []Finding) {
	slices.SortStableFunc(fs, func(a, b Finding) int { return int(a.Severity) - int(b.Severity) })
}

// Worst returns the worst severity, OK when there are none.
func Worst(fs []Finding) Severity {
	worst := OK
	for _, f := range fs {
		worst = min(worst, f.Severity)
	}
	return worst
}
