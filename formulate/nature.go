package formulate

import (
	"hash/fnv"
	"maps"
	"math"
	"math/rand/v2"
	"slices"

	"barwright/lye"
	"barwright/material"
)

// Nature is the best recipe judged again as its fats might really be.
type Nature struct {
	Samples int         `json:"samples"`
	Kept    float64     `json:"kept"`   // share of the draws in which every limit holds, 0 to 1
	Limits  []LimitKept `json:"limits"` // of every limit that nature has a say in
	Robust  bool        `json:"robust"` // the recipe was chosen to keep the share asked for
	Costs   *float64    `json:"costs"`  // what that costs of the objective, when it was asked for
}

// LimitKept is how often one limit holds.
type LimitKept struct {
	Limit string  `json:"limit"` // as written
	Words string  `json:"words"`
	Kept  float64 `json:"kept"`
}

const usualSamples = 1000

// nature judges a blend in every draw. Two fats are independent; all lots of
// one fat are drawn alike.
func (m *maker) nature(b blend) *Nature {
	n := m.opts.Samples
	if n == 0 {
		n = usualSamples
	}
	out := &Nature{Samples: n, Limits: []LimitKept{}}
	kept, all := make([]int, len(m.wishes)), 0
	draws := map[string]*draws{}
	for _, q := range b {
		if draws[q.ID] == nil {
			draws[q.ID] = newDraws(m.opts.Seed, q.candidate)
		}
	}
	for range n {
		real := b.drawn(draws)
		whole := true
		for i, w := range m.wishes {
			if w.kind == wishLimit {
				ok := m.limits[w.limit].holds(m.problem, real)
				whole = whole && ok
				kept[i] += count(ok)
			}
		}
		all += count(whole)
	}
	out.Kept = float64(all) / float64(n)
	for i, w := range m.wishes {
		if w.kind == wishLimit && m.limits[w.limit].natural {
			out.Limits = append(out.Limits, LimitKept{w.written, m.words(w), float64(kept[i]) / float64(n)})
		}
	}
	return out
}

func count(b bool) int {
	if b {
		return 1
	}
	return 0
}

// holds reports whether a blend keeps the limit, but for what rounding does.
func (l limit) holds(g *problem, b blend) bool {
	v := l.measure.value(g, b)
	tol := 1e-7 * (1 + math.Abs(l.value))
	if l.atLeast {
		return v >= l.value-tol
	}
	return v <= l.value+tol
}

// drawn is the blend with every fat as nature draws it next.
func (b blend) drawn(of map[string]*draws) blend {
	real := map[string]*candidate{}
	out := make(blend, len(b))
	for i, q := range b {
		if real[q.ID] == nil {
			real[q.ID] = of[q.ID].next()
		}
		out[i] = portion{real[q.ID], q.lot, q.share}
	}
	return out
}

// draws makes one fat as it might be, again and again.
type draws struct {
	of    *candidate
	rng   *rand.Rand
	acids []string
	laws  []lye.Law
	sap   lye.Law
	total float64
}

func newDraws(seed uint64, c *candidate) *draws {
	h := fnv.New64a()
	h.Write([]byte(c.ID))
	d := &draws{of: c, rng: rand.New(rand.NewPCG(seed, h.Sum64())), sap: lye.NewLaw(c.Sap.Low, c.Sap.Typical, c.Sap.High)}
	for _, id := range slices.Sorted(maps.Keys(c.Profile.Acids)) {
		r := rangeOf(c.Material, id)
		d.acids, d.laws = append(d.acids, id), append(d.laws, lye.NewLaw(r.low, c.Profile.Acids[id], r.high))
		d.total += c.Profile.Acids[id]
	}
	return d
}

// next draws every acid by its own law, then brings them to the sum that the
// profile has; and the saponification value by its.
func (d *draws) next() *candidate {
	m, sum := d.of.Material, 0.0
	acids := make(map[string]float64, len(d.acids))
	for i, id := range d.acids {
		v := max(0, d.laws[i].Quantile(d.rng.Float64()))
		acids[id] = v
		sum += v
	}
	for id := range acids {
		acids[id] *= d.total / sum
	}
	m.Profile.Acids = acids
	m.Sap.Typical = d.sap.Quantile(d.rng.Float64())
	return newCandidate(m)
}

// spreadSamples is how many draws a fat's spread is read from.
const spreadSamples = 300

// spread is how far a measure of the fat alone lies above its typical value at
// the upper end of 95 % of nature's draws, or below it at the lower end; never
// less than nothing. The draws are the same at every call.
func (c *candidate) spread(m *measure, above bool) float64 {
	if c.spreads == nil {
		c.spreads = map[string][2]float64{}
	}
	if s, ok := c.spreads[m.name]; ok {
		return s[count(above)]
	}
	values := make([]float64, spreadSamples)
	d := newDraws(0, c)
	l := c.lots[0]
	for k := range values {
		values[k] = m.per(d.next(), l)
	}
	slices.Sort(values)
	typical := m.per(c, l)
	s := [2]float64{max(0, typical-values[spreadSamples/40]), max(0, values[spreadSamples-1-spreadSamples/40]-typical)}
	c.spreads[m.name] = s
	return s[count(above)]
}

// bentSpread is how far below its typical value (above it, for a limit from
// above) a measure of the blend lies at the end of 95 % of nature's draws.
func (m *maker) bentSpread(l limit, b blend) float64 {
	of := map[string]*draws{}
	for _, q := range b {
		if of[q.ID] == nil {
			of[q.ID] = newDraws(0, q.candidate)
		}
	}
	values := make([]float64, spreadSamples)
	for k := range values {
		values[k] = l.measure.value(m.problem, b.drawn(of))
	}
	slices.Sort(values)
	typical := l.measure.value(m.problem, b)
	if l.atLeast {
		return max(0, typical-values[spreadSamples/40])
	}
	return max(0, values[spreadSamples-1-spreadSamples/40]-typical)
}

// acidRange is what an acid of a fat ranges over, 95 % of all.
type acidRange struct{ low, high float64 }

// rangeOf returns the range of one acid: that of its standard where there is
// one, widened to hold the typical value, else usualSpread around it.
func rangeOf(m material.Material, acid string) acidRange {
	id, p := m.ID, m.Profile.Acids[acid]
	if m.Of != "" {
		id = m.Of
	}
	if r, ok := ranges()[id+" "+acid]; ok {
		return acidRange{min(r.low, p), max(r.high, p)}
	}
	half := usualSpread * math.Sqrt(p*max(0, 100-p))
	return acidRange{max(0, p-half), min(100, p+half)}
}

// usualSpread is the half-width of a range over √(p (100 − p)), p the middle of
// the range in per cent: the median of the 125 ranges of ranges.csv whose middle
// is above 3 %. own_estimate.
const usualSpread = 0.115
