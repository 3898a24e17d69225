package heat

import (
	"bytes"
	"fmt"
	"math"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// generalSolver is a general-purpose solver that reads a case on a grid of ours.
type generalSolver struct {
	name string
	run  func(rtol string) *exec.Cmd
}

// generals are CVODE and scipy's BDF, where Debian's libsundials-dev and
// python3-scipy are there.
func generals(b *testing.B) (gs []generalSolver) {
	program := filepath.Join(b.TempDir(), "cvode")
	cc := exec.Command("cc", "-O3", "-o", program, "testdata/others/cvode.c", "-lsundials_cvode", "-lsundials_nvecserial", "-lsundials_sunlinsolspgmr", "-lm")
	if said, err := cc.CombinedOutput(); err != nil {
		b.Logf("without CVODE, for which libsundials-dev and a C compiler are needed: %v\n%.200s", err, said)
	} else {
		gs = append(gs, generalSolver{"CVODE", func(rtol string) *exec.Cmd { return exec.Command(program, rtol) }})
	}
	const python = "/usr/bin/python3" // Debian's own, for which its scipy is
	if err := exec.Command(python, "-c", "import scipy").Run(); err != nil {
		b.Logf("without scipy, for which python3-scipy is needed: %v", err)
	} else {
		gs = append(gs, generalSolver{"scipy BDF", func(rtol string) *exec.Cmd { return exec.Command(python, "testdata/others/bdf.py", rtol) }})
	}
	if len(gs) == 0 {
		b.Skip("no other solver is here")
	}
	return gs
}

const (
	dayS  = 24 * 3600.0
	markS = 600.0
)

// written is a case at the nodes of a grid, for another solver to read. It has
// one stage and no wall.
func written(p Physics, grid Resolution) string {
	v := newSolver(p, Settings{Grid: grid})
	var w strings.Builder
	row := func(values ...float64) {
		for _, x := range values {
			fmt.Fprintf(&w, "%.17g ", x)
		}
		w.WriteByte('\n')
	}
	for _, a := range v.f.axes {
		fmt.Fprint(&w, len(a.at), " ")
	}
	fmt.Fprintln(&w, v.f.core())
	for i, a := range v.f.axes {
		row(a.size...)
		var between, half []float64
		for j := range a.at {
			for k := range a.at {
				between = append(between, p.ConductivityWMK/(p.DensityKgM3*p.HeatJKgK)*a.between.At(j, k))
			}
			half = append(half, v.turn[i][j].half)
		}
		row(between...)
		row(half...)
		ends := v.faces(v.f.kinds[i], p.Stages[0])
		row(ends[0].out*a.ends[0], ends[1].out*a.ends[1])
	}
	r := p.Rate
	row(p.Stages[0].TC, v.riseK, r.K1, r.K2, r.M, r.N, r.EaJMol/gasConstant, r.TRefC, r.GelFactor, r.GelC, r.GelRampK, bend, p.Boiling.TC)
	row(p.Start.TC, p.Start.X, dayS, markS)
	return w.String()
}

// answer is a course at every mark, and what it took.
type answer struct {
	ms         float64
	core, mean []float64
}

func (g generalSolver) solve(b *testing.B, in, rtol string) (a answer) {
	cmd := g.run(rtol)
	cmd.Stdin = strings.NewReader(in)
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		b.Fatalf("%s: %v\n%s", g.name, err, said.Bytes())
	}
	numbers := strings.Fields(string(out))
	read := func(i int) float64 {
		v, err := strconv.ParseFloat(numbers[i], 64)
		if err != nil {
			b.Fatal(err)
		}
		return v
	}
	a.ms = read(0)
	for i := 2; i+1 < len(numbers); i += 2 {
		a.core, a.mean = append(a.core, read(i)), append(a.mean, read(i+1))
	}
	return a
}

func ours(b *testing.B, p Physics, s Settings) (a answer) {
	s.UntilS, a.ms = dayS, math.Inf(1)
	var r *Run
	for range 7 {
		from := time.Now()
		r = solve(b, p, s)
		a.ms = min(a.ms, 1000*time.Since(from).Seconds())
	}
	for t := 0.0; t <= dayS; t += markS {
		a.core, a.mean = append(a.core, at(r.TimeS, r.CoreC, t)), append(a.mean, at(r.TimeS, r.MeanC, t))
	}
	return a
}

// misses returns how far a is from best, core and mean, at worst.
func (a answer) misses(best answer) (core, mean float64) {
	for i := range best.core {
		core, mean = max(core, math.Abs(a.core[i]-best.core[i])), max(mean, math.Abs(a.mean[i]-best.mean[i]))
	}
	return core, mean
}

// A day of a loaf by ours and by general-purpose solvers at the same nodes, each
// with its error against a fine grid in short steps: docs/performance.md.
func BenchmarkAgainstOthers(b *testing.B) {
	gs := generals(b)
	for b.Loop() {
		for _, pourC := range []float64{40, 48} {
			p := loaf()
			p.Start.TC = pourC
			best := ours(b, p, Settings{Grid: 14, MostStepS: markS, ToleranceK: 0.2, LateS: 1})
			var table strings.Builder
			tell := func(name string, a answer) {
				core, mean := a.misses(best)
				fmt.Fprintf(&table, "\n%-32s %8.1f ms, core off by %.2f K, mean by %.2f K", name, a.ms, core, mean)
			}
			tell("ours, as shown", ours(b, p, Shown))
			four := Shown
			four.Grid = 4
			tell("ours, 4 steps", ours(b, p, four))
			tell("ours, of a band", ours(b, p, Sampled))
			for _, g := range gs {
				for _, grid := range []Resolution{3, 4, 6} {
					for _, rtol := range []string{"1e-3", "1e-4", "1e-5"} {
						if g.name == "scipy BDF" && (grid > 3 || rtol == "1e-5") {
							continue
						}
						tell(fmt.Sprintf("%s, grid %d, rtol %s", g.name, grid, rtol), g.solve(b, written(p, grid), rtol))
					}
				}
			}
			fmt.Printf("poured at %g °C%s\n", pourC, table.String()) // b.Logf keeps ten lines
		}
	}
}
