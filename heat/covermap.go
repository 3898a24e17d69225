package heat

import (
	"cmp"
	"math"
	"slices"
)

// CoverMap is what comes of a batch by its temperature at the pour and by how
// it rests: which cover reaches none or full gel, and which lies between.
type CoverMap struct {
	StartsC  []float64 `json:"start_c"`
	Rows     []MapRow  `json:"rows"` // the coldest rest first
	PlannedC float64   `json:"planned_c"`
	Limits   Limits    `json:"limits"` // no batch is poured colder or hotter
	Runs     int       `json:"runs"`   // behind every chance
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

// The temperatures of the map [°C], whole degrees.
const mapFromC, mapToC = 26.0, 60.0

// Map returns the cover map of a case. Every chance comes from few runs over
// one draw of nature: it ranks covers, and Tell says the chance of the plan.
func Map(c Case, l Limits, o Options) (CoverMap, error) {
	m := CoverMap{PlannedC: c.Start.TC, Limits: l, Runs: quickRuns, StartsC: starts(c.Start.TC)}
	ways := c.mapWays()
	points := newDealer(o).points[quickRuns]
	fates := make([][]fate, len(ways)*quickRuns) // of every way and draw, along the temperatures
	errs := make([]error, len(fates))
	err := sideBySide(len(fates), o.Workers, o.Done, func(i int) {
		fates[i], errs[i] = c.along(m.StartsC, ways[i/quickRuns], points[i%quickRuns])
	})
	for _, e := range errs {
		if err == nil {
			err = e
		}
	}
	if err != nil {
		return m, err
	}
	for j, w := range ways {
		row := MapRow{Words: w.Words, Planned: w.Effort == 0}
		for i := range m.StartsC {
			chance := chanceAt(fates[j*quickRuns:(j+1)*quickRuns], i)
			row.Cells = append(row.Cells, MapCell{chance.Likeliest(), chance})
		}
		m.Rows = append(m.Rows, row)
	}
	return m, nil
}

// fate is what comes of one run.
type fate struct {
	outcome   Outcome
	overheats bool
}

// along returns the fates of one draw of nature over rising temperatures. A
// hotter pour gels no less and overheats no less, so that between two that meet
// the same fate all do: only where it changes are there runs.
func (c Case) along(startsC []float64, w Way, point [draws]float64) ([]fate, error) {
	out := make([]fate, len(startsC))
	run := func(i int) error {
		next, err := c.With(startsC[i], w.Rests)
		if err != nil {
			return err
		}
		s := quick
		s.UntilS = next.UntilS()
		r, err := next.sample(point, s)
		out[i] = fate{r.outcome, r.overheats}
		return err
	}
	var between func(low, high int) error
	between = func(low, high int) error {
		if high-low < 2 {
			return nil
		}
		if out[low] == out[high] {
			for i := low + 1; i < high; i++ {
				out[i] = out[low]
			}
			return nil
		}
		middle := (low + high) / 2
		return cmp.Or(run(middle), between(low, middle), between(middle, high))
	}
	last := len(startsC) - 1
	return out, cmp.Or(run(0), run(last), between(0, last))
}

// chanceAt counts the fates of all draws at one temperature.
func chanceAt(fates [][]fate, i int) Chance {
	samples := make([]sample, len(fates))
	for k, f := range fates {
		samples[k] = sample{outcome: f[i].outcome, overheats: f[i].overheats}
	}
	return chances(samples)
}

// starts are the temperatures of the map: whole degrees, and the plan's own in
// the place of the nearest.
func starts(plannedC float64) (out []float64) {
	for t := math.Min(mapFromC, math.Floor(plannedC)); t <= math.Max(mapToC, math.Ceil(plannedC)); t++ {
		if math.Abs(t-plannedC) > 0.5 {
			out = append(out, t)
		}
	}
	out = append(out, plannedC)
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
		{"freezer 8 h", c.moved("freezer", freezerC, 8, uncovered), 1},
		{"freezer 3 h", c.moved("freezer", freezerC, 3, uncovered), 1},
		{"fridge 12 h", c.moved("fridge", fridgeC, 12, uncovered), 1},
		{"fridge 6 h", c.moved("fridge", fridgeC, 6, uncovered), 1},
		{"fridge 3 h", c.moved("fridge", fridgeC, 3, uncovered), 1},
		{"fan", c.inRoom(uncovered, true), 1},
		{"uncovered", c.inRoom(uncovered, false), 1},
		{"towel", c.inRoom(towel, false), 1},
		{"blanket", c.inRoom(blanket, false), 1},
		{"oven 1 h", c.oven(1), 1},
		{"two blankets", c.inRoom(stuffMM("blanket", 50), false), 1},
		{"oven 2 h", c.oven(2), 1},
	}
	planned := c.warmth(c.Rests)
	at := len(ways)
	for i, w := range ways {
		if slices.Equal(stages(w.Rests, c.Mould), stages(c.Rests, c.Mould)) {
			ways[i].Effort = 0
			return ways
		}
	}
	for i, w := range ways {
		if c.warmth(w.Rests) > planned {
			at = i
			break
		}
	}
	return append(ways[:at:at], append([]Way{{"as planned: " + RestWords(c.Rests), c.Rests, 0}}, ways[at:]...)...)
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
