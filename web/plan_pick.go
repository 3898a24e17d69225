package web

import (
	"context"
	"errors"
	"net/url"
	"strings"

	"barwright/quantity"
	"barwright/recipe"
	"barwright/stock"
	"barwright/store"
)

// pick fills the draft from a mould, a place or a scale of the workshop.
func (a *App) pick(ctx context.Context, d *draft, form url.Values) error {
	if err := a.pickMould(ctx, d, form.Get("pick.mould")); err != nil {
		return err
	}
	if place, ok, err := thingOf[stock.Place](ctx, a.store, kindPlace, form.Get("pick.place")); err != nil {
		return err
	} else if ok {
		stage := recipe.Rest{Place: place.Place, Temperature: place.Temperature, RH: place.RH, Fan: place.Fan}
		for _, key := range []string{"place", "temperature", "rh", "fan"} { // its cover and hours stay
			delete(d.fields, "rest.0."+key)
		}
		d.take(recipe.Recipe{Rest: []recipe.Rest{stage}}, "rest.")
	}
	for _, of := range []string{"fats", "alkali"} {
		scale, ok, err := thingOf[stock.Scale](ctx, a.store, kindScale, form.Get("pick.scale."+of))
		if err != nil {
			return err
		}
		if ok {
			d.weighOn(of, scale)
		}
	}
	return nil
}

// weighOn says that the fats or the alkali are weighed on a scale: its step,
// what it carries, and for the alkali how well it repeats itself.
func (d *draft) weighOn(of string, s stock.Scale) {
	d.fields["scale."+of] = s.Step.String()
	put := func(key string, m *quantity.Mass) {
		delete(d.fields, key)
		if m != nil {
			d.fields[key] = m.String()
		}
	}
	put("scale."+of+"_capacity", s.Capacity)
	if of == "alkali" {
		put("scale.repeatability", s.Repeatability)
	}
}

// pickMould writes a mould as it truly is, holding what its water fill says;
// "none" takes the mould out.
func (a *App) pickMould(ctx context.Context, d *draft, id string) error {
	m, ok, err := thingOf[stock.Mould](ctx, a.store, kindMould, id)
	if err != nil {
		return err
	}
	if ok || id == "none" {
		for key := range d.fields {
			if strings.HasPrefix(key, "mould.") {
				delete(d.fields, key)
			}
		}
	}
	if ok {
		holding := m.True()
		d.take(recipe.Recipe{Mould: &holding}, "mould.")
	}
	return nil
}

// take copies the keys of a recipe that begin so.
func (d *draft) take(from recipe.Recipe, prefix string) {
	for key, text := range from.Fields() {
		if strings.HasPrefix(key, prefix) {
			d.fields[key] = text
		}
	}
}

// thingOf reads one thing, false when there is none, or it was put away.
func thingOf[T any](ctx context.Context, s *store.Store, kind, id string) (T, bool, error) {
	var none T
	t, err := s.Thing(ctx, kind, id)
	if errors.Is(err, store.ErrMissing) || err == nil && t.Gone {
		return none, false, nil
	} else if err != nil {
		return none, false, err
	}
	read, err := readThings[T]([]store.Thing{t})
	if err != nil {
		return none, false, err
	}
	return read[0], true, nil
}
