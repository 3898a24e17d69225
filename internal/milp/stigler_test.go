package milp_test

import (
	"bytes"
	"context"
	_ "embed"
	"encoding/csv"
	"math"
	"strconv"
	"testing"

	"barwright/internal/milp"
)

// The table A of G. J. Stigler, The cost of subsistence, Journal of Farm
// Economics 27, 1945: what a dollar's worth of 77 foods held in August 1939.
// Recalled, not copied from the page; figures of foods that are in no cheap
// diet could be wrong without a trace.
//
//go:embed testdata/stigler.csv
var stigler []byte

// A man's needs of a day, by the same paper (recalled).
var stiglerNeeds = []float64{3, 70, 0.8, 12, 5, 1.8, 2.7, 18, 75}

// Stigler's diet: 39.66 dollars a year, of flour, liver, cabbage, spinach and
// navy beans, as it is given where its solution by computer is told (recalled,
// as are the dollars for each: 10.774, 0.691, 4.093, 1.828 and 22.275). By hand,
// in 1947, it had come to 39.69.
func TestStiglersDiet(t *testing.T) {
	t.Parallel()
	rows, err := csv.NewReader(bytes.NewReader(stigler)).ReadAll()
	if err != nil || len(rows) != 78 {
		t.Fatalf("%d lines, %v", len(rows), err)
	}
	var m milp.Model
	holds := make([][]milp.Term, len(stiglerNeeds))
	for j, row := range rows[1:] {
		m.Add(milp.Var{Name: row[0], High: 10, Cost: 1})
		for i := range holds {
			v, err := strconv.ParseFloat(row[i+1], 64)
			if err != nil {
				t.Fatal(err)
			}
			holds[i] = append(holds[i], milp.Term{Var: j, Coef: v})
		}
	}
	for i, terms := range holds {
		m.AddRow(rows[0][i+1], stiglerNeeds[i], inf, terms...)
	}
	s := milp.Solve(context.Background(), m, recorded)
	if s.Status != milp.Optimal {
		t.Fatal(s.Status)
	}
	mustHold(t, m, s)
	want := map[string]float64{"wheat flour": 10.774, "beef liver": 0.691, "cabbage": 4.093, "spinach": 1.828, "dried navy beans": 22.275}
	cost, _ := s.Objective.Float64()
	if math.Abs(365*cost-39.6617) > 5e-5 {
		t.Errorf("%.5f dollars a year, not 39.6617", 365*cost)
	}
	for j, v := range s.Float() {
		if name := rows[j+1][0]; math.Abs(365*v-want[name]) > 6e-4 {
			t.Errorf("%s for %.4f dollars a year, not %.3f", name, 365*v, want[name])
		}
	}
}
