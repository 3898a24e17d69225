// Package formulate works backwards: from what a maker wishes for (shares,
// chain groups, values, price, stock) to the recipes that fit, best first,
// with the proof that nothing better was missed; and when nothing fits, to the
// smallest set of wishes that clash and what would have to give.
//
// Start with Parse and Make. What it does not do: decide what a good bar is, or
// touch a shelf; the caller brings what is in stock (Goal.OnShelf). Its model
// note is docs/model/formulate.md.
package formulate

import (
	"context"
	"fmt"
	"math/big"

	"barwright/internal/milp"
	"barwright/internal/tomldoc"
	"barwright/material"
)

// Parse reads a goal file and checks it. The error names file, line, what is
// wrong and what to do, and is of type *tomldoc.Error.
func Parse(file string, data []byte, lib *material.Library) (Goal, error) {
	var g Goal
	doc, err := tomldoc.Decode(file, data, &g)
	if err != nil {
		return Goal{}, err
	}
	g.doc = doc
	if _, err := newProblem(g, lib); err != nil {
		return Goal{}, g.Placed(err)
	}
	return g, nil
}

// Options are the limits of the work. The zero value has none but the context.
type Options struct {
	Nodes   int    // most nodes of each search; 0 for ten million
	Seed    uint64 // of nature's draws
	Samples int    // nature's draws, 1000 when 0
	Quick   bool   // the recipes alone: no curve, no cost of limits, no draws of nature
}

// Make returns the recipes that a goal asks for, or why there are none. The
// error is what makes the goal unusable, a recipe.Fault. When ctx is done it
// returns what is known by then.
func Make(ctx context.Context, goal Goal, lib *material.Library, o Options) (*Answer, error) {
	g, err := stocked(goal, lib)
	if err != nil {
		return nil, err
	}
	m := maker{ctx: ctx, problem: g, opts: o}
	return m.make()
}

// Model returns the programme that Make solves first.
func Model(goal Goal, lib *material.Library) (milp.Model, error) {
	g, err := stocked(goal, lib)
	if err != nil {
		return milp.Model{}, err
	}
	return g.build(ask{}).Model, nil
}

// stocked is newProblem for work: there must be something to choose from.
func stocked(goal Goal, lib *material.Library) (*problem, error) {
	g, err := newProblem(goal, lib)
	if err == nil && len(g.fats) == 0 {
		err = fault("shelf", "put lots of fats into stock, or name [[fats]] with their price", "there is no fat on the shelf that can be used")
	}
	return g, err
}

// maker carries one piece of work.
type maker struct {
	*problem
	ctx  context.Context
	opts Options
	out  Answer

	bestKept    float64  // see robust
	robustCosts *float64 // what being robust costs of the objective
}

func (m *maker) solve(p *program) milp.Solution {
	return milp.Solve(m.ctx, p.Model, milp.Options{Nodes: m.opts.Nodes})
}

func (m *maker) make() (*Answer, error) {
	m.out = m.emptyAnswer()
	how := ask{}
	p := m.build(how)
	s := m.solve(p)
	if s.X != nil && m.goal.Robust != nil {
		p, s, how = m.robust(p, s)
	}
	m.out.Status = s.Status.String()
	m.out.prove(s)
	switch {
	case s.X != nil:
		best := p.blend(m.problem, s)
		first, err := m.offer(p, s)
		if err != nil {
			return nil, err
		}
		if m.opts.Quick {
			break
		}
		if err := m.extras(best, first, s, how); err != nil {
			return nil, err
		}
	case s.Status == milp.Infeasible && m.goal.Robust != nil && m.fits(ask{nothing: true}):
		m.refuseRobust()
	case s.Status == milp.Infeasible:
		m.refuse()
	}
	m.out.Notes = append(m.out.Notes, m.notes...)
	return &m.out, nil
}

// extras adds what helps to choose: what the limits cost, the curve, nature,
// and how the recipe one starts from behaves. The first is the best that can be made.
func (m *maker) extras(best, first blend, s milp.Solution, how ask) error {
	objective, _ := s.Objective.Float64()
	m.worth(best, objective, how)
	if err := m.trade(how); err != nil {
		return err
	}
	m.out.Nature = m.nature(first)
	m.out.Nature.Robust, m.out.Nature.Costs = m.goal.Robust != nil, m.robustCosts
	return m.was()
}

// What is done to find a recipe that can be made when the best is not to be: so
// many are passed by, and so many nodes are spent on each. Such a search proves
// nothing, so it may end early.
const (
	mostUnsafe   = 3
	seekingNodes = 1000
)

// offer adds the best recipe and the others that truly differ: those that can be
// made, then those that are not to be. It returns the first of them.
func (m *maker) offer(p *program, s milp.Solution) (first blend, err error) {
	objective, _ := s.Objective.Float64()
	m.out.Objective = &objective
	points := usualDistance
	if m.goal.Distance != nil {
		points = m.goal.Distance.Percent
	}
	var found []offered
	for made, passed := 0, 0; ; {
		o, err := m.plan(p.blend(m.problem, s), s.Objective, made)
		if err != nil {
			return nil, err
		}
		if found = append(found, o); o.Safe {
			made++
		} else {
			passed++
		}
		if made > m.goal.Alternatives || passed == mostUnsafe || m.ctx.Err() != nil {
			break
		}
		if o.waxHigh() {
			p.lessWax(m.problem)
		} else {
			p.keepAway(fmt.Sprintf("apart%d", len(found)), o.blend, points)
		}
		nodes := m.opts.Nodes
		if passed > 0 {
			nodes = seekingNodes
		}
		s = milp.Solve(m.ctx, p.Model, milp.Options{Nodes: nodes, Floor: s.Objective})
		if s.X == nil || passed == 0 && s.Status != milp.Optimal {
			m.tellEnd(s, made)
			break
		}
	}
	return m.present(found), nil
}

// blend reads the fats and lots that a solution uses.
func (p *program) blend(g *problem, s milp.Solution) (b blend) {
	for i, xs := range p.x {
		for k, x := range xs {
			if s.X[x].Sign() > 0 {
				share, _ := new(big.Rat).Mul(s.X[x], milp.Exact(p.unit)).Float64()
				b = append(b, portion{g.fats[i], g.fats[i].lots[k], share})
			}
		}
	}
	return b
}
