package formulate

import (
	"context"
	"math"
	"testing"

	"barwright/internal/glpktest"
	"barwright/internal/milp"
	"barwright/internal/milp/proofcheck"
	"barwright/material"
)

// Random goals of five kinds, 105 of each: the very model that Make solves,
// through the very file that --lp writes, against glpsol; and every proof
// checked by code that shares nothing with the solver.
func TestRandomGoalsAgainstGLPK(t *testing.T) {
	t.Parallel()
	glpktest.Need(t)
	each := uint64(105)
	if testing.Short() {
		each = 8
	}
	for _, kind := range kinds {
		t.Run(kind, func(t *testing.T) {
			t.Parallel()
			infeasible, optimal, worst := 0, 0, 0.0
			for seed := range each {
				m, err := Model(drawGoal(kind, seed), material.Builtin())
				if err != nil {
					t.Fatalf("seed %d: %v", seed, err)
				}
				s := milp.Solve(context.Background(), m, milp.Options{Record: true})
				want := glpktest.Solve(t, m)
				if s.Status == milp.Limit || want.Infeasible != (s.Status == milp.Infeasible) {
					t.Fatalf("seed %d: %v, but glpsol says infeasible: %v", seed, s.Status, want.Infeasible)
				}
				if want.Infeasible {
					infeasible++
					if err := proofcheck.Infeasible(s.Proof); err != nil {
						t.Errorf("seed %d: %v", seed, err)
					}
					continue
				}
				optimal++
				worst = max(worst, agrees(t, seed, m, s, want.Objective))
			}
			t.Logf("%d optimal, %d infeasible, largest difference %.1g", optimal, infeasible, worst)
			if few := int(each / 2); kind == "infeasible" && infeasible < few || kind != "infeasible" && optimal < few {
				t.Errorf("too few are what their kind says")
			}
		})
	}
}

// agrees compares an optimum to 1e-6 of its size, and checks its point and its
// proof exactly. It returns the difference.
func agrees(t *testing.T, seed uint64, m milp.Model, s milp.Solution, want float64) (difference float64) {
	t.Helper()
	got, _ := s.Objective.Float64()
	if difference = math.Abs(got-want) / (1 + math.Abs(got)); difference > 1e-6 {
		t.Errorf("seed %d: %.10g, glpsol %.10g", seed, got, want)
	}
	if !m.Feasible(s.X) || m.Objective(s.X).Cmp(s.Objective) != 0 || s.Gap() > 1e-9 {
		t.Errorf("seed %d: not what it says, gap %g", seed, s.Gap())
	}
	proved, err := proofcheck.Bound(s.Proof)
	if err != nil {
		t.Errorf("seed %d: %v", seed, err)
		return difference
	}
	if short := s.Objective.Cmp(s.Bound) < 0 || proved != nil && proved.Cmp(s.Bound) < 0 && s.Bound.Cmp(s.Objective) < 0; short {
		t.Errorf("seed %d: proved %v, said %v", seed, proved.FloatString(9), s.Bound.FloatString(9))
	}
	return difference
}
