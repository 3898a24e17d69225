package web

import (
	"context"
	"fmt"
	"slices"
	"sync"
	"time"

	"barwright/batch"
	"barwright/stock"
)

// nowShelf is the shelf as it is now: every lot less what batches weighed out
// of it since its figure was last changed.
type nowShelf struct {
	Lots    stock.Shelf
	Counted stock.Shelf        // the same lots, as they were written down
	Over    map[string]float64 // how much more than was there went out of a lot [g]
	Untold  []string           // codes of batches that cannot be told any more: what they took is not known
}

// shelfNow works the shelf out. What a batch took is worked out once for so
// many taps of it, when a lot was counted once for each revision.
func (a *App) shelfNow(ctx context.Context) (n nowShelf, err error) {
	if n.Counted, err = a.shelf(ctx); err != nil {
		return n, err
	}
	taps, err := a.store.Taps(ctx)
	if err != nil {
		return n, err
	}
	var all []batch.Taken
	for id, count := range taps {
		t, err := a.takenBy(ctx, id, count)
		if err != nil {
			return n, err
		}
		all = append(all, t.lots...)
		if t.untold != "" {
			n.Untold = append(n.Untold, t.untold)
		}
	}
	slices.Sort(n.Untold)
	counted, err := a.countedAt(ctx)
	if err != nil {
		return n, err
	}
	n.Lots, n.Over = n.Counted.Less(all, counted)
	return n, nil
}

// Shelf is every lot of the workshop with what is left of it now.
func (a *App) Shelf(ctx context.Context) (stock.Shelf, error) {
	now, err := a.shelfNow(ctx)
	return now.Lots, err
}

// gone is what went off the shelf, at hand.
type gone struct {
	mu      sync.Mutex
	taken   map[string]takenBy   // by batch
	counted map[string]countedAt // by lot
}

// takenBy is what one batch took, at so many taps of it; untold is the code of
// one that cannot be told any more.
type takenBy struct {
	taps   int
	lots   []batch.Taken
	untold string
}

type countedAt struct {
	rev int
	at  time.Time
}

func (a *App) takenBy(ctx context.Context, id string, taps int) (t takenBy, err error) {
	a.gone.mu.Lock()
	t, known := a.gone.taken[id]
	a.gone.mu.Unlock()
	if known && t.taps == taps {
		return t, nil
	}
	b, err := a.store.Batch(ctx, id)
	if err != nil {
		return t, err
	}
	t = takenBy{taps: taps}
	if sh, bad := a.sheetOf(b); bad != nil {
		t.untold = b.Code
	} else {
		events, err := a.store.Events(ctx, id)
		if err != nil {
			return t, err
		}
		t.lots, t.taps = sh.Replay(events).Taken(), len(events)
	}
	a.gone.mu.Lock()
	a.gone.taken[id] = t
	a.gone.mu.Unlock()
	return t, nil
}

// countedAt is when the figure on hand of every lot was last changed.
func (a *App) countedAt(ctx context.Context) (map[string]time.Time, error) {
	lots, err := a.store.Things(ctx, kindLot)
	if err != nil {
		return nil, err
	}
	out := map[string]time.Time{}
	for _, l := range lots {
		a.gone.mu.Lock()
		c, known := a.gone.counted[l.ID]
		a.gone.mu.Unlock()
		if !known || c.rev != l.Rev {
			revisions, err := a.store.History(ctx, kindLot, l.ID) // the newest first
			if err != nil {
				return nil, err
			}
			var bodies []string
			var at []time.Time
			for _, h := range slices.Backward(revisions) {
				bodies, at = append(bodies, h.Body), append(at, h.MadeAt)
			}
			c = countedAt{l.Rev, stock.CountedAt(bodies, at)}
			a.gone.mu.Lock()
			a.gone.counted[l.ID] = c
			a.gone.mu.Unlock()
		}
		out[l.ID] = c.at
	}
	return out, nil
}

// overWords says which lots gave more than they had, and which batches took
// what nobody knows.
func (n nowShelf) overWords() (out []string) {
	for _, l := range n.Counted {
		if g := n.Over[l.ID]; g > 0 {
			out = append(out, fmt.Sprintf("%s g more were weighed out of %s than it had: count it anew", scaleNumber(g), l.Label()))
		}
	}
	for _, code := range n.Untold {
		out = append(out, "what batch "+code+" took is not known: it cannot be told any more")
	}
	return out
}

// sinceWords says of one lot what was weighed out since it was counted, "" when
// nothing was.
func (n nowShelf) sinceWords(id string) string {
	is := func(l stock.Lot) bool { return l.ID == id }
	i, j := slices.IndexFunc(n.Counted, is), slices.IndexFunc(n.Lots, is)
	if i < 0 || j < 0 {
		return ""
	}
	was, left := n.Counted[i].LeftG(), n.Lots[j].LeftG()
	if was == left {
		return ""
	}
	return fmt.Sprintf("Batches weighed %s\u202fg out of it since “on hand” was last changed: %s\u202fg are left now. Write another figure when you count it anew.", scaleNumber(was-left+n.Over[id]), scaleNumber(left))
}
