package web

import (
	"context"
	"fmt"
	"slices"

	"barwright/batch"
	"barwright/plan"
	"barwright/window"
)

// windowLearned is what the maker's own batches say about the working time of
// the next one.
type windowLearned struct {
	Words  string // "" while there is nothing to learn from
	Skip   bool   // this batch is planned without
	taught []window.Observation
}

// learnedWindow replays the workshop's batches and says what they change.
func (a *App) learnedWindow(ctx context.Context, p *plan.Plan) (l windowLearned, err error) {
	all, err := a.store.Batches(ctx)
	if err != nil {
		return l, err
	}
	var states []*batch.State
	for _, b := range slices.Backward(all) { // the oldest first
		if _, bad := a.sheetOf(b); bad != nil {
			continue // it cannot be told any more
		}
		m, err := a.replay(ctx, b)
		if err != nil {
			return l, err
		}
		states = append(states, m.State)
	}
	l.taught = batch.Taught(states)
	model := window.Prior().Learn(l.taught)
	if model.Batches() == 0 || p.Window == nil || p.Combine.LandingC == nil {
		return l, nil
	}
	now, before := p.WindowAt(*p.Combine.LandingC, model), p.Window
	l.Words = fmt.Sprintf("By your last %s: marks stay %s after combining, and it pours until %s. Without them the forecast is %s and %s.", batches(model.Batches()),
		spanMinutes(now.ToTrace), spanMinutes(now.ToUnpourable), spanMinutes(before.ToTrace), spanMinutes(before.ToUnpourable))
	return l, nil
}

func batches(n int) string {
	if n == 1 {
		return "batch"
	}
	return fmt.Sprintf("%d batches", n)
}

func spanMinutes(r plan.Range) string {
	decimals := 0
	if r.High < 10 {
		decimals = 1
	}
	return number(r.Low, decimals) + " to " + number(r.High, decimals) + "\u202fmin"
}
