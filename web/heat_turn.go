package web

import "context"

// oneAtATime lets one long computation run while the others wait.
type oneAtATime chan struct{}

func newTurn() oneAtATime { return make(oneAtATime, 1) }

// take waits for the turn, or until the visitor has gone.
func (t oneAtATime) take(ctx context.Context) error {
	select {
	case t <- struct{}{}:
		return ctx.Err()
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (t oneAtATime) give() { <-t }
