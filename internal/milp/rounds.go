package milp

import (
	"math"
	"math/big"
)

// A search that goes deep before it has a good point wanders through much that
// the best point would have ruled out. So the best is first looked for not far
// above what the relaxation allows, then farther and farther: a round that finds
// nothing below its guess has proved that there is nothing, and one that does
// has found the best. Only what no round has found is searched without a guess.

// guesses are how far above the relaxation the rounds look, of 1 + its size.
var guesses = []float64{0.001, 0.003, 0.01, 0.03}

// roundNodes is how many nodes a guess may take before it is given up, so that
// a search that is cut short still has time to find anything at all.
const roundNodes = 20_000

// run searches the box of root, round by round.
func (b *search) run(root *simplex) {
	for _, guess := range b.rounds(root) {
		b.begin(guess)
		b.explore(b.copyOf(root))
		if b.stopped || b.bestObj != nil && !b.cut {
			return
		}
		if b.cut {
			break
		}
		b.proved = guess
	}
	b.begin(nil)
	b.explore(root)
}

// rounds returns what the objective is guessed to be below, one after the
// other; none where a guess would not help.
func (b *search) rounds(root *simplex) (out []*big.Rat) {
	if b.pure || !b.costs() || root.solve(math.Inf(1)) != optimal {
		return nil
	}
	z := root.objective()
	if b.opts.Floor != nil {
		floor, _ := b.opts.Floor.Float64()
		z = max(z, floor)
	}
	for _, g := range guesses {
		out = append(out, Exact(math.Round(1e9*(z+g*(1+math.Abs(z))))/1e9))
	}
	return out
}

func (b *search) costs() bool {
	for _, v := range b.model.Vars {
		if v.Cost != 0 {
			return true
		}
	}
	return false
}

// begin starts a round that leaves aside what is not better than the guess, or,
// without one, than the best that is known.
func (b *search) begin(guess *big.Rat) {
	b.least, b.sharp, b.need, b.cutoff = nil, nil, nil, math.Inf(1)
	b.cut, b.until = false, b.opts.nodes()
	if b.proof != nil {
		b.proof = &Proof{Model: b.model}
	}
	switch {
	case guess != nil:
		b.need, b.until = b.units(guess), min(b.until, b.nodes+roundNodes)
		b.cutoff, _ = guess.Float64()
	case b.bestObj != nil:
		b.aimBelow(b.bestObj)
	}
}
