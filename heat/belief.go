package heat

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Belief is what is believed of the logarithms of rate, loss and heat beside the
// model's own, for the next batch of this maker in this mould: a normal law.
// The zero value is the belief about any maker.
type Belief struct {
	Batches int                     `json:"batches"`
	Mean    [taught]float64         `json:"mean"`
	Cov     [taught][taught]float64 `json:"cov"`
}

// scatter between batches of one maker: standard deviations of the logarithms
// of rate, loss and heat. An estimate.
var scatter = [taught]float64{drawRate: 0.06, drawLoss: 0.05, drawHeat: 0.03}

// Parts of the doubt about the loss: the maker's room and habits, and the
// mould. Together they are LossFactor's.
const lossOfMould = 0.12

// priorDeviations are those of any maker's next batch, for what Physics.moved
// takes.
func priorDeviations() [moves]float64 {
	return [moves]float64{drawRate: logDeviation(RateFactor), drawLoss: logDeviation(LossFactor), drawHeat: logDeviation(ReactionHeat),
		drawActivation: deviation(Activation), drawHeld: logDeviation(HeldFactor), drawAtPour: logDeviation(AtPour), drawGelFactor: logDeviation(GelFactor), drawGel: deviation(GelSpread)}
}

// settled is what is left of the doubt about a figure that is not taught after
// some batches: rate, loss and heat were fitted with it as it is in this maker's
// shop, so most of what it would do is in them already. An estimate.
func (b Belief) settled() float64 { return 1 / math.Sqrt(1+float64(b.Batches)/2) }

// known returns the belief, any maker's for the zero value.
func (b Belief) known() Belief {
	if b.Batches > 0 {
		return b
	}
	b = Belief{}
	for i, sd := range priorDeviations() {
		if i < taught {
			b.Cov[i][i] = sd * sd
		}
	}
	return b
}

// at returns the point z standard deviations from the mean, of what is taught
// along the columns of the lower Cholesky factor, for Physics.moved.
func (b Belief) at(z [moves]float64) (out [moves]float64) {
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
	for i := range taught {
		out[i] = b.Mean[i]
		for j := 0; j <= i; j++ {
			out[i] += lower.At(i, j) * z[j]
		}
	}
	sd, left := priorDeviations(), b.settled()
	for i := taught; i < moves; i++ {
		out[i] = left * sd[i] * z[i]
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
// and of what every mould's own loss differs by. It never changes; the zero
// value knows nothing, and going back to it is how a maker starts over.
// Source: docs/model/heat.md eq. 10 and 11.
type Maker struct {
	batches int
	moulds  []string
	mean    *mat.VecDense // what is taught, then one loss for every mould
	cov     *mat.SymDense
}

// newMaker returns any maker with the moulds of the logs.
func newMaker(logs []Log) Maker {
	var m Maker
	for _, l := range logs {
		if !slices.Contains(m.moulds, l.Mould) {
			m.moulds = append(m.moulds, l.Mould)
		}
	}
	n := taught + len(m.moulds)
	m.mean, m.cov = mat.NewVecDense(n, nil), mat.NewSymDense(n, nil)
	deviations := priorDeviations()
	for i, sd := range deviations[:taught] {
		v := sd*sd - scatter[i]*scatter[i]
		if i == drawLoss {
			v -= lossOfMould * lossOfMould
		}
		m.cov.SetSym(i, i, v)
	}
	for i := taught; i < n; i++ {
		m.cov.SetSym(i, i, lossOfMould*lossOfMould)
	}
	return m
}

// Batches returns how many batches were learned from.
func (m Maker) Batches() int { return m.batches }

// picks is the matrix that takes a maker's numbers to those of one mould; of a
// mould that was never logged to her own.
func (m Maker) picks(mould string) *mat.Dense {
	h := mat.NewDense(taught, m.mean.Len(), nil)
	for i := range taught {
		h.Set(i, i, 1)
	}
	if i := slices.Index(m.moulds, mould); i >= 0 {
		h.Set(drawLoss, taught+i, 1)
	}
	return h
}

// Belief returns what to believe of her next batch in a mould.
func (m Maker) Belief(mould string) Belief {
	if m.batches == 0 {
		return Belief{}
	}
	b := Belief{Batches: m.batches}
	h := m.picks(mould)
	var mean mat.VecDense
	mean.MulVec(h, m.mean)
	var cov mat.Dense
	cov.Product(h, m.cov, h.T())
	for i := range taught {
		b.Mean[i] = mean.AtVec(i)
		for j := range taught {
			b.Cov[i][j] = cov.At(i, j)
		}
		b.Cov[i][i] += scatter[i] * scatter[i]
	}
	if !slices.Contains(m.moulds, mould) {
		b.Cov[drawLoss][drawLoss] += lossOfMould * lossOfMould
	}
	return b
}
