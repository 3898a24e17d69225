package web

import (
	"slices"
	"time"

	"barwright/finding"
)

// special are the screens of what is wrong, which come before all others.
func (p *benchPage) special() {
	s := p.State
	add := func(x *screen) { p.Screens = slices.Insert(p.Screens, 0, x) }
	for i := range s.Troubles {
		if t := s.Troubles[i]; t.Done == nil && p.Moment.Now.Sub(t.At) < 12*time.Hour {
			add(&screen{ID: "trouble", Kind: "handled", Place: p.Code + " · " + t.Remedy.What, Title: t.Remedy.Do, Button: t.Remedy.Stamp, Fields: []field{{"s.of", t.Event}}, Tone: "trouble"})
		}
	}
	if len(s.Choices) > 0 && s.Stopped == nil && (s.Quarantined == nil || s.Hold != nil) {
		x := &screen{ID: "wrong", Place: p.Code + " · choose how to go on", Ways: s.Choices, Tone: "wrong"}
		if i := slices.IndexFunc(s.Findings, func(f finding.Finding) bool { return f.Severity == finding.Stop || f.Severity == finding.Caution }); i >= 0 {
			x.Title, x.Say, x.Warn = s.Findings[i].Title, s.Findings[i].Because, []string{s.Findings[i].Fix}
		}
		if s.Hold != nil {
			x.Title, x.Say = "On hold", s.Hold.Why
		}
		x.GoOn = s.Hold != nil
		add(x)
	} else if s.Hold != nil {
		add(&screen{ID: "wrong", Place: p.Code + " · on hold", Title: "On hold", Say: s.Hold.Why, Tone: "wrong", GoOn: true})
	}
	if s.Stopped != nil {
		add(&screen{ID: "stopped", Place: p.Code, Title: "This batch was given up", Say: s.Stopped.Why, Tone: "wrong"})
	}
}
