package batch

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"barwright/heat"
	"barwright/plan"
	"barwright/quantity"
)

// pourReading is how long after the pour a reading of the batter still tells how
// warm it was poured.
const pourReading = 5 * time.Minute

// settling is how long after the pour it is put where it rests at first.
const settling = 15 * time.Minute

// Poured is how the batch went into its mould and how it rested there, by what
// was read and stamped; as planned where nothing was. The zero value before the
// pour.
func (s *State) Poured() (as plan.Poured) {
	poured := s.Marks["pour"].At
	if poured.IsZero() {
		return plan.Poured{}
	}
	if met, ok := s.Marks["combine"]; ok {
		tC := s.LandsAt(met.At)
		for _, r := range s.Readings {
			if r.Of == "batter" && !r.At.Before(met.At) && !r.At.After(poured.Add(pourReading)) {
				tC = r.C
			}
		}
		as.TC = &tC
	}
	as.Rests = restsOf(s.restTurns(poured))
	return as
}

// Core is what was read of the core in the mould, from the pour on, in the order of
// time.
func (s *State) Core() (out []heat.Reading) {
	poured, turned := s.Marks["pour"].At, s.Marks["turn_out"].At
	for _, r := range s.Readings {
		if r.Of == "core" && !poured.IsZero() && !r.At.Before(poured) && (turned.IsZero() || !r.At.After(turned)) {
			out = append(out, heat.Reading{TimeS: r.At.Sub(poured).Seconds(), C: r.C})
		}
	}
	slices.SortStableFunc(out, func(a, b heat.Reading) int { return cmp.Compare(a.TimeS, b.TimeS) })
	return out
}

// restTurn is a rest and when it begins.
type restTurn struct {
	at   time.Time
	rest heat.Rest
}

func (a restTurn) alike(b restTurn) bool {
	return a.rest.TC == b.rest.TC && heat.RestWords([]heat.Rest{a.rest}) == heat.RestWords([]heat.Rest{b.rest})
}

// restChange is what was stamped of a batch in its mould.
type restChange struct {
	at    time.Time
	ended int              // the planned rest that was over then, -1 for none
	named bool             // the whole rest was said
	to    func(*heat.Rest) // what it makes of the rest before it
}

// restChanges are the stamps in the order of time.
func (s *State) restChanges() (out []restChange) {
	add := func(at time.Time, named bool, to func(*heat.Rest)) { out = append(out, restChange{at, -1, named, to}) }
	for i := range s.Sheet.Recipe.Rest {
		if m, ok := s.Marks[fmt.Sprintf("rest.%d", i)]; ok && !s.Sheet.Start.Recorded { // nobody stamps the end of a rest on paper
			out = append(out, restChange{at: m.At, ended: i})
		}
	}
	for _, r := range s.Rests {
		add(r.At, true, func(rest *heat.Rest) { *rest = s.restAs(r.Rested) })
	}
	cooled := func(rest *heat.Rest) { rest.Cover, rest.Fan = nil, true }
	for _, mark := range []struct {
		name string
		to   func(*heat.Rest)
	}{
		{"uncovered", func(rest *heat.Rest) { rest.Cover = nil }},
		{"fan", func(rest *heat.Rest) { rest.Fan = true }},
		{"covered", func(rest *heat.Rest) { rest.Cover = s.plannedCover() }},
	} {
		if m, ok := s.Marks[mark.name]; ok {
			add(m.At, false, mark.to)
		}
	}
	for _, t := range s.Troubles {
		if t.Done != nil && t.Remedy.Stamp == uncoveredAndCooling {
			add(t.Done.At, false, cooled)
		}
	}
	slices.SortStableFunc(out, func(a, b restChange) int { return a.at.Compare(b.at) })
	return out
}

// restTurns are the rests one after the other. A planned one lasts until its end
// was stamped, else its time; one that was stamped in its place lasts until the
// next stamp.
func (s *State) restTurns(poured time.Time) []restTurn {
	w := restWalk{planned: s.Sheet.Plan.HeatRests(), ends: map[int]bool{}, begun: poured}
	first := heat.Rest{Place: "room", TC: s.RoomC}
	for i := range w.planned {
		s.asRead(&w.planned[i])
	}
	if len(w.planned) > 0 {
		first = w.planned[0]
	}
	w.turns = []restTurn{{poured, first}}
	changes := s.restChanges()
	for _, c := range changes {
		w.ends[c.ended] = true
	}
	for _, c := range changes {
		if !c.at.After(poured) && !c.named {
			continue // of the batter, not of the rest
		}
		w.take(c, poured)
	}
	w.advance(time.Time{})
	return w.turns
}

// restWalk goes through what was planned and what was stamped.
type restWalk struct {
	planned []heat.Rest
	ends    map[int]bool // whose end was stamped
	now     int          // the planned one it is in
	begun   time.Time    // that one
	named   time.Time    // when another was stamped in its place, zero for none
	turns   []restTurn
}

func (w *restWalk) push(at time.Time, rest heat.Rest) {
	if last := w.turns[len(w.turns)-1]; !at.After(last.at) {
		at, w.turns = last.at, w.turns[:len(w.turns)-1]
	}
	w.turns = append(w.turns, restTurn{at, rest})
}

// advance goes on to the planned rests whose time came by then, zero for all,
// where neither their end nor another rest was stamped.
func (w *restWalk) advance(by time.Time) {
	for w.now+1 < len(w.planned) && !w.ends[w.now] && w.named.IsZero() {
		next := w.begun.Add(time.Duration(w.planned[w.now].ForS * float64(time.Second)))
		if !by.IsZero() && next.After(by) {
			return
		}
		w.now, w.begun = w.now+1, next
		w.push(next, w.planned[w.now])
	}
}

func (w *restWalk) take(c restChange, poured time.Time) {
	w.advance(c.at)
	last := w.turns[len(w.turns)-1]
	rest := last.rest
	switch {
	case c.to == nil && c.ended < w.now: // that one was over
		return
	case c.to == nil:
		w.now, w.begun = c.ended+1, c.at
		announced := !w.named.IsZero() && c.at.Sub(w.named) < settling // where it is moved to was said before
		if w.now < len(w.planned) && !announced {
			w.named = time.Time{}
			w.push(c.at, w.planned[w.now])
		}
		return
	case c.named:
		w.named = c.at
		if w.now == 0 && c.at.Sub(poured) < settling {
			c.at = poured
		}
	}
	c.to(&rest)
	w.push(c.at, rest)
}

// placesC are the temperatures of places where nobody read any [°C]. Common
// practice, no source.
var placesC = map[string]float64{"fridge": 5, "freezer": -18, "oven": 60}

// Covers are what can be stamped by a tap as put over a mould; "" is nothing.
func Covers() []string {
	return []string{"", "film", "lid", "towel", "blanket", "lid and blanket", "box"}
}

// coverOf is the stuff of a cover in words, the warmest that is named; nil for
// none. A lid is the mould's own, where it has one; a box is of corrugated card.
func coverOf(words string) *quantity.Stuff {
	for _, stuff := range []string{"blanket", "towel", "film"} {
		if strings.Contains(words, stuff) {
			return &quantity.Stuff{Name: stuff}
		}
	}
	if words == "box" {
		return &quantity.Stuff{Name: "corrugated card"}
	}
	return nil
}

// plannedCover is what the recipe puts over the mould, nil for nothing.
func (s *State) plannedCover() *quantity.Stuff {
	for _, r := range s.Sheet.Recipe.Rest {
		if r.Cover != nil {
			return r.Cover
		}
	}
	return nil
}

// restAs is a stamped rest as package heat sees it: as warm as was stamped, else
// as read or planned in such a place.
func (s *State) restAs(r Rested) heat.Rest {
	out := heat.Rest{Place: r.Place, TC: s.RoomC, Cover: coverOf(r.Cover), Fan: r.Fan}
	if c, ok := placesC[r.Place]; ok {
		out.TC = c
	}
	for _, p := range slices.Backward(s.Sheet.Plan.HeatRests()) {
		if p.Place == r.Place {
			out.TC = p.TC
		}
	}
	s.asRead(&out)
	if r.C != nil {
		out.TC = *r.C
	}
	return out
}

// asRead gives a rest in the room the temperature that was read there.
func (s *State) asRead(r *heat.Rest) {
	if r.Place == "room" && len(s.last("room", 1)) > 0 {
		r.TC = s.RoomC
	}
}

// restsOf gives every rest the time until the next other one.
func restsOf(turns []restTurn) (out []heat.Rest) {
	turns = slices.CompactFunc(turns, restTurn.alike)
	for i, t := range turns {
		if i+1 < len(turns) {
			t.rest.ForS = turns[i+1].at.Sub(t.at).Seconds()
		}
		out = append(out, t.rest)
	}
	return out
}
