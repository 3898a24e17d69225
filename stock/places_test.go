package stock_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"barwright/mould"
	"barwright/quantity"
	"barwright/stock"
)

func volume(text string) *quantity.Volume { return must(quantity.ParseVolume(text)) }

func loaf() stock.Mould {
	return stock.Mould{ID: "m1", Name: "M1", Bars: 11, Mould: mould.Mould{Shape: mould.Box, Inside: must(quantity.ParseSides("349 x 62 x 62 mm"))}}
}

// A box of 349 x 62 x 62 mm is 1341.556 ml; a water fill of 1320 ml is 1.607 %
// less.
func TestTrueMould(t *testing.T) {
	t.Parallel()
	m := loaf()
	if _, known := m.OffPercent(); known || math.Abs(m.True().CapacityML()-1341.556) > 1e-9 {
		t.Errorf("nothing learned: %g ml", m.True().CapacityML())
	}
	m.Learned = volume("1320 ml")
	off, known := m.OffPercent()
	if got := m.True(); !known || math.Abs(off+1.607) > 0.001 || got.CapacityML() != 1320 || got.Name != "M1" || m.Mould.Holds != nil {
		t.Errorf("%g %% off, %+v", off, got)
	}
}

// checked is a thing that judges itself.
type checked interface {
	Check() (key string, err error)
}

func TestThingChecks(t *testing.T) {
	t.Parallel()
	aMould := func(change func(*stock.Mould)) stock.Mould { m := loaf(); change(&m); return m }
	aPlace := func(change func(*stock.Place)) stock.Place {
		p := stock.Place{ID: "fridge", Name: "Fridge", Place: "fridge", Temperature: must(quantity.ParseTemperature("4 °C")), RH: share("60 %")}
		change(&p)
		return p
	}
	aScale := func(change func(*stock.Scale)) stock.Scale {
		s := stock.Scale{ID: "kitchen", Name: "Kitchen scale", Step: *mass("1 g"), Capacity: mass("5 kg"), Repeatability: mass("0.5 g")}
		change(&s)
		return s
	}
	aShop := func(change func(*stock.Workshop)) stock.Workshop {
		w := stock.Workshop{Name: "Ninth Lock", Currency: "EUR", Hour: price("15 each"), Overhead: price("0.35 each")}
		change(&w)
		return w
	}
	line := "it must be one line of at most 200 letters"
	for _, c := range []struct {
		thing     checked
		key, want string
	}{
		{aMould(func(m *stock.Mould) {}), "", ""},
		{aMould(func(m *stock.Mould) { m.Learned = volume("1320 ml") }), "", ""},
		{aMould(func(m *stock.Mould) { m.Name = "" }), "name", "it has no name"},
		{aMould(func(m *stock.Mould) { m.ID = "" }), "id", `"" is not an id`},
		{aMould(func(m *stock.Mould) { m.Mould.Shape = "heart" }), "mould.shape", `"heart" is not a shape`},
		{aMould(func(m *stock.Mould) { m.Mould.Inside = nil }), "mould.inside", "a box needs its inside length x width x height"},
		{aMould(func(m *stock.Mould) { m.Mould.Wall = must(quantity.ParseStuff("softwod 12 mm")) }), "mould.wall", `"softwod" is not a stuff known here`},
		{aMould(func(m *stock.Mould) { m.Learned = volume("132 ml") }), "learned", "a water fill of 132 ml is far from the 1342 ml that the mould's sides say"},
		{aMould(func(m *stock.Mould) { m.Mould.Holds = volume("1320 ml") }), "mould.holds", "a mould of the workshop says what it truly holds in learned"},
		{aMould(func(m *stock.Mould) { m.Bars = -1 }), "bars", "-1 is not a number of bars"},
		{aMould(func(m *stock.Mould) { m.Note = "\x07" }), "note", "the note is too long, or has letters that cannot be printed"},
		{aPlace(func(p *stock.Place) {}), "", ""},
		{aPlace(func(p *stock.Place) { p.Name = strings.Repeat("x", 201) }), "name", line},
		{aPlace(func(p *stock.Place) { p.Place = "shed" }), "place", `"shed" is not a place to rest`},
		{aPlace(func(p *stock.Place) { p.Temperature = must(quantity.ParseTemperature("500 °F")) }), "temperature", "a place has -40 to 120 °C, not 500 °F"},
		{aPlace(func(p *stock.Place) { p.RH = share("120 %") }), "rh", "relative humidity lies between 0 and 100 %, not 120 %"},
		{aScale(func(s *stock.Scale) {}), "", ""},
		{aScale(func(s *stock.Scale) { s.Step = quantity.Mass{} }), "step", "a scale needs its step"},
		{aScale(func(s *stock.Scale) { s.Step = *mass("1 kg") }), "step", "a scale that shows steps of 1 kg"},
		{aScale(func(s *stock.Scale) { s.Step = *mass("0.01 mg") }), "step", "a scale that shows steps of 0.01 mg"},
		{aScale(func(s *stock.Scale) { s.Capacity = mass("0.5 g") }), "capacity", "it carries 0.5 g, less than its own step of 1 g"},
		{aScale(func(s *stock.Scale) { s.Repeatability = mass("1 kg") }), "repeatability", "a scale that repeats itself to 1 kg"},
		{aShop(func(w *stock.Workshop) {}), "", ""},
		{aShop(func(w *stock.Workshop) { w.Name = " " }), "name", "the workshop has no name"},
		{aShop(func(w *stock.Workshop) { w.Name = "a\nb" }), "name", line},
		{aShop(func(w *stock.Workshop) { w.Currency = "gold of the realm" }), "currency", "a currency is a short word"},
		{aShop(func(w *stock.Workshop) { w.Hour = price("15 / kg") }), "hour", "15 / kg is a price by mass"},
		{aShop(func(w *stock.Workshop) { w.Overhead = price("15 / kg") }), "overhead", "15 / kg is a price by mass"},
	} {
		key, err := c.thing.Check()
		if c.want == "" {
			if err != nil {
				t.Errorf("%+v: %s: %v", c.thing, key, err)
			}
			continue
		}
		if err == nil || key != c.key || err.Error() != c.want {
			t.Errorf("got %s: %v, want %s: %s", key, err, c.key, c.want)
		}
		var h interface{ Hint() string }
		if errors.As(err, &h) && h.Hint() == "" {
			t.Errorf("%v: its hint is empty", err)
		}
	}
}
