// Package demo fills an empty store with the invented demo workshop, its days
// counted back from today.
//
// Start with Fill. The workshop itself is one readable file a workshop; only
// the demo may hold invented data.
package demo

import (
	"context"
	"embed"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"

	"barwright/finding"
	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/quantity"
	"barwright/recipe"
	"barwright/recipes"
	"barwright/stock"
	"barwright/store"
)

//go:embed *.toml
var files embed.FS

// Workshops that can be filled in.
const (
	NinthLock = "ninth-lock" // the demo
	Student   = "student"    // her student's small one
)

// file is the form of a workshop file.
type file struct {
	Workshop stock.Workshop `toml:"workshop"`
	Moulds   []stock.Mould  `toml:"moulds"`
	Places   []stock.Place  `toml:"places"`
	Scales   []stock.Scale  `toml:"scales"`
	Lots     []lot          `toml:"lots"`
	Recipes  []history      `toml:"recipes"`
}

// lot is a stock.Lot whose days count from today.
type lot struct {
	stock.Lot
	ReceivedDaysAgo  int `toml:"received_days_ago"`
	PackedDaysAgo    int `toml:"packed_days_ago"`
	BestBeforeInDays int `toml:"best_before_in_days"`
}

// history is a recipe with its versions, the oldest first.
type history struct {
	File     string    `toml:"file"`
	Tags     []string  `toml:"tags"`
	Versions []version `toml:"versions"`
}

// version is the recipe file with some keys changed.
type version struct {
	DaysAgo int               `toml:"days_ago"`
	Reason  string            `toml:"reason"`
	Set     map[string]string `toml:"set"`
}

// Fill writes a workshop into an empty store. now is the day the days count
// from.
func Fill(ctx context.Context, s *store.Store, workshop string, now time.Time) error {
	var f file
	data, err := files.ReadFile(workshop + ".toml")
	if err != nil {
		return err
	}
	if _, err := tomldoc.Decode("demo/"+workshop+".toml", data, &f); err != nil {
		return err
	}
	w := writer{ctx: ctx, store: s, now: now}
	w.thing("workshop", "workshop", f.Workshop)
	for _, m := range f.Moulds {
		w.thing("mould", m.ID, m)
	}
	for _, p := range f.Places {
		w.thing("place", p.ID, p)
	}
	for _, sc := range f.Scales {
		w.thing("scale", sc.ID, sc)
	}
	for _, l := range f.Lots {
		w.thing("lot", l.ID, l.dated(now))
	}
	for _, h := range f.Recipes {
		w.recipe(h)
	}
	if workshop == NinthLock {
		w.batches(f)
	}
	return w.err
}

// dated returns the lot with its days as dates.
func (l lot) dated(now time.Time) stock.Lot {
	out := l.Lot
	day := func(days int) *quantity.Date {
		if days == 0 {
			return nil
		}
		d := quantity.DateOf(now.AddDate(0, 0, days))
		return &d
	}
	out.Received, out.Packed, out.BestBefore = day(-l.ReceivedDaysAgo), day(-l.PackedDaysAgo), day(l.BestBeforeInDays)
	return out
}

// writer writes until the first error.
type writer struct {
	ctx   context.Context
	store *store.Store
	now   time.Time
	err   error
}

func (w *writer) thing(kind, id string, v any) {
	if w.err != nil {
		return
	}
	body, err := toml.Marshal(v)
	if err != nil {
		w.err = err
		return
	}
	_, w.err = w.store.SaveThing(w.ctx, store.Thing{Kind: kind, ID: id, Body: string(body), MadeAt: w.now.AddDate(0, 0, -30), MadeBy: "lead maker"})
}

func (w *writer) recipe(h history) {
	if w.err != nil {
		return
	}
	w.err = func() error {
		data, err := recipes.Files.ReadFile(h.File + ".toml")
		if err != nil {
			return err
		}
		final, err := recipe.Parse(h.File+".toml", data, material.Builtin())
		if err != nil {
			return err
		}
		parent := ""
		for i, v := range h.Versions {
			r, err := final.With(v.edits()...)
			if err != nil {
				return fmt.Errorf("%s, version %d: %w", h.File, i+1, err)
			}
			saved := store.Version{ID: fmt.Sprintf("%s-v%d", h.File, i+1), Recipe: h.File, Parent: parent, Reason: v.Reason, Body: string(r.Print()),
				MadeAt: w.now.AddDate(0, 0, -v.DaysAgo), MadeBy: "lead maker"}
			if i == 0 {
				err = w.store.NewRecipe(w.ctx, store.Recipe{ID: h.File, Name: r.Name, Tags: h.Tags}, saved, words(r))
			} else {
				_, err = w.store.SaveVersion(w.ctx, saved, r.Name, words(r), false)
			}
			if err != nil {
				return err
			}
			parent = saved.ID
		}
		return nil
	}()
}

// edits returns the changes of a version in the order of their keys.
func (v version) edits() []finding.Edit {
	var out []finding.Edit
	for key, value := range v.Set {
		out = append(out, finding.Edit{Key: key, Value: value})
	}
	slices.SortFunc(out, func(a, b finding.Edit) int { return strings.Compare(a.Key, b.Key) })
	return out
}

// words are what a recipe is found by.
func words(r recipe.Recipe) (s string) {
	for _, f := range r.Fats {
		if m, err := material.Builtin().Find(f.Material); err == nil {
			s += m.Name + " "
		}
	}
	for _, a := range r.Additions {
		if m, err := material.Builtin().Find(a.Material); err == nil {
			s += m.Name + " "
		}
	}
	return s
}
