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
	"slices"

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
		first, err := m.offer(p, s, how)
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

// offer adds the best recipe and the others that truly differ; and when none of
// them can be made, one that can, if it is found. What can be made comes first;
// it returns the first.
func (m *maker) offer(p *program, s milp.Solution, how ask) (first blend, err error) {
	objective, _ := s.Objective.Float64()
	m.out.Objective = &objective
	points := usualDistance
	if m.goal.Distance != nil {
		points = m.goal.Distance.Percent
	}
	var found []offered
	for {
		o, err := m.plan(p.blend(m.problem, s), s.Objective, len(found))
		if err != nil {
			return nil, err
		}
		if found = append(found, o); len(found) > m.goal.Alternatives || m.ctx.Err() != nil {
			break
		}
		p.keepAway(fmt.Sprintf("apart%d", len(found)), o.blend, points)
		if s = milp.Solve(m.ctx, p.Model, milp.Options{Nodes: m.opts.Nodes, Floor: s.Objective}); s.X == nil || s.Status != milp.Optimal {
			m.tellEnd(s, len(found))
			break
		}
	}
	if !slices.ContainsFunc(found, func(o offered) bool { return o.Safe }) {
		if found, err = m.seek(found, how, points); err != nil {
			return nil, err
		}
	}
	return m.present(found), nil
}

// How long a recipe that can be made is sought for when none of those found can
// be. It proves nothing, so it may end early.
const (
	seekTurns = 6
	seekNodes = 1000
)

// seek adds a recipe that can be made to those that cannot: turn by turn the best
// is asked for anew, with less of what spoiled the one before.
func (m *maker) seek(found []offered, how ask, points float64) ([]offered, error) {
	p, o := m.build(how), found[0]
	for turn := range seekTurns {
		p.without(m.problem, o, fmt.Sprintf("turn%d", turn+1), points)
		s := milp.Solve(m.ctx, p.Model, milp.Options{Nodes: seekNodes})
		if s.X == nil {
			break
		}
		var err error
		if o, err = m.plan(p.blend(m.problem, s), s.Objective, len(found)); err != nil {
			return nil, err
		}
		if o.Safe {
			return append(found, o), nil
		}
	}
	m.out.Notes = append(m.out.Notes, "None of these can be made, and none that can was found near them. Wishes for less wax or free acids may help.")
	return found, nil
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
