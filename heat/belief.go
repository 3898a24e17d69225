package heat

import (
	"fmt"

	"gonum.org/v1/gonum/mat"
)

// Belief is what is believed of rate, loss and heat beside the model's own, for
// the next batch of this maker in this mould, and of activation energy and heat
// capacity, which the same curves tell apart badly: a normal law of what
// Physics.moved takes. The zero value is the belief about any maker.
type Belief struct {
	Batches int                     `json:"batches"`
	Mean    [taught]float64         `json:"mean"`
	Cov     [taught][taught]float64 `json:"cov"`
}

// scatter between batches of one maker, standard deviations. An estimate.
var scatter = [taught]float64{drawRate: 0.06, drawLoss: 0.05, drawHeat: 0.03, drawActivation: 0.5, drawHeld: 0.01}

// Parts of the doubt about the loss: the maker's room and habits, and the
// mould. Together they are LossFactor's.
const lossOfMould = 0.12

// priorDeviations are those of any maker's next batch.
func priorDeviations() [taught]float64 {
	return [taught]float64{drawRate: logDeviation(RateFactor), drawLoss: logDeviation(LossFactor), drawHeat: logDeviation(ReactionHeat),
		drawActivation: deviation(Activation), drawHeld: logDeviation(HeldFactor)}
}

// known returns the belief, any maker's for the zero value.
func (b Belief) known() Belief {
	if b.Batches > 0 {
		return b
	}
	b = Belief{}
	for i, sd := range priorDeviations() {
		b.Cov[i][i] = sd * sd
	}
	return b
}

// at returns the point z standard deviations from the mean, along the columns
// of the lower Cholesky factor.
func (b Belief) at(z [taught]float64) [taught]float64 {
	b = b.known()
	s := mat.NewSymDense(taught, nil)
	for i := range taught {
		for j := i; j < taught; j++ {
			s.SetSym(i, j, b.Cov[i][j])
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(s) {
		panic("heat: a belief without a covariance")
	}
	var lower mat.TriDense
	chol.LTo(&lower)
	out := b.Mean
	for i := range taught {
		for j := 0; j <= i; j++ {
			out[i] += lower.At(i, j) * z[j]
		}
	}
	return out
}

// words says what the forecast was drawn from.
func (b Belief) words() Learned {
	switch b.Batches {
	case 0:
		return Learned{0, "no batch of yours yet: the rates of any maker"}
	case 1:
		return Learned{1, "your last batch"}
	}
	return Learned{b.Batches, fmt.Sprintf("your last %d batches", b.Batches)}
}

// Maker is what the logged batches of one maker have taught, over all her
// moulds: a normal law of what a Belief holds, the loss being that of her room,
// and of what every mould's own loss differs by. It never changes; the zero value knows nothing,
// and going back to it is how a maker starts over.
// Source: docs/model/heat.md eq. 10 and 11.
type Maker struct {
	batches int
	moulds  []string
	mean    *mat.VecDense // what is taught, then one loss for every mould
	cov     *mat.SymDense
}

// Batches returns how many batches were learned from.
func (m Maker) Batches() int { return m.batches }

// grown returns the maker with a mould she has not logged before.
func (m Maker) grown(mould string) Maker {
	n := taught + len(m.moulds)
	out := Maker{batches: m.batches, moulds: append(append([]string{}, m.moulds...), mould), mean: mat.NewVecDense(n+1, nil), cov: mat.NewSymDense(n+1, nil)}
	if m.mean == nil {
		for i, sd := range priorDeviations() {
			v := sd*sd - scatter[i]*scatter[i]
			if i == drawLoss {
				v -= lossOfMould * lossOfMould
			}
			out.cov.SetSym(i, i, v)
		}
	} else {
		for i := range n {
			out.mean.SetVec(i, m.mean.AtVec(i))
			for j := i; j < n; j++ {
				out.cov.SetSym(i, j, m.cov.At(i, j))
			}
		}
	}
	out.cov.SetSym(n, n, lossOfMould*lossOfMould)
	return out
}

// with returns the maker knowing of a mould, and which of her numbers is its.
func (m Maker) with(mould string) (Maker, int) {
	for i, name := range m.moulds {
		if name == mould {
			return m, taught + i
		}
	}
	return m.grown(mould), taught + len(m.moulds)
}

// picks is the matrix that takes a maker's numbers to those of one mould.
func (m Maker) picks(at int) *mat.Dense {
	h := mat.NewDense(taught, m.mean.Len(), nil)
	for i := range taught {
		h.Set(i, i, 1)
	}
	h.Set(drawLoss, at, 1)
	return h
}

// Belief returns what to believe of her next batch in a mould; any name, and
// another one for every mould.
func (m Maker) Belief(mould string) Belief {
	if m.batches == 0 {
		return Belief{}
	}
	w, at := m.with(mould)
	b := Belief{Batches: m.batches}
	h := w.picks(at)
	var mean mat.VecDense
	mean.MulVec(h, w.mean)
	var cov mat.Dense
	cov.Product(h, w.cov, h.T())
	for i := range taught {
		b.Mean[i] = mean.AtVec(i)
		for j := range taught {
			b.Cov[i][j] = cov.At(i, j)
		}
		b.Cov[i][i] += scatter[i] * scatter[i]
	}
	return b
}
