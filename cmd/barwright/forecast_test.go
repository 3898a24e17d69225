package main

import (
	"bytes"
	"encoding/json"
	"math"
	"strings"
	"testing"
)

// forecastContract lists every name of "forecast --json" that other programs
// rely on, in the form of contract. size_m or radius_m and length_m, by shape.
var forecastContract = strings.Fields(`
	physics:object physics.k_W_mK:number physics.rho_kg_m3:number physics.cp_J_kgK:number physics.q_J_kg:number
	physics.rate:object physics.rate.k1_1_s:number physics.rate.k2_1_s:number physics.rate.m:number physics.rate.n:number physics.rate.ea_J_mol:number
	physics.rate.t_ref_C:number physics.rate.gel_factor:number physics.rate.gel_C:number
	physics.start:object physics.start.t_C:number physics.start.x:number
	physics.stages:list physics.stages[].from_s:number physics.stages[].t_C:number physics.stages[].u_side_W_m2K:number physics.stages[].u_top_W_m2K:number physics.stages[].u_bottom_W_m2K:number
	series:object series.t_s:list series.core_c:list series.edge_c:list series.mean_c:list series.mean_x:list
	bands:object bands.core_low_c:list bands.core_high_c:list
	peak:object peak.core_c:number peak.t_s:number
	gel:object gel.temperature_c:object gel.temperature_c.low:number gel.temperature_c.typical:number gel.temperature_c.high:number
	gel.chance:object gel.chance.none:number gel.chance.partial:number gel.chance.full:number gel.chance.overheat:number
	energy:object energy.released_J:number energy.lost_J:number energy.stored_J:number energy.sink_J:number energy.residual_pct:number
	findings:list findings[].id:string findings[].severity:string findings[].title:string findings[].because:string findings[].grade:string
	grade:string notes:list`)

func forecastJSON(t *testing.T, args ...string) map[string]any {
	t.Helper()
	var out, errs bytes.Buffer
	if status := run(append([]string{"forecast", "--json"}, args...), context{nil, &out, &errs}); status == exitBadInput {
		t.Fatal(errs.String())
	}
	var f map[string]any
	if err := json.Unmarshal(out.Bytes(), &f); err != nil {
		t.Fatal(err)
	}
	return f
}

func floats(v any) (out []float64) {
	for _, x := range v.([]any) {
		out = append(out, x.(float64))
	}
	return out
}

func TestContractOfForecastJSON(t *testing.T) {
	t.Parallel()
	// A loaf with honey, a tube, cavities, salt, and a cooked batch: one of each kind.
	for _, name := range []string{"dark-heather", "slow-olive", "plain-tow", "saltern", "lather-puck"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			checkForecast(t, forecastJSON(t, "../../recipes/"+name+".toml"))
		})
	}
}

func checkForecast(t *testing.T, f map[string]any) {
	t.Helper()
	if f["physics"] == nil { // a cooked batch
		for _, name := range []string{"series", "bands", "peak", "gel", "energy"} {
			if v, there := f[name]; !there || v != nil {
				t.Errorf("%s is %v without physics", name, v)
			}
		}
		if len(f["notes"].([]any)) == 0 {
			t.Error("nothing says why")
		}
		return
	}
	for _, entry := range forecastContract {
		path, kind, _ := strings.Cut(entry, ":")
		checkKind(t, path, kind, valuesAt(f, strings.Split(path, ".")))
	}
	shape := object(f, "physics")
	if shape["size_m"] == nil && (shape["radius_m"] == nil || shape["length_m"] == nil || shape["axis"] == nil) {
		t.Errorf("no size: %v", shape)
	}
	series := object(f, "series")
	times := floats(series["t_s"])
	if times[len(times)-1] < 24*3600 {
		t.Errorf("ends after %g s", times[len(times)-1])
	}
	for i := 1; i < len(times); i++ {
		if times[i]-times[i-1] > 300.001 {
			t.Fatalf("a gap of %g s", times[i]-times[i-1])
		}
	}
	for _, list := range []any{series["core_c"], series["edge_c"], series["mean_c"], series["mean_x"], object(f, "bands")["core_low_c"], object(f, "bands")["core_high_c"]} {
		if len(floats(list)) != len(times) {
			t.Errorf("lists of %d and %d", len(floats(list)), len(times))
		}
	}
	chance := object(f, "gel", "chance")
	if sum := chance["none"].(float64) + chance["partial"].(float64) + chance["full"].(float64); math.Abs(sum-1) > 1e-9 {
		t.Errorf("the chances come to %g", sum)
	}
	if r := object(f, "energy")["residual_pct"].(float64); r > 0.5 {
		t.Errorf("energy is off by %g %%", r)
	}
}

// The energy of the JSON can be checked from outside: the heat of the whole
// reaction times the conversion told is what was released.
func TestForecastJSONHangsTogether(t *testing.T) {
	t.Parallel()
	f := forecastJSON(t, "../../recipes/oatwater.toml", "--set", "rest.0.cover=blanket 25 mm", "--set", "combine.fats_temperature=46 °C", "--set", "combine.lye_temperature=44 °C")
	p := object(f, "physics")
	size := floats(p["size_m"])
	mass := size[0] * size[1] * size[2] * p["rho_kg_m3"].(float64)
	x := floats(object(f, "series")["mean_x"])
	want := mass * p["q_J_kg"].(float64) * (x[len(x)-1] - x[0])
	if got := object(f, "energy")["released_J"].(float64); math.Abs(got-want) > 1e-3*want {
		t.Errorf("released %g J, by conversion %g J", got, want)
	}
}
