package demo

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/plan"
	"barwright/recipe"
	"barwright/stock"
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

// A lot's history shows who did what: the lard that spotted was held four days
// ago, and the tallow is used up little by little.
func TestLotsHaveAHistory(t *testing.T) {
	t.Parallel()
	s, err := store.Open(t.Context(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := Fill(t.Context(), s, NinthLock, time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)); err != nil {
		t.Fatal(err)
	}
	for id, want := range map[string][]string{
		"lrd_2": {"helper 3: 8.2 kg, held \"\"", "helper 3: 6.1 kg, held \"\"", "lead maker: 6.1 kg, held \"spots on five of nine bars of Oatwater on day 74\""},
		"tlw_7": {"helper 1: 25 kg, held \"\"", "helper 2: 18.6 kg, held \"\"", "lead maker: 14.2 kg, held \"\""},
		"olv_9": {"lead maker: 8 kg, held \"\"", "helper 1: 5.5 kg, held \"\""},
	} {
		revisions, err := s.History(t.Context(), "lot", id)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, r := range slices.Backward(revisions) {
			var l stock.Lot
			if _, err := tomldoc.Decode(id, []byte(r.Body), &l); err != nil {
				t.Fatal(err)
			}
			got = append(got, fmt.Sprintf("%s: %s, held %q", r.MadeBy, l.OnHand, l.Held))
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %q", id, got)
		}
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
