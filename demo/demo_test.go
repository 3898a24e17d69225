package demo

import (
	"testing"
	"time"

	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/plan"
	"barwright/recipe"
	"barwright/store"
)

// Both workshops fill an empty store, and every version of every recipe reads
// and plans.
func TestFill(t *testing.T) {
	t.Parallel()
	for workshop, want := range map[string]struct{ recipes, lots, moulds int }{NinthLock: {10, 27, 6}, Student: {1, 3, 1}} {
		t.Run(workshop, func(t *testing.T) {
			t.Parallel()
			ctx := t.Context()
			s, err := store.Open(ctx, t.TempDir())
			if err != nil {
				t.Fatal(err)
			}
			defer s.Close()
			if err := Fill(ctx, s, workshop, time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)); err != nil {
				t.Fatal(err)
			}
			lots, err := s.Things(ctx, "lot")
			if err != nil || len(lots) != want.lots {
				t.Errorf("%d lots, want %d (%v)", len(lots), want.lots, err)
			}
			moulds, err := s.Things(ctx, "mould")
			if err != nil || len(moulds) != want.moulds {
				t.Errorf("%d moulds, want %d (%v)", len(moulds), want.moulds, err)
			}
			all, err := s.Recipes(ctx, store.Search{})
			if err != nil || len(all) != want.recipes {
				t.Fatalf("%d recipes, want %d (%v)", len(all), want.recipes, err)
			}
			for _, r := range all {
				planEveryVersion(t, s, r)
			}
		})
	}
}

func planEveryVersion(t *testing.T, s *store.Store, r store.Recipe) {
	versions, err := s.Versions(t.Context(), r.ID)
	if err != nil || len(versions) == 0 {
		t.Fatalf("%s: %v", r.Name, err)
	}
	for _, v := range versions {
		var rec recipe.Recipe
		if _, err := tomldoc.Decode(v.ID, []byte(v.Body), &rec); err != nil {
			t.Error(err)
			continue
		}
		if faults := rec.Check(material.Builtin()); len(faults) > 0 {
			t.Errorf("%s: %v", v.ID, faults)
			continue
		}
		if _, err := plan.Make(rec, material.Builtin()); err != nil {
			t.Errorf("%s: %v", v.ID, err)
		}
	}
}
