package store_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"barwright/internal/pgtest"
	"barwright/store"
)

// A large workshop, 1,000 recipes with 5 versions each, on both databases.
func BenchmarkLargeWorkshop(b *testing.B) {
	b.Run("sqlite", func(b *testing.B) { benchmarkLarge(b, b.TempDir()) })
	b.Run("postgres", func(b *testing.B) { benchmarkLarge(b, pgtest.Database(b)) })
}

func benchmarkLarge(b *testing.B, where string) {
	s := open(b, where)
	fillLarge(b, s)
	for _, c := range []struct {
		name   string
		search store.Search
		found  int
	}{
		{"list", store.Search{}, 1000},
		{"search", store.Search{Words: "olive 77"}, 19},
		{"nothing", store.Search{Words: "olive nowhere"}, 0},
		{"tag", store.Search{Tag: "tag7"}, 100},
	} {
		b.Run(c.name, func(b *testing.B) {
			for b.Loop() {
				if got, err := s.Recipes(b.Context(), c.search); err != nil || len(got) != c.found {
					b.Fatalf("%d found, want %d; %v", len(got), c.found, err)
				}
			}
		})
	}
	b.Run("versions", func(b *testing.B) {
		for b.Loop() {
			if got, err := s.Versions(b.Context(), "r77"); err != nil || len(got) != 5 {
				b.Fatal(len(got), err)
			}
		}
	})
	b.Run("save", func(b *testing.B) {
		parent := "r1-5"
		for n := 0; b.Loop(); n++ {
			id := fmt.Sprintf("saved-%d", n)
			if _, err := s.SaveVersion(b.Context(), store.Version{ID: id, Recipe: "r1", Parent: parent, Body: bodyOf(id), MadeAt: clock}, "Recipe 1", "olive oil", false); err != nil {
				b.Fatal(err)
			}
			parent = id
		}
	})
	if strings.HasPrefix(where, "postgres://") {
		return
	}
	b.Run("open", func(b *testing.B) {
		for b.Loop() {
			s.Close()
			s = open(b, where)
		}
	})
	s.Close()
}

// fillLarge saves the versions as the app would.
func fillLarge(b *testing.B, s *store.Store) {
	b.Helper()
	for i := range 1000 {
		id, name := fmt.Sprintf("r%d", i), fmt.Sprintf("Recipe %d", i)
		words := "Olive oil, Coconut oil, Shea butter, Castor oil, Sodium hydroxide, Tussah silk"
		v := store.Version{ID: id + "-1", MadeAt: clock.Add(time.Duration(i) * time.Minute), Body: bodyOf(id)}
		if err := s.NewRecipe(b.Context(), store.Recipe{ID: id, Name: name, Tags: []string{fmt.Sprintf("tag%d", i%10), "winter"}}, v, words); err != nil {
			b.Fatal(err)
		}
		for n := 2; n <= 5; n++ {
			next := store.Version{ID: fmt.Sprintf("%s-%d", id, n), Recipe: id, Parent: v.ID, MadeAt: v.MadeAt.Add(time.Hour), Body: bodyOf(id)}
			if _, err := s.SaveVersion(b.Context(), next, name, words, false); err != nil {
				b.Fatal(err)
			}
			v = next
		}
	}
}
