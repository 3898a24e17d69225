// Package source says where a figure comes from and how far to trust it.
//
// Every figure of nature in this project is a Figure: a likely value between
// a low and a high one, with its unit, the source it was read in and a grade.
// Start with Figure and Grade; Cite looks a source up.
package source

import (
	"fmt"
	"strings"
)

// Grade says how far a figure can be trusted, best first. A prediction
// carries the worst grade of what it was made from.
type Grade int

// The grades, best first.
const (
	ungraded  Grade = iota // nobody said: not a grade, and never accepted as one
	Measured               // measured on this very lot or in this workshop
	Standard               // read in a published standard or pharmacopoeia
	Published              // read in a paper, handbook or open data
	Derived                // computed from standard or published figures
	Estimated              // a model's or an engineer's estimate
	Practice               // common practice among makers, no source
	Memory                 // recalled, not yet read again in its source
	Doubtful               // known to disagree with something; see its note
	Unknown                // a gap
)

var gradeNames = []string{"", "measured", "standard", "published", "derived", "estimated", "practice", "memory", "doubtful", "unknown"}

var gradePhrases = []string{"not graded", "measured on this lot", "published standard", "published", "computed from published figures", "estimate",
	"makers' practice", "recalled, to be confirmed", "doubtful, see its note", "unknown"}

// String returns the grade's one word, as material files write it.
func (g Grade) String() string { return gradeNames[g] }

// Phrase returns the grade in the words of the page.
func (g Grade) Phrase() string { return gradePhrases[g] }

// Given reports whether there is a grade at all.
func (g Grade) Given() bool { return g != ungraded }

// MarshalText makes the grade a string.
func (g Grade) MarshalText() ([]byte, error) { return []byte(g.String()), nil }

// UnmarshalText reads a grade's word.
func (g *Grade) UnmarshalText(b []byte) error {
	for i, n := range gradeNames {
		if n == string(b) && n != "" {
			*g = Grade(i)
			return nil
		}
	}
	return fmt.Errorf("%q is not a grade; the grades are %s", b, strings.Join(gradeNames[1:], ", "))
}

// Worst returns the worst of the grades, Measured when there are none.
func Worst(grades ...Grade) Grade {
	worst := Measured
	for _, g := range grades {
		worst = max(worst, g)
	}
	return worst
}
