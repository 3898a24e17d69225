package lye

import (
	"embed"
	"encoding/csv"
	"fmt"
	"io/fs"
	"slices"
	"strconv"
	"strings"
	"sync"

	"gonum.org/v1/gonum/interp"

	"barwright/source"
)

//go:embed data/*.csv
var dataFiles embed.FS

// evidence says where a table was read and how far to trust it.
type evidence struct {
	Table   string // file name without ending: "naoh_enthalpy"
	Source  string // key of source/sources.toml
	Locator string
	Grade   source.Grade
	Note    string
}

// table is values over strength [mass %] in one or more columns.
type table struct {
	evidence
	columns []string
	pct     []float64
	values  [][]float64 // by column
}

// loadTables reads every table once. They are part of the program, so a fault
// in one is the programmer's and panics.
var loadTables = sync.OnceValue(func() map[string]table {
	files, err := fs.Glob(dataFiles, "data/*.csv")
	if err != nil {
		panic(err)
	}
	all := map[string]table{}
	for _, file := range files {
		text, err := dataFiles.ReadFile(file)
		if err != nil {
			panic(err)
		}
		t, err := parseTable(string(text))
		if err != nil {
			panic("lye/" + file + ": " + err.Error())
		}
		t.Table = strings.TrimSuffix(strings.TrimPrefix(file, "data/"), ".csv")
		all[t.Table] = t
	}
	return all
})

// parseTable reads comment lines "# key: value", a head line and rows of
// numbers.
func parseTable(text string) (t table, err error) {
	for line := range strings.Lines(text) {
		comment, ok := strings.CutPrefix(line, "# ")
		if !ok {
			break
		}
		key, value, _ := strings.Cut(strings.TrimSpace(comment), ": ")
		if err := t.note(key, value); err != nil {
			return t, err
		}
	}
	r := csv.NewReader(strings.NewReader(text))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		return t, err
	}
	t.columns = rows[0][1:]
	t.values = make([][]float64, len(t.columns))
	for _, row := range rows[1:] {
		for i, cell := range row {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				return t, err
			}
			if i == 0 {
				t.pct = append(t.pct, v)
			} else {
				t.values[i-1] = append(t.values[i-1], v)
			}
		}
	}
	return t, nil
}

func (t *table) note(key, value string) error {
	switch key {
	case "source":
		t.Source = value
	case "locator":
		t.Locator = value
	case "note":
		t.Note = value
	case "grade":
		return t.Grade.UnmarshalText([]byte(value))
	default:
		return fmt.Errorf("unknown key %q", key)
	}
	return nil
}

// grid is a table over strength and temperature, smooth in strength and
// linear between the temperatures of its columns. Of gonum's cubics the
// not-a-knot one predicts left-out rows of the enthalpy table best (0.4 kJ/kg
// from 15 to 45 %; Akima's 1.8, monotone 3.3).
type grid struct {
	tC   []float64
	cols []interp.NotAKnotCubic
}

func newGrid(name string) grid {
	t := loadTables()[name]
	g := grid{tC: make([]float64, len(t.columns)), cols: make([]interp.NotAKnotCubic, len(t.columns))}
	for i, head := range t.columns {
		g.tC[i], _ = strconv.ParseFloat(head, 64) // a lone column's head need not be a temperature
		if err := g.cols[i].Fit(t.pct, t.values[i]); err != nil {
			panic("lye: table " + name + ": " + err.Error())
		}
	}
	return g
}

// column returns the value at strength x [mass fraction] in column i.
func (g grid) column(i int, x float64) float64 { return g.cols[i].Predict(100 * x) }

// at returns the value at strength x [mass fraction] and tC [°C]; beyond the
// first and last temperature it is that of the nearest.
func (g grid) at(x, tC float64) float64 {
	last := len(g.tC) - 1
	switch {
	case tC <= g.tC[0]:
		return g.column(0, x)
	case tC >= g.tC[last]:
		return g.column(last, x)
	}
	i, onNode := slices.BinarySearch(g.tC, tC)
	if onNode {
		return g.column(i, x)
	}
	share := (tC - g.tC[i-1]) / (g.tC[i] - g.tC[i-1])
	return (1-share)*g.column(i-1, x) + share*g.column(i, x)
}

// The tables as functions, each made when it is first asked for.
var (
	naohEnthalpy     = lazyGrid("naoh_enthalpy")
	naohHeatCapacity = lazyGrid("naoh_heat_capacity")
	naohDensity      = lazyGrid("naoh_density")
	naohBoiling      = lazyGrid("naoh_boiling")
	kohDensity       = lazyGrid("koh_density")
	kohHeatCapacity  = lazyGrid("koh_heat_capacity")
)

func lazyGrid(name string) func() grid {
	return sync.OnceValue(func() grid { return newGrid(name) })
}

// naohLiquidus is straight between its points, because a eutectic is a corner
// that a smooth curve would overshoot.
var naohLiquidus = sync.OnceValue(func() *interp.PiecewiseLinear {
	t := loadTables()["naoh_liquidus"]
	var curve interp.PiecewiseLinear
	if err := curve.Fit(t.pct, t.values[0]); err != nil {
		panic("lye: table naoh_liquidus: " + err.Error())
	}
	return &curve
})
