package milp_test

import (
	"context"
	"math"
	"math/big"
	"testing"

	"barwright/internal/glpktest"
	"barwright/internal/milp"
	"barwright/internal/milp/proofcheck"
)

var recorded = milp.Options{Record: true}

// mustHold checks a finished answer with code that the solver does not share:
// its point, its objective and its proof.
func mustHold(t *testing.T, m milp.Model, s milp.Solution) {
	t.Helper()
	if s.Status == milp.Infeasible {
		if err := proofcheck.Infeasible(s.Proof); err != nil {
			t.Errorf("the proof that nothing fits: %v", err)
		}
		return
	}
	if !m.Feasible(s.X) || m.Objective(s.X).Cmp(s.Objective) != 0 {
		t.Errorf("%v is not what it says", s.X)
	}
	bound, err := proofcheck.Bound(s.Proof)
	if err != nil {
		t.Fatalf("the proof of the bound: %v", err)
	}
	if s.Bound.Cmp(s.Objective) > 0 {
		t.Errorf("the bound %v is above the objective %v", s.Bound, s.Objective)
	}
	if bound != nil && bound.Cmp(s.Bound) < 0 && !roundsUp(m, bound, s) {
		t.Errorf("proved is %v, said is %v", bound, s.Bound)
	}
	if s.Status == milp.Optimal && s.Gap() > 1e-9 {
		t.Errorf("a gap of %g", s.Gap())
	}
}

// roundsUp reports whether all costs are on whole variables and multiples of
// a quarter, and the objective is the first such multiple from the bound up.
func roundsUp(m milp.Model, bound *big.Rat, s milp.Solution) bool {
	for _, v := range m.Vars {
		if v.Cost != 0 && !v.Integer || v.Cost*4 != math.Round(v.Cost*4) {
			return false
		}
	}
	up := new(big.Rat).Sub(s.Bound, bound)
	return s.Bound.Cmp(s.Objective) == 0 && up.Cmp(grainOf(m)) < 0
}

func grainOf(m milp.Model) *big.Rat {
	g := big.NewInt(0)
	for _, v := range m.Vars {
		g.GCD(nil, nil, g, big.NewInt(int64(math.Abs(v.Cost*4))))
	}
	return new(big.Rat).SetFrac(g, big.NewInt(4))
}

// Random small models: every proof is checked, and models of whole variables
// are solved again by trying every point.
func TestSolveProvesItsAnswers(t *testing.T) {
	t.Parallel()
	tried, infeasible := 0, 0
	for seed := range uint64(600) {
		m := draw(seed)
		s := milp.Solve(context.Background(), m, recorded)
		if s.Status == milp.Limit {
			t.Fatalf("seed %d: %v", seed, s.Status)
		}
		mustHold(t, m, s)
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
		if s.Status == milp.Infeasible {
			infeasible++
		}
		if !allWhole(m) {
			continue
		}
		tried++
		best, found := enumerate(m)
		if found != (s.Status == milp.Optimal) {
			t.Fatalf("seed %d: %v, but there is a point: %v", seed, s.Status, found)
		}
		if got, _ := new(big.Rat).Set(orZero(s.Objective)).Float64(); found && got != best {
			t.Fatalf("seed %d: %g, tried out %g", seed, got, best)
		}
	}
	if tried < 60 || infeasible < 20 {
		t.Errorf("only %d models were tried out and %d infeasible", tried, infeasible)
	}
}

func orZero(r *big.Rat) *big.Rat {
	if r == nil {
		return new(big.Rat)
	}
	return r
}

func allWhole(m milp.Model) bool {
	for _, v := range m.Vars {
		if !v.Integer {
			return false
		}
	}
	return true
}

// The same models, without whole variables and with, against glpsol.
func TestSolveAgreesWithGLPK(t *testing.T) {
	t.Parallel()
	glpktest.Need(t)
	n := uint64(120)
	if testing.Short() {
		n = 20
	}
	for seed := range n {
		m := draw(1000 + seed)
		if seed%2 == 0 {
			for j := range m.Vars {
				m.Vars[j].Integer = false
			}
		}
		s, want := milp.Solve(context.Background(), m, recorded), glpktest.Solve(t, m)
		mustHold(t, m, s)
		if want.Infeasible != (s.Status == milp.Infeasible) {
			t.Fatalf("seed %d: %v, glpsol says infeasible: %v", seed, s.Status, want.Infeasible)
		}
		if want.Infeasible {
			continue
		}
		if got, _ := s.Objective.Float64(); math.Abs(got-want.Objective) > 1e-6*(1+math.Abs(got)) {
			t.Errorf("seed %d: %.9g, glpsol %.9g", seed, got, want.Objective)
		}
	}
}

// A proof that was tampered with is refused: a check that lets everything
// through would pass the tests above.
func TestFalseProofsAreSeen(t *testing.T) {
	t.Parallel()
	refused := 0
	for seed := range uint64(2000) {
		m := draw(seed)
		s := milp.Solve(context.Background(), m, recorded)
		if s.Status != milp.Infeasible || len(s.Proof.Tree) == 0 {
			continue
		}
		for i, n := range s.Proof.Tree {
			if n.Leaf {
				s.Proof.Tree[i].Weights = make([]*big.Rat, len(n.Weights))
				for k := range n.Weights {
					s.Proof.Tree[i].Weights[k] = new(big.Rat)
				}
			}
		}
		if proofcheck.Infeasible(s.Proof) == nil {
			t.Errorf("seed %d: weights of nothing prove nothing", seed)
		}
		s.Proof.Tree = s.Proof.Tree[:len(s.Proof.Tree)-1]
		if proofcheck.Infeasible(s.Proof) == nil {
			t.Errorf("seed %d: half a tree proves nothing", seed)
		}
		refused++
	}
	if refused < 3 {
		t.Errorf("only %d proofs were tampered with", refused)
	}
	var m milp.Model
	x := m.Add(milp.Var{Name: "x", High: 1})
	m.AddRow("r", 0.5, math.Inf(1), milp.Term{Var: x, Coef: 1})
	p := &milp.Proof{Given: m, Model: m, Steps: []milp.Step{{Kind: milp.LowerBound, Row: 0, Var: 0, Value: 2}}}
	if proofcheck.Infeasible(p) == nil {
		t.Error("a step that does not follow was let through")
	}
}

// A solve that may not look at more than a few nodes says what it knows: its
// bound still holds.
func TestLimits(t *testing.T) {
	t.Parallel()
	limited := 0
	for seed := range uint64(300) {
		m := draw(seed)
		whole := milp.Solve(context.Background(), m, milp.Options{})
		s := milp.Solve(context.Background(), m, milp.Options{Nodes: 1, Record: true})
		if s.Status != milp.Limit {
			continue
		}
		limited++
		if whole.Status == milp.Optimal && s.Bound != nil && s.Bound.Cmp(whole.Objective) > 0 {
			t.Errorf("seed %d: bound %v above the optimum %v", seed, s.Bound, whole.Objective)
		}
	}
	if limited < 10 {
		t.Errorf("only %d were cut short", limited)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if s := milp.Solve(ctx, draw(3), milp.Options{}); s.Status != milp.Limit {
		t.Errorf("cancelled before it began: %v", s.Status)
	}
}

// A number means the decimal it prints as: three times a tenth fits under
// three tenths, which in binary it does not.
func TestNumbersAreDecimals(t *testing.T) {
	t.Parallel()
	var m milp.Model
	x := m.Add(milp.Var{Name: "x", High: 10, Cost: -1, Integer: true})
	m.AddRow("r", math.Inf(-1), 0.3, milp.Term{Var: x, Coef: 0.1})
	s := milp.Solve(context.Background(), m, recorded)
	if s.Status != milp.Optimal || s.X[0].Cmp(big.NewRat(3, 1)) != 0 {
		t.Errorf("%v %v", s.Status, s.X)
	}
	mustHold(t, m, s)
}
