package formulate

import (
	"fmt"
	"math"

	"barwright/finding"
	"barwright/internal/milp"
)

// guardSteps is how finely the guard is searched.
const guardSteps = 20

// robust looks for the least guard under which the best recipe keeps every
// limit in the share of nature's draws that was asked for. A guard of 1 keeps
// every fat clear of the end of its own range at once, which is more than
// enough for several fats; less mostly does. When none is found it returns an
// infeasible solution and the best that was kept stands in best.
func (m *maker) robust(p *program, s milp.Solution) (*program, milp.Solution, ask) {
	want, first := m.goal.Robust.Fraction(), s
	guards := m.bentGuards(p.blend(m.problem, s))
	try := func(n int) (*program, milp.Solution, ask, bool) {
		how := ask{guard: 1.5 * float64(n) / guardSteps, guards: guards}
		q := m.build(how)
		t := m.solve(q)
		if t.X == nil {
			return q, t, how, false
		}
		kept := m.nature(q.blend(m.problem, t)).Kept
		m.bestKept = max(m.bestKept, kept)
		return q, t, how, kept >= want
	}
	var q *program
	var t milp.Solution
	var how ask
	low, high := -1, -1
	improve := func(n int) bool {
		p, s, a, ok := try(n)
		if ok {
			high, q, t, how = n, p, s, a
		} else {
			low = n
		}
		return ok
	}
	for _, n := range []int{0, guardSteps / 4, guardSteps / 2, 3 * guardSteps / 4, guardSteps} {
		if improve(n) {
			break
		}
	}
	if high < 0 {
		status := milp.Infeasible
		if m.ctx.Err() != nil {
			status = milp.Limit // not looked at to the end: nothing is ruled out
		}
		return p, milp.Solution{Status: status, Nodes: s.Nodes}, ask{}
	}
	for high-low > 1 && m.ctx.Err() == nil {
		improve((low + high) / 2)
	}
	a, _ := first.Objective.Float64()
	b, _ := t.Objective.Float64()
	costs := short(b - a)
	m.robustCosts = &costs
	return q, t, how
}

// bentGuards is, for limits that are not linear, how far nature carries the
// best recipe beyond its typical value at the end of 95 % of the draws.
func (m *maker) bentGuards(b blend) []float64 {
	out := make([]float64, len(m.limits))
	for k, l := range m.limits {
		if l.linear() || !l.natural {
			continue
		}
		out[k] = m.bentSpread(l, b)
	}
	return out
}

// refuseRobust says that recipes fit, but none surely enough.
func (m *maker) refuseRobust() {
	asked := fmt.Sprintf("robust = %q", m.goal.Robust)
	to := trim(math.Floor(1000*m.bestKept)/10, 1) + " %"
	m.out.Status = milp.Infeasible.String()
	m.out.Proof.Exact, m.out.Proof.Bound, m.out.Proof.Gap = false, nil, nil
	m.out.Conflict, m.out.Lines = []string{asked}, []int{m.goal.line("robust")}
	m.out.Clash = []Clash{{fmt.Sprintf("sure in %s of nature's draws", m.goal.Robust), "robust"}}
	m.out.Relaxations = []Relaxation{{asked, &to, fmt.Sprintf("Recipes fit, but the surest found keeps every limit in %s of nature's draws.", to), m.easeRobust(to)}}
}

// easeRobust asks for what was found; for nothing when that is next to nothing.
func (m *maker) easeRobust(to string) []finding.Edit {
	if m.bestKept < 0.01 {
		to = ""
	}
	return []finding.Edit{{Key: "robust", Value: to}}
}
