package formulate

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"barwright/internal/tomldoc"
	"barwright/material"
)

// Whatever is read, it is refused with a place and a remedy or it is a goal
// that can be worked on and ends in time.
func FuzzParse(f *testing.F) {
	f.Add([]byte(cheapGoal))
	files, _ := filepath.Glob("../goals/*.toml")
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Add([]byte("format = 1\nstep = \"33 %\"\nmax_fats = 0\n[[limits]]\nquantity = \"share\"\n"))
	f.Add([]byte("format = 1\n[[fats]]\nmaterial = \"olive\"\n[objective]\nminimise = \"behaviour\"\n[[objective.from]]\nmaterial = \"olive\"\nshare = \"100 %\"\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		goal, err := Parse("goal.toml", data, material.Builtin())
		if err != nil {
			var te *tomldoc.Error
			if !errors.As(err, &te) || te.Text == "" || strings.ContainsAny(te.Text, "\n\r") {
				t.Fatalf("%T %v", err, err)
			}
			return
		}
		if len(goal.Fats) > 12 || len(goal.Limits) > 12 {
			return
		}
		ctx, cancel := context.WithCancel(context.Background())
		defer cancel()
		if _, err := Make(ctx, goal, material.Builtin(), Options{Quick: true, Nodes: 50}); err != nil && !goal.Shelf {
			t.Fatalf("it parsed, but cannot be made: %v", err)
		}
	})
}

// The goals that come with the program are read and have an answer.
func TestGoalFiles(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("../goals/*.toml")
	if err != nil || len(files) < 5 {
		t.Fatalf("%d goals, %v", len(files), err)
	}
	for _, name := range files {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		goal, err := Parse(name, data, material.Builtin())
		if err != nil {
			t.Fatal(err)
		}
		if goal.Shelf {
			continue // the command's tests have a shelf
		}
		a := mustMake(t, goal, Options{})
		want := "optimal"
		if strings.Contains(name, "impossible") {
			want = "infeasible"
		}
		if a.Status != want {
			t.Errorf("%s: %s", name, a.Status)
		}
	}
}
