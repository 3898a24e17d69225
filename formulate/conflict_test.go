package formulate

import (
	"context"
	"fmt"
	"math/bits"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"barwright/material"
	"barwright/quantity"
)

func mustMake(t *testing.T, goal Goal, o Options) *Answer {
	t.Helper()
	a, err := Make(context.Background(), goal, material.Builtin(), o)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// without returns the goal without the wish at a path of its file.
func without(t *testing.T, goal Goal, path string) Goal {
	t.Helper()
	return with(t, goal, path, "")
}

// with returns the goal with another text at a path; none takes it away.
func with(t *testing.T, goal Goal, path, text string) Goal {
	t.Helper()
	goal.Fats, goal.Limits, goal.Without = slices.Clone(goal.Fats), slices.Clone(goal.Limits), slices.Clone(goal.Without)
	part := strings.Split(path, ".")
	i := 0
	if len(part) > 1 {
		i, _ = strconv.Atoi(part[1])
	}
	percent := func() *quantity.Share {
		if text == "" || text == "none" {
			return nil
		}
		s, err := quantity.ParseShare(text)
		if err != nil {
			t.Fatal(err)
		}
		return &s
	}
	value := func() *Value {
		if text == "" {
			return nil
		}
		return &Value{text}
	}
	switch key := part[len(part)-1]; {
	case path == "max_fats" && text == "":
		goal.MaxFats = nil
	case path == "max_fats":
		n, err := strconv.Atoi(text)
		if err != nil {
			t.Fatal(err)
		}
		goal.MaxFats = &n
	case path == "step":
		goal.Step = percent()
	case part[0] == "without":
		id := goal.Without[i]
		goal.Without = slices.Delete(goal.Without, i, i+1)
		for k, f := range goal.Fats {
			if f.Material == id && text != "" {
				goal.Fats[k].Max = percent()
			}
		}
	case part[0] == "fats" && key == "max":
		goal.Fats[i].Max = percent()
	case part[0] == "fats" && key == "min":
		goal.Fats[i].Min = percent()
	case part[0] == "fats" && key == "must":
		goal.Fats[i].Must = false
	case part[0] == "fats" && key == "never":
		goal.Fats[i].Never = false
	case part[0] == "fats" && key == "stock":
		goal.Fats[i].Stock = nil
	case part[0] == "limits" && key == "min":
		goal.Limits[i].Min = value()
	case part[0] == "limits" && key == "max":
		goal.Limits[i].Max = value()
	default:
		t.Fatalf("no wish at %s", path)
	}
	goal.Limits = slices.DeleteFunc(goal.Limits, func(l Limit) bool { return l.Min == nil && l.Max == nil })
	return goal
}

// only returns the goal with none but the wishes as written.
func only(t *testing.T, goal Goal, keep []string) Goal {
	t.Helper()
	for {
		g, err := newProblem(goal, material.Builtin())
		if err != nil {
			t.Fatal(err)
		}
		i := slices.IndexFunc(g.wishes, func(w wish) bool { return !slices.Contains(keep, w.written) })
		if i < 0 {
			return goal
		}
		goal = without(t, goal, g.wishes[i].path)
	}
}

func fitsAny(t *testing.T, goal Goal) bool {
	t.Helper()
	if len(goal.Fats) == 0 {
		t.Fatal("no fats left")
	}
	p, err := newProblem(goal, material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	m := maker{ctx: context.Background(), problem: p}
	return m.fits(ask{})
}

// Of goals that clash: the wishes named clash by themselves; without any one of
// them they do not; no smaller set of all wishes clashes; and every relaxation,
// written in its wish's place, lets a recipe fit.
func TestConflicts(t *testing.T) {
	t.Parallel()
	n := uint64(40)
	if testing.Short() {
		n = 8
	}
	sizes := map[int]int{}
	for seed := range n {
		goal := drawGoal("infeasible", 500+seed)
		a := mustMake(t, goal, Options{})
		if a.Status != "infeasible" || len(a.Conflict) == 0 || !a.Smallest || len(a.Recipes) > 0 || len(a.Relaxations) != len(a.Conflict) {
			t.Fatalf("seed %d: %+v", seed, a)
		}
		sizes[len(a.Conflict)]++
		alone := only(t, goal, a.Conflict)
		if fitsAny(t, alone) {
			t.Errorf("seed %d: %q do not clash", seed, a.Conflict)
		}
		for i := range a.Conflict {
			if rest := slices.Delete(slices.Clone(a.Conflict), i, i+1); !fitsAny(t, only(t, goal, rest)) {
				t.Errorf("seed %d: %q clash without %q", seed, rest, a.Conflict[i])
			}
		}
		checkRelaxations(t, goal, a)
	}
	if len(sizes) < 2 {
		t.Errorf("all conflicts are of one size: %v", sizes)
	}
}

func checkRelaxations(t *testing.T, goal Goal, a *Answer) {
	t.Helper()
	g, err := newProblem(goal, material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range a.Relaxations {
		i := slices.IndexFunc(g.wishes, func(w wish) bool { return w.written == r.Limit })
		switch path := g.wishes[i].path; {
		case r.Sentence == "":
			t.Errorf("%s: no sentence about %q", goal.Name, r.Limit)
		case r.To == nil:
			if fitsAny(t, without(t, goal, path)) {
				t.Errorf("%s: giving up %q is enough", goal.Name, r.Limit)
			}
		case !fitsAny(t, with(t, goal, path, *r.To)):
			t.Errorf("%s: %q is not enough in place of %q", goal.Name, *r.To, r.Limit)
		}
	}
}

// The duel finds a smallest set on families of sets whose smallest is known by
// trying all.
func TestSmallestClash(t *testing.T) {
	t.Parallel()
	for seed := range uint64(150) {
		rng := rand.New(rand.NewPCG(seed, 9))
		const n = 9
		var cores []uint
		for range 1 + rng.IntN(4) {
			if c := uint(rng.IntN(1 << n)); c != 0 {
				cores = append(cores, c)
			}
		}
		cores = append(cores, 1<<n-1)
		clash := func(wishes []int) bool {
			var set uint
			for _, i := range wishes {
				set |= 1 << i
			}
			return slices.ContainsFunc(cores, func(c uint) bool { return c&set == c })
		}
		least := n
		for _, c := range cores {
			least = min(least, bits.OnesCount(c))
		}
		core, smallest := smallestClash(context.Background(), n, clash)
		if !smallest || !clash(core) || len(core) != least {
			t.Errorf("seed %d: %v, proved %v; %d wishes can clash", seed, core, smallest, least)
		}
	}
}

// What clashes is told as it was written, with its line and in a sentence.
func TestConflictIsToldAsWritten(t *testing.T) {
	t.Parallel()
	goal, err := Parse("goal.toml", []byte(`format = 1
max_fats = 2
[[fats]]
material = "coconut"
max = "30 %"
[[fats]]
material = "olive"
max = "45 %"
[[fats]]
material = "castor"
max = "10 %"
[objective]
minimise = "change"
[[objective.from]]
material = "olive"
share = "100 %"
`), material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	a := mustMake(t, goal, Options{})
	want := []string{`coconut max = "30 %"`, `olive max = "45 %"`, `castor max = "10 %"`}
	if !slices.Equal(a.Conflict, want) || !slices.Equal(a.Lines, []int{5, 8, 11}) {
		t.Errorf("%q at %v", a.Conflict, a.Lines)
	}
	for i, want := range []string{"55 %", "70 %", "55 %"} { // with the better of the other two
		if to := a.Relaxations[i].To; to == nil || *to != want {
			t.Errorf("%+v, want to %s", a.Relaxations[i], want)
		}
	}
	goal.MaxFats = nil
	a = mustMake(t, goal, Options{})
	if to := a.Relaxations[0].To; to == nil || *to != "45 %" || a.Relaxations[0].Sentence != "Allow 45 % of coconut oil instead of 30 %." {
		t.Errorf("%+v", a.Relaxations)
	}
	if fmt.Sprint(a.Proof.Exact, a.Proof.Bound, a.Proof.Gap) != "true <nil> <nil>" {
		t.Errorf("%+v", a.Proof)
	}
}
