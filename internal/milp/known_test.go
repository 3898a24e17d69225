package milp_test

import (
	"context"
	"fmt"
	"math"
	"math/big"
	"testing"

	"barwright/internal/milp"
)

var inf = math.Inf(1)

// lp makes a model from dense rows: coefficients, then "<" or ">", then the
// right side.
func lp(cost []float64, high []float64, rows ...[]float64) (m milp.Model) {
	for j, c := range cost {
		m.Add(milp.Var{Name: fmt.Sprintf("x%d", j+1), High: high[j], Cost: c})
	}
	for i, r := range rows {
		var terms []milp.Term
		for j := range cost {
			terms = append(terms, milp.Term{Var: j, Coef: r[j]})
		}
		m.AddRow(fmt.Sprintf("r%d", i+1), r[len(cost)], r[len(cost)+1], terms...)
	}
	return m
}

// cube is the deformed cube of Klee and Minty with n sides.
func cube(n int) (m milp.Model, optimum *big.Rat) {
	for j := range n {
		m.Add(milp.Var{Name: fmt.Sprintf("x%d", j+1), High: math.Pow(100, float64(j)), Cost: -math.Pow(10, float64(n-1-j))})
	}
	for i := range n {
		var terms []milp.Term
		for j := range i {
			terms = append(terms, milp.Term{Var: j, Coef: 2 * math.Pow(10, float64(i-j))})
		}
		m.AddRow(fmt.Sprintf("r%d", i+1), -inf, math.Pow(100, float64(i)), append(terms, milp.Term{Var: i, Coef: 1})...)
	}
	return m, milp.Exact(-math.Pow(100, float64(n-1)))
}

// Linear programmes from the literature with their optimum. All are recalled,
// not copied from the page; each optimum is checked exactly by its own proof.
func TestPublishedProgrammes(t *testing.T) {
	t.Parallel()
	klee, kleeBest := cube(6)
	for _, c := range []struct {
		source string
		model  milp.Model
		best   *big.Rat
	}{
		{"V. Chvátal, Linear Programming, 1983, chapter 1, the diet problem: 92.5 cents a day",
			lp([]float64{3, 24, 13, 9, 20, 19}, []float64{4, 3, 2, 8, 2, 2},
				[]float64{110, 205, 160, 160, 420, 260, 2000, inf},
				[]float64{4, 32, 13, 8, 4, 14, 55, inf},
				[]float64{2, 12, 54, 285, 22, 80, 800, inf}), big.NewRat(185, 2)},
		{"the same, chapter 2, the first example: 13",
			lp([]float64{-5, -4, -3}, []float64{99, 99, 99},
				[]float64{2, 3, 1, -inf, 5}, []float64{4, 1, 2, -inf, 11}, []float64{3, 4, 2, -inf, 8}), big.NewRat(-13, 1)},
		{"E. M. L. Beale, 1955, on which the simplex without a rule against it goes round for ever: −1/20",
			lp([]float64{-0.75, 150, -0.02, 6}, []float64{1e4, 1e4, 1e4, 1e4},
				[]float64{0.25, -60, -0.04, 9, -inf, 0}, []float64{0.5, -90, -0.02, 3, -inf, 0}, []float64{0, 0, 1, 0, -inf, 1}), big.NewRat(-1, 20)},
		{"V. Klee and G. J. Minty, 1972, the deformed cube of six sides: −100⁵", klee, kleeBest},
	} {
		s := milp.Solve(context.Background(), c.model, recorded)
		if s.Status != milp.Optimal || s.Objective.Cmp(c.best) != 0 || s.Bound.Cmp(c.best) != 0 {
			t.Errorf("%s: %v, %v, bound %v", c.source, s.Status, s.Objective, s.Bound)
			continue
		}
		mustHold(t, c.model, s)
	}
}
