package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"strings"

	"barwright/finding"
	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/plan"
	"barwright/recipe"
)

type planCommand struct {
	File      string   `arg:"" help:"Recipe file (TOML); - reads standard input."`
	JSON      bool     `name:"json" help:"Print the plan as JSON."`
	Materials string   `placeholder:"DIR" help:"Folder with your own materials and lots (*.toml)."`
	Set       []string `placeholder:"KEY=VALUE" sep:"none" help:"Change one key before planning, like --set 'superfat=6 %'; several may be given. Lists count from 0: 'alkali.0.purity=98 %'."`
}

// Run plans one recipe file.
func (c *planCommand) Run(ctx context) error {
	lib, err := library(c.Materials)
	if err != nil {
		return err
	}
	data, err := readFile(c.File, ctx.stdin)
	if err != nil {
		return err
	}
	p, err := c.make(data, lib)
	if err != nil {
		return err
	}
	var out bytes.Buffer
	if c.JSON {
		if err := writeJSON(&out, withPlainSpaces(p)); err != nil {
			return err
		}
	} else {
		printSheet(&out, p)
	}
	if _, err := ctx.stdout.Write(out.Bytes()); err != nil {
		return err
	}
	if finding.Worst(p.Findings) == finding.Stop {
		return errStop
	}
	return nil
}

// make plans a recipe; a fault is placed in its file.
func (c *planCommand) make(data []byte, lib *material.Library) (*plan.Plan, error) {
	r, err := c.recipe(data, lib)
	if err != nil {
		return nil, err
	}
	p, err := plan.Make(r, lib)
	var f recipe.Fault
	if errors.As(err, &f) {
		return nil, c.placed(data, f)
	}
	return p, err
}

func (c *planCommand) recipe(data []byte, lib *material.Library) (recipe.Recipe, error) {
	if len(c.Set) == 0 {
		return recipe.Parse(c.File, data, lib)
	}
	return c.changed(data, lib)
}

// changed reads the recipe, applies --set and checks the outcome.
func (c *planCommand) changed(data []byte, lib *material.Library) (recipe.Recipe, error) {
	r, err := recipe.Parse(c.File, data, lib)
	if err != nil {
		return r, err
	}
	var edits []finding.Edit
	for _, s := range c.Set {
		key, value, ok := strings.Cut(s, "=")
		if !ok {
			return r, &hinted{fmt.Sprintf("--set %q has no equals sign", s), "write it like --set 'superfat=6 %'"}
		}
		edits = append(edits, finding.Edit{Key: strings.TrimSpace(key), Value: strings.TrimSpace(value)})
	}
	if r, err = r.With(edits...); err != nil {
		return r, fmt.Errorf("--set %w", err)
	}
	var faults []*tomldoc.Error
	for _, f := range r.Check(lib) {
		faults = append(faults, tomldoc.All(c.placed(data, f))...)
	}
	return r, tomldoc.Join(faults)
}

// placed says where in the file a fault stands; what --set changed stands on
// no line.
func (c *planCommand) placed(data []byte, f recipe.Fault) error {
	if len(c.Set) > 0 {
		return &tomldoc.Error{File: c.File + ", changed by --set, at " + f.Path, Text: f.Text, Advice: f.Advice}
	}
	doc, err := tomldoc.Decode(c.File, data, new(recipe.Recipe))
	if err != nil {
		return err
	}
	return doc.Fault(f.Path, f.Advice, "%s", f.Text)
}

// readFile reads at most a byte more than a document may have: enough to see
// that it is too long.
func readFile(name string, stdin io.Reader) ([]byte, error) {
	return readNamed(name, stdin, "name a recipe file, like recipes/plain-tow.toml")
}

// readNamed is readFile with advice of its own for a file that is not there.
func readNamed(name string, stdin io.Reader, advice string) ([]byte, error) {
	in := stdin
	if name != "-" {
		f, err := os.Open(name)
		if err != nil {
			return nil, openError(err, advice)
		}
		defer f.Close()
		in = f
	}
	data, err := io.ReadAll(io.LimitReader(in, tomldoc.MaxBytes+1))
	if err != nil {
		return nil, openError(err, advice)
	}
	return data, nil
}

// openError says which file and why, without the system call.
func openError(err error, advice string) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return &hinted{fmt.Sprintf("%s: %v", pe.Path, pe.Err), advice}
	}
	return err
}

// library is the built-in one, with the maker's own folder over it.
func library(dir string) (*material.Library, error) {
	if dir == "" {
		return material.Builtin(), nil
	}
	if info, err := os.Stat(dir); err != nil {
		return nil, openError(err, "name the folder that holds your own materials")
	} else if !info.IsDir() {
		return nil, &hinted{dir + " is not a folder", "name the folder that holds your own materials"}
	}
	return material.Builtin().With(os.DirFS(dir), dir)
}
