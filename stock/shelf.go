package stock

import (
	"cmp"
	"slices"
)

// Need is what a plan needs of one material.
type Need struct {
	Material string // a material's id, or a lot's
	MassG    float64
}

// Taken is what would be taken from the shelf for one need.
type Taken struct {
	Need
	From   []Part
	Held   []Lot   // lots of it that are left and must not be used
	LeftG  float64 // on the shelf before it was taken, all its lots together
	ShortG float64 // what the shelf lacks
	Cost   float64 // of what was taken, where its price is known
	Priced bool    // every gram needed is there and has a price; our own costs none when it has none
}

// Part is what comes from one lot.
type Part struct {
	Lot   Lot
	MassG float64
}

// Shelf is every lot of a workshop.
type Shelf []Lot

// Take returns what a list of needs would take: of the lot itself where a need
// names one, else of the lots of that material, the one that spoils first
// before the others. Held lots are never taken. The shelf stays as it is.
func (s Shelf) Take(needs []Need) []Taken {
	left := map[string]float64{}
	for _, l := range s {
		left[l.ID] = l.LeftG()
	}
	out := make([]Taken, len(needs))
	for i, n := range needs {
		out[i] = s.take(n, left)
	}
	return out
}

func (s Shelf) take(n Need, left map[string]float64) Taken {
	t := Taken{Need: n, ShortG: n.MassG, Priced: true}
	for _, l := range s.of(n.Material) {
		if l.Held != "" {
			if l.LeftG() > 0 {
				t.Held = append(t.Held, l)
			}
			continue
		}
		t.LeftG += left[l.ID]
		g := min(left[l.ID], t.ShortG)
		if g <= 0 {
			continue
		}
		left[l.ID] -= g
		t.ShortG -= g
		t.From = append(t.From, Part{l, g})
		perGram, ok := 0.0, l.Own
		if l.Price != nil {
			perGram, ok = l.Price.PerGram()
		}
		t.Cost += perGram * g
		t.Priced = t.Priced && ok
	}
	t.Priced = t.Priced && t.ShortG < unweighedG
	return t
}

// Worth returns what is left on the shelf has cost, held or not, and how many
// lots of it have no price; our own are not among those.
func (s Shelf) Worth() (money float64, unpriced int) {
	for _, l := range s {
		perGram, known := 0.0, l.Own || l.LeftG() == 0
		if l.Price != nil {
			perGram, known = l.Price.PerGram()
		}
		money += perGram * l.LeftG()
		if !known {
			unpriced++
		}
	}
	return money, unpriced
}

// unweighedG is what no kitchen scale shows: rounding, not a lack [g].
const unweighedG = 0.05

// of returns the lots of a need, in the order they are taken.
func (s Shelf) of(id string) (lots Shelf) {
	for _, l := range s {
		if l.ID == id || l.Of == id {
			lots = append(lots, l)
		}
	}
	return lots.InOrder()
}

// InOrder returns the lots in the order they are taken: what spoils first
// comes first.
func (s Shelf) InOrder() Shelf {
	return slices.SortedStableFunc(slices.Values(s), func(a, b Lot) int {
		return cmp.Or(cmp.Compare(spoils(a), spoils(b)), cmp.Compare(a.ID, b.ID))
	})
}

// spoils sorts lots by best before, then by the day they came in; lots
// without a day come last.
func spoils(l Lot) string {
	switch {
	case l.BestBefore != nil:
		return l.BestBefore.String()
	case l.Received != nil:
		return "8" + l.Received.String()
	}
	return "9"
}
