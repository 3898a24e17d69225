package web

import (
	"context"
	"fmt"
	"maps"
	"strings"

	"barwright/material"
	"barwright/store"
)

// change is one revision of a thing: who saved it, when, and what changed.
type change struct {
	Rev      int
	By, When string
	What     []string
}

// historyOf lists every revision of a thing, the newest first.
func (a *App) historyOf(ctx context.Context, k *thingKind, p *thingPage) ([]change, error) {
	if p.IsNew {
		return nil, nil
	}
	revisions, err := a.store.History(ctx, k.kind, p.ID)
	if err != nil {
		return nil, err
	}
	out := make([]change, len(revisions))
	for i, t := range revisions {
		out[i] = change{Rev: t.Rev, By: t.MadeBy, When: a.when(t), What: []string{"added"}}
		if i+1 < len(revisions) {
			out[i].What = whatChanged(k, revisions[i+1], t, p.lib)
		}
	}
	return out, nil
}

func (a *App) when(t store.Thing) string {
	return t.MadeAt.In(a.now().Location()).Format("2 January 2006, 15:04")
}

// whatChanged says in words what differs between two revisions.
func whatChanged(k *thingKind, was, now store.Thing, lib *material.Library) (out []string) {
	switch {
	case now.Gone && !was.Gone:
		out = append(out, "put away")
	case was.Gone && !now.Gone:
		out = append(out, "taken back")
	}
	before, err1 := k.show(was.Body)
	after, err2 := k.show(now.Body)
	if err1 != nil || err2 != nil {
		return append(out, "its text")
	}
	for _, d := range differences(k, before, after, lib) {
		out = append(out, d.words())
	}
	if len(out) == 0 {
		out = append(out, "its text")
	}
	return out
}

// difference is one field that two people, or two days, have otherwise.
type difference struct {
	Key, Label string
	Was, Now   string
	tick       bool
}

func (d difference) words() string {
	switch {
	case d.tick && d.Now != "":
		return d.Label
	case d.tick:
		return "no longer " + d.Label
	case d.Was == "":
		return fmt.Sprintf("%s: %s", d.Label, d.Now)
	case d.Now == "":
		return fmt.Sprintf("%s taken away, was %s", d.Label, d.Was)
	}
	return fmt.Sprintf("%s: %s → %s", d.Label, d.Was, d.Now)
}

// mostShown is how much of a text is shown where two are compared [letters].
const mostShown = 120

// differences lists the fields that differ, in the order of the form.
func differences(k *thingKind, before, after map[string]string, lib *material.Library) (out []difference) {
	labels := k.labels()
	for _, f := range k.fields() {
		was, now := before[f.Key], after[f.Key]
		if was == now {
			continue
		}
		was, now = f.typed(was, lib), f.typed(now, lib)
		if f.As != asFile {
			out = append(out, difference{f.Key, labels[f.Key], shownText(was), shownText(now), f.As == asTick})
		}
	}
	if k.named == nil {
		return out
	}
	all := maps.Clone(before)
	maps.Copy(all, after)
	for _, key := range sortedKeys(all) {
		if label := k.named(key); labels[key] == "" && label != "" && before[key] != after[key] {
			out = append(out, difference{key, label, shownText(before[key]), shownText(after[key]), false})
		}
	}
	return out
}

func shownText(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if cut := cutTo(s, mostShown); cut != s {
		return cut + "…"
	}
	return s
}
