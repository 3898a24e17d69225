package chart

import (
	"encoding/csv"
	"strings"
	"testing"
)

// The picture holds a dot for every point that fits and a word for each that
// does not, says all of it in its description, and the CSV holds the same.
func TestTrade(t *testing.T) {
	t.Parallel()
	trade := Trade{Name: `What <it> costs`, Limit: "Cox value, at most", Comes: "EUR a kilo of fats", Points: []TradePoint{{Value: 1}, {1.1, 4.25, true}, {1.2, 4.02, true}, {1.3, 4.02, true}}}
	for _, picture := range []string{TradeCurve(trade), TradeCurveNarrow(trade)} {
		count, words := elements(t, picture)
		if count["circle"] != 3 || strings.Count(words, "|none|") != 1 {
			t.Errorf("%d dots in %s", count["circle"], words)
		}
		if !strings.Contains(words, "at 1 nothing fits; at 1.1 4.25;") {
			t.Errorf("it is not said: %s", words)
		}
	}
	rows, err := csv.NewReader(strings.NewReader(TradeCSV(trade))).ReadAll()
	if err != nil || len(rows) != 5 || rows[0][0] != "Cox value, at most" || rows[1][1] != "" || rows[2][0] != "1.1" || rows[2][1] != "4.25" {
		t.Errorf("%v %q", err, rows)
	}
}

// One point, equal points and none that fits are drawn without a coordinate
// that is no number, which would panic.
func TestTradeAtTheEdges(t *testing.T) {
	t.Parallel()
	for _, points := range [][]TradePoint{{{5, 1, true}}, {{5, 1, true}, {6, 1, true}}, {{Value: 5}, {Value: 6}}, {{5, 0, true}, {6, 0, true}}, {{6, 1e6, true}, {5, 2e6, true}}} {
		elements(t, TradeCurve(Trade{Name: "n", Limit: "l", Unit: "%", Comes: "c", Points: points}))
	}
}
