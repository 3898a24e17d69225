package makeup

import "testing"

// The order that was measured in soap at 60 °C (K. Dunn 2004): BHT with a
// chelator and rosemary with EDTA kept beyond 300 h, BHT best; rosemary with
// citrate was worse than rosemary alone; tocopherol was poor with citrate too.
func TestKeepersInTheMeasuredOrder(t *testing.T) {
	t.Parallel()
	exposure := func(keepers ...string) float64 { return Oxidation(2, 5, keepers) }
	none := exposure()
	near(t, "no keeper: Cox 2 × 1.25", none, 2.5, 1e-12)
	best := exposure("bht", "citrate")
	if got := exposure("edta", "bht"); got != best {
		t.Errorf("BHT with EDTA %.2f, with citrate %.2f", got, best)
	}
	if !(best < exposure("rosemary", "edta") && exposure("rosemary", "edta") < exposure("rosemary") && exposure("rosemary") < exposure("rosemary", "citrate")) {
		t.Errorf("order: %.2f, %.2f, %.2f, %.2f", best, exposure("rosemary", "edta"), exposure("rosemary"), exposure("rosemary", "citrate"))
	}
	for _, keepers := range [][]string{{"tocopherol"}, {"tocopherol", "citrate"}, {"citrate"}, {"edta"}, {"unheard of"}} {
		if got := exposure(keepers...); got != none {
			t.Errorf("%v: %.2f, want %.2f", keepers, got, none)
		}
	}
	if got := exposure("rosemary", "citrate", "edta"); got != none {
		t.Errorf("a mix nobody tried: %.2f, want no credit", got)
	}
	near(t, "superfat below nothing counts as nothing", Oxidation(2, -5, nil), 2, 0)
}
