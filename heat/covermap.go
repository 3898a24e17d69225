package heat

import (
	"math"
	"slices"
)

// CoverMap is what comes of a batch by its temperature at the pour and by how
// it rests: which cover reaches none or full gel, and which lies between.
type CoverMap struct {
	StartsC  []float64 `json:"start_c"`
	Rows     []MapRow  `json:"rows"` // the coldest rest first
	PlannedC float64   `json:"planned_c"`
	Runs     int       `json:"runs"` // behind every chance
}

// MapRow is one way to rest, over all temperatures.
type MapRow struct {
	Words   string    `json:"words"`
	Planned bool      `json:"planned"`
	Cells   []MapCell `json:"cells"`
}

// MapCell is what comes of one pour.
type MapCell struct {
	Likely Outcome `json:"likely"`
	Chance Chance  `json:"chance"`
}

// mapStepK parts the temperatures of the map.
const mapStepK = 5.0

// Map returns the cover map of a case. Every chance comes from few runs over
// one draw of nature: it ranks covers, and Tell says the chance of the plan.
func Map(c Case, l Limits, o Options) (CoverMap, error) {
	d := newDealer(o)
	m := CoverMap{PlannedC: c.Start.TC, Runs: quickRuns}
	m.StartsC = starts(c.Start.TC, l)
	for _, w := range c.mapWays() {
		row := MapRow{Words: w.Words, Planned: w.Effort == 0}
		for _, t := range m.StartsC {
			chance := d.with(c, change{w, t}, quickRuns)
			row.Cells = append(row.Cells, MapCell{chance.Likeliest(), chance})
		}
		m.Rows = append(m.Rows, row)
	}
	return m, d.err
}

// starts are the temperatures of the map: round ones inside the limits, and the
// plan's own.
func starts(plannedC float64, l Limits) []float64 {
	out := []float64{plannedC}
	for t := mapStepK * math.Ceil(l.LowC/mapStepK); t <= min(60, l.HighC); t += mapStepK {
		if math.Abs(t-plannedC) > mapStepK/3 {
			out = append(out, t)
		}
	}
	slices.Sort(out)
	return out
}

// PlannedColumn is the column nearest to the plan's temperature.
func (m CoverMap) PlannedColumn() int {
	best := 0
	for i, t := range m.StartsC {
		if math.Abs(t-m.PlannedC) < math.Abs(m.StartsC[best]-m.PlannedC) {
			best = i
		}
	}
	return best
}

// mapWays are the rows of the map, the coldest first; the plan's own has no
// effort, and takes the place of the one it equals.
func (c Case) mapWays() []Way {
	ways := []Way{
		{"freezer 3 h", c.moved("freezer", freezerC, 3, uncovered), 1},
		{"fridge 6 h", c.moved("fridge", fridgeC, 6, uncovered), 1},
		{"fan", c.inRoom(uncovered, true), 1},
		{"uncovered", c.inRoom(uncovered, false), 1},
		{"towel", c.inRoom(towel, false), 1},
		{"blanket", c.inRoom(blanket, false), 1},
		{"oven 1 h", c.oven(1), 1},
	}
	planned := c.warmth(c.Rests)
	at := len(ways)
	for i, w := range ways {
		other := c.warmth(w.Rests)
		if math.Abs(other-planned) < 1e-9 {
			ways[i].Effort = 0
			return ways
		}
		if other > planned {
			at = i
			break
		}
	}
	return append(ways[:at:at], append([]Way{{"as planned: " + inPlain(c.Rests), c.Rests, 0}}, ways[at:]...)...)
}

// warmth ranks rests by how warm and how well covered the first hours are:
// what a body 20 K above the room would lose in six of them, per area and
// turned round.
func (c Case) warmth(rests []Rest) float64 {
	const hours = 6.0
	warm, now := 0.0, 0.0
	for i, s := range stages(rests, c.Mould) {
		until := hours * 3600
		if i < len(rests)-1 {
			until = math.Min(until, now+rests[i].ForS)
		}
		warm -= (c.roomC() + 20 - s.TC) * s.USide * (until - now)
		if now = until; now >= hours*3600 {
			break
		}
	}
	return warm
}
