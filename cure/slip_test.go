package cure

import "testing"

// Slips of the hand by what was meant, worked by hand.
func TestSlips(t *testing.T) {
	t.Parallel()
	expected := Range{84.5, 85.3, 86.5}
	for _, c := range []struct{ typed, meant float64 }{{58.4, 85.4}, {854, 85.4}, {8.53, 85.3}, {3.01, 3.01 * 28.349523125}, {0.853, 85.3}} {
		if got := Slips(c.typed, expected); len(got) == 0 || got[0] < c.meant-1e-9 || got[0] > c.meant+1e-9 {
			t.Errorf("%g typed: meant %v, want %g", c.typed, got, c.meant)
		}
	}
	for _, typed := range []float64{85.2, 70} {
		if got := Slips(typed, expected); len(got) > 0 {
			t.Errorf("%g typed: meant %v", typed, got)
		}
	}
}

// A series of the demo's law, cut off at day 14: what is said of the later days
// is what the law gives, to 1.5 g, with the weight in range; a mistyped one is
// not among those that are judged, and a drifting scale is missed.
func TestPredictedBesideGot(t *testing.T) {
	t.Parallel()
	b := Bar{WaterFraction: 0.2, DrySoapFraction: 0.8}
	var series []Weighing
	weights := []float64{110, 107.1, 105.0, 103.1, 102.0, 101.2, 100.2, 99.6} // 110 (1 − 0.1 F), F of two terms, by hand to 0.1 g
	for i, day := range []float64{0, 3, 7, 14, 21, 28, 42, 60} {
		series = append(series, Weighing{Day: day, MassG: weights[i]})
	}
	got, err := PredictedBesideGot(b, b.Prior(), series, 14)
	if err != nil || len(got) != 4 {
		t.Fatalf("%v: %v", got, err)
	}
	for i, g := range got {
		if g.Day != series[4+i].Day || g.GotG != weights[4+i] || g.FromDay != 14 {
			t.Errorf("%+v", g)
		}
		if g.Missed() || g.Predicted.Middle-g.GotG > 1.5 || g.GotG-g.Predicted.Middle > 1.5 {
			t.Errorf("day %g: said %.1f (%.1f to %.1f), was %.1f", g.Day, g.Predicted.Middle, g.Predicted.Low, g.Predicted.High, g.GotG)
		}
	}
	slipped := append([]Weighing(nil), series...)
	slipped[5].MassG = 31.1
	if got, err = PredictedBesideGot(b, b.Prior(), slipped, 14); err != nil || len(got) != 3 {
		t.Errorf("with a mistyped weight: %v, %v", got, err)
	}
	if !(Got{Predicted: Range{100, 101, 102}, GotG: 99}).Missed() || !(Got{Predicted: Range{100, 101, 102}, GotG: 103}).Missed() {
		t.Error("a miss is none")
	}
	if got, _ = PredictedBesideGot(b, b.Prior(), series[1:], 0.5); got != nil {
		t.Errorf("nothing was known, and %v was said", got)
	}
}
