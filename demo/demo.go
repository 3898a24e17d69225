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
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/pelletier/go-toml/v2"

	"barwright/finding"
	"barwright/internal/keyed"
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
	Curves   []curved       `toml:"curves"`
}

// lot is a stock.Lot whose days count from today, with what happened to it,
// the oldest first.
type lot struct {
	stock.Lot
	ReceivedDaysAgo  int        `toml:"received_days_ago"`
	PackedDaysAgo    int        `toml:"packed_days_ago"`
	BestBeforeInDays int        `toml:"best_before_in_days"`
	Revisions        []revision `toml:"revisions"`
}

// revision is the lot with some keys as they were then; the last one is the
// lot as it is.
type revision struct {
	DaysAgo int               `toml:"days_ago"`
	By      string            `toml:"by"`
	Set     map[string]string `toml:"set"`
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
	w.things("workshop", "workshop", f.Workshop)
	for _, m := range f.Moulds {
		w.things("mould", m.ID, m)
	}
	for _, p := range f.Places {
		w.things("place", p.ID, p)
	}
	for _, sc := range f.Scales {
		w.things("scale", sc.ID, sc)
	}
	for _, l := range f.Lots {
		w.lot(l)
	}
	for _, h := range f.Recipes {
		w.recipe(h)
	}
	if workshop == NinthLock {
		w.batches(f)
	}
	w.curves(f.Curves)
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

// setUpDaysAgo is when the workshop was written into the program.
const setUpDaysAgo = 250

func (w *writer) things(kind, id string, v any) {
	w.thing(kind, id, v, 0, setUpDaysAgo, "lead maker")
}

func (w *writer) thing(kind, id string, v any, rev, daysAgo int, by string) {
	if w.err != nil {
		return
	}
	body, err := toml.Marshal(v)
	if err != nil {
		w.err = err
		return
	}
	_, w.err = w.store.SaveThing(w.ctx, store.Thing{Kind: kind, ID: id, Rev: rev, Body: string(body), MadeAt: w.now.AddDate(0, 0, -daysAgo), MadeBy: by})
}

// lot writes a lot with its revisions; one without any was added on the day it
// came in.
func (w *writer) lot(l lot) {
	whole := l.dated(w.now)
	if len(l.Revisions) == 0 {
		l.Revisions = []revision{{DaysAgo: l.ReceivedDaysAgo, By: "lead maker"}}
	}
	for i, r := range l.Revisions {
		was := whole
		fields := keyed.Fields(whole)
		maps.Copy(fields, r.Set)
		if len(r.Set) > 0 {
			was = stock.Lot{}
			if faults := keyed.Fill(&was, fields); len(faults) > 0 && w.err == nil {
				w.err = fmt.Errorf("%s, revision %d: %s: %w", l.ID, i+1, faults[0].Path, faults[0].Err)
			}
		}
		w.thing("lot", l.ID, was, i, r.DaysAgo, r.By)
	}
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
