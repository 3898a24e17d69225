package mould

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"barwright/quantity"
)

func must[T any](v T, err error) *T {
	if err != nil {
		panic(err)
	}
	return &v
}

func sides(text string) *quantity.Sides   { return must(quantity.ParseSides(text)) }
func volume(text string) *quantity.Volume { return must(quantity.ParseVolume(text)) }
func stuff(text string) *quantity.Stuff   { return must(quantity.ParseStuff(text)) }
func share(text string) *quantity.Share   { return must(quantity.ParseShare(text)) }

// Plain geometry: a box is length x width x height; a cylinder π/4 d² l. One
// cubic inch is 16.387064 ml exactly.
func TestCapacity(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		mould Mould
		want  float64
	}{
		{"box", Mould{Shape: Box, Inside: sides("100 x 100 x 100 mm")}, 1000},
		{"box in cm, thrice", Mould{Shape: Box, Inside: sides("25 x 9 x 6.5 cm"), Count: 3}, 3 * 1462.5},
		{"box in inches", Mould{Shape: Box, Inside: sides("10 x 3 1/2 x 2 in")}, 70 * 16.387064},
		{"cylinder of d = l = 2r", Mould{Shape: Cylinder, Inside: sides("20 x 20 cm")}, 2 * math.Pi * 1000},
		{"cylinder on its side", Mould{Shape: Cylinder, Inside: sides("68 x 253 mm"), Axis: "level"}, math.Pi * 3.4 * 3.4 * 25.3},
		{"cavity", Mould{Shape: Cavity, Volume: volume("85 ml"), Count: 12}, 1020},
		{"box whose water fill says less", Mould{Shape: Box, Inside: sides("100 x 100 x 100 mm"), Holds: volume("0.97 l")}, 970},
		{"cavities, all of them filled", Mould{Shape: Cavity, Volume: volume("85 ml"), Count: 12, Holds: volume("1000 ml")}, 1000},
		{"cups", Mould{Shape: Cavity, Volume: volume("1 cup us"), Count: 16}, 3785.411784}, // a US gallon
	} {
		if got := c.mould.CapacityML(); math.Abs(got-c.want) > 1e-9*c.want { // rounding of float64
			t.Errorf("%s: %.6f ml, want %.6f", c.name, got, c.want)
		}
		if key, err := c.mould.Check(); err != nil {
			t.Errorf("%s: %s: %v", c.name, key, err)
		}
	}
}

// A cylinder fills π/4 of its box; k times the sides hold k³ as much.
func TestCapacityLaws(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		d, l, k := rapid.Float64Range(1, 500).Draw(t, "d"), rapid.Float64Range(1, 500).Draw(t, "l"), rapid.Float64Range(0.1, 10).Draw(t, "k")
		box := func(k float64) float64 {
			return Mould{Shape: Box, Inside: &quantity.Sides{Values: [3]float64{k * d, k * d, k * l}, Unit: "mm"}}.CapacityML()
		}
		round := Mould{Shape: Cylinder, Inside: &quantity.Sides{Values: [3]float64{d, l}, Unit: "mm"}}.CapacityML()
		if math.Abs(round-math.Pi/4*box(1)) > 1e-9*round || math.Abs(box(k)-k*k*k*box(1)) > 1e-9*box(k) {
			t.Fatalf("box %g ml, k³ %g; cylinder %g", box(1), box(k), round)
		}
	})
}

func TestDefaults(t *testing.T) {
	t.Parallel()
	m := Mould{Shape: Cavity, Volume: volume("85 ml")}
	if m.Cavities() != 1 || m.FillPercent() != 95 {
		t.Errorf("%d cavities filled to %g %%, want 1 and 95", m.Cavities(), m.FillPercent())
	}
	m.Count, m.Fill = 6, share("80 %")
	if m.Cavities() != 6 || m.FillPercent() != 80 {
		t.Errorf("%d cavities filled to %g %%, want 6 and 80", m.Cavities(), m.FillPercent())
	}
}

func TestCheck(t *testing.T) {
	t.Parallel()
	box := Mould{Shape: Box, Inside: sides("250 x 90 x 65 mm")}
	tube := Mould{Shape: Cylinder, Inside: sides("68 x 253 mm")}
	cavity := Mould{Shape: Cavity, Volume: volume("85 ml")}
	with := func(m Mould, change func(*Mould)) Mould { change(&m); return m }
	stuffs := "use one of: " + strings.Join(Walls, ", ")
	for _, c := range []struct {
		mould           Mould
		key, want, hint string
	}{
		{Mould{}, "shape", `"" is not a shape`, "the shapes are box, cylinder and cavity"},
		{with(box, func(m *Mould) { m.Shape = "heart\n" + strings.Repeat("x", 100) }), "shape",
			`"heart\n` + strings.Repeat("x", 34) + `" is not a shape`, "the shapes are box, cylinder and cavity"},
		{Mould{Shape: Box}, "inside", "a box needs its inside length x width x height", `inside = "250 x 90 x 65 mm"`},
		{with(box, func(m *Mould) { m.Inside = tube.Inside }), "inside", "a box needs its inside length x width x height", `inside = "250 x 90 x 65 mm"`},
		{Mould{Shape: Cylinder}, "inside", "a cylinder needs its inside diameter x length", `inside = "68 x 253 mm"`},
		{with(tube, func(m *Mould) { m.Inside = box.Inside }), "inside", "a cylinder needs its inside diameter x length", `inside = "68 x 253 mm"`},
		{Mould{Shape: Cavity}, "volume", "a cavity needs its volume", `fill it with water and weigh that: volume = "85 ml"`},
		{with(box, func(m *Mould) { m.Volume = cavity.Volume }), "volume", `a box has its size in inside; volume is for shape = "cavity"`, "take volume away"},
		{with(cavity, func(m *Mould) { m.Inside = box.Inside }), "inside", "a cavity has its size in volume; inside is for boxes and cylinders", "take inside away"},
		{with(tube, func(m *Mould) { m.Axis = "askew" }), "axis", `"askew" is not a way to stand`, "axis is upright or level"},
		{with(box, func(m *Mould) { m.Axis = "level" }), "axis", "only a cylinder has an axis", "take axis away"},
		{with(cavity, func(m *Mould) { m.Count = -1 }), "count", "-1 is not a number of cavities", "from 1 to 10000; leave it out for one"},
		{with(cavity, func(m *Mould) { m.Count = 10001 }), "count", "10001 is not a number of cavities", "from 1 to 10000; leave it out for one"},
		{with(box, func(m *Mould) { m.Fill = share("0 %") }), "fill", "a mould is filled to more than 0 and at most 100 %, not 0 %", `95 % leaves a little room: fill = "95 %"`},
		{with(box, func(m *Mould) { m.Fill = share("100.1 %") }), "fill", "a mould is filled to more than 0 and at most 100 %, not 100.1 %", `95 % leaves a little room: fill = "95 %"`},
		{with(box, func(m *Mould) { m.Inside = sides("250 x 90 x 65 cm") }), "inside", "this mould would hold 1462 litres", "is it in mm or ml, and the count right?"},
		{with(cavity, func(m *Mould) { m.Volume = volume("1 l"); m.Count = 1001 }), "volume", "this mould would hold 1001 litres", "is it in mm or ml, and the count right?"},
		{with(tube, func(m *Mould) { m.Inside = sides("6.8 x 25 mm") }), "inside", "this mould would hold less than a millilitre", "is it in mm or ml?"},
		{with(cavity, func(m *Mould) { m.Volume = volume("0.9 ml"); m.Count = 100 }), "volume", "this mould would hold less than a millilitre", "is it in mm or ml?"},
		{with(box, func(m *Mould) { m.Holds = volume("731 ml") }), "holds", "a water fill of 731 ml is far from the 1462 ml that the mould's sides say", "is it in ml, and are the sides right?"},
		{with(box, func(m *Mould) { m.Holds = volume("2.2 l") }), "holds", "a water fill of 2.2 l is far from the 1462 ml that the mould's sides say", "is it in ml, and are the sides right?"},
		{with(cavity, func(m *Mould) { m.Count, m.Holds = 12, volume("85 ml") }), "holds", "a water fill of 85 ml is far from the 1020 ml that the mould's sides say", "write what all 12 cavities hold together"},
		{with(box, func(m *Mould) { m.Holds = volume("732 ml") }), "", "", ""},
		{with(box, func(m *Mould) { m.Holds = volume("2193 ml") }), "", "", ""},
		{with(box, func(m *Mould) { m.Wall = stuff("softwod 12 mm") }), "wall", `"softwod" is not a stuff known here`, `did you mean "softwood"? ` + stuffs},
		{with(box, func(m *Mould) { m.Wall, m.Lid = stuff("q 12 mm"), stuff("z 12 mm") }), "wall", `"q" is not a stuff known here`, stuffs},
		{with(box, func(m *Mould) { m.Wall = stuff("steel 1 kg") }), "wall", "a wall has a thickness, not the mass 1 kg", `like "softwood 12 mm"`},
		{with(box, func(m *Mould) { m.Wall, m.Lid = stuff("steel 1 mm"), stuff("glas 4 mm") }), "lid", `"glas" is not a stuff known here`, `did you mean "glass"? ` + stuffs},
		{with(box, func(m *Mould) { m.Wall, m.Lid = stuff("none"), stuff("film 0.1 mm") }), "", "", ""},
	} {
		key, err := c.mould.Check()
		if c.want == "" {
			if err != nil {
				t.Errorf("%+v: %s: %v", c.mould, key, err)
			}
			continue
		}
		var e *quantity.Error
		if !errors.As(err, &e) || key != c.key || e.Text != c.want || e.Hint() != c.hint {
			t.Errorf("got %s: %v\nhint %s\nwant %s: %s\nhint %s", key, err, e.Hint(), c.key, c.want, c.hint)
		}
	}
}

// What lye eats is a stuff somebody may own.
func TestCorrodingIsKnown(t *testing.T) {
	t.Parallel()
	if len(Corroding) == 0 {
		t.Fatal("nothing corrodes")
	}
	for _, name := range Corroding {
		if err := CheckStuff(quantity.Stuff{Name: name}); err != nil {
			t.Error(err)
		}
	}
	for _, name := range Walls { // each can be written in a file
		if s, err := quantity.ParseStuff(name); err != nil || s.Name != name {
			t.Errorf("%q reads as %v, %v", name, s, err)
		}
	}
}

// What people call a stuff is answered with a word that is known.
func TestEverydayWords(t *testing.T) {
	t.Parallel()
	for word, want := range meant {
		s, err := quantity.ParseStuff(want)
		if err != nil || CheckStuff(s) != nil {
			t.Errorf("%q leads to %q, which is not known", word, want)
		}
		var e *quantity.Error
		if err := CheckStuff(quantity.Stuff{Name: word}); !errors.As(err, &e) || !strings.HasPrefix(e.Hint(), `did you mean "`+want+`"?`) {
			t.Errorf("%q: %v, %s", word, err, e.Hint())
		}
	}
}
