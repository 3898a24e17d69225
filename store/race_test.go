package store_test

import (
	"errors"
	"fmt"
	"sync"
	"testing"

	"barwright/store"
)

const savers = 32

// atOnce runs f in many goroutines at once and counts how each ended.
func atOnce(t *testing.T, f func(i int) error) (done, changed int) {
	t.Helper()
	errs := make([]error, savers)
	var ready, all sync.WaitGroup
	ready.Add(savers)
	for i := range savers {
		all.Go(func() {
			ready.Done()
			ready.Wait()
			errs[i] = f(i)
		})
	}
	all.Wait()
	for _, err := range errs {
		switch {
		case err == nil:
			done++
		case errors.Is(err, store.ErrChanged):
			changed++
		default:
			t.Error(err)
		}
	}
	return done, changed
}

// Of many who save from the same version at once, exactly one wins and every
// other one is told.
func TestOneSaverWins(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		parent := newRecipe(t, s, "r", "Plain").ID
		for round := range 5 {
			done, changed := atOnce(t, func(i int) error {
				id := fmt.Sprintf("r-%d-%d", round, i)
				_, err := s.SaveVersion(t.Context(), store.Version{ID: id, Recipe: "r", Parent: parent, Body: bodyOf(id), MadeAt: clock}, "Plain", "", false)
				return err
			})
			if done != 1 || changed != savers-1 {
				t.Fatalf("%d won and %d were told", done, changed)
			}
			r, err := s.Recipe(t.Context(), "r")
			if err != nil || r.Versions != round+2 {
				t.Fatalf("%d versions, %v", r.Versions, err)
			}
			wantThere(t, s, r.Head)
			parent = r.Head
		}
	})
}

// Those who save beside what others saved all get in, each with a number of
// its own.
func TestEveryBranchGetsIn(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		first := newRecipe(t, s, "r", "Plain")
		done, _ := atOnce(t, func(i int) error {
			id := fmt.Sprintf("b-%d", i)
			_, err := s.SaveVersion(t.Context(), store.Version{ID: id, Recipe: "r", Parent: first.ID, Body: bodyOf(id), MadeAt: clock}, "Plain", "", true)
			return err
		})
		all, err := s.Versions(t.Context(), "r")
		if err != nil || done != savers || len(all) != savers+1 {
			t.Fatalf("%d of %d got in, %d versions, %v", done, savers, len(all), err)
		}
		for i, v := range all {
			if v.Number != savers+1-i {
				t.Errorf("version %s has number %d", v.ID, v.Number)
			}
		}
		r, err := s.Recipe(t.Context(), "r")
		if err != nil || r.Head != all[0].ID {
			t.Errorf("the newest is %s, not %s; %v", r.Head, all[0].ID, err)
		}
	})
}

// The same for things, new ones and changed ones.
func TestOneChangeOfAThingWins(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		for rev := range 4 {
			done, changed := atOnce(t, func(i int) error {
				_, err := s.SaveThing(t.Context(), store.Thing{Kind: "mould", ID: "box", Rev: rev, Body: fmt.Sprint(rev, i), MadeAt: clock})
				return err
			})
			if done != 1 || changed != savers-1 {
				t.Fatalf("revision %d: %d won and %d were told", rev+1, done, changed)
			}
		}
		if all, err := s.History(t.Context(), "mould", "box"); err != nil || len(all) != 4 {
			t.Errorf("%d revisions, %v", len(all), err)
		}
	})
}
