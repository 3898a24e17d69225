package web

import (
	"context"
	"fmt"
	"maps"
	"math"
	"net/http"
	"slices"
	"strings"

	"barwright/formulate"
	"barwright/material"
	"barwright/plan"
	"barwright/recipe"
	"barwright/stock"
	"barwright/store"
)

// usualWishes are what the page begins with: a bar of what is on the shelf,
// cheap, that lathers, holds its shape and keeps. Common practice, no source.
func usualWishes() draft {
	return draft{locks: map[int]bool{}, fields: map[string]string{
		"shelf": "true", "superfat": "5 %", "lye_strength": "33 %", "batch": "1 kg", "max_fats": "4", "step": "1 %", "alternatives": "2", "distance": "10 %",
		"limits.0.quantity": string(material.C12C14), "limits.0.min": "14 %", "limits.0.max": "20 %",
		"limits.1.quantity": string(material.C16C18), "limits.1.min": "20 %",
		"limits.2.quantity": string(material.Poly), "limits.2.max": "12 %",
		"limits.3.quantity": "hard_wax", "limits.3.max": "2 %",
		"limits.4.quantity": "free_acids", "limits.4.max": "0 %",
		"objective.minimise": formulate.Cost,
	}}
}

// startFrom begins with the recipe of the address: as alike as the shelf
// allows, and no dearer. What the address says to do without is never used.
func (a *App) startFrom(r *http.Request, p *formulatePage, lib *material.Library) error {
	rec, err := a.store.Recipe(r.Context(), r.FormValue("recipe"))
	if err != nil {
		return err
	}
	id := rec.Head
	if v := r.FormValue("version"); v != "" {
		id = v
	}
	v, err := a.store.Version(r.Context(), id)
	if err != nil {
		return err
	}
	made, err := readVersion(v)
	if err != nil || v.Recipe != rec.ID {
		return store.ErrMissing
	}
	p.Base = v.ID
	p.Draft = usualWishes()
	p.Draft.dropKeys("limits.")
	p.Draft.fields["objective.minimise"] = formulate.Behaviour
	p.Draft.startFrom(made, lib)
	shares, sum := sharesOf(made, lib)
	for i, s := range shares {
		p.Draft.fields[fmt.Sprintf("fats.%d.material", i)] = s.id
	}
	p.Draft.fields["max_fats"] = fmt.Sprint(max(4, len(shares)+1))
	shelf, err := a.Shelf(r.Context())
	if err != nil {
		return err
	}
	p.Draft.without(r.Form["without"], lib)
	p.Draft.noDearer(shares, sum, shelf)
	p.Draft.noHarder(shares, sum, lib)
	p.Draft.sizeOf(made, lib)
	name := made.Name
	for _, id := range r.Form["without"] {
		name += " without " + lowerFirst(nameOf(id, lib))
	}
	p.Draft.fields["name"] = cutTo(name, 150)
	return nil
}

// without never uses some fats.
func (d *draft) without(ids []string, lib *material.Library) {
	for k, id := range ids {
		if m, err := lib.Find(id); err == nil && m.Of != "" {
			id = m.Of
		}
		if _, err := lib.Find(id); err == nil {
			d.fields[fmt.Sprintf("without.%d", k)] = id
		}
	}
}

// noDearer asks that the fats cost no more than those of a recipe do, where the
// shelf has a price for each of them.
func (d *draft) noDearer(shares []part, sum float64, shelf stock.Shelf) {
	cost := 0.0
	for _, s := range shares {
		perGram, ok := priceOf(s.id, shelf)
		if !ok {
			return
		}
		cost += 1000 * perGram * s.much / sum
	}
	d.fields["limits.0.quantity"] = "cost_per_kg"
	d.fields["limits.0.max"] = fmt.Sprintf("%.2f / kg", math.Ceil(100*cost-1e-6)/100)
}

// noHarder asks for no more hard wax and free acids than the recipe holds, and
// no more wax than is usual: with no such wish a substitute may be one that
// freezes out or seizes.
func (d *draft) noHarder(shares []part, sum float64, lib *material.Library) {
	wax, acid := 0.0, 0.0
	for _, s := range shares {
		switch m, err := lib.Find(s.id); {
		case err != nil:
		case m.Kind == material.Wax:
			wax += 100 * s.much / sum
		case m.Kind == material.FreeAcid:
			acid += 100 * s.much / sum
		}
	}
	for _, l := range []struct {
		quantity string
		most     float64
	}{{"hard_wax", max(usualWax, wax)}, {"free_acids", acid}} {
		at := fmt.Sprintf("limits.%d.", d.count("limits"))
		d.fields[at+"quantity"] = l.quantity
		d.fields[at+"max"] = plainNumber(max(0, math.Ceil(100*l.most-1e-6)/100), 2) + " %"
	}
}

// usualWax is the most hard wax that the page begins with [%]: common practice,
// no source.
const usualWax = 2

// priceOf is what a gram of a material costs on the shelf, the lot that is
// taken first.
func priceOf(id string, shelf stock.Shelf) (perGram float64, ok bool) {
	for _, l := range shelf.InOrder() {
		if l.Of == id && l.Held == "" && l.LeftG() > 0 && l.Price != nil {
			return l.Price.PerGram()
		}
	}
	return 0, false
}

// sizeOf takes the batch from a recipe that can be planned: what is in stock is
// measured against it.
func (d *draft) sizeOf(rec recipe.Recipe, lib *material.Library) {
	if p, err := plan.Make(rec, lib); err == nil && p.FatsG >= 1 {
		d.fields["batch"] = fmt.Sprintf("%.0f g", p.FatsG)
	}
}

// recipeNames lists the recipes to start from.
func (a *App) recipeNames(ctx context.Context) (out []named, err error) {
	all, err := a.store.Recipes(ctx, store.Search{})
	for _, r := range all {
		out = append(out, named{r.ID, r.Name})
	}
	sortByName(out)
	return out, err
}

// recipesWith lists the recipes in use whose fats hold a material, or a lot of
// it.
func (a *App) recipesWith(ctx context.Context, m material.Material, lib *material.Library) (out []named, err error) {
	if !m.Kind.IsFat() {
		return nil, nil
	}
	found, err := a.store.Recipes(ctx, store.Search{})
	if err != nil {
		return nil, err
	}
	for _, r := range found {
		rec, err := a.readOnce(ctx, r.Head)
		if err != nil {
			return nil, err
		}
		if rec != nil && slices.ContainsFunc(rec.Fats, func(f recipe.Fat) bool {
			of, _ := lib.Find(f.Material)
			return f.Material == m.ID || of.Of == m.ID
		}) {
			out = append(out, named{r.ID, r.Name})
		}
	}
	sortByName(out)
	return out, nil
}

// nameBase says which recipe the wishes started from. One that is not there any
// more is none.
func (a *App) nameBase(ctx context.Context, p *formulatePage) error {
	if p.Base == "" {
		return nil
	}
	v, err := a.store.Version(ctx, p.Base)
	if err != nil {
		p.Base = ""
		return nil
	}
	rec, err := a.store.Recipe(ctx, v.Recipe)
	if err != nil {
		return err
	}
	made, err := readVersion(v)
	if err != nil {
		return err
	}
	p.BaseName, p.BaseID = rec.Name, rec.ID
	p.More = len(made.Additions) > 0 || made.Mould != nil
	return nil
}

// overlay writes the recipe keys of an address over the draft: fats that come
// take the place of all that were there.
func (d *draft) overlay(form map[string][]string) {
	for name := range form {
		if strings.HasPrefix(name, keyPrefix+"fats.") {
			d.dropKeys("fats.")
			break
		}
	}
	maps.DeleteFunc(d.locks, func(int, bool) bool { return true })
	for name, values := range form {
		if key, ok := strings.CutPrefix(name, keyPrefix); ok && len(values) > 0 {
			d.fields[key] = values[0]
		}
	}
}

// startFrom makes a recipe's fats what change and behaviour start from, and its
// making that of what comes out. Lots count as what they are lots of.
func (d *draft) startFrom(rec recipe.Recipe, lib *material.Library) {
	for _, prefix := range []string{"objective.from.", "alkali.", "combine.", "scale."} {
		d.dropKeys(prefix)
	}
	shares, sum := sharesOf(rec, lib)
	for i, s := range shares {
		d.fields[fmt.Sprintf("objective.from.%d.material", i)] = s.id
		d.fields[fmt.Sprintf("objective.from.%d.share", i)] = plainNumber(100*s.much/sum, 3) + " %"
	}
	for key, text := range rec.Fields() {
		list, _, _ := strings.Cut(key, ".")
		if slices.Contains([]string{"superfat", "lye_strength", "alkali", "combine", "scale"}, list) && !strings.HasSuffix(key, ".amount") {
			d.fields[key] = text
		}
	}
}

// part is so much of a fat, as a share or a mass.
type part struct {
	id   string
	much float64
}

func sharesOf(rec recipe.Recipe, lib *material.Library) (out []part, sum float64) {
	for _, f := range rec.Fats {
		id, much := f.Material, 0.0
		if m, err := lib.Find(id); err == nil && m.Of != "" {
			id = m.Of
		}
		switch {
		case f.Share != nil:
			much = f.Share.Percent
		case f.Amount != nil:
			much = f.Amount.G()
		}
		sum += much
		if i := slices.IndexFunc(out, func(p part) bool { return p.id == id }); i >= 0 {
			out[i].much += much
		} else {
			out = append(out, part{id, much})
		}
	}
	return out, sum
}
