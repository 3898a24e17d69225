package batch

import "barwright/window"

// mostTaught is how many batches a batch is taught by, the last ones.
const mostTaught = 60

// Taught is what earlier batches of the maker teach about the working time: at
// most the last sixty of them, the oldest first. Source of the model:
// docs/model/window.md.
func Taught(states []*State) (out []window.Observation) {
	for _, s := range states {
		if o, ok := s.Observation(); ok {
			out = append(out, o)
		}
	}
	return out[max(0, len(out)-mostTaught):]
}

// Observation is what the stamps of a batch say about the working time: false
// for a batch that was cooked, and for one whose trace was not stamped.
func (s *State) Observation() (o window.Observation, ok bool) {
	trace, traced := s.Marks["trace"]
	if s.Sheet.Recipe.Hot() || !s.combined() || !traced {
		return o, false
	}
	met := s.Marks["combine"].At
	o = window.Observation{Conditions: s.Sheet.Plan.WindowConditions(s.landingC()), ToTraceMin: trace.At.Sub(met).Minutes()}
	if thick, stamped := s.Marks["thick"]; stamped {
		o.ToUnpourableMin = thick.At.Sub(met).Minutes()
	}
	return o, o.ToTraceMin > 0
}

// Model is what this batch's sheet believes of the working time: nil, which is
// the prior, where nothing was taught.
func (sh *Sheet) Model() *window.Model { return sh.model }
