package heat

import (
	"fmt"
	"math"
	"strings"

	"barwright/quantity"
)

// Way is one way to rest a batch, in a maker's words: an order she can follow.
type Way struct {
	Words string
	Rests []Rest
	// Effort ranks ways against each other: a towel 1, another pour
	// temperature 2, an oven 4. Our own judgement, no source.
	Effort float64
}

// Usual places of a workshop [°C]; OvenC is what an oven for soap is set to.
const (
	fridgeC  = 4.0
	freezerC = -18.0
	OvenC    = 60.0
)

var (
	towel     = stuffMM("towel", 8) // two of them, or one folded
	blanket   = stuffMM("blanket", 25)
	uncovered = quantity.None
)

func stuffMM(name string, mm float64) quantity.Stuff {
	s, err := quantity.ParseStuff(fmt.Sprintf("%s %g mm", name, mm))
	if err != nil {
		panic(err)
	}
	return s
}

// roomC returns the temperature of the room the batch would stand in.
func (c Case) roomC() float64 {
	for _, r := range c.Rests {
		if r.Place == "room" {
			return r.TC
		}
	}
	return roomC
}

func (c Case) inRoom(cover quantity.Stuff, fan bool) []Rest {
	return []Rest{{Place: "room", TC: c.roomC(), Cover: &cover, Fan: fan}}
}

// moved returns a place for some hours and the room after it.
func (c Case) moved(place string, tC, hours float64, after quantity.Stuff) []Rest {
	return append([]Rest{{Place: place, TC: tC, ForS: 3600 * hours}}, c.inRoom(after, false)...)
}

// ovenOff is the oven after it was switched off: it keeps warm for a while
// [K above the room, h]. An estimate.
const ovenOffK, ovenOffH = 15.0, 3.0

func (c Case) oven(hours float64) []Rest {
	return append([]Rest{{Place: "oven", TC: OvenC, ForS: 3600 * hours}, {Place: "oven", TC: c.roomC() + ovenOffK, ForS: 3600 * ovenOffH}}, c.inRoom(uncovered, false)...)
}

// coolWays are what keeps a batch from gelling, warmWays what makes it gel.
func (c Case) coolWays() []Way {
	ways := []Way{
		{"leave it uncovered", c.inRoom(uncovered, false), 0.5},
		{"leave it uncovered before a fan", c.inRoom(uncovered, true), 1},
	}
	for _, h := range []float64{3, 6, 12, 24} {
		ways = append(ways, Way{fmt.Sprintf("put it in the fridge for %g h", h), c.moved("fridge", fridgeC, h, uncovered), 2 + h/24})
	}
	for _, h := range []float64{3, 8} {
		ways = append(ways, Way{fmt.Sprintf("put it in the freezer for %g h", h), c.moved("freezer", freezerC, h, uncovered), 3.2 + h/24})
	}
	return ways
}

func (c Case) warmWays() []Way {
	ways := []Way{
		{"wrap it in a towel", c.inRoom(towel, false), 1},
		{"wrap it in a blanket", c.inRoom(blanket, false), 1.2},
		{"wrap it in two blankets", c.inRoom(stuffMM("blanket", 50), false), 1.5},
	}
	for _, h := range []float64{1, 2, 4} {
		ways = append(ways, Way{fmt.Sprintf("put it in an oven of %g °C for %g h, switch it off and leave it in", OvenC, h), c.oven(h), 4 + h/10})
	}
	return ways
}

// Limits are the pour temperatures that can be thought of [°C]: not so cold
// that wax falls out, not so hot that it traces at once.
type Limits struct{ LowC, HighC float64 }

// UsualLimits hold where nothing freezes out.
var UsualLimits = Limits{26, 60}

// pours returns most other pour temperatures in whole degrees inside the limits,
// the nearest first: colder ones for a negative step. A plan outside them is
// stepped into them.
func (c Case) pours(stepK float64, most int, l Limits) (out []float64) {
	for t := math.Round(c.Start.TC + stepK); len(out) < most; t += stepK {
		if beyond := stepK > 0 && t > l.HighC || stepK < 0 && t < l.LowC; beyond {
			break
		}
		if l.LowC <= t && t <= l.HighC {
			out = append(out, t)
		}
	}
	return out
}

// change is a way and the temperature to pour at.
type change struct {
	Way
	startC float64
}

// mostToCombine is the effort from which on a way is not asked for together
// with another pour: covers and the fridge for some hours are, an oven is not.
const mostToCombine = 2.4

// changes lists what may bring a goal, the least effort first.
func (c Case) changes(goal Outcome, l Limits) []change {
	ways, pours := c.coolWays(), c.pours(-4, 6, l)
	if goal == FullGel { // colder too: it may gel fully already, and overheat
		ways, pours = c.warmWays(), append(c.pours(4, 4, l), c.pours(-4, 3, l)...)
	}
	var out []change
	for _, w := range ways {
		out = append(out, change{w, c.Start.TC})
	}
	for _, t := range pours {
		effort := 2 + math.Abs(t-c.Start.TC)/40
		pour := fmt.Sprintf("pour at %.0f °C", t)
		out = append(out, change{Way{pour, c.Rests, effort}, t})
		for _, w := range ways {
			if w.Effort < mostToCombine {
				out = append(out, change{Way{pour + " and " + w.Words, w.Rests, effort + w.Effort}, t})
			}
		}
	}
	sortByEffort(out)
	return out
}

func sortByEffort(cs []change) {
	for i := 1; i < len(cs); i++ { // few, and equal ones keep their order
		for j := i; j > 0 && cs[j].Effort < cs[j-1].Effort; j-- {
			cs[j], cs[j-1] = cs[j-1], cs[j]
		}
	}
}

// RestWords says how a batch rests, one place after the other.
func RestWords(rests []Rest) string {
	var parts []string
	for _, r := range rests {
		s := fmt.Sprintf("%s %.0f °C", r.Place, r.TC)
		if r.Cover != nil && r.Cover.Name != quantity.None.Name {
			s += ", " + r.Cover.Name
		}
		if r.Fan {
			s += ", fan"
		}
		parts = append(parts, s)
	}
	return strings.Join(parts, ", then ")
}
