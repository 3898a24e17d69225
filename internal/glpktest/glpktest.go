// Package glpktest lets tests ask an independent solver, Debian's glpk-utils, the
// very question that milp answers, through the file that milp writes.
package glpktest

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"barwright/internal/milp"
)

// Answer is what glpsol says of a model.
type Answer struct {
	Infeasible bool
	Objective  float64
}

// Need skips the test, and says so, when glpsol is not installed.
func Need(tb testing.TB) {
	tb.Helper()
	if _, err := exec.LookPath("glpsol"); err != nil {
		tb.Skip("SKIPPED, nothing was compared: glpsol is not installed (Debian: apt-get install glpk-utils)")
	}
}

// Solve writes the model as LP text and returns what glpsol makes of it.
func Solve(tb testing.TB, m milp.Model) Answer {
	tb.Helper()
	file := filepath.Join(tb.TempDir(), "model.lp")
	Write(tb, m, file)
	a, err := Run(file)
	if err != nil {
		text, _ := os.ReadFile(file)
		tb.Fatalf("%v\n%.4000s", err, text)
	}
	return a
}

// Write writes the model to a file.
func Write(tb testing.TB, m milp.Model, file string) {
	tb.Helper()
	out, err := os.Create(file)
	if err != nil {
		tb.Fatal(err)
	}
	defer out.Close()
	if err := m.WriteLP(out, "a test"); err != nil {
		tb.Fatal(err)
	}
}

// Run lets glpsol solve a file.
func Run(file string) (Answer, error) {
	answer := file + ".sol"
	said, err := exec.Command("glpsol", "--lp", file, "--write", answer).CombinedOutput()
	if err != nil {
		return Answer{}, fmt.Errorf("glpsol: %w\n%s", err, said)
	}
	for _, words := range []string{"NO PRIMAL FEASIBLE", "NO FEASIBLE", "NO INTEGER FEASIBLE"} {
		if strings.Contains(string(said), words) {
			return Answer{Infeasible: true}, nil
		}
	}
	text, err := os.ReadFile(answer)
	if err != nil {
		return Answer{}, err
	}
	for line := range strings.Lines(string(text)) {
		f := strings.Fields(line)
		if len(f) < 6 || f[0] != "s" {
			continue
		}
		v, err := strconv.ParseFloat(f[len(f)-1], 64)
		switch status := strings.Join(f[4:len(f)-1], ""); status {
		case "o", "ff":
			return Answer{Objective: v}, err
		case "n", "nn", "nf", "un", "nu", "fn":
			return Answer{Infeasible: true}, nil
		default:
			return Answer{}, fmt.Errorf("glpsol ended with status %q\n%s", status, said)
		}
	}
	return Answer{}, fmt.Errorf("glpsol wrote no status line\n%s\n%s", text, said)
}
