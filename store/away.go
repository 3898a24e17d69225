package store

import "context"

// ThingsAway returns the newest revision of every thing of a kind that was put
// away, by id.
func (s *Store) ThingsAway(ctx context.Context, kind string) ([]Thing, error) {
	rows, err := s.db.QueryContext(ctx, selectThing+` WHERE kind = $1 AND newest = 1 AND gone = 1 ORDER BY id`, kind)
	return collect(rows, err, scanThing)
}
