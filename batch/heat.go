package batch

import (
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

// Core is what was read of the core in the mould, from the pour on.
func (s *State) Core() (out []heat.Reading) {
	poured, turned := s.Marks["pour"].At, s.Marks["turn_out"].At
	for _, r := range s.Readings {
		if r.Of == "core" && !poured.IsZero() && !r.At.Before(poured) && (turned.IsZero() || !r.At.After(turned)) {
			out = append(out, heat.Reading{TimeS: r.At.Sub(poured).Seconds(), C: r.C})
		}
	}
	return out
}

// restTurn is a rest and when it begins.
type restTurn struct {
	at   time.Time
	rest heat.Rest
}

// restTurns are the rests one after the other. A planned one lasts until its end
// was stamped, else its time; one that was stamped in its place lasts until the
// next stamp.
func (s *State) restTurns(poured time.Time) (turns []restTurn) {
	at, stamped := poured, true
	for i, r := range s.Sheet.Plan.HeatRests() {
		if !stamped && (i > 0 && turns[i-1].rest.ForS == 0 || s.movedBefore(at)) {
			break
		}
		turns = append(turns, restTurn{at, r})
		var mark Mark
		mark, stamped = s.Marks[fmt.Sprintf("rest.%d", i)]
		if stamped = stamped && !s.Sheet.Start.Recorded; stamped { // nobody stamps the end of a rest on paper
			at = mark.At
		} else {
			at = at.Add(time.Duration(r.ForS * float64(time.Second)))
		}
	}
	for _, r := range s.Rests {
		begin := r.At
		if begin.Sub(poured) < settling {
			begin = poured
		}
		turns = append(turns, restTurn{begin, s.restAs(r.Rested)})
	}
	slices.SortStableFunc(turns, func(a, b restTurn) int { return a.at.Compare(b.at) })
	return turns
}

func (a restTurn) alike(b restTurn) bool {
	return a.rest.TC == b.rest.TC && heat.RestWords([]heat.Rest{a.rest}) == heat.RestWords([]heat.Rest{b.rest})
}

// movedBefore reports that another rest than planned was stamped by then.
func (s *State) movedBefore(at time.Time) bool {
	return slices.ContainsFunc(s.Rests, func(r RestState) bool { return r.At.Before(at) })
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

// restAs is a stamped rest as package heat sees it.
func (s *State) restAs(r Rested) heat.Rest {
	out := heat.Rest{Place: r.Place, TC: s.RoomC, Cover: coverOf(r.Cover), Fan: r.Fan}
	if c, ok := placesC[r.Place]; ok {
		out.TC = c
	}
	for _, p := range s.Sheet.Plan.HeatRests() {
		if p.Place == r.Place {
			out.TC = p.TC
		}
	}
	if r.C != nil {
		out.TC = *r.C
	}
	return out
}

// restsOf gives every rest the time until the next other one; what was over at
// once is left out.
func restsOf(turns []restTurn) (out []heat.Rest) {
	var kept []restTurn
	for _, t := range turns {
		if n := len(kept); n > 0 && !t.at.After(kept[n-1].at) {
			t.at, kept = kept[n-1].at, kept[:n-1]
		}
		kept = append(kept, t)
	}
	kept = slices.CompactFunc(kept, restTurn.alike)
	for i, t := range kept {
		if i+1 < len(kept) {
			t.rest.ForS = kept[i+1].at.Sub(t.at).Seconds()
		}
		out = append(out, t.rest)
	}
	return out
}
