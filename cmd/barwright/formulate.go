package main

import (
	"bytes"
	gocontext "context"
	"encoding/json"
	"errors"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"slices"
	"syscall"
	"time"

	"barwright/finding"
	"barwright/formulate"
	"barwright/internal/milp"
	"barwright/material"
)

type formulateCommand struct {
	Goal      string        `arg:"" help:"Goal file (TOML); - reads standard input."`
	JSON      bool          `name:"json" help:"Print the answer as JSON."`
	LP        string        `name:"lp" placeholder:"OUT" help:"Also write the model that is solved as LP text; - prints it instead of the answer."`
	Recipe    string        `placeholder:"OUT" help:"Also write the best recipe as a recipe file; - prints it instead of the answer."`
	Data      string        `placeholder:"DIR" help:"Data folder of the workshop whose shelf and materials are used."`
	Materials string        `placeholder:"DIR" help:"Folder with your own materials and lots (*.toml)."`
	Within    time.Duration `default:"60s" help:"Stop after this time with the best found by then."`
	Nodes     int           `default:"0" help:"Stop each search after so many steps; 0 for no limit."`
	Seed      uint64        `default:"1" help:"Which of nature's draws the recipe is tried on."`
}

// errLimit says that a limit was reached; what was found has been printed.
// errNoRecipe says that nothing fits, and that too has been said.
var (
	errLimit    = errors.New("a limit was reached")
	errNoRecipe = errors.New("no recipe fits")
)

// Run finds the recipes of one goal file.
func (c *formulateCommand) Run(ctx context) error {
	goal, lib, err := c.read(ctx)
	if err != nil {
		return err
	}
	if done, err := c.writeLP(ctx, goal, lib); done || err != nil {
		return err
	}
	bg, stop := signal.NotifyContext(gocontext.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	bg, cancel := gocontext.WithTimeout(bg, c.Within)
	defer cancel()
	answer, err := formulate.Make(bg, goal, lib, formulate.Options{Nodes: c.Nodes, Seed: c.Seed})
	if err != nil {
		return goal.Placed(err)
	}
	if err := c.print(ctx.stdout, answer); err != nil {
		return err
	}
	switch {
	case answer.Status == milp.Infeasible.String():
		return errNoRecipe
	case answer.Status == milp.Limit.String():
		return errLimit
	case !slices.ContainsFunc(answer.Recipes, func(r formulate.Recipe) bool { return finding.Worst(r.Findings) > finding.Stop }):
		return errStop
	}
	return nil
}

// print writes the answer, and the best recipe's file where it was asked for.
func (c *formulateCommand) print(w io.Writer, a *formulate.Answer) error {
	if c.Recipe != "" && len(a.Recipes) > 0 {
		file := []byte(a.Recipes[0].File)
		if c.Recipe == "-" {
			_, err := w.Write(file)
			return err
		}
		if err := writeWhole(c.Recipe, file); err != nil {
			return err
		}
	}
	var out bytes.Buffer
	if c.JSON {
		enc := json.NewEncoder(&out)
		enc.SetIndent("", "  ")
		enc.SetEscapeHTML(false)
		if err := enc.Encode(a); err != nil {
			return err
		}
	} else {
		printAnswer(&out, a)
	}
	_, err := w.Write(out.Bytes())
	return err
}

// read returns the goal with what is on the shelf, where it asks for that.
func (c *formulateCommand) read(ctx context) (formulate.Goal, *material.Library, error) {
	lib, err := library(c.Materials)
	if err != nil {
		return formulate.Goal{}, nil, err
	}
	data, err := readNamed(c.Goal, ctx.stdin, "name a goal file, like goals/cheap-and-keeps.toml")
	if err != nil {
		return formulate.Goal{}, nil, err
	}
	var stocked []formulate.Fat
	if c.Data != "" || formulate.WantsShelf(data) {
		if lib, stocked, err = shelf(c.Data, lib); err != nil {
			return formulate.Goal{}, nil, err
		}
	}
	goal, err := formulate.Parse(c.Goal, data, lib)
	return goal.OnShelf(stocked), lib, err
}

// writeLP writes the model where it was asked for; done when that was all.
func (c *formulateCommand) writeLP(ctx context, goal formulate.Goal, lib *material.Library) (done bool, err error) {
	if c.LP == "" {
		return false, nil
	}
	m, err := formulate.Model(goal, lib)
	if err != nil {
		return false, goal.Placed(err)
	}
	title := "barwright formulate " + filepath.Base(c.Goal)
	if c.LP == "-" {
		return true, m.WriteLP(ctx.stdout, title)
	}
	var out bytes.Buffer
	if err := m.WriteLP(&out, title); err != nil {
		return false, err
	}
	return false, writeWhole(c.LP, out.Bytes())
}
