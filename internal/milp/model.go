// Package milp solves mixed-integer linear programmes and proves its answers.
//
// Start with Model and Solve. Every number of a model means exactly the
// decimal it prints as (0.1 is one tenth, as in the file that WriteLP writes),
// and what Solve says of a model holds in exact arithmetic: floating point only
// finds the way. Variables have finite bounds, so no model is unbounded. Its
// note is docs/model/formulate.md; it knows nothing of soap.
package milp

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
)

// Var is one unknown between Low and High, both finite.
type Var struct {
	Name      string
	Low, High float64
	Cost      float64 // per unit, in what is minimised
	Integer   bool
}

// Term is Coef × the variable at index Var.
type Term struct {
	Var  int
	Coef float64
}

// Row asks for Low ≤ Σ terms ≤ High; an end may be infinite. A variable
// stands in a row once at most.
type Row struct {
	Name      string
	Terms     []Term
	Low, High float64
}

// Model asks for the variables that minimise Σ Cost × value under all rows.
type Model struct {
	Vars []Var
	Rows []Row
}

// Add appends a variable and returns its index.
func (m *Model) Add(v Var) int {
	m.Vars = append(m.Vars, v)
	return len(m.Vars) - 1
}

// AddRow appends a row, leaving out terms of nothing, and returns its index.
func (m *Model) AddRow(name string, low, high float64, terms ...Term) int {
	r := Row{Name: name, Low: low, High: high}
	for _, t := range terms {
		if t.Coef != 0 {
			r.Terms = append(r.Terms, t)
		}
	}
	m.Rows = append(m.Rows, r)
	return len(m.Rows) - 1
}

// Clone returns a model that shares nothing that Add and AddRow or setting
// bounds and costs would change; the terms of rows are shared.
func (m Model) Clone() Model {
	return Model{append([]Var(nil), m.Vars...), append([]Row(nil), m.Rows...)}
}

// mustBeWhole panics where a programmer wrote what is no model.
func (m Model) mustBeWhole() {
	for j, v := range m.Vars {
		if !finite(v.Low) || !finite(v.High) || !finite(v.Cost) {
			panic(fmt.Sprintf("milp: variable %d %s has an infinite bound or cost", j, v.Name))
		}
	}
	for i, r := range m.Rows {
		if math.IsNaN(r.Low) || math.IsNaN(r.High) {
			panic(fmt.Sprintf("milp: row %d %s has a bound that is not a number", i, r.Name))
		}
		seen := make(map[int]bool, len(r.Terms))
		for _, t := range r.Terms {
			if !finite(t.Coef) || t.Var < 0 || t.Var >= len(m.Vars) || seen[t.Var] {
				panic(fmt.Sprintf("milp: row %d %s has a wrong term", i, r.Name))
			}
			seen[t.Var] = true
		}
	}
}

func finite(v float64) bool { return !math.IsInf(v, 0) && !math.IsNaN(v) }

// Exact returns the number that v prints as: 0.1 is one tenth.
func Exact(v float64) *big.Rat {
	r, ok := new(big.Rat).SetString(decimal(v))
	if !ok {
		panic(fmt.Sprintf("milp: %g is not a number", v))
	}
	return r
}

func decimal(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// Feasible reports whether x, one value a variable, meets every bound, every
// row and every whole number exactly.
func (m Model) Feasible(x []*big.Rat) bool {
	for j, v := range m.Vars {
		if x[j].Cmp(Exact(v.Low)) < 0 || x[j].Cmp(Exact(v.High)) > 0 || v.Integer && !x[j].IsInt() {
			return false
		}
	}
	for _, r := range m.Rows {
		sum := r.value(x)
		if finite(r.Low) && sum.Cmp(Exact(r.Low)) < 0 || finite(r.High) && sum.Cmp(Exact(r.High)) > 0 {
			return false
		}
		if math.IsInf(r.Low, 1) || math.IsInf(r.High, -1) {
			return false
		}
	}
	return true
}

func (r Row) value(x []*big.Rat) *big.Rat {
	sum := new(big.Rat)
	for _, t := range r.Terms {
		if x[t.Var].Sign() != 0 {
			sum.Add(sum, new(big.Rat).Mul(Exact(t.Coef), x[t.Var]))
		}
	}
	return sum
}

// Objective returns Σ Cost × value exactly.
func (m Model) Objective(x []*big.Rat) *big.Rat {
	sum := new(big.Rat)
	for j, v := range m.Vars {
		if v.Cost != 0 {
			sum.Add(sum, new(big.Rat).Mul(Exact(v.Cost), x[j]))
		}
	}
	return sum
}
