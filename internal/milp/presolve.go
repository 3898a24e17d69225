package milp

import (
	"math"
	"math/big"
)

// Step is one change that presolve made to a model, each following from the
// model as it stood before it.
type Step struct {
	Kind  StepKind
	Row   int     // the row it follows from
	Var   int     // the variable whose bound or coefficient it changes
	Value float64 // the new bound or coefficient
}

// StepKind says what a step changes.
type StepKind int

// The kinds of step.
const (
	DropRow     StepKind = iota // the row cannot bind
	LowerBound                  // the row leaves the variable no lower than Value
	UpperBound                  // or no higher
	Coefficient                 // of a 0-1 variable that lifts the row by more than it needs
)

// rounds is how often presolve goes over the rows at most.
const rounds = 6

// presolve returns a tighter model with the same feasible points, and how it
// came about. Not feasible when a row or a variable has no room left. Floating
// point proposes; a step is only made when exact arithmetic confirms it.
func presolve(m Model) (tight Model, steps []Step, feasible bool) {
	p := presolver{m: m.Clone(), dropped: make([]bool, len(m.Rows))}
	for i := range p.m.Rows {
		p.m.Rows[i].Terms = append([]Term(nil), p.m.Rows[i].Terms...)
	}
	for range rounds {
		before := len(p.steps)
		for i := range p.m.Rows {
			if !p.dropped[i] && !p.row(i) {
				return p.m, p.steps, false
			}
		}
		if len(p.steps) == before {
			break
		}
	}
	for i, gone := range p.dropped {
		if gone { // it stays in its place, asking nothing
			p.m.Rows[i].Low, p.m.Rows[i].High = math.Inf(-1), math.Inf(1)
		}
	}
	return p.m, p.steps, true
}

type presolver struct {
	m       Model
	steps   []Step
	dropped []bool
}

// row looks at one row; false when it cannot be met.
func (p *presolver) row(i int) bool {
	r := &p.m.Rows[i]
	least, most := p.reach(*r)
	slack := 1e-9 * (1 + math.Abs(least) + math.Abs(most))
	if least >= r.Low-slack && most <= r.High+slack && p.cannotBind(*r) {
		p.dropped[i] = true
		p.steps = append(p.steps, Step{DropRow, i, -1, 0})
		return true
	}
	for k, t := range r.Terms {
		v := p.m.Vars[t.Var]
		lowest, highest := t.Coef*v.Low, t.Coef*v.High
		if t.Coef < 0 {
			lowest, highest = highest, lowest
		}
		if !p.narrow(i, t, r.Low-(most-highest), true) || !p.narrow(i, t, r.High-(least-lowest), false) {
			return false
		}
		v = p.m.Vars[t.Var]
		if v.Integer && v.Low == 0 && v.High == 1 {
			p.lift(i, k, most-highest)
		}
		least, most = p.reach(*r)
	}
	return true
}

// reach returns the least and the most a row can be.
func (p *presolver) reach(r Row) (least, most float64) {
	for _, t := range r.Terms {
		a, b := t.Coef*p.m.Vars[t.Var].Low, t.Coef*p.m.Vars[t.Var].High
		least, most = least+min(a, b), most+max(a, b)
	}
	return least, most
}

// exactReach is reach of all terms but one, exactly.
func (m Model) exactReach(r Row, but int, upper bool) *big.Rat {
	sum := new(big.Rat)
	for _, t := range r.Terms {
		if t.Var == but {
			continue
		}
		end := m.Vars[t.Var].Low
		if upper == (t.Coef > 0) {
			end = m.Vars[t.Var].High
		}
		if end != 0 {
			sum.Add(sum, new(big.Rat).Mul(Exact(t.Coef), Exact(end)))
		}
	}
	return sum
}

func (p *presolver) cannotBind(r Row) bool {
	return (!finite(r.Low) || p.m.exactReach(r, -1, false).Cmp(Exact(r.Low)) >= 0) &&
		(!finite(r.High) || p.m.exactReach(r, -1, true).Cmp(Exact(r.High)) <= 0)
}

// narrow uses what the row asks of coef × variable, at least or at most rest,
// to move a bound of the variable. False when nothing is left of it.
func (p *presolver) narrow(i int, t Term, rest float64, atLeast bool) bool {
	if math.IsInf(rest, 0) || math.Abs(t.Coef) < 1e-7 {
		return true
	}
	v := &p.m.Vars[t.Var]
	limit, isLower := rest/t.Coef, atLeast == (t.Coef > 0)
	margin := 1e-6
	if !v.Integer {
		margin = 1e-6 * (1 + math.Abs(limit))
	}
	var value float64
	switch {
	case isLower && v.Integer:
		value = math.Ceil(limit - margin)
	case isLower:
		value = roundedDown(limit - margin)
	case v.Integer:
		value = math.Floor(limit + margin)
	default:
		value = -roundedDown(-limit - margin)
	}
	kind := UpperBound
	if isLower {
		kind = LowerBound
	}
	worth := 1e-3 * (v.High - v.Low)
	if v.Integer {
		worth = 0.5
	}
	if isLower && value < v.Low+worth || !isLower && value > v.High-worth {
		return true
	}
	if !p.m.follows(Step{kind, i, t.Var, value}) {
		return true
	}
	p.steps = append(p.steps, Step{kind, i, t.Var, value})
	if isLower {
		v.Low = value
	} else {
		v.High = value
	}
	return v.Low <= v.High
}

// roundedDown keeps bounds short decimals: the largest multiple of a millionth
// that is not above v, or a little less.
func roundedDown(v float64) float64 { return math.Floor(v*1e6) / 1e6 }

// follows reports whether a step on a bound follows from its row, exactly.
func (m Model) follows(s Step) bool {
	r, v := m.Rows[s.Row], m.Vars[s.Var]
	coef := new(big.Rat)
	for _, t := range r.Terms {
		if t.Var == s.Var {
			coef = Exact(t.Coef)
		}
	}
	if coef.Sign() == 0 {
		return false
	}
	// coef × value ≥ low − most of the rest, or ≤ high − least of the rest.
	fromLow := (s.Kind == LowerBound) == (coef.Sign() > 0)
	end := r.High
	if fromLow {
		end = r.Low
	}
	if !finite(end) {
		return false
	}
	limit := Exact(end)
	limit.Sub(limit, m.exactReach(r, s.Var, fromLow)).Quo(limit, coef)
	value := Exact(s.Value)
	one := big.NewRat(1, 1)
	switch {
	case s.Kind == LowerBound && v.Integer: // everything whole below value is below the limit
		return new(big.Rat).Sub(value, one).Cmp(limit) < 0 && value.IsInt()
	case s.Kind == LowerBound:
		return value.Cmp(limit) <= 0
	case v.Integer:
		return new(big.Rat).Add(value, one).Cmp(limit) > 0 && value.IsInt()
	}
	return value.Cmp(limit) >= 0
}

// lift shrinks the coefficient of a 0-1 variable, the k-th term of a row with
// only an upper end, to what the row needs when the variable is 1; most is the
// most the other terms reach.
func (p *presolver) lift(i, k int, most float64) {
	r := &p.m.Rows[i]
	if finite(r.Low) || !finite(r.High) || r.Terms[k].Coef >= 0 {
		return
	}
	s := Step{Coefficient, i, r.Terms[k].Var, roundedDown(r.High - most)}
	if s.Value > 0 || s.Value <= r.Terms[k].Coef+1e-9 || !p.m.liftFollows(s) {
		return
	}
	p.steps = append(p.steps, s)
	r.Terms[k].Coef = s.Value
}

// liftFollows reports whether with the new coefficient the row still asks
// nothing more of any point with the variable at 1, nor at 0.
func (m Model) liftFollows(s Step) bool {
	r := m.Rows[s.Row]
	room := Exact(r.High)
	room.Sub(room, Exact(s.Value))
	return !finite(r.Low) && m.Vars[s.Var].Integer && m.Vars[s.Var].Low >= 0 && m.Vars[s.Var].High <= 1 &&
		m.exactReach(r, s.Var, true).Cmp(room) <= 0
}
