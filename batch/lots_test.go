package batch_test

import (
	"strings"
	"testing"
	"time"

	"barwright/batch"
)

// What two lots gave is what was weighed: another sum is refused, and a
// correction takes from the last one first.
func TestTwoLots(t *testing.T) {
	t.Parallel()
	split := func(a, b float64) batch.Weighed {
		return batch.Weighed{Step: "weigh.fats.0", G: g(a + b), From: []batch.Part{{Lot: "tlw_7", G: g(a)}, {Lot: "tlw_8", G: g(b)}}}
	}
	bad := split(120, 72)
	bad.G = g(200)
	e := batch.Event{ID: "a", Device: "d", Seq: 1, At: nine, Do: bad}
	if err := e.Check(); err == nil || !strings.Contains(err.Error(), "192 g of the lots, 200 g weighed") {
		t.Error(err)
	}
	for _, test := range []struct{ to, first, last float64 }{{195, 120, 75}, {150, 120, 30}, {100, 100, 0}} {
		p := newPhone("a")
		of := p.do(0, split(120, 72))
		p.do(time.Minute, batch.Corrected{Of: of.ID, G: g(test.to), Why: "misread"})
		s := with(t, loaf(t), p)
		taken := s.Taken()
		if len(taken) != 2 || taken[0].G != test.first || taken[1].G != test.last {
			t.Errorf("corrected to %g: %+v", test.to, taken)
		}
	}
}
