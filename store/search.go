package store

import (
	"context"
	"slices"
	"strings"
)

// Search is what a list of recipes is narrowed by.
type Search struct {
	Words    string // each of them must be in the name, a tag or what it is made of
	Tag      string // one whole tag
	Archived bool   // those put away instead of those in use
	Limit    int    // 0 is all
}

// maxSearch is the longest text that is searched for [bytes]. Databases set
// bounds of their own to how long and how deep a condition may be.
const maxSearch = 1000

// Recipes returns the recipes that match, last changed first. Capital and
// small letters are the same.
func (s *Store) Recipes(ctx context.Context, q Search) ([]Recipe, error) {
	words, tag := strings.ToLower(q.Words), strings.ToLower(q.Tag)
	if len(words)+len(tag) > maxSearch || keepable(words, tag) != nil {
		return nil, nil // no recipe has that
	}
	where, args := []string{"archived = 0"}, []any{}
	if q.Archived {
		where[0] = "archived <> 0"
	}
	for _, w := range strings.Fields(words) {
		args = append(args, "%"+likeEscape.Replace(w)+"%")
		where = append(where, `words LIKE `+place(len(args))+` ESCAPE '!'`)
	}
	if tag != "" {
		args = append(args, "% "+likeEscape.Replace(tag)+" %")
		where = append(where, `tags LIKE `+place(len(args))+` ESCAPE '!'`)
	}
	query := selectRecipe + ` WHERE ` + strings.Join(where, " AND ") + ` ORDER BY changed_at DESC, id`
	if q.Limit > 0 {
		args = append(args, q.Limit)
		query += ` LIMIT ` + place(len(args))
	}
	rows, err := s.db.QueryContext(ctx, query, args...)
	return collect(rows, err, scanRecipe)
}

// Tags returns every tag in use, in alphabetical order.
func (s *Store) Tags(ctx context.Context) ([]string, error) {
	rows, err := s.db.QueryContext(ctx, `SELECT DISTINCT tags FROM recipe WHERE archived = 0 AND tags <> ''`)
	lists, err := collect(rows, err, func(r row) (tags string, err error) {
		err = r.Scan(&tags)
		return tags, err
	})
	var out []string
	for _, l := range lists {
		out = append(out, strings.Fields(l)...)
	}
	slices.Sort(out)
	return slices.Compact(out), err
}

// joinTags keeps tags in small letters, one word each, once and in order,
// between spaces, so that one can be found by LIKE.
func joinTags(tags []string) string {
	words := strings.Fields(strings.ToLower(strings.Join(tags, " ")))
	if len(words) == 0 {
		return ""
	}
	slices.Sort(words)
	return " " + strings.Join(slices.Compact(words), " ") + " "
}

// searchable is what LIKE looks through. It is lowered here, because SQLite's
// own LIKE knows the capitals of ASCII only.
func searchable(name string, tags []string, words string) string {
	return strings.ToLower(name + joinTags(tags) + " " + words)
}

var likeEscape = strings.NewReplacer("!", "!!", "%", "!%", "_", "!_")
