package stock_test

import (
	"math"
	"reflect"
	"testing"
	"time"

	"pgregory.net/rapid"

	"barwright/batch"
	"barwright/stock"
)

var noon = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

// By hand: 1 kg counted at noon; 484 g weighed before noon are in that figure,
// 300 and 200 g after it are not.
func TestLess(t *testing.T) {
	t.Parallel()
	taken := []batch.Taken{{Lot: "late", G: 484, At: noon.Add(-time.Hour)}, {Lot: "late", G: 300, At: noon.Add(time.Minute)}, {Lot: "late", G: 200, At: noon.Add(time.Hour)},
		{Lot: "soon", G: 350, At: noon.Add(time.Minute)}, {Lot: "held", G: 9000, At: noon.Add(time.Minute)}, {Lot: "unknown", G: 5, At: noon.Add(time.Minute)}}
	counted := map[string]time.Time{"late": noon, "soon": noon, "held": noon}
	now, over := shelf().Less(taken, counted)
	want := map[string]string{"late": "0.5 kg", "soon": "", "held": "", "empty": "", "own_wax": "200 g", "gift": "500 g"}
	for _, l := range now {
		got := ""
		if l.OnHand != nil {
			got = l.OnHand.String()
		}
		if got != want[l.ID] {
			t.Errorf("%s has %q, want %q", l.ID, got, want[l.ID])
		}
	}
	if len(over) != 1 || math.Abs(over["soon"]-50) > 1e-9 {
		t.Errorf("over %v", over)
	}
	before := shelf()
	before.Less(taken, counted)
	if !reflect.DeepEqual(before, shelf()) {
		t.Error("the shelf changed")
	}
}

// The figure counts from the revision that changed it, not from one that
// changed the price.
func TestCountedAt(t *testing.T) {
	t.Parallel()
	at := []time.Time{noon, noon.Add(time.Hour), noon.Add(2 * time.Hour), noon.Add(3 * time.Hour)}
	bodies := []string{"id = 'a'\non_hand = '2 kg'\n", "id = 'a'\non_hand = '1.5 kg'\n", "id = 'a'\non_hand = '1.5 kg'\nprice = '4 / kg'\n", "not [toml"}
	for n, want := range []time.Time{{}, at[0], at[1], at[1], at[1]} {
		if got := stock.CountedAt(bodies[:n], at[:n]); !got.Equal(want) {
			t.Errorf("of %d revisions: %v, want %v", n, got, want)
		}
	}
}

// Laws: nothing is below nothing; what is left, what was taken and what is over
// balance; the order of the takings does not matter.
func TestLessLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawShelf(t)
		var taken []batch.Taken
		gone := map[string]float64{}
		for range rapid.IntRange(0, 10).Draw(t, "takings") {
			if len(s) == 0 {
				break
			}
			l := rapid.SampledFrom(s).Draw(t, "lot")
			g := float64(rapid.IntRange(1, 900).Draw(t, "g"))
			taken = append(taken, batch.Taken{Lot: l.ID, G: g, At: noon})
			gone[l.ID] += g
		}
		now, over := s.Less(taken, nil)
		for i, l := range now {
			if got, want := l.LeftG()-over[l.ID], s[i].LeftG()-gone[l.ID]; math.Abs(got-want) > 0.051 || l.LeftG() < 0 {
				t.Fatalf("%s: %g left and %g over, want %g", l.ID, l.LeftG(), over[l.ID], want)
			}
		}
		for i, j := 0, len(taken)-1; i < j; i, j = i+1, j-1 {
			taken[i], taken[j] = taken[j], taken[i]
		}
		if again, _ := s.Less(taken, nil); !reflect.DeepEqual(now, again) {
			t.Fatal("the order matters")
		}
	})
}
