package main

import (
	"fmt"
	"io"

	"barwright/material"
	"barwright/source"
)

type materialsCommand struct {
	ID        string `arg:"" optional:"" help:"Material to show."`
	Materials string `placeholder:"DIR" help:"Folder with your own materials and lots (*.toml)."`
}

// Run lists the materials, or shows one.
func (c *materialsCommand) Run(ctx context) error {
	lib, err := library(c.Materials)
	if err != nil {
		return err
	}
	if c.ID != "" {
		m, err := lib.Find(c.ID)
		if err != nil {
			return err
		}
		showMaterial(ctx.stdout, m)
		return nil
	}
	for _, kind := range material.Kinds {
		fmt.Fprintf(ctx.stdout, "%s\n", kind)
		for _, id := range lib.IDs() {
			if m, err := lib.Find(id); err != nil {
				return err
			} else if m.Kind == kind {
				fmt.Fprintf(ctx.stdout, "  %-26s %s\n", id, m.Name)
			}
		}
	}
	return nil
}

func showMaterial(w io.Writer, m material.Material) {
	fmt.Fprintf(w, "%s (%s)\n%s\n", m.Name, m.ID, m.From)
	for _, f := range m.Figures() {
		fmt.Fprintf(w, "\n%s  %g (%g to %g) %s%s\n", f.Name, f.Typical, f.Low, f.High, f.Unit, at(f.Figure))
		wrapped(w, "  ", f.Evidence())
		wrapped(w, "  ", f.Note)
	}
	if m.Profile.Known() {
		fmt.Fprintf(w, "\nfatty acids [%% of fatty acids]\n")
		for _, a := range material.Acids {
			if v := m.Profile.Percent(a.ID); v > 0 {
				fmt.Fprintf(w, "  %-12s %5.1f\n", a.Name, v)
			}
		}
		if v := m.Profile.Percent("other"); v > 0 {
			fmt.Fprintf(w, "  %-12s %5.1f\n", "other", v)
		}
		wrapped(w, "  ", source.Figure{Source: m.Profile.Source, Locator: m.Profile.Locator, Grade: m.Profile.Grade}.Evidence())
		wrapped(w, "  ", m.Profile.Note)
	}
	if m.Note != "" {
		fmt.Fprintln(w)
		wrapped(w, "", m.Note)
	}
}

func at(f source.Figure) string {
	if f.AtC == 0 {
		return ""
	}
	return fmt.Sprintf(" at %g °C", f.AtC)
}
