package milp

import (
	"context"
	"math/big"
)

// Status says how a solve ended.
type Status int

// The ways a solve ends.
const (
	Optimal    Status = iota // proved: nothing is better by more than the gap
	Infeasible               // proved: nothing meets every row
	Limit                    // stopped first; X is the best found, nil when none was
)

func (s Status) String() string { return [...]string{"optimal", "infeasible", "limit"}[s] }

// Options are the limits of a solve.
type Options struct {
	Nodes  int     // most nodes, 0 for ten million
	Gap    float64 // what may be left between the best and the bound, relative; 0 for 1e-9
	Record bool    // keep the proof

	Floor *big.Rat // nothing is better than this, as was proved before; nil when nothing is known
}

func (o Options) nodes() int {
	if o.Nodes == 0 {
		return 10_000_000
	}
	return o.Nodes
}

func (o Options) gap() float64 {
	if o.Gap == 0 {
		return 1e-9
	}
	return o.Gap
}

// Solution is the answer to a model. Its numbers are exact: X meets every row
// to the last digit, and no feasible point is better than Bound.
type Solution struct {
	Status    Status
	X         []*big.Rat // nil without a feasible point
	Objective *big.Rat   // of X
	Bound     *big.Rat   // nil when infeasible, or when nothing is known
	Nodes     int
	Proof     *Proof // when it was asked for
}

// Float returns X as floating-point numbers.
func (s Solution) Float() []float64 {
	out := make([]float64, len(s.X))
	for j, v := range s.X {
		out[j], _ = v.Float64()
	}
	return out
}

// Gap returns what lies between objective and bound, relative to 1 plus the
// size of the objective.
func (s Solution) Gap() float64 {
	gap := new(big.Rat).Sub(s.Objective, s.Bound)
	size := new(big.Rat).Abs(s.Objective)
	g, _ := gap.Quo(gap, size.Add(size, big.NewRat(1, 1))).Float64()
	return g
}

// Solve returns the best point of a model, or the proof that there is none.
// When ctx is done or the nodes are used up it returns the best found so far
// with the bound that holds until then.
func Solve(ctx context.Context, m Model, o Options) Solution {
	m.mustBeWhole()
	tight, steps, feasible := presolve(m)
	if !feasible {
		return emptied(m, tight, steps, o)
	}
	b := newSearch(ctx, m, tight, o)
	b.run(newSimplex(tight))
	if b.proof != nil {
		b.proof.Given, b.proof.Steps = m, steps
	}
	return b.solution()
}

// emptied is the answer when presolve left a variable no room.
func emptied(m, tight Model, steps []Step, o Options) Solution {
	s := Solution{Status: Infeasible}
	if o.Record {
		s.Proof = &Proof{Given: m, Model: tight, Steps: steps}
	}
	return s
}

func (b *search) solution() Solution {
	s := Solution{X: b.best, Objective: b.bestObj, Nodes: b.nodes, Proof: b.proof}
	switch {
	case b.stopped:
		s.Status = Limit
	case b.best == nil:
		s.Status = Infeasible
		return s
	}
	if b.least != nil {
		s.Bound = b.rat(b.least)
	}
	if b.sharp != nil {
		s.Bound = b.sharp
	}
	if b.proved != nil && (s.Bound == nil || b.proved.Cmp(s.Bound) > 0) {
		s.Bound = b.proved
	}
	if b.bestObj != nil && b.grain != nil && (b.least == nil || b.least.Cmp(b.need) >= 0) {
		s.Bound = b.bestObj
	}
	return s
}
