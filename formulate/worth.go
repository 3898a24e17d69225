package formulate

import (
	"fmt"
	"math"

	"barwright/internal/milp"
)

// Worth is what moving one wish a little outward would gain, all else kept:
// what the wish costs. It comes from solving again, so it is true of whole
// steps and of a number of fats too, where a dual price would not be.
type Worth struct {
	Wish      string  `json:"wish"` // as written
	By        float64 `json:"by"`   // how far it is moved [its unit]
	Objective float64 `json:"objective"`
	Saves     float64 `json:"saves"` // of the objective
	Sentence  string  `json:"sentence"`
}

// worth asks of every wish that may be in the way.
func (m *maker) worth(best blend, objective float64, how ask) {
	for i, w := range m.wishes {
		by := m.little(w)
		if m.ctx.Err() != nil {
			m.out.Notes = append(m.out.Notes, "The time ran out before every limit's cost was known.")
			return
		}
		if by == 0 || !m.near(w, by, best) {
			continue
		}
		moved := how
		moved.moved = map[int]float64{i: by}
		s := m.solve(m.build(moved))
		if s.Status != milp.Optimal {
			continue
		}
		now, _ := s.Objective.Float64()
		if saves := objective - now; saves > 1e-6*(1+math.Abs(objective)) {
			m.out.Worth = append(m.out.Worth, Worth{w.written, by, now, short(saves), m.worthSentence(w, by, saves)})
		}
	}
}

// near reports whether the best recipe comes as near to a wish as it might be
// moved: further off, moving it gains nothing but by the leaps of whole steps.
func (m *maker) near(w wish, by float64, best blend) bool {
	share, lotG, count := 0.0, 0.0, map[string]bool{}
	for _, q := range best {
		count[q.ID] = true
		if q.index == w.fat {
			share += q.share
			if q.lot == m.fats[w.fat].lots[w.lot] {
				lotG += q.share / 100 * m.batchG
			}
		}
	}
	switch w.kind {
	case wishMost:
		return share > w.value-by-m.slack()
	case wishLeast:
		return share < w.value+by+m.slack()
	case wishStock:
		return lotG > w.value-by-m.slack()/100*m.batchG
	case wishCount:
		return float64(len(count)) >= w.value
	case wishLimit:
		l := m.limits[w.limit]
		return math.Abs(l.measure.value(m.problem, best)-l.value) < by+1
	}
	return true
}

// slack is how far whole steps can keep a share from its limit [points].
func (m *maker) slack() float64 {
	if s := m.goal.Step; s != nil {
		return s.Percent
	}
	return 1e-6
}

func (m *maker) worthSentence(w wish, by, saves float64) string {
	return m.inMoney(m.worthWords(w, by, saves))
}

func (m *maker) worthWords(w wish, by, saves float64) string {
	gain := fmt.Sprintf("brings it %s nearer", trim(saves, 3))
	switch {
	case m.goal.Objective.Minimise == Change:
		gain = fmt.Sprintf("saves %s points of change", trim(saves, 2))
	case m.goal.Objective.Minimise == Cost && saves < 0.005:
		gain = fmt.Sprintf("saves %s a kilo of fats", trim(saves, 4))
	case m.goal.Objective.Minimise == Cost:
		gain = fmt.Sprintf("saves %.2f a kilo of fats", saves)
	}
	name := ""
	if w.kind != wishCount && w.kind != wishLimit {
		name = lower(m.fats[w.fat].Name)
	}
	switch w.kind {
	case wishMost:
		return fmt.Sprintf("Allowing %s %% more %s %s.", trim(by, 2), name, gain)
	case wishLeast:
		return fmt.Sprintf("Letting %s in from %s %% less on %s.", name, trim(by, 2), gain)
	case wishNever:
		return fmt.Sprintf("Allowing %s %% %s %s.", trim(by, 2), name, gain)
	case wishStock:
		return fmt.Sprintf("%s g more %s in stock %s.", trim(by, 1), name, gain)
	case wishCount:
		return fmt.Sprintf("One fat more %s.", gain)
	}
	l := m.limits[w.limit]
	if l.atLeast {
		return fmt.Sprintf("Asking for %s %s.", l.more(by, true), gain)
	}
	return fmt.Sprintf("Allowing %s %s.", l.more(by, false), gain)
}
