package chart

import (
	"encoding/csv"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"

	"barwright/heat"
	"barwright/mould"
	"barwright/quantity"
)

// told is a forecast of a loaf that gels in part, with its map.
func told(t *testing.T, axis string) (Heat, heat.Section, heat.CoverMap) {
	t.Helper()
	b := heat.Batter{MassG: 600, VolumeML: 592, HeatJPerGK: 2.467, LyeVolume: 0.221, AlkaliMol: 1.467, ExcessKJPerMol: 6.53, WaterPct: 20, TC: 52}
	sides, err := quantity.ParseSides("100 x 80 mm")
	if err != nil {
		t.Fatal(err)
	}
	c, err := heat.NewCase(b, mould.Mould{Shape: mould.Cylinder, Inside: &sides, Axis: axis}, []heat.Rest{{Place: "room", TC: 22, ForS: 7200}, {Place: "fridge", TC: 4}})
	if err != nil {
		t.Fatal(err)
	}
	o := heat.Options{Samples: 12, Frames: 8}
	f, err := heat.Tell(c, o)
	if err != nil {
		t.Fatal(err)
	}
	m, err := heat.Map(c, heat.Limits{LowC: 45, HighC: 55}, o)
	if err != nil {
		t.Fatal(err)
	}
	return Heat{Name: `Plain <Tow> & "co"`, Series: f.Series, Bands: f.Bands, Peak: f.Peak, Gel: f.Gel, Stages: f.Physics.Stages,
		Measured: []heat.Reading{{TimeS: 600, C: 51}, {TimeS: 3600, C: 60}, {TimeS: 1e9, C: 20}}}, f.Section, m
}

// elements counts the elements of a picture and returns its words.
func elements(t *testing.T, picture string) (count map[string]int, words string) {
	t.Helper()
	count = map[string]int{}
	d := xml.NewDecoder(strings.NewReader(picture))
	for {
		token, err := d.Token()
		if err == io.EOF {
			return count, words
		}
		if err != nil {
			t.Fatal(err)
		}
		switch v := token.(type) {
		case xml.StartElement:
			count[v.Name.Local]++
		case xml.CharData:
			words += string(v) + "|"
		}
	}
}

// Every picture is well-formed, has a title and a description with the figures
// a reader who cannot see it needs, names its lines beside them, and has its
// data as CSV.
func TestPicturesSayWhatTheyShow(t *testing.T) {
	t.Parallel()
	h, section, covers := told(t, "")
	warmest := WarmestFrame(section)
	for name, c := range map[string]struct {
		picture string
		words   []string
	}{
		"course":  {Course(h), []string{"core", "edge", "gel line", "peak", "hours after the pour", "Chances: no gel", "Plain <Tow>", "4 °C around it"}},
		"narrow":  {CourseNarrow(h), []string{"core", "edge", "gel line", "peak", "hours after the pour", "Chances: no gel", "Plain <Tow>", "4 °C around it"}},
		"section": {CrossSection(h.Name, section, warmest, 71), []string{"after the pour", "mm wide", "Core ", "lines every"}},
		"covers":  {CoverMap(h.Name, covers), []string{"fridge", "blanket", "oven", "poured at °C", "%", "Framed: the plan", "no gel", "Dotted: may overheat"}},
	} {
		count, words := elements(t, c.picture)
		if count["title"] != 1 || count["desc"] != 1 || count["svg"] != 1 || count["text"] < 5 {
			t.Errorf("%s: %v", name, count)
		}
		for _, w := range c.words {
			if !strings.Contains(words, w) {
				t.Errorf("%s does not say %q", name, w)
			}
		}
	}
	all := Stacked(h.Name, Course(h), CrossSection(h.Name, section, warmest, 71), CoverMap(h.Name, covers))
	if count, _ := elements(t, all); count["svg"] != 4 || count["title"] != 3 {
		t.Errorf("stacked: %v", count)
	}
}

func TestDataAsCSV(t *testing.T) {
	t.Parallel()
	h, section, covers := told(t, mouldLevel)
	cells := 0
	for _, f := range section.Frames {
		cells += len(f.C) * len(f.C[0])
	}
	for name, c := range map[string]struct {
		text string
		rows int
	}{
		"course":  {CourseCSV(h), 1 + len(h.Series.TimeS)},
		"section": {SectionCSV(section), 1 + cells},
		"covers":  {CoverMapCSV(covers), 1 + len(covers.Rows)*len(covers.StartsC)},
	} {
		rows, err := csv.NewReader(strings.NewReader(c.text)).ReadAll()
		if err != nil || len(rows) != c.rows {
			t.Errorf("%s: %d rows, want %d, %v", name, len(rows), c.rows, err)
		}
	}
	if !section.Lying || len(mirrored(section, section.Frames[0]).c) != 2*len(section.UpM)-1 {
		t.Error("a lying tube is not shown whole")
	}
}

const mouldLevel = "level"

// A contour cuts a cell where a straight slope has its value.
func TestContoursLieWhereTheyShould(t *testing.T) {
	t.Parallel()
	g := field{x: []float64{0, 1}, y: []float64{0, 1}, c: [][]float64{{0, 10}, {0, 10}}}
	cut := g.cuts(0, 0, 2.5)
	if len(cut) != 2 || cut[0].X != 0.25 || cut[1].X != 0.25 {
		t.Errorf("%v", cut)
	}
	if cut := g.cuts(0, 0, 11); len(cut) != 0 {
		t.Errorf("a line of 11 in %v", cut)
	}
	if g.at(0.5, 0.5) != 5 || g.shareOver(5) != 0.5 {
		t.Errorf("middle %g, over 5: %g", g.at(0.5, 0.5), g.shareOver(5))
	}
}

func TestTicks(t *testing.T) {
	t.Parallel()
	got := ticks(0, 24, 12)
	if len(got) != 13 || got[1] != 2 || got[12] != 24 {
		t.Errorf("%v", got)
	}
	if plain(-18, 0) != "−18" || plain(2.50, 1) != "2.5" || plain(0, 0) != "0" {
		t.Error("numbers are not printed plainly")
	}
}

// Names of stages stand apart, however short the stages, and inside the picture.
func TestStagesStandApart(t *testing.T) {
	t.Parallel()
	h, _, _ := told(t, "")
	h.Stages = nil
	for _, hour := range []float64{0, 0.5, 1, 12, h.lastS()/3600 - 0.5} {
		h.Stages = append(h.Stages, heat.Stage{FromS: hour * 3600, TC: 21})
	}
	label := regexp.MustCompile(`<text[^>]* x="([\d.]+)" y="([\d.]+)"[^>]*text-anchor="(\w+)"[^>]*>[^<]* around it<`)
	for name, picture := range map[string]string{"wide": Course(h), "narrow": CourseNarrow(h)} {
		type box struct{ from, to, y float64 }
		var boxes []box
		for _, m := range label.FindAllStringSubmatch(picture, -1) {
			var b box
			fmt.Sscan(m[1], &b.from)
			fmt.Sscan(m[2], &b.y)
			wide := 5.5 * float64(len("21 °C around it")-1) // what a browser draws at size 11
			if m[3] == "end" {
				b.from -= wide
			}
			b.to = b.from + wide
			boxes = append(boxes, b)
		}
		if len(boxes) != len(h.Stages) {
			t.Fatalf("%s: %d names of %d stages", name, len(boxes), len(h.Stages))
		}
		for i, b := range boxes {
			if b.from < 0 || b.to > map[string]float64{"wide": 720, "narrow": 340}[name] {
				t.Errorf("%s: stage %d from %.0f to %.0f is cut", name, i, b.from, b.to)
			}
			for j, o := range boxes[:i] {
				if b.y == o.y && b.from < o.to && o.from < b.to {
					t.Errorf("%s: stages %d and %d overlap", name, j, i)
				}
			}
		}
	}
}

// The line of the map lies where 80 % begins: between cells that differ in what
// they reach and nowhere else. CSV gives every chance under its own name.
func TestCoverMapDrawsTheLine(t *testing.T) {
	t.Parallel()
	cell := func(none, partial, full, hot float64) heat.MapCell {
		c := heat.Chance{None: none, Partial: partial, Full: full, Overheat: hot}
		return heat.MapCell{Likely: c.Likeliest(), Chance: c}
	}
	m := heat.CoverMap{StartsC: []float64{30, 31, 32, 33}, PlannedC: 31, Limits: heat.Limits{LowC: 26, HighC: 60}, Runs: 16, Rows: []heat.MapRow{
		{Words: "fan", Planned: true, Cells: []heat.MapCell{cell(1, 0, 0, 0), cell(0.8, 0.1, 0.1, 0), cell(0.79, 0.11, 0.1, 0), cell(0.1, 0.1, 0.8, 0.3)}},
	}}
	picture := CoverMap("x", m)
	if n := strings.Count(picture, `class="contour"`); n != 2 {
		t.Errorf("%d lines: one where no gel loses its 80 %%, one where full gel gains them", n)
	}
	if n := strings.Count(picture, `class="may-overheat"`); n != 3 {
		t.Errorf("%d dots, three in the one cell that may overheat", n)
	}
	if n := strings.Count(picture, `opacity="0.45"`); n != 1 {
		t.Errorf("%d pale cells, one is below 80 %%", n)
	}
	rows, err := csv.NewReader(strings.NewReader(CoverMapCSV(m))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if want := "rest planned start_c likely none partial full overheat|fan true 33 full 0.1 0.1 0.8 0.3"; strings.Join(rows[0], " ")+"|"+strings.Join(rows[4], " ") != want {
		t.Errorf("%q, want %q", strings.Join(rows[0], " ")+"|"+strings.Join(rows[4], " "), want)
	}
}

// Every column of the tables holds what its head says.
func TestColumnsOfTheTables(t *testing.T) {
	t.Parallel()
	h, section, _ := told(t, "")
	read := func(text string) (rows []map[string]string) {
		all, err := csv.NewReader(strings.NewReader(text)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range all[1:] {
			row := map[string]string{}
			for i, head := range all[0] {
				row[head] = r[i]
			}
			rows = append(rows, row)
		}
		return rows
	}
	is := func(what, text string, want float64) {
		t.Helper()
		var got float64
		if _, err := fmt.Sscan(text, &got); err != nil || math.Abs(got-want) > 1e-3*math.Max(1, math.Abs(want)) {
			t.Errorf("%s: %s, want %g (%v)", what, text, want, err)
		}
	}
	for i, row := range read(CourseCSV(h)) {
		for head, want := range map[string]float64{"t_s": h.Series.TimeS[i], "core_c": h.Series.CoreC[i], "core_low_c": h.Bands.CoreLowC[i], "core_high_c": h.Bands.CoreHighC[i], "edge_c": h.Series.EdgeC[i], "mean_c": h.Series.MeanC[i], "mean_x": h.Series.MeanX[i]} {
			is(fmt.Sprint(head, " of row ", i), row[head], want)
		}
	}
	rows, n := read(SectionCSV(section)), 0
	for _, f := range section.Frames {
		for _, row := range f.C {
			for _, c := range row {
				is(fmt.Sprint("c of row ", n), rows[n]["c"], c)
				is(fmt.Sprint("t_s of row ", n), rows[n]["t_s"], f.TimeS)
				n++
			}
		}
	}
}
