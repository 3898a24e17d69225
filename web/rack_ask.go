package web

import (
	"fmt"
	"slices"

	"barwright/cure"
)

// slipAsk is a question about a weight that looks like a slip, wherever it was
// typed. It is asked, never refused.
type slipAsk struct {
	Text  string
	Meant []string // what was perhaps meant [g]
	Name  string   // of the box that says it is so,
	Value string   // of this very weight
}

// mostGuesses is how many guesses are offered.
const mostGuesses = 2

// askAbout asks about a weight outside what nobody need be asked about; nil when
// it is inside.
func askAbout(g float64, plausible cure.Range) *slipAsk {
	if plausible.Low <= g && g <= plausible.High {
		return nil
	}
	ask := slipAsk{Text: fmt.Sprintf("Really %s\u202fg? About %s\u202fg is expected.", bare(g, 2), number(plausible.Middle, 1))}
	for _, m := range cure.Slips(g, wider(plausible)) {
		ask.Meant = append(ask.Meant, bare(m, 1))
	}
	ask.Meant = ask.Meant[:min(mostGuesses, len(ask.Meant))]
	return &ask
}

// Bars of one batch are alike: one that was not weighed before is asked about
// when it weighs less than two thirds, or more than three halves, of the others.
const unlike = 1.5

// plausible is what a bar may weigh on a day without being asked about, and
// whether anything is known of it.
func (d *drying) plausible(bar int, day float64) (r cure.Range, known bool) {
	marked := d.State.Marked()
	if d.Dry == nil || len(marked) == 0 {
		return r, false
	}
	if i := slices.Index(marked, bar); i >= 0 {
		return d.Dry.Plausible(i, day), true
	}
	for i := range marked {
		r.Middle += d.Dry.MassG(i, day).Middle / float64(len(marked))
	}
	return cure.Range{Low: r.Middle / unlike, Middle: r.Middle, High: r.Middle * unlike}, true
}
