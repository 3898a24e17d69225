package formulate

import (
	"context"
	"slices"

	"barwright/internal/milp"
)

// fits reports whether any recipe meets what is asked. Once the context is
// done it says yes, so that nothing is blamed on a wish that was not looked at.
func (m *maker) fits(a ask) bool {
	a.nothing = true
	return m.solve(m.build(a)).Status != milp.Infeasible
}

// clash reports whether the wishes alone, of all, leave no recipe.
func (m *maker) clash(wishes []int) bool {
	gaveUp := map[int]bool{}
	for i := range m.wishes {
		gaveUp[i] = !slices.Contains(wishes, i)
	}
	return !m.fits(ask{gaveUp: gaveUp})
}

// refuse says which wishes clash and what would have to give.
func (m *maker) refuse() {
	core, smallest := smallestClash(m.ctx, len(m.wishes), m.clash)
	m.out.Smallest = smallest
	for _, i := range core {
		w := m.wishes[i]
		m.out.Conflict = append(m.out.Conflict, w.written)
		m.out.Lines = append(m.out.Lines, m.goal.line(w.path))
		m.out.Clash = append(m.out.Clash, Clash{m.words(w), w.path})
	}
	for _, i := range core {
		if m.ctx.Err() != nil {
			return
		}
		r := m.relax(i)
		if m.ctx.Err() != nil {
			return // once the time is up everything seems to fit
		}
		m.out.Relaxations = append(m.out.Relaxations, r)
	}
}

// smallestClash returns a smallest set of the n wishes that clash, given that
// all of them do, and whether no smaller one was proved to. It is a duel: the
// fewest wishes that touch every known way out are put to the test; when they
// clash they are a smallest set, and when not, what must be given up beside
// them to leave no further wish standing is one more way out.
// Source: M. H. Liffiton and others, minimal unsatisfiable sets by minimum
// hitting sets, 2009 (recalled).
func smallestClash(ctx context.Context, n int, clash func([]int) bool) (core []int, smallest bool) {
	core = irreducible(n, clash)
	var waysOut [][]int
	for ctx.Err() == nil {
		test := fewestTouching(ctx, n, waysOut)
		if len(test) >= len(core) {
			return core, ctx.Err() == nil
		}
		if clash(test) {
			return test, ctx.Err() == nil
		}
		waysOut = append(waysOut, wayOut(n, test, clash))
	}
	return core, false
}

// irreducible drops wishes one by one as long as the rest still clash.
func irreducible(n int, clash func([]int) bool) []int {
	core := make([]int, n)
	for i := range core {
		core[i] = i
	}
	for _, i := range slices.Clone(core) {
		rest := slices.DeleteFunc(slices.Clone(core), func(j int) bool { return j == i })
		if clash(rest) {
			core = rest
		}
	}
	return core
}

// wayOut grows a set that fits until no wish can be added, and returns what is
// left out.
func wayOut(n int, kept []int, clash func([]int) bool) (out []int) {
	kept = slices.Clone(kept)
	for i := range n {
		if slices.Contains(kept, i) {
			continue
		}
		if more := append(slices.Clone(kept), i); clash(more) {
			out = append(out, i)
		} else {
			kept = more
		}
	}
	return out
}

// fewestTouching returns the fewest of n wishes of which one at least is in
// every set.
func fewestTouching(ctx context.Context, n int, sets [][]int) (out []int) {
	var p milp.Model
	for range n {
		p.Add(milp.Var{High: 1, Cost: 1, Integer: true})
	}
	for _, s := range sets {
		var terms []milp.Term
		for _, i := range s {
			terms = append(terms, milp.Term{Var: i, Coef: 1})
		}
		p.AddRow("", 1, inf, terms...)
	}
	for i, v := range milp.Solve(ctx, p, milp.Options{}).X {
		if v.Sign() > 0 {
			out = append(out, i)
		}
	}
	return out
}
