package main

import (
	"bytes"
	gocontext "context"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"barwright/demo"
	"barwright/store"
)

// formulateContract lists every name of "formulate --json" that other programs
// rely on, in the form of contract.
var formulateContract = strings.Fields(`
	status:string objective:?number proof:object proof.bound:?number proof.gap:?number proof.nodes:number
	recipes:list recipes[].objective:number recipes[].fats:list recipes[].fats[].material:string recipes[].fats[].share_pct:number
	recipes[].makeup:object recipes[].makeup.groups_pct.poly:number recipes[].makeup.iodine_value:number recipes[].makeup.cox:number
	recipes[].makeup.sap_mg_koh_g:number recipes[].makeup.dissolving_pct.20c:number
	recipes[].findings:list recipes[].findings[].id:string recipes[].findings[].severity:string
	conflict:list relaxations:list relaxations[].limit:string relaxations[].to:?string`)

// formulateJSON runs the command and returns its answer and exit status.
func formulateJSON(t *testing.T, args ...string) (map[string]any, int) {
	t.Helper()
	var out, errs bytes.Buffer
	exit := run(append([]string{"formulate", "--json"}, args...), context{strings.NewReader(""), &out, &errs})
	var a map[string]any
	if err := json.Unmarshal(out.Bytes(), &a); err != nil {
		t.Fatalf("%v\n%s%s", err, out.String(), errs.String())
	}
	return a, exit
}

func TestContractOfFormulateJSON(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("../../goals/*.toml")
	if err != nil || len(files) < 5 {
		t.Fatalf("%d goals, want five at least (%v)", len(files), err)
	}
	for _, file := range files {
		if strings.Contains(file, "shelf") {
			continue // below
		}
		t.Run(filepath.Base(file), func(t *testing.T) {
			t.Parallel()
			a, exit := formulateJSON(t, file)
			checkAnswer(t, a)
			if infeasible := a["status"] == "infeasible"; infeasible != (exit == exitStop) || infeasible != (len(conflicts(a)) > 0) {
				t.Errorf("%v ended with %d", a["status"], exit)
			}
		})
	}
}

func checkAnswer(t *testing.T, a map[string]any) {
	t.Helper()
	for _, entry := range formulateContract {
		path, kind, _ := strings.Cut(entry, ":")
		checkKind(t, path, kind, valuesAt(a, strings.Split(path, ".")))
	}
	if _, ok := object(a, "proof")["exact"].(bool); !ok {
		t.Error("proof.exact is no boolean")
	}
	last := math.Inf(-1)
	for _, r := range list(a, "recipes") {
		sum := 0.0
		for _, f := range list(r, "fats") {
			sum += f["share_pct"].(float64)
		}
		if o := r["objective"].(float64); math.Abs(sum-100) > 1e-9 || o < last {
			t.Errorf("shares come to %g, objective %g after %g", sum, o, last)
		} else {
			last = o
		}
	}
}

// demoData is a data folder with the demo workshop.
func demoData(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	s, err := store.Open(gocontext.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := demo.Fill(gocontext.Background(), s, demo.NinthLock, time.Date(2026, 5, 1, 0, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	return dir
}

// With the shelf of the demo workshop: fats come by lot, none more than there
// is of it, none that is on hold or used up.
func TestFormulateFromTheShelf(t *testing.T) {
	t.Parallel()
	data := demoData(t)
	a, exit := formulateJSON(t, "../../goals/from-the-shelf.toml", "--data", data)
	if exit != exitDone || a["status"] != "optimal" {
		t.Fatalf("%d %v %v", exit, a["status"], a["conflict"])
	}
	checkAnswer(t, a)
	for _, r := range list(a, "recipes") {
		for _, f := range list(r, "fats") {
			if f["lot"] == nil || f["lot"] == "lrd_1" {
				t.Errorf("%v comes from %v", f["material"], f["lot"])
			}
		}
	}
	// The shelf has 0.216 kg of one own wax: a batch of 50 kg cannot have 2 % of it.
	goal := filepath.Join(t.TempDir(), "wax.toml")
	text := "format = 1\nbatch = \"50 kg\"\nshelf = true\n[[limits]]\nquantity = \"hard_wax\"\nmin = \"2 %\"\n[[limits]]\nquantity = \"own\"\nmin = \"2 %\"\n[objective]\nminimise = \"distance\"\n[[objective.targets]]\nquantity = \"poly\"\nvalue = \"9 %\"\n"
	if err := os.WriteFile(goal, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	a, exit = formulateJSON(t, goal, "--data", data)
	said := strings.Join(conflicts(a), "; ")
	if exit != exitStop || !strings.Contains(said, "wxo") || !strings.Contains(said, "own min") {
		t.Errorf("%d: %s", exit, said)
	}
}

func conflicts(a map[string]any) (out []string) {
	for _, c := range a["conflict"].([]any) {
		out = append(out, c.(string))
	}
	return out
}
