package stock_test

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"barwright/quantity"
	"barwright/stock"
)

func must[T any](v T, err error) *T {
	if err != nil {
		panic(err)
	}
	return &v
}

func mass(text string) *quantity.Mass   { return must(quantity.ParseMass(text)) }
func day(text string) *quantity.Date    { return must(quantity.ParseDate(text)) }
func price(text string) *quantity.Price { return must(quantity.ParsePrice(text)) }

// shelf is a small one with everything that matters to taking.
func shelf() stock.Shelf {
	return stock.Shelf{
		{ID: "late", Of: "tallow_beef", OnHand: mass("1 kg"), Price: price("4 / kg"), BestBefore: day("2027-06-30")},
		{ID: "soon", Of: "tallow_beef", OnHand: mass("300 g"), Price: price("6 / kg"), BestBefore: day("2026-12-31")},
		{ID: "held", Of: "tallow_beef", OnHand: mass("9 kg"), Price: price("1 / kg"), BestBefore: day("2026-11-01"), Held: "spots"},
		{ID: "empty", Of: "tallow_beef", Price: price("1 / kg")},
		{ID: "own_wax", Of: "beeswax", OnHand: mass("200 g"), Own: true},
		{ID: "gift", Of: "coconut", OnHand: mass("500 g")},
	}
}

// Worked by hand: 300 g at 6 a kilo and 200 g at 4 a kilo are 1.80 + 0.80.
func TestTake(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		need   stock.Need
		from   string
		short  float64
		cost   float64
		priced bool
		held   int
	}{
		{"the one that spoils first, then the next", stock.Need{Material: "tallow_beef", MassG: 500}, "soon 300, late 200", 0, 2.60, true, 1},
		{"a lot by its name", stock.Need{Material: "late", MassG: 500}, "late 500", 0, 2.00, true, 0},
		{"more than there is", stock.Need{Material: "tallow_beef", MassG: 2000}, "soon 300, late 1000", 700, 5.80, false, 1},
		{"a held lot by its name", stock.Need{Material: "held", MassG: 100}, "", 100, 0, false, 1},
		{"used up", stock.Need{Material: "empty", MassG: 100}, "", 100, 0, false, 0},
		{"our own costs nothing", stock.Need{Material: "beeswax", MassG: 20}, "own_wax 20", 0, 0, true, 0},
		{"bought without a price", stock.Need{Material: "coconut", MassG: 20}, "gift 20", 0, 0, false, 0},
		{"nothing of it", stock.Need{Material: "olive", MassG: 20}, "", 20, 0, false, 0},
		{"none needed", stock.Need{Material: "tallow_beef", MassG: 0}, "", 0, 0, true, 1},
	} {
		got := shelf().Take([]stock.Need{c.need})[0]
		from := ""
		for i, p := range got.From {
			if i > 0 {
				from += ", "
			}
			from += fmt.Sprintf("%s %.0f", p.Lot.ID, p.MassG)
		}
		if from != c.from || math.Abs(got.ShortG-c.short) > 1e-9 || math.Abs(got.Cost-c.cost) > 1e-9 || got.Priced != c.priced || len(got.Held) != c.held {
			t.Errorf("%s: %s, short %g, cost %g (%v), %d held; want %s, %g, %g (%v), %d", c.name, from, got.ShortG, got.Cost, got.Priced, len(got.Held), c.from, c.short, c.cost, c.priced, c.held)
		}
	}
}

// Two lines that need one lot share it: what the first takes the second lacks.
func TestTakeTwice(t *testing.T) {
	t.Parallel()
	got := shelf().Take([]stock.Need{{Material: "soon", MassG: 250}, {Material: "tallow_beef", MassG: 1100}})
	if got[0].ShortG != 0 || got[1].LeftG != 1050 || math.Abs(got[1].ShortG-50) > 1e-9 {
		t.Errorf("%+v", got)
	}
	whole := shelf()
	whole.Take([]stock.Need{{Material: "tallow_beef", MassG: 1100}})
	if !reflect.DeepEqual(whole, shelf()) {
		t.Error("taking changed the shelf")
	}
}

// Worked by hand: 1 kg at 4, 0.3 kg at 6 and 9 held kg at 1; the gift has no
// price, our own wax needs none, and what is used up is worth nothing.
func TestWorth(t *testing.T) {
	t.Parallel()
	if money, unpriced := shelf().Worth(); math.Abs(money-14.8) > 1e-9 || unpriced != 1 {
		t.Errorf("%g, %d without a price", money, unpriced)
	}
	if money, unpriced := (stock.Shelf{{ID: "a", Of: "olive"}}).Worth(); money != 0 || unpriced != 0 {
		t.Errorf("used up: %g, %d", money, unpriced)
	}
}

var materials = []string{"tallow_beef", "coconut", "beeswax"}

func drawShelf(t *rapid.T) stock.Shelf {
	s := make(stock.Shelf, rapid.IntRange(0, 8).Draw(t, "lots"))
	for i := range s {
		l := stock.Lot{ID: fmt.Sprintf("lot_%d", i), Of: rapid.SampledFrom(materials).Draw(t, "of"), Own: rapid.Bool().Draw(t, "own")}
		if g := rapid.IntRange(0, 2000).Draw(t, "on hand"); g > 0 {
			l.OnHand = mass(fmt.Sprintf("%d g", g))
		}
		if rapid.Bool().Draw(t, "priced") {
			l.Price = price(fmt.Sprintf("%d / kg", rapid.IntRange(0, 100).Draw(t, "price")))
		}
		if rapid.Bool().Draw(t, "dated") {
			l.BestBefore = day(fmt.Sprintf("20%02d-0%d-15", rapid.IntRange(24, 30).Draw(t, "year"), rapid.IntRange(1, 9).Draw(t, "month")))
		}
		if rapid.IntRange(0, 3).Draw(t, "held") == 0 {
			l.Held = "because"
		}
		s[i] = l
	}
	return s
}

func drawNeeds(t *rapid.T, s stock.Shelf) []stock.Need {
	names := slices.Clone(materials)
	for _, l := range s {
		names = append(names, l.ID)
	}
	needs := make([]stock.Need, rapid.IntRange(1, 6).Draw(t, "needs"))
	for i := range needs {
		needs[i] = stock.Need{Material: rapid.SampledFrom(names).Draw(t, "need"), MassG: rapid.Float64Range(0, 3000).Draw(t, "mass")}
	}
	return needs
}

// Laws of taking: never more of a lot than is there, never from a held one,
// only from lots that are meant; what is taken and what is short make the
// need; the cost is that of the parts; nothing is short while a lot that may be
// used still has some; and a lot is only begun when those that spoil before it
// are used up.
func TestTakeLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		s := drawShelf(t)
		needs := drawNeeds(t, s)
		gone := map[string]float64{}
		for i, got := range s.Take(needs) {
			sum, cost, priced := 0.0, 0.0, true
			for _, p := range got.From {
				gone[p.Lot.ID] += p.MassG
				sum += p.MassG
				switch {
				case p.Lot.Held != "":
					t.Fatalf("takes %g g of the held %s", p.MassG, p.Lot.ID)
				case p.MassG <= 0 || p.Lot.ID != needs[i].Material && p.Lot.Of != needs[i].Material:
					t.Fatalf("takes %g g of %s for %s", p.MassG, p.Lot.ID, needs[i].Material)
				case gone[p.Lot.ID] > p.Lot.LeftG()*(1+1e-12):
					t.Fatalf("takes %g g of %s, which has %g", gone[p.Lot.ID], p.Lot.ID, p.Lot.LeftG())
				}
				if p.Lot.Price != nil {
					cost += p.MassG * p.Lot.Price.Amount / 1000
				} else {
					priced = priced && p.Lot.Own
				}
			}
			if math.Abs(sum+got.ShortG-needs[i].MassG) > 1e-9 || math.Abs(cost-got.Cost) > 1e-9 {
				t.Fatalf("took %g and is short %g of %g; cost %g, want %g", sum, got.ShortG, needs[i].MassG, got.Cost, cost)
			}
			if want := priced && got.ShortG < 0.05; want != got.Priced {
				t.Fatalf("priced %v, want %v", got.Priced, want)
			}
			checkOrder(t, s, needs[i], got, gone)
		}
	})
}

func checkOrder(t *rapid.T, s stock.Shelf, need stock.Need, got stock.Taken, gone map[string]float64) {
	usable := slices.DeleteFunc(slices.Clone(s), func(l stock.Lot) bool { return l.Held != "" || l.ID != need.Material && l.Of != need.Material })
	for _, l := range usable {
		left := l.LeftG() - gone[l.ID]
		if got.ShortG > 1e-9 && left > 1e-9 {
			t.Fatalf("short %g g while %s has %g", got.ShortG, l.ID, left)
		}
		for _, p := range got.From {
			if left > 1e-9 && l.BestBefore != nil && (p.Lot.BestBefore == nil || cmp.Compare(l.BestBefore.String(), p.Lot.BestBefore.String()) < 0) {
				t.Fatalf("takes from %s while %s, which spoils before it, has %g g", p.Lot.ID, l.ID, left)
			}
		}
	}
}
