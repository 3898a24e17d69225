package milp

import (
	"math"
	"math/big"
	"strconv"
	"strings"
)

// dualBits is how fine the weights of a certificate are: multiples of 2^-40.
// Any weights give a true bound; finer ones give a better one.
const dualBits = 40

// scaled is a model in whole numbers: coefficients and costs × 10^k, bounds of
// variables × 10^kx, bounds of rows × 10^(k+kx).
type scaled struct {
	model  Model
	cost   []*big.Int
	rows   [][]scaledTerm
	rowLo  []*big.Int // nil where infinite
	rowHi  []*big.Int
	pow    *big.Int // 10^kx
	unit   *big.Int // 2^dualBits × 10^(k+kx): what a bound is counted in
	lo, hi []*big.Int

	// scratch
	reduced           []*big.Int
	sum, weight, temp *big.Int
}

type scaledTerm struct {
	v int
	a *big.Int
}

// digits returns the decimal of v as a whole number × 10^-places.
func digits(v float64) (whole *big.Int, places int) {
	text := strconv.FormatFloat(v, 'f', -1, 64)
	head, tail, _ := strings.Cut(text, ".")
	whole, ok := new(big.Int).SetString(head+tail, 10)
	if !ok {
		panic("milp: not a number: " + text)
	}
	return whole, len(tail)
}

func places(vs ...float64) (most int) {
	for _, v := range vs {
		if finite(v) {
			_, p := digits(v)
			most = max(most, p)
		}
	}
	return most
}

// times10 returns v × 10^k, which is whole; nil for an infinite v.
func times10(v float64, k int) *big.Int {
	if !finite(v) {
		return nil
	}
	whole, p := digits(v)
	return whole.Mul(whole, power10(k-p))
}

func power10(k int) *big.Int { return new(big.Int).Exp(big.NewInt(10), big.NewInt(int64(k)), nil) }

func newScaled(m Model) *scaled {
	k, kx := 0, 0
	for _, v := range m.Vars {
		k, kx = max(k, places(v.Cost)), max(kx, places(v.Low, v.High))
	}
	for _, r := range m.Rows {
		k = max(k, places(r.Low, r.High))
		for _, t := range r.Terms {
			k = max(k, places(t.Coef))
		}
	}
	s := &scaled{model: m, pow: power10(kx), unit: new(big.Int).Lsh(power10(k+kx), dualBits),
		sum: new(big.Int), weight: new(big.Int), temp: new(big.Int)}
	for _, v := range m.Vars {
		s.cost = append(s.cost, new(big.Int).Lsh(times10(v.Cost, k), dualBits))
		s.lo, s.hi = append(s.lo, times10(v.Low, kx)), append(s.hi, times10(v.High, kx))
		s.reduced = append(s.reduced, new(big.Int))
	}
	for _, r := range m.Rows {
		terms := make([]scaledTerm, len(r.Terms))
		for i, t := range r.Terms {
			terms[i] = scaledTerm{t.Var, times10(t.Coef, k)}
		}
		s.rows = append(s.rows, terms)
		s.rowLo, s.rowHi = append(s.rowLo, times10(r.Low, k+kx)), append(s.rowHi, times10(r.High, k+kx))
	}
	return s
}

// weights rounds y to the grid of certificates. A weight that would lean on an
// infinite side of its row is 0. What is no number, or beyond all sense, is 0.
func (s *scaled) weights(y []float64) []int64 {
	out := make([]int64, len(y))
	for i, v := range y {
		scaledUp := math.Round(math.Ldexp(v, dualBits))
		if math.IsNaN(scaledUp) || math.Abs(scaledUp) > 1<<62 || scaledUp > 0 && s.rowLo[i] == nil || scaledUp < 0 && s.rowHi[i] == nil {
			continue
		}
		out[i] = int64(scaledUp)
	}
	return out
}

// bound returns, in units, a number that the objective of no x between lo and
// hi under all rows is below: Σ min over the box of (cost − yᵀA) x plus Σ min
// over the row's range of y × row. Whatever the weights y (in 2^-40), it is
// true. Without costs the objective is 0, so a bound above 0 says that there is
// no such x. The result is only good until the next call.
func (s *scaled) bound(y []int64, lo, hi []float64, withCost bool) *big.Int {
	for j := range s.reduced {
		if withCost {
			s.reduced[j].Set(s.cost[j])
		} else {
			s.reduced[j].SetInt64(0)
		}
	}
	s.sum.SetInt64(0)
	for i, w := range y {
		if w == 0 {
			continue
		}
		s.weight.SetInt64(w)
		for _, t := range s.rows[i] {
			s.reduced[t.v].Sub(s.reduced[t.v], s.temp.Mul(s.weight, t.a))
		}
		side := s.rowLo[i]
		if w < 0 {
			side = s.rowHi[i]
		}
		s.sum.Add(s.sum, s.temp.Mul(s.weight, side))
	}
	for j, d := range s.reduced {
		if sign := d.Sign(); sign != 0 {
			s.sum.Add(s.sum, s.temp.Mul(d, s.side(j, sign < 0, lo, hi)))
		}
	}
	return s.sum
}

// side returns a bound of variable j × 10^kx. Whole variables take it from the
// box, the others from the model: nothing ever narrows those.
func (s *scaled) side(j int, upper bool, lo, hi []float64) *big.Int {
	switch {
	case !s.model.Vars[j].Integer && upper:
		return s.hi[j]
	case !s.model.Vars[j].Integer:
		return s.lo[j]
	case upper:
		s.weight.SetInt64(int64(hi[j]))
	default:
		s.weight.SetInt64(int64(lo[j]))
	}
	return s.weight.Mul(s.weight, s.pow)
}

// rat returns a bound counted in units as a number.
func (s *scaled) rat(units *big.Int) *big.Rat { return new(big.Rat).SetFrac(units, s.unit) }

// units returns v counted in units, rounded up.
func (s *scaled) units(v *big.Rat) *big.Int {
	n := new(big.Int).Mul(v.Num(), s.unit)
	n.Add(n, new(big.Int).Sub(v.Denom(), big.NewInt(1)))
	return n.Div(n, v.Denom())
}

// grain returns the largest number that the objective of every x of whole
// variables is a multiple of, in units; nil when a variable with a cost is not
// whole.
func (s *scaled) grain() *big.Int {
	g := new(big.Int)
	for j, v := range s.model.Vars {
		if v.Cost == 0 {
			continue
		}
		if !v.Integer {
			return nil
		}
		g.GCD(nil, nil, g, new(big.Int).Abs(s.cost[j]))
	}
	if g.Sign() == 0 {
		return nil
	}
	return g.Mul(g, s.pow)
}
