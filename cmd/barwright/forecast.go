package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"barwright/chart"
	"barwright/curve"
	"barwright/finding"
	"barwright/heat"
	"barwright/plan"
)

type forecastCommand struct {
	File      string   `arg:"" help:"Recipe file (TOML) with [combine], [mould] and [[rest]]; - reads standard input."`
	JSON      bool     `name:"json" help:"Print the forecast as JSON."`
	SVG       string   `name:"svg" placeholder:"OUT" help:"Draw it: one picture when OUT ends in .svg or is - (then nothing else is printed); else a folder for every picture with its data as CSV."`
	Map       bool     `help:"Add the cover map to the JSON: what comes of it by pour and cover."`
	Log       []string `placeholder:"CURVE" sep:"none" help:"Logged core temperatures of a batch made and rested as this file says, typed or CSV: the forecast learns from them. Several may be given, one batch each."`
	Materials string   `placeholder:"DIR" help:"Folder with your own materials and lots (*.toml)."`
	Set       []string `placeholder:"KEY=VALUE" sep:"none" help:"Change one key before forecasting, as for plan: --set 'rest.0.cover=blanket 25 mm'."`
}

// Pictures of the cross-section kept, and the seed of the draw: the same
// recipe gives the same forecast next year.
const (
	forecastFrames = 48
	forecastSeed   = 1
)

// Run forecasts one recipe file.
func (c *forecastCommand) Run(ctx context) error {
	p, err := c.plan(ctx)
	if err != nil {
		return err
	}
	o := plan.ForecastOptions{Advice: true, Map: c.Map || c.SVG != ""}
	o.Seed, o.Frames = forecastSeed, forecastFrames
	curves, notes, err := c.learn(p, &o)
	if err != nil {
		return err
	}
	f, err := p.Forecast(o)
	if err != nil {
		return err
	}
	f.Notes = append(f.Notes, notes...)
	out, err := c.draw(f, curves)
	if err != nil {
		return err
	}
	if out == nil {
		out, err = c.text(f, p)
	}
	if err != nil {
		return err
	}
	if _, err := ctx.stdout.Write(out); err != nil {
		return err
	}
	if finding.Worst(p.Findings) == finding.Stop {
		return errStop
	}
	return nil
}

// plan plans the file as the plan command does.
func (c *forecastCommand) plan(ctx context) (*plan.Plan, error) {
	lib, err := library(c.Materials)
	if err != nil {
		return nil, err
	}
	data, err := readFile(c.File, ctx.stdin)
	if err != nil {
		return nil, err
	}
	same := &planCommand{File: c.File, Set: c.Set}
	return same.make(data, lib)
}

// text is the forecast for people or as JSON.
func (c *forecastCommand) text(f *plan.Forecast, p *plan.Plan) ([]byte, error) {
	var out bytes.Buffer
	if !c.JSON {
		printForecast(&out, f, p)
		return out.Bytes(), nil
	}
	enc := json.NewEncoder(&out)
	enc.SetEscapeHTML(false)
	plain := *f
	plain.Findings = plainFindings(f.Findings)
	err := enc.Encode(plain)
	return out.Bytes(), err
}

// learn reads the logs into what the maker knows.
func (c *forecastCommand) learn(p *plan.Plan, o *plan.ForecastOptions) (curves [][]heat.Reading, notes []string, err error) {
	var logs []heat.Log
	for _, file := range c.Log {
		readings, said, err := readLog(file)
		if err != nil {
			return nil, nil, inFile(file, err)
		}
		log, ok := p.Log(readings, plan.Poured{})
		if !ok {
			return nil, nil, nil // the forecast will say what is missing
		}
		if err := log.Check(); err != nil {
			return nil, nil, inFile(file, err)
		}
		logs, curves, notes = append(logs, log), append(curves, readings), append(notes, said...)
	}
	if len(logs) == 0 {
		return nil, nil, nil
	}
	maker, fits, err := heat.Learn(logs, heat.Options{})
	if err != nil {
		return nil, nil, inFile(c.Log[0], err)
	}
	o.Maker = maker
	for i, f := range fits {
		notes = append(notes, fmt.Sprintf("%s: missed by %.1f K before it was learned from, by %.1f K after", c.Log[i], f.Before, f.MissK))
	}
	return curves, notes, nil
}

// readLog reads one log and what had to be put right in it.
func readLog(file string) (readings []heat.Reading, notes []string, err error) {
	data, err := readFile(file, strings.NewReader(""))
	if err != nil {
		return nil, nil, err
	}
	c, err := curve.Read(data)
	for _, r := range c.Readings {
		readings = append(readings, heat.Reading{TimeS: r.TimeS, C: r.C})
	}
	for _, n := range c.Notes {
		notes = append(notes, file+": "+n)
	}
	return readings, notes, err
}

// inFile names the file an error is about, and keeps its hint.
func inFile(file string, err error) error {
	hint := "log the core from the pour on, every quarter of an hour or oftener"
	var h interface{ Hint() string }
	if errors.As(err, &h) {
		hint = h.Hint()
	}
	return &hinted{file + ": " + err.Error(), hint}
}

// draw writes the pictures; it returns what is to be printed instead of the
// forecast, nil when that is the forecast itself.
func (c *forecastCommand) draw(f *plan.Forecast, curves [][]heat.Reading) ([]byte, error) {
	if c.SVG == "" {
		return nil, nil
	}
	if !f.Known() {
		return nil, &hinted{"there is nothing to draw: " + f.Notes[0], "add it to the recipe file"}
	}
	files := pictures(f, curves)
	switch {
	case c.SVG == "-":
		return files["heat.svg"], nil
	case strings.HasSuffix(strings.ToLower(c.SVG), ".svg"):
		return nil, writeWhole(c.SVG, files["heat.svg"])
	}
	if err := os.MkdirAll(c.SVG, 0o777); err != nil {
		return nil, openError(err, "name a folder, or a file that ends in .svg")
	}
	delete(files, "heat.svg")
	for name, data := range files {
		if err := writeWhole(filepath.Join(c.SVG, name), data); err != nil {
			return nil, err
		}
	}
	return nil, nil
}

// pictures draws everything there is, by file name.
func pictures(f *plan.Forecast, curves [][]heat.Reading) map[string][]byte {
	h := chart.Heat{Name: f.Recipe.Name, Series: *f.Series, Bands: *f.Bands, Peak: *f.Peak, Gel: *f.Gel, Stages: f.Physics.Stages}
	if len(curves) > 0 {
		h.Measured = curves[len(curves)-1]
	}
	gelC := f.Gel.TemperatureC.Typical
	warmest := chart.WarmestFrame(*f.Section)
	course, section, covers := chart.Course(h), chart.CrossSection(f.Recipe.Name, *f.Section, warmest, gelC), chart.CoverMap(f.Recipe.Name, *f.CoverMap)
	files := map[string]string{
		"heat.svg":   chart.Stacked(f.TrustWords(), course, section, covers),
		"course.svg": course, "course.csv": chart.CourseCSV(h),
		"section.svg": section, "section.csv": chart.SectionCSV(*f.Section),
		"covers.svg": covers, "covers.csv": chart.CoverMapCSV(*f.CoverMap),
	}
	out := map[string][]byte{}
	for name, text := range files {
		out[name] = []byte(text)
	}
	return out
}

// writeWhole writes a file whole or not at all.
func writeWhole(name string, data []byte) error {
	const advice = "name a file in a folder that is there and can be written"
	tmp, err := os.CreateTemp(filepath.Dir(name), ".barwright-*")
	if err != nil {
		return openError(err, advice)
	}
	defer os.Remove(tmp.Name())
	_, err = tmp.Write(data)
	if closing := tmp.Close(); err == nil {
		err = closing
	}
	if err == nil {
		err = os.Chmod(tmp.Name(), 0o644)
	}
	if err == nil {
		err = os.Rename(tmp.Name(), name)
	}
	if err != nil {
		return openError(err, advice)
	}
	return nil
}
