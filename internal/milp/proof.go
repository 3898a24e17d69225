package milp

import "math/big"

// Proof is the whole of a search: the model as presolve left it with the steps
// that led there, and the tree. Anybody can check it without the solver: the
// steps follow one by one; the two sides of every branch hold every whole
// number; and each leaf's weights prove by addition alone that its box is empty
// or that nothing in it is below a bound.
type Proof struct {
	Given, Model Model
	Steps        []Step
	Tree         []Node // in the order of the search, each branch before its two sides
}

// Node is a branch or a leaf.
type Node struct {
	Leaf    bool
	Var     int     // of a branch: one side has Var ≤ At, the other Var ≥ At + 1
	At      float64 // whole
	UpFirst bool    // which side comes first
	Empty   bool    // of a leaf: the weights prove that it holds no point
	Weights []*big.Rat
}

func (p *Proof) branch(v int, at float64, upFirst bool) {
	if p != nil {
		p.Tree = append(p.Tree, Node{Var: v, At: at, UpFirst: upFirst})
	}
}

func (p *Proof) leaf(weights []int64, empty bool) {
	if p == nil {
		return
	}
	grid := new(big.Int).Lsh(big.NewInt(1), dualBits)
	y := make([]*big.Rat, len(weights))
	for i, w := range weights {
		y[i] = new(big.Rat).SetFrac(big.NewInt(w), grid)
	}
	p.leafExact(y, empty)
}

func (p *Proof) leafExact(weights []*big.Rat, empty bool) {
	if p != nil {
		p.Tree = append(p.Tree, Node{Leaf: true, Empty: empty, Weights: weights})
	}
}
