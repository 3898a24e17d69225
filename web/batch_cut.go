package web

import (
	"fmt"

	"barwright/batch"
)

// CutWords is what came of the batter, where bars were weighed: what the bars
// and the off-cuts weigh of all that was weighed in.
func (p *recordPage) CutWords() string {
	c := p.State.Cut
	if c == nil {
		return ""
	}
	one, of, ok := meanBar(c.Cut)
	text := ""
	if ok {
		text = fmt.Sprintf("A bar weighs %s\u202fg (of %d).", number(one, 1), of)
	}
	if c.TrimG != nil {
		text += fmt.Sprintf(" Off-cuts %s\u202fg.", scaleNumber(*c.TrimG))
	}
	if ok && c.TrimG != nil {
		in := 0.0
		for i := range p.State.Steps {
			if g := p.State.Steps[i].G; g != nil && p.State.Steps[i].Weigh != nil {
				in += *g
			}
		}
		out := one*float64(c.Bars) + *c.TrimG
		text += fmt.Sprintf(" Together %s of the %s\u202fg weighed in; the rest dried off, or stayed in pot and mould.", scaleNumber(out), scaleNumber(in))
	}
	return text
}

// meanBar is the mean weight of the bars that were weighed [g], and of how many.
func meanBar(c batch.Cut) (g float64, of int, ok bool) {
	if len(c.Each) > 0 {
		for _, x := range c.Each {
			g += x
		}
		return g / float64(len(c.Each)), len(c.Each), true
	}
	if c.Mean != nil {
		return *c.Mean, max(c.Marked, 1), true
	}
	return 0, 0, false
}
