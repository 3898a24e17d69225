package stock

import (
	"time"

	"github.com/pelletier/go-toml/v2"

	"barwright/batch"
	"barwright/quantity"
)

// The shelf is not written down anew by every weighing. What a lot has on hand
// was counted when its figure last changed; what batches weighed out of it since
// then is gone.

// CountedAt returns when the figure on hand of a lot was last changed, of its
// revisions, the oldest first: bodies are lot files, at when each was saved. A
// revision that changes something else counts nothing. The zero time is a lot
// without revisions.
func CountedAt(bodies []string, at []time.Time) (counted time.Time) {
	last := ""
	for i, body := range bodies {
		var l struct {
			OnHand string `toml:"on_hand"`
		}
		if toml.Unmarshal([]byte(body), &l) != nil {
			continue // it changes nothing that can be read
		}
		if i == 0 || l.OnHand != last {
			counted, last = at[i], l.OnHand
		}
	}
	return counted
}

// Less returns the shelf as it is now: every lot less what was taken since it
// was counted, in the unit it was written in, and never below nothing. The
// shelf stays as it is. Over says how much more than was there the batches
// weighed out of a lot [g]: its figure is wrong.
func (s Shelf) Less(taken []batch.Taken, counted map[string]time.Time) (now Shelf, over map[string]float64) {
	gone := map[string]float64{}
	for _, t := range taken {
		if t.At.After(counted[t.Lot]) {
			gone[t.Lot] += t.G
		}
	}
	over = map[string]float64{}
	for _, l := range s {
		if g := gone[l.ID]; g > 0 {
			left := l.LeftG() - g
			if left < -unweighedG {
				over[l.ID] = -left
			}
			l.OnHand = inUnitOf(l.OnHand, left)
		}
		now = append(now, l)
	}
	return now, over
}

// inUnitOf is so much in the unit of another mass, nil for nothing.
func inUnitOf(m *quantity.Mass, g float64) *quantity.Mass {
	if m == nil || g <= unweighedG {
		return nil
	}
	left, err := quantity.ParseMass(quantity.ShowIn(g, m.Unit, 6))
	if err != nil {
		return nil // less than can be written
	}
	return &left
}
