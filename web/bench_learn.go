package web

import (
	"context"
	"fmt"
	"slices"
	"sync"

	"barwright/batch"
	"barwright/plan"
	"barwright/window"
)

// windowLearned is what the maker's own batches say about the working time of
// the next one.
type windowLearned struct {
	Words  string // "" while there is nothing to learn from
	Skip   bool   // this batch is planned without
	Last   string // "last 3 batches" that say it, "" as for Words
	Window plan.Window
	taught []window.Observation
}

// learnedWindow says what the workshop's batches change in a plan.
func (a *App) learnedWindow(ctx context.Context, p *plan.Plan) (l windowLearned, err error) {
	if l.taught, err = a.taughtBy(ctx); err != nil {
		return l, err
	}
	model := window.Prior().Learn(l.taught)
	if model.Batches() == 0 || p.Window == nil || p.Combine.LandingC == nil {
		return l, nil
	}
	now, before := p.WindowAt(*p.Combine.LandingC, model), p.Window
	l.Last, l.Window = "last "+batches(model.Batches()), now
	l.Words = fmt.Sprintf("By your %s: marks stay %s after combining, and it pours until %s. Without them the forecast is %s and %s.", l.Last,
		spanMinutes(now.ToTrace), spanMinutes(now.ToUnpourable), spanMinutes(before.ToTrace), spanMinutes(before.ToUnpourable))
	return l, nil
}

// windowsTaught keeps what the batches taught until there is a tap more.
type windowsTaught struct {
	mu     sync.Mutex
	of     string
	taught []window.Observation
}

// taughtBy replays the workshop's batches, when anything was stamped since the
// last time.
func (a *App) taughtBy(ctx context.Context) ([]window.Observation, error) {
	taps, err := a.store.Taps(ctx)
	if err != nil {
		return nil, err
	}
	a.windows.mu.Lock()
	defer a.windows.mu.Unlock()
	of := fmt.Sprint(taps)
	if of == a.windows.of {
		return a.windows.taught, nil
	}
	all, err := a.store.Batches(ctx)
	if err != nil {
		return nil, err
	}
	var states []*batch.State
	for _, b := range slices.Backward(all) { // the oldest first
		if _, bad := a.sheetOf(b); bad != nil {
			continue // it cannot be told any more
		}
		m, err := a.replay(ctx, b)
		if err != nil {
			return nil, err
		}
		states = append(states, m.State)
	}
	a.windows.of, a.windows.taught = of, batch.Taught(states)
	return a.windows.taught, nil
}

func batches(n int) string {
	if n == 1 {
		return "batch"
	}
	return fmt.Sprintf("%d batches", n)
}

func spanMinutes(r plan.Range) string {
	return plan.Minutes(r.Low) + " to " + plan.Minutes(r.High) + "\u202fmin"
}
