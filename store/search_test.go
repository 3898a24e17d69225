package store_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"barwright/store"
)

// shelf is a small workshop to search in.
func shelf(t *testing.T, s *store.Store) {
	t.Helper()
	for i, r := range []struct{ name, tags, words string }{
		{"Überseife", "Winter kitchen", "Olive oil Lard"},
		{"50 % Olive!", "50% a_b", "Olive oil, Shea butter"},
		{"ΣΑΠΟΥΝΙ", "cold process", "Laurel"},
		{"<script>alert(1)</script>", "", "Café, beeswax"},
	} {
		id := fmt.Sprint(i + 1)
		v := store.Version{ID: "v" + id, MadeAt: clock.Add(time.Duration(i) * time.Hour)}
		if err := s.NewRecipe(t.Context(), store.Recipe{ID: id, Name: r.name, Tags: []string{r.tags}}, v, r.words); err != nil {
			t.Fatal(err)
		}
	}
}

// Every word must be there; signs are only signs; capitals are small letters,
// in every alphabet.
func TestSearch(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		shelf(t, s)
		for _, c := range []struct {
			search store.Search
			want   string // ids, the last changed first
		}{
			{store.Search{}, "4 3 2 1"},
			{store.Search{Limit: 2}, "4 3"},
			{store.Search{Words: "olive"}, "2 1"},
			{store.Search{Words: "OLIVE", Limit: 1}, "2"},
			{store.Search{Words: "  lard \t olive "}, "1"}, // in any order
			{store.Search{Words: "lard shea"}, ""},         // both, not one
			{store.Search{Words: "ive oil"}, "2 1"},        // parts of words
			{store.Search{Words: "kitchen"}, "1"},          // a tag
			{store.Search{Words: "ÜBER"}, "1"},
			{store.Search{Words: "über"}, "1"},
			{store.Search{Words: "σαπούνι"}, ""}, // the accent is another letter
			{store.Search{Words: "σαπουνι"}, "3"},
			{store.Search{Words: "CAFÉ"}, "4"},
			{store.Search{Words: "%"}, "2"},
			{store.Search{Words: "_"}, "2"},
			{store.Search{Words: "!"}, "2"},
			{store.Search{Words: "oli_e"}, ""},
			{store.Search{Words: "o%l"}, ""},
			{store.Search{Words: `\`}, ""},
			{store.Search{Words: "' OR 1=1 --"}, ""},
			{store.Search{Words: "<script>"}, "4"},
			{store.Search{Words: "a\x00"}, ""},
			{store.Search{Words: "\xff"}, ""},
			{store.Search{Words: strings.Repeat("olive ", 160)}, "2 1"},
			{store.Search{Words: strings.Repeat("a ", 2000)}, ""}, // deeper than SQLite's conditions go
			{store.Search{Words: strings.Repeat("a", 60000)}, ""}, // longer than SQLite's patterns
			{store.Search{Tag: "winter"}, "1"},
			{store.Search{Tag: "Winter"}, "1"},
			{store.Search{Tag: "wint"}, ""}, // whole tags only
			{store.Search{Tag: "50%"}, "2"},
			{store.Search{Tag: "5%"}, ""},
			{store.Search{Tag: "a_b"}, "2"},
			{store.Search{Tag: "acb"}, ""},
			{store.Search{Tag: "cold"}, "3"}, // "cold process" is two tags
			{store.Search{Tag: "process", Words: "laurel"}, "3"},
			{store.Search{Tag: "process", Words: "lard"}, ""},
			{store.Search{Archived: true}, ""},
		} {
			got, err := s.Recipes(t.Context(), c.search)
			if err != nil || ids(got) != c.want {
				t.Errorf("%.60q %q: found %q, want %q; %v", c.search.Words, c.search.Tag, ids(got), c.want, err)
			}
		}
	})
}

func ids(rs []store.Recipe) string {
	var out []string
	for _, r := range rs {
		out = append(out, r.ID)
	}
	return strings.Join(out, " ")
}

// Tags are words: split, small, once each, in order. What is put away has no
// tags to choose from.
func TestTags(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		shelf(t, s)
		wantTags(t, s, "50%", "a_b", "cold", "kitchen", "process", "winter")
		r, err := s.Recipe(t.Context(), "1")
		if err != nil {
			t.Fatal(err)
		}
		r.Tags = []string{" Zwölf  eins ", "EINS", "\t"}
		if err := s.SetTags(t.Context(), r, "Olive oil Lard"); err != nil {
			t.Fatal(err)
		}
		if r, err = s.Recipe(t.Context(), "1"); err != nil || !slices.Equal(r.Tags, []string{"eins", "zwölf"}) {
			t.Errorf("tags %q, %v", r.Tags, err)
		}
		for words, want := range map[string]string{"kitchen": "", "zwölf": "1", "über lard zwölf": "1"} {
			if got, err := s.Recipes(t.Context(), store.Search{Words: words}); err != nil || ids(got) != want {
				t.Errorf("%q: found %q, want %q; %v", words, ids(got), want, err)
			}
		}
		if err := s.SetArchived(t.Context(), "3", clock); err != nil {
			t.Fatal(err)
		}
		wantTags(t, s, "50%", "a_b", "eins", "zwölf")
		if got, err := s.Recipes(t.Context(), store.Search{Archived: true, Words: "laurel"}); err != nil || ids(got) != "3" {
			t.Errorf("put away: found %q, %v", ids(got), err)
		}
	})
}

func wantTags(t *testing.T, s *store.Store, want ...string) {
	t.Helper()
	if got, err := s.Tags(t.Context()); err != nil || !slices.Equal(got, want) {
		t.Errorf("tags %q, want %q; %v", got, want, err)
	}
}

// Tags that were set for an older version would bring its words along.
func TestLateTags(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s := open(t, where)
		newRecipe(t, s, "r", "Old name")
		old, err := s.Recipe(t.Context(), "r")
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.SaveVersion(t.Context(), store.Version{ID: "r-2", Recipe: "r", Parent: "r-1", MadeAt: clock}, "New name", "lard", false); err != nil {
			t.Fatal(err)
		}
		old.Tags = []string{"late"}
		if err := s.SetTags(t.Context(), old, "olive"); !errors.Is(err, store.ErrChanged) {
			t.Errorf("%v, want ErrChanged", err)
		}
		if got, err := s.Recipes(t.Context(), store.Search{Words: "new lard"}); err != nil || ids(got) != "r" {
			t.Errorf("found %q, %v", ids(got), err)
		}
	})
}

// What is not there is ErrMissing, whatever is asked of it.
func TestMissing(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s, ctx := open(t, where), t.Context()
		_, recipe := s.Recipe(ctx, "x")
		_, version := s.Version(ctx, "x")
		_, thing := s.Thing(ctx, "mould", "x")
		_, save := s.SaveVersion(ctx, store.Version{ID: "v", Recipe: "x"}, "", "", true)
		for what, err := range map[string]error{
			"recipe": recipe, "version": version, "thing": thing, "save": save,
			"archive": s.SetArchived(ctx, "x", clock), "tags": s.SetTags(ctx, store.Recipe{ID: "x"}, ""),
		} {
			if !errors.Is(err, store.ErrMissing) {
				t.Errorf("%s: %v, want ErrMissing", what, err)
			}
		}
	})
}

// Text that one of the databases would refuse, or change, is refused by both.
func TestUnkeepableText(t *testing.T) {
	t.Parallel()
	onBoth(t, func(t *testing.T, where string) {
		s, ctx := open(t, where), t.Context()
		newRecipe(t, s, "r", "Plain")
		r, err := s.Recipe(ctx, "r")
		if err != nil {
			t.Fatal(err)
		}
		for _, bad := range []string{"a\x00b", "a\xffb"} {
			_, saved := s.SaveVersion(ctx, store.Version{ID: "r-2", Recipe: "r", Parent: "r-1", Body: bad}, "", "", false)
			_, thing := s.SaveThing(ctx, store.Thing{Kind: "mould", ID: "m", Body: bad})
			r.Tags = []string{bad}
			for _, err := range []error{s.NewRecipe(ctx, store.Recipe{ID: "n", Name: bad}, store.Version{ID: "n-1"}, ""), saved, thing, s.SetTags(ctx, r, "")} {
				wantTrouble(t, err, "signs that cannot be kept", "UTF-8")
			}
		}
	})
}
