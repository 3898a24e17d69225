package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// contract lists every name of "plan --json" that other programs rely on, and
// its type: number, string, object, list, or ?number where null is promised
// for want of data. A dotted name steps into an object, [] into every entry
// of a list. Other fields may be there too.
var contract = strings.Fields(`
	recipe:object recipe.name:string recipe.hash:string
	fats:list fats[].material:string fats[].mass_g:number fats[].share_pct:number fats[].sap_mg_koh_g:object
	fats[].sap_mg_koh_g.low:number fats[].sap_mg_koh_g.typical:number fats[].sap_mg_koh_g.high:number fats[].sap_mg_koh_g.dose:number
	fats_g:number
	alkali:list alkali[].material:string alkali[].mass_g:number alkali[].weigh_g:number alkali[].pure_g:number
	alkali_for_acids_g:number water_g:number
	lye:object lye.strength_pct:number lye.mass_g:number lye.volume_ml:number lye.peak_c:?number lye.boiling_c:?number
	superfat_pct:object superfat_pct.set:?number superfat_pct.typical:number superfat_pct.low:number superfat_pct.high:number
	superfat_pct.worst:number superfat_pct.chance_lye_heavy:number superfat_pct.shares:object superfat_pct.as_weighed:object
	superfat_pct.as_weighed.set:?number superfat_pct.as_weighed.typical:number superfat_pct.as_weighed.low:number
	superfat_pct.as_weighed.high:number superfat_pct.as_weighed.worst:number superfat_pct.as_weighed.chance_lye_heavy:number
	superfat_pct.as_weighed.shares:object
	additions:list additions[].material:string additions[].mass_g:number additions[].naoh_taken_g:object
	additions[].naoh_taken_g.low:number additions[].naoh_taken_g.typical:number additions[].naoh_taken_g.high:number
	batter:object batter.mass_g:number batter.volume_ml:number batter.water_pct:number
	combine:object combine.landing_c:?number combine.cloud_point_c:?object combine.cloud_point_c.low:number
	combine.cloud_point_c.typical:number combine.cloud_point_c.high:number combine.clear_c:?number
	window_min:?object window_min.to_trace:object window_min.to_trace.low:number window_min.to_trace.typical:number window_min.to_trace.high:number
	window_min.to_unpourable:object window_min.to_unpourable.low:number window_min.to_unpourable.typical:number window_min.to_unpourable.high:number
	makeup:object makeup.sap_mg_koh_g:number makeup.sap_calculated:?number makeup.iodine_value:number makeup.cox:number
	makeup.groups_pct:object makeup.groups_pct.short:number makeup.groups_pct.c8_c10:number makeup.groups_pct.c12_c14:number
	makeup.groups_pct.c16_c18:number makeup.groups_pct.c20_c24:number makeup.groups_pct.mono:number makeup.groups_pct.poly:number
	makeup.groups_pct.hydroxy:number makeup.groups_pct.other:number makeup.unsaponified_pct:number
	makeup.dissolving_pct:object makeup.dissolving_pct.20c:number makeup.dissolving_pct.35c:number makeup.dissolving_pct.45c:number
	mould:?object mould.volume_ml:number mould.fill_pct:number
	findings:list findings[].id:string findings[].severity:string findings[].title:string findings[].because:string
	findings[].fix:string findings[].grade:string findings[].sources:list`)

func TestContractOfPlanJSON(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("../../recipes/*.toml")
	if err != nil || len(files) < 10 {
		t.Fatalf("%d recipes, want ten at least (%v)", len(files), err)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			t.Parallel()
			checkPlanJSON(t, planJSON(t, file))
		})
	}
}

func checkPlanJSON(t *testing.T, p map[string]any) {
	t.Helper()
	for _, entry := range contract {
		path, kind, _ := strings.Cut(entry, ":")
		checkKind(t, path, kind, valuesAt(p, strings.Split(path, ".")))
	}
	checkRanges(t, "plan", p)
	order := []string{"stop", "caution", "note", "ok"}
	last := 0
	for _, f := range list(p, "findings") {
		rank := slices.Index(order, f["severity"].(string))
		if rank < last {
			t.Errorf("%v comes after something less bad", f["id"])
		}
		last = rank
	}
	for _, s := range []map[string]any{object(p, "superfat_pct"), object(p, "superfat_pct", "as_weighed")} {
		if c := s["chance_lye_heavy"].(float64); c < 0 || c > 1 {
			t.Errorf("a chance of %g", c)
		}
		sum := 0.0
		for cause, share := range s["shares"].(map[string]any) {
			if v := share.(float64); v < 0 || v > 1 {
				t.Errorf("%s is %g of the variance", cause, v)
			}
			sum += share.(float64)
		}
		if math.Abs(sum-1) > 1e-8 { // each is rounded to nine digits
			t.Errorf("the shares come to %g", sum)
		}
		if s["worst"].(float64) > s["low"].(float64) {
			t.Errorf("the worst corner %g lies above the low point %g", s["worst"], s["low"])
		}
	}
}

// missing stands for a name that is not there, which null is not.
type missing struct{ name string }

// valuesAt returns every value at a path; a null on the way ends it.
func valuesAt(v any, path []string) []any {
	if len(path) == 0 || v == nil {
		return []any{v}
	}
	name, isList := strings.CutSuffix(path[0], "[]")
	o, ok := v.(map[string]any)
	if !ok {
		return []any{missing{path[0]}}
	}
	child, ok := o[name]
	if !ok {
		return []any{missing{path[0]}}
	}
	if !isList {
		return valuesAt(child, path[1:])
	}
	var out []any
	for _, entry := range child.([]any) {
		out = append(out, valuesAt(entry, path[1:])...)
	}
	return out
}

func checkKind(t *testing.T, path, kind string, values []any) {
	t.Helper()
	kind, nullable := strings.CutPrefix(kind, "?")
	for _, v := range values {
		got := kindOf(v)
		parentNull := got == "null" && strings.Contains(path, ".") // a null parent was checked itself
		if got != kind && !(got == "null" && (nullable || parentNull)) {
			t.Errorf("%s is %s, want %s", path, got, kind)
		}
	}
}

func kindOf(v any) string {
	switch v := v.(type) {
	case nil:
		return "null"
	case float64:
		return "number"
	case string:
		return "string"
	case map[string]any:
		return "object"
	case []any:
		return "list"
	case missing:
		return "missing " + v.name
	}
	return fmt.Sprintf("%T", v)
}

// checkRanges walks the JSON and checks that every low, typical and high that
// stand together are in order. The superfat is no such triple: its ends are
// points of the law and its typical value need not lie between them.
func checkRanges(t *testing.T, path string, v any) {
	t.Helper()
	switch v := v.(type) {
	case map[string]any:
		low, ok1 := v["low"].(float64)
		typical, ok2 := v["typical"].(float64)
		high, ok3 := v["high"].(float64)
		if ok1 && ok2 && ok3 && (low > high || (!strings.Contains(path, "superfat") && (low > typical+1e-12 || typical > high+1e-12))) {
			t.Errorf("%s: low %g, typical %g, high %g", path, low, typical, high)
		}
		for name, child := range v {
			checkRanges(t, path+"."+name, child)
		}
	case []any:
		for _, child := range v {
			checkRanges(t, path, child)
		}
	}
}

// What a recipe or nature does not give is null, never 0, and a note says so.
func TestNullWhereNothingIsKnown(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		set   []string
		nulls []string
		note  string
	}{
		{"potassium lye", []string{"alkali.0.material=koh", "alkali.0.purity=90 %"}, []string{"lye.peak_c", "lye.boiling_c"}, "potassium"},
		{"no temperatures", []string{"combine="}, []string{"combine.landing_c", "window_min"}, "temperatures of fats and lye"},
		{"no mould", []string{"mould="}, []string{"mould"}, "mould: whether it fits"},
		{"no wax and no free acid", nil, []string{"combine.cloud_point_c", "combine.clear_c"}, ""},
		{"with a wax", []string{"fats.1.material=beeswax"}, []string{"makeup.sap_calculated"}, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			p := planJSON(t, "../../recipes/plain-tow.toml", c.set...)
			checkPlanJSON(t, p)
			for _, path := range c.nulls {
				if v := valuesAt(p, strings.Split(path, "."))[0]; kindOf(v) != "null" {
					t.Errorf("%s is %v, want null", path, v)
				}
			}
			said := slices.ContainsFunc(list(p, "findings"), func(f map[string]any) bool {
				return f["severity"] == "note" && strings.Contains(f["because"].(string), c.note)
			})
			if c.note != "" && !said {
				t.Errorf("no note says why")
			}
		})
	}
}

// A found recipe has nothing set; its lye is as written.
func TestFoundRecipeJSON(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "found.toml")
	text := "format = 1\nname = \"Found\"\nwater = \"250 g\"\n[size]\nfats = \"880 g\"\n" +
		"[[alkali]]\nmaterial = \"naoh\"\npurity = \"98.5 %\"\namount = \"120.7 g\"\n[[fats]]\nmaterial = \"olive\"\nshare = \"100 %\"\n"
	if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	p := planJSON(t, file)
	checkPlanJSON(t, p)
	if set := object(p, "superfat_pct")["set"]; set != nil {
		t.Errorf("set is %v, want null", set)
	}
	a := list(p, "alkali")[0]
	if a["mass_g"] != 120.7 || a["weigh_g"] != 120.0 || p["water_g"] != 250.0 {
		t.Errorf("alkali %v, weighed %v, water %v: want them as written, the alkali rounded down", a["mass_g"], a["weigh_g"], p["water_g"])
	}
}

// planJSON runs barwright plan FILE --json and decodes what it prints.
func planJSON(t *testing.T, file string, set ...string) map[string]any {
	t.Helper()
	args := []string{"plan", file, "--json"}
	for _, s := range set {
		args = append(args, "--set", s)
	}
	var out, errs bytes.Buffer
	if status := run(args, context{nil, &out, &errs}); status == exitBadInput {
		t.Fatal(errs.String())
	}
	var p map[string]any
	if err := json.Unmarshal(out.Bytes(), &p); err != nil {
		t.Fatal(err)
	}
	return p
}

func object(v map[string]any, path ...string) map[string]any {
	for _, name := range path {
		v = v[name].(map[string]any)
	}
	return v
}

func list(v map[string]any, name string) (out []map[string]any) {
	for _, entry := range v[name].([]any) {
		out = append(out, entry.(map[string]any))
	}
	return out
}

// No number has more than nine significant digits, the same file always prints
// the same, and what stands in quotes is left alone.
func TestNumbersAreShort(t *testing.T) {
	t.Parallel()
	print := func(file string) string {
		var out, errs bytes.Buffer
		if status := run([]string{"plan", file, "--json"}, context{nil, &out, &errs}); status == exitBadInput {
			t.Fatal(errs.String())
		}
		return out.String()
	}
	number := regexp.MustCompile(`(?m)(?:^ *|": )(-?[0-9.]+)(?:e[-+][0-9]+)?,?$`)
	for _, file := range []string{"../../recipes/plain-tow.toml", "../../recipes/wax-rind.toml", "../../recipes/hive-reserve.toml"} {
		out := print(file)
		found := number.FindAllStringSubmatch(out, -1)
		for _, m := range found {
			if n := strings.TrimLeft(strings.NewReplacer("-", "", ".", "").Replace(m[1]), "0"); len(n) > digits {
				t.Errorf("%s: %s", file, m[1])
			}
		}
		if len(found) < 100 || print(file) != out {
			t.Errorf("%s: %d numbers; printed twice, it differs", file, len(found))
		}
		if strings.ContainsAny(out, "\u00a0\u202f") {
			t.Errorf("%s holds spaces that no other program expects", file)
		}
	}
	for in, want := range map[string]string{
		`[192.50000000000003,-0.1234567894,1e-7,0.00000012345678949]`: `[192.5,-0.123456789,1e-7,1.23456789e-07]`,
		`{"a 192.50000000000003 \" 1.00000000001":1.00000000001}`:     `{"a 192.50000000000003 \" 1.00000000001":1}`,
		`[123456789012,12345678]`:                                     `[1.23456789e+11,12345678]`,
	} {
		if got := string(shortNumbers([]byte(in))); got != want || !json.Valid([]byte(got)) {
			t.Errorf("%s becomes %s, want %s", in, got, want)
		}
	}
}

// The parts of a lye-heavy bar come to 100 %, with the free alkali as one.
func TestFreeAlkaliJSON(t *testing.T) {
	t.Parallel()
	file := filepath.Join(t.TempDir(), "heavy.toml")
	text := "format = 1\nname = \"Heavy\"\nwater = \"534 g\"\n[[alkali]]\nmaterial = \"naoh\"\npurity = \"98.5 %\"\namount = \"320 g\"\n" +
		"[[fats]]\nmaterial = \"olive\"\namount = \"1880 g\"\n"
	if err := os.WriteFile(file, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, when := range []string{"fresh_pct", "cured_pct"} {
		parts, sum := object(planJSON(t, file), "bar", when), 0.0
		for _, v := range parts {
			sum += v.(float64)
		}
		if free, ok := parts["free_alkali"].(float64); !ok || free < 1 || math.Abs(sum-100) > 1e-6 {
			t.Errorf("%s comes to %g %%: %v", when, sum, parts)
		}
	}
}

func BenchmarkShortNumbers(b *testing.B) {
	var out, errs bytes.Buffer
	if status := run([]string{"plan", "../../recipes/plain-tow.toml", "--json"}, context{nil, &out, &errs}); status != exitDone {
		b.Fatal(errs.String())
	}
	for b.Loop() {
		shortNumbers(out.Bytes())
	}
}
