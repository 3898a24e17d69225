package plan

import (
	"math"
	"strings"
	"testing"

	"barwright/finding"
	"barwright/heat"
	"barwright/material"
	"barwright/recipe"
)

// resting is a base recipe of 1000 g of fats in a wood loaf.
func resting(t *testing.T, edits ...finding.Edit) *Plan {
	t.Helper()
	text := `format = 1
name = "Resting"
superfat = "0 %"
lye_strength = "33 %"
[size]
fats = "1000 g"
[[alkali]]
material = "naoh"
purity = "100 %"
[[fats]]
material = "tallow_beef"
share = "100 %"
[combine]
fats_temperature = "40 °C"
lye_temperature = "38 °C"
[mould]
shape = "box"
inside = "349 x 70 x 70 mm"
wall = "softwood 12 mm"
[[rest]]
place = "room"
temperature = "20 °C"
`
	r, err := recipe.Parse("resting.toml", []byte(text), material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	if r, err = r.With(edits...); err != nil {
		t.Fatal(err)
	}
	if fs := r.Check(material.Builtin()); len(fs) > 0 {
		t.Fatal(fs)
	}
	p, err := Make(r, material.Builtin())
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func heatCase(t *testing.T, p *Plan) heat.Case {
	t.Helper()
	c, missing, err := p.HeatCase()
	if err != nil || len(missing) > 0 {
		t.Fatal(err, missing)
	}
	return c
}

// The worked batter: fats of saponification value 195 with 33 % lye and no
// superfat rise by 60.0 K without loss (54 to 66), computed outside by the same
// enthalpies; 2.47 kJ/kgK, 1010 to 1040 kg/m³ and 0.227 to 0.246 W/mK. Tallow is
// 197 and holds some acid, which has reacted before.
func TestTheWorkedBatter(t *testing.T) {
	t.Parallel()
	p := resting(t)
	c := heatCase(t, p)
	lean := heatCase(t, resting(t, finding.Edit{Key: "superfat", Value: "10 %"}))
	acidK := 1000 * p.charge.freeAcidMol() * (54 + p.charge.solution().ExcessHeatKJPerMol()) / (p.charge.batterG() * c.HeatJKgK / 1000)
	rise := c.ReactionJKg/c.HeatJKgK + acidK
	t.Logf("rise %.1f K, of it %.1f K by free acids; %.0f J/kgK, %.0f kg/m³, %.3f W/mK", rise, acidK, c.HeatJKgK, c.DensityKgM3, c.ConductivityWMK)
	for what, v := range map[string][3]float64{
		"rise [K]":              {rise, 60.0 * 197 / 195, 1.0},
		"heat capacity [J/kgK]": {c.HeatJKgK, 2470, 50},
		"density [kg/m³]":       {c.DensityKgM3, 1013, 20}, // there with oil at 20 °C, here with tallow at 40
		"conductivity [W/mK]":   {c.ConductivityWMK, 0.2365, 0.0095},
		"gel line [°C]":         {c.Rate.GelC, 71, 1.5},
		"height [m]":            {c.SizeM[2], p.Batter.VolumeML * 1e-6 / 0.349 / 0.070, 1e-9},
		"poured [°C]":           {c.Start.TC, *p.Combine.LandingC, 1e-9},
		"side of wood [W/m²K]":  {c.Stages[0].USide, 1 / (1/10.5 + 0.012/0.13), 1e-9},
		"open top [W/m²K]":      {c.Stages[0].UTop, 10.5, 1e-9},
		"wall's heat [J/m²K]":   {c.Wall.SideJM2K, 9600, 1e-9},
		"superfat lessens it":   {lean.ReactionJKg * lean.Batter.MassG / (c.ReactionJKg * c.Batter.MassG), 0.9, 0.003},
	} {
		if math.Abs(v[0]-v[1]) > v[2] {
			t.Errorf("%s: %.5g, want %.5g within %g", what, v[0], v[1], v[2])
		}
	}
}

// A recipe k times the size in k times the moulds is the same case.
func TestScalingLeavesTheCase(t *testing.T) {
	t.Parallel()
	one := heatCase(t, resting(t))
	five := heatCase(t, resting(t, finding.Edit{Key: "size.fats", Value: "5000 g"}, finding.Edit{Key: "mould.count", Value: "5"}))
	for what, v := range map[string][2]float64{"heat": {one.ReactionJKg, five.ReactionJKg}, "held": {one.HeatJKgK, five.HeatJKgK}, "density": {one.DensityKgM3, five.DensityKgM3},
		"height": {one.SizeM[2], five.SizeM[2]}, "poured": {one.Start.TC, five.Start.TC}, "gel": {one.Rate.GelC, five.Rate.GelC}} {
		if math.Abs(v[0]-v[1]) > 1e-9*math.Abs(v[0]) {
			t.Errorf("%s: %g and %g", what, v[0], v[1])
		}
	}
}

func TestShapesOfMoulds(t *testing.T) {
	t.Parallel()
	tube := []finding.Edit{{Key: "mould.shape", Value: "cylinder"}, {Key: "mould.inside", Value: "68 x 500 mm"}}
	cavity := []finding.Edit{{Key: "mould.shape", Value: "cavity"}, {Key: "mould.inside", Value: ""}, {Key: "mould.volume", Value: "120 ml"}, {Key: "mould.count", Value: "12"}}
	for name, c := range map[string]struct {
		edits []finding.Edit
		want  func(heat.Case, *Plan) bool
	}{
		"tube": {tube, func(c heat.Case, p *Plan) bool {
			return c.Axis == heat.Upright && c.RadiusM == 0.034 && math.Abs(c.VolumeM3()*1e6-p.Batter.VolumeML) < 1e-6
		}},
		"lying tube": {append(tube, finding.Edit{Key: "mould.axis", Value: "level"}), func(c heat.Case, _ *Plan) bool {
			return c.Axis == heat.Level && c.Stages[0].UTop == c.Stages[0].USide
		}},
		"cavities": {cavity, func(c heat.Case, p *Plan) bool {
			return c.Shape == heat.Cylinder && math.Abs(12*c.VolumeM3()*1e6-p.Batter.VolumeML) < 1e-6
		}},
		"too small": {[]finding.Edit{{Key: "mould.inside", Value: "100 x 70 x 70 mm"}}, func(c heat.Case, _ *Plan) bool { return c.SizeM[2] == 0.07 }},
		"a lid": {[]finding.Edit{{Key: "mould.lid", Value: "softwood 12 mm"}}, func(c heat.Case, _ *Plan) bool {
			return c.Stages[0].UTop < c.Stages[0].USide
		}},
		"moved": {[]finding.Edit{{Key: "rest.0.for", Value: "2 h"}, {Key: "rest.1.place", Value: "fridge"}, {Key: "rest.1.temperature", Value: "4 °C"}, {Key: "rest.1.cover", Value: "blanket 25 mm"}},
			func(c heat.Case, _ *Plan) bool {
				return len(c.Stages) == 2 && c.Stages[1].FromS == 7200 && c.Stages[1].TC == 4 && c.Stages[1].USide < 1.3
			}},
		"honey": {[]finding.Edit{}, func(c heat.Case, _ *Plan) bool { return c.Batter.SugarG == 0 }},
	} {
		p := resting(t, c.edits...)
		if got := heatCase(t, p); !c.want(got, p) {
			t.Errorf("%s: %+v", name, got.Physics)
		}
	}
}

// What a recipe leaves out is named, and everything that needs it is null.
func TestForecastSaysWhatIsMissing(t *testing.T) {
	t.Parallel()
	for key, say := range map[string]string{"combine": "[combine]", "mould": "[mould]", "rest.0": "[[rest]]", "method": "cooked"} {
		value := ""
		if key == "method" {
			value = "hot"
		}
		f, err := resting(t, finding.Edit{Key: key, Value: value}).Forecast(ForecastOptions{Advice: true, Map: true})
		if err != nil {
			t.Fatal(err)
		}
		if f.Known() || f.Series != nil || f.Advice != nil || f.CoverMap != nil || len(f.Findings) != 0 || len(f.Notes) != 1 || !strings.Contains(f.Notes[0], say) {
			t.Errorf("without %s: %+v", key, f)
		}
	}
}

// A finding's fix, taken, clears the finding: tried with the edits on the
// recipe itself, forecast anew.
func TestFixesOfTheForecastClearIt(t *testing.T) {
	t.Parallel()
	hot := []finding.Edit{{Key: "combine.fats_temperature", Value: "56 °C"}, {Key: "combine.lye_temperature", Value: "54 °C"}, {Key: "rest.0.cover", Value: "blanket 25 mm"}}
	half := []finding.Edit{{Key: "combine.fats_temperature", Value: "54 °C"}, {Key: "combine.lye_temperature", Value: "52 °C"}, {Key: "rest.0.cover", Value: "towel 4 mm"}}
	fixed := 0
	for name, edits := range map[string][]finding.Edit{"hot": hot, "halfway": half} {
		round := []finding.Edit{{Key: "mould.shape", Value: "cylinder"}, {Key: "mould.inside", Value: "100 x 190 mm"}} // quicker to solve than a box
		p := resting(t, append(round, edits...)...)
		o := ForecastOptions{Advice: true}
		o.Samples = 96
		f, err := p.Forecast(o)
		if err != nil {
			t.Fatal(err)
		}
		for _, one := range f.Findings {
			if one.Severity != finding.Caution || one.Title == "" || one.Fix == "" || len(one.Sources) == 0 {
				t.Errorf("%s: %+v", name, one)
			}
			if len(one.Edits) == 0 {
				continue
			}
			fixed++
			r, err := p.recipe.With(one.Edits...)
			if err != nil || len(r.Check(material.Builtin())) > 0 {
				t.Fatalf("%s: %v, %v", name, err, r.Check(material.Builtin()))
			}
			after, err := Make(r, material.Builtin())
			if err != nil {
				t.Fatal(err)
			}
			g, err := after.Forecast(ForecastOptions{Options: o.Options})
			if err != nil {
				t.Fatal(err)
			}
			for _, left := range g.Findings {
				if left.ID == one.ID {
					t.Errorf("%s: after %q (%v) still %q", name, one.Fix, one.Edits, left.Title)
				}
			}
		}
	}
	if fixed == 0 {
		t.Error("no finding offered a change that could be tried")
	}
}

// Learning goes by the mould, and a log of this very batch narrows the band.
func TestLearningFromALog(t *testing.T) {
	t.Parallel()
	p := resting(t, finding.Edit{Key: "rest.0.cover", Value: "blanket 25 mm"})
	c := heatCase(t, p)
	truth := c.Physics
	truth.Rate.K1, truth.Rate.K2 = 1.4*truth.Rate.K1, 1.4*truth.Rate.K2
	run, err := heat.Solve(truth, heat.Sampled)
	if err != nil {
		t.Fatal(err)
	}
	var curve []heat.Reading
	for i, s := range run.TimeS {
		curve = append(curve, heat.Reading{TimeS: s, C: run.CoreC[i]})
	}
	log, ok := p.Log(curve, Poured{})
	m, fit, err := heat.Learn([]heat.Log{log}, heat.Options{})
	if err != nil || !ok || fit[0].MissK > 1 {
		t.Fatal(fit, ok, err)
	}
	o := ForecastOptions{}
	o.Samples = 32
	before, err := p.Forecast(o)
	if err != nil {
		t.Fatal(err)
	}
	o.Maker = m
	after, err := p.Forecast(o)
	if err != nil {
		t.Fatal(err)
	}
	width := func(f *Forecast) float64 { return f.Peak.C.High - f.Peak.C.Low }
	if width(after) > width(before)/2 || after.Learned.Words != "your last batch" {
		t.Errorf("width %.1f, then %.1f; %s", width(before), width(after), after.Learned.Words)
	}
	if math.Abs(after.Peak.CoreC-run.PeakC) > math.Abs(before.Peak.CoreC-run.PeakC) {
		t.Errorf("peak %.1f, told %.1f before and %.1f after", run.PeakC, before.Peak.CoreC, after.Peak.CoreC)
	}
}

// plan.Make must stay quick: it makes no forecast. The forecast is a call of its own.
func BenchmarkForecast(b *testing.B) {
	r, err := recipe.Parse("x", []byte(benchRest), material.Builtin())
	if err != nil {
		b.Fatal(err)
	}
	p, err := Make(r, material.Builtin())
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := p.Forecast(ForecastOptions{Options: heat.Options{Workers: 1}}); err != nil {
			b.Fatal(err)
		}
	}
}

const benchRest = `format = 1
name = "Bench"
superfat = "5 %"
lye_strength = "33 %"
[size]
fats = "880 g"
[[alkali]]
material = "naoh"
[[fats]]
material = "olive"
share = "100 %"
[combine]
fats_temperature = "40 °C"
lye_temperature = "38 °C"
[mould]
shape = "box"
inside = "349 x 62 x 62 mm"
wall = "softwood 12 mm"
[[rest]]
place = "room"
temperature = "20 °C"
cover = "blanket 25 mm"
`

// What free acids take on contact does not react again after the pour: of 5 %
// stearic acid, saponification value about 208, it is 0.185 mol of 50 g.
func TestFreeAcidReactsOnce(t *testing.T) {
	t.Parallel()
	plain := resting(t)
	acid := made(t, written(t, `format = 1
name = "With stearic acid"
superfat = "0 %"
lye_strength = "33 %"
[size]
fats = "1000 g"
[[alkali]]
material = "naoh"
purity = "100 %"
[[fats]]
material = "tallow_beef"
share = "95 %"
[[fats]]
material = "stearic_50"
share = "5 %"
[combine]
fats_temperature = "40 °C"
lye_temperature = "38 °C"
[mould]
shape = "box"
inside = "349 x 70 x 70 mm"
[[rest]]
place = "room"
temperature = "20 °C"
`))
	massG := 0.05 * acid.FatsG
	want := massG * 208 / 56105.6
	got := (acid.charge.alkaliMol() - heatCase(t, acid).Batter.AlkaliMol) - (plain.charge.alkaliMol() - heatCase(t, plain).Batter.AlkaliMol)
	if math.Abs(got-want) > 0.05*want {
		t.Errorf("%.4f mol of alkali are spent before the pour, by hand %.4f", got, want)
	}
}

// No advice is colder than where wax is clear.
func TestAdviceKeepsWaxClear(t *testing.T) {
	t.Parallel()
	p := made(t, tenRecipes(t)["wax-rind"])
	if l := p.heatLimits(); l.LowC != *p.Combine.ClearC || l.LowC < 40 {
		t.Errorf("poured from %g °C on, clear above %g", l.LowC, *p.Combine.ClearC)
	}
}
