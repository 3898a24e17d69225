package web

import "context"

// oneAtATime lets one long computation run while the others wait.
type oneAtATime chan struct{}

func newTurn() oneAtATime { return make(oneAtATime, 1) }

// take waits for the turn, or until the visitor has gone: then there is an
// error and nothing to give back.
func (t oneAtATime) take(ctx context.Context) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	select {
	case t <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (t oneAtATime) give() { <-t }
