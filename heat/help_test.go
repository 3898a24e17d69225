package heat

import (
	"encoding/csv"
	"math"
	"os"
	"sort"
	"strconv"
	"testing"
)

// published reads a table of testdata/published as columns by name.
func published(t *testing.T, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("testdata/published/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, head := range rows[0] {
			m[head] = row[i]
		}
		out = append(out, m)
	}
	return out
}

func number(t *testing.T, cell string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func solve(t *testing.T, p Physics, s Settings) *Run {
	t.Helper()
	r, err := Solve(p, s)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// at returns a series at a time, straight between its points.
func at(times, values []float64, tS float64) float64 {
	i := sort.SearchFloat64s(times, tS)
	switch {
	case i == 0:
		return values[0]
	case i == len(times):
		return values[i-1]
	}
	share := (tS - times[i-1]) / (times[i] - times[i-1])
	return values[i-1] + share*(values[i]-values[i-1])
}

// inert is a stuff that only conducts.
func inert() Physics {
	return Physics{Body: Body{Shape: Box, SizeM: [3]float64{0.08, 0.09, 0.25}}, ConductivityWMK: 0.25, DensityKgM3: 1040, HeatJKgK: 2450,
		Rate: Rate{M: 1, N: 1, GelFactor: 1, GelC: 1000}, Start: Start{TC: 70}, Boiling: Boiling{TC: 1000, LatentJKg: 2.257e6},
		Stages: []Stage{{TC: 20, USide: 5, UTop: 5, UBottom: 5}}}
}

// loaf is a loaf of batter as 33 % lye makes it, in a bare mould.
func loaf() Physics {
	p := inert()
	p.Body.SizeM = [3]float64{0.25, 0.09, 0.08}
	p.ConductivityWMK, p.DensityKgM3, p.HeatJKgK, p.ReactionJKg = 0.237, 1013, 2470, 140e3
	p.Rate = Rate{K1: 2.0e-5, K2: 2.53e-4, M: 1, N: 0.75, EaJMol: 65e3, TRefC: 50, GelFactor: 3, GelC: 71, GelRampK: 1}
	p.Start = Start{TC: 40, X: 0.03}
	p.Boiling.TC = 102
	p.Stages = []Stage{{TC: 20, USide: 3, UTop: 4, UBottom: 3}}
	return p
}

func near(t *testing.T, what string, got, want, allowed float64) {
	t.Helper()
	if !(math.Abs(got-want) <= allowed) {
		t.Errorf("%s: %.5g, want %.5g within %g", what, got, want, allowed)
	}
}
