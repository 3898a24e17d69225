package formulate

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"barwright/internal/glpktest"
	"barwright/internal/milp"
	"barwright/material"
	"barwright/quantity"
)

// hardGoal is a goal of n fats and so many limits around a hidden recipe of
// five: at most five fats, each at least 5 % when used, in whole per cent, as
// cheap as can be.
func hardGoal(seed uint64, n, limits int) Goal {
	d := drawer{rng: rand.New(rand.NewPCG(seed, 30)), kind: "whole"}
	most := 5
	d.goal = Goal{Format: 1, Name: fmt.Sprintf("hard %d", seed), Step: share(1), MaxFats: &most}
	lib, ids := wideLibrary()
	ids = slices.Clone(ids)
	d.rng.Shuffle(len(ids), func(i, j int) { ids[i], ids[j] = ids[j], ids[i] })
	left := 100.0
	for i := range n {
		id := ids[i]
		price := quantity.Price{Amount: math.Round(20+d.rng.ExpFloat64()*50) / 10, Per: "kg"}
		f := Fat{Material: id, Price: &price, Min: share(5)}
		if i < 5 {
			s := float64(5 + d.rng.IntN(30))
			if i == 4 || s > left {
				s = left
			}
			left -= s
			m, _ := lib.Find(id)
			l, _ := Lot{Price: f.Price}.read()
			if s > 0 {
				d.mix = append(d.mix, portion{newCandidate(m), l, s})
			}
		}
		d.goal.Fats = append(d.goal.Fats, f)
	}
	linear := slices.DeleteFunc(slices.Clone(measures), func(m *measure) bool { return !m.linear() || m.name == "own" })
	for len(d.goal.Limits) < limits {
		m := linear[d.rng.IntN(len(linear))]
		v := m.value(nil, d.mix)
		room := 0.5 + 0.1*d.rng.Float64()*math.Abs(v)
		l := Limit{Quantity: m.name, Max: &Value{m.text(math.Round(10*(v+room)) / 10)}}
		if low := math.Round(10*(v-room)) / 10; d.rng.IntN(2) == 0 && low > 0 {
			l = Limit{Quantity: m.name, Min: &Value{m.text(low)}}
		}
		d.goal.Limits = append(d.goal.Limits, l)
	}
	d.goal.Objective = Objective{Minimise: Cost}
	return d.goal
}

// wideLibrary has every fat three times, as a shelf with three sorts of each.
var wideLibrary = sync.OnceValues(func() (*material.Library, []string) {
	lib, ids := material.Builtin(), fatIDs()
	for _, id := range fatIDs() {
		m, _ := lib.Find(id)
		for k := range 2 {
			m.ID = fmt.Sprintf("%s_%d", id, k+2)
			lib, ids = lib.Plus(m), append(ids, m.ID)
		}
	}
	return lib, ids
})

// A shelf of 120 fats, 20 limits, five of them in whole per cent: proved.
func TestLongShelf(t *testing.T) {
	t.Parallel()
	lib, _ := wideLibrary()
	for seed := range uint64(2) {
		m, err := Model(hardGoal(seed, 120, 20), lib)
		if err != nil {
			t.Fatal(err)
		}
		if s := milp.Solve(context.Background(), m, milp.Options{}); s.Status != milp.Optimal || !m.Feasible(s.X) {
			t.Errorf("seed %d: %v", seed, s.Status)
		}
	}
}

// BenchmarkLongShelf is the same with more seeds.
func BenchmarkLongShelf(b *testing.B) {
	lib, _ := wideLibrary()
	var took []time.Duration
	for b.Loop() {
		for seed := range uint64(11) {
			m, err := Model(hardGoal(seed, 120, 20), lib)
			if err != nil {
				b.Fatal(err)
			}
			start := time.Now()
			if s := milp.Solve(context.Background(), m, milp.Options{}); s.Status == milp.Limit {
				b.Fatal(s.Status)
			}
			took = append(took, time.Since(start))
		}
	}
	report(b, "ours", took)
}

const hardGoals = 41

// BenchmarkProof proves the best of 30 fats under 15 limits, five at most, in
// whole per cent; the median over many goals is the figure to look at.
func BenchmarkProof(b *testing.B) {
	lib, _ := wideLibrary()
	var took []time.Duration
	for b.Loop() {
		for seed := range uint64(hardGoals) {
			m, err := Model(hardGoal(seed, 30, 15), lib)
			if err != nil {
				b.Fatal(err)
			}
			start := time.Now()
			if s := milp.Solve(context.Background(), m, milp.Options{}); s.Status == milp.Limit {
				b.Fatal(s.Status)
			}
			took = append(took, time.Since(start))
		}
	}
	report(b, "ours", took)
}

// BenchmarkFourBest finds and proves the best and three others, with findings.
func BenchmarkFourBest(b *testing.B) {
	lib, _ := wideLibrary()
	var took []time.Duration
	for b.Loop() {
		for seed := range uint64(hardGoals) {
			goal := hardGoal(seed, 30, 15)
			goal.Alternatives = 3
			start := time.Now()
			if _, err := Make(context.Background(), goal, lib, Options{Quick: true}); err != nil {
				b.Fatal(err)
			}
			took = append(took, time.Since(start))
		}
	}
	report(b, "ours", took)
}

func report(b *testing.B, who string, took []time.Duration) {
	b.Helper()
	slices.Sort(took)
	ms := func(d time.Duration) float64 { return float64(d.Microseconds()) / 1000 }
	b.ReportMetric(ms(took[len(took)/2]), who+"-median-ms")
	b.ReportMetric(ms(took[len(took)*9/10]), who+"-p90-ms")
	b.ReportMetric(ms(took[len(took)-1]), who+"-worst-ms")
}

// BenchmarkAgainstOthers lets glpsol and cbc solve the very same models from
// the very same files, in one run, and checks that they agree. Theirs counts
// the start of a process and the reading of the file, some milliseconds.
func BenchmarkAgainstOthers(b *testing.B) {
	glpktest.Need(b)
	if _, err := exec.LookPath("cbc"); err != nil {
		b.Log("without cbc, which is not on this machine: apt-get install coinor-cbc")
	}
	lib, _ := wideLibrary()
	for b.Loop() {
		took := map[string][]time.Duration{}
		for seed := range uint64(hardGoals) {
			m, err := Model(hardGoal(seed, 30, 15), lib)
			if err != nil {
				b.Fatal(err)
			}
			file := filepath.Join(b.TempDir(), "model.lp")
			glpktest.Write(b, m, file)
			timed := func(who string, solve func() float64) float64 {
				start := time.Now()
				v := solve()
				took[who] = append(took[who], time.Since(start))
				return v
			}
			ours := timed("ours", func() float64 {
				v, _ := milp.Solve(context.Background(), m, milp.Options{}).Objective.Float64()
				return v
			})
			theirs := []float64{timed("glpsol", func() float64 {
				a, err := glpktest.Run(file)
				if err != nil {
					b.Fatal(err)
				}
				return a.Objective
			})}
			if _, err := exec.LookPath("cbc"); err == nil {
				theirs = append(theirs, timed("cbc", func() float64 { return cbc(b, file) }))
			}
			for k, v := range theirs {
				if math.Abs(v-ours) > 1e-6*(1+ours) {
					b.Errorf("seed %d: ours %.9g, other %d %.9g", seed, ours, k, v)
				}
			}
		}
		for who, ds := range took {
			report(b, who, ds)
		}
	}
}

// cbc lets Debian's coinor-cbc solve a file.
func cbc(b *testing.B, file string) float64 {
	b.Helper()
	answer := file + ".cbc"
	if said, err := exec.Command("cbc", file, "ratio", "0", "allow", "0", "solve", "solution", answer).CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, said)
	}
	out, err := exec.Command("head", "-1", answer).Output()
	if err != nil {
		b.Fatal(err)
	}
	words := strings.Fields(string(out))
	v, err := strconv.ParseFloat(words[len(words)-1], 64)
	if err != nil {
		b.Fatalf("%s", out)
	}
	return v
}
