package heat

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// middle is a draw of what is likeliest.
func middle() (u [draws]float64) {
	for i := range u {
		u[i] = 0.5
	}
	return u
}

// beyond is the share of a normal law below one standard deviation.
const beyond = 0.8413447

// A wall holds its heat behind half of its own resistance, and stands as warm
// as the room the mould came from.
func TestWallOfAMould(t *testing.T) {
	t.Parallel()
	in := func(rest Rest) *Wall {
		c, err := NewCase(plainBatter(880, 40), boxOf(t, "349 x 62 x 62 mm", "softwood 12 mm"), []Rest{rest})
		if err != nil {
			t.Fatal(err)
		}
		return c.Wall
	}
	w := in(Rest{Place: "room", TC: 17})
	near(t, "room's wall", w.StartC, 17, 0)
	near(t, "inside resistance: half of 12 mm of softwood at 0.13 W/mK (EN ISO 10456)", w.SideInside, 0.012/0.13/2, 0.05*0.046)
	near(t, "the bottom's", w.BottomInside, w.SideInside, 0)
	near(t, "a mould put into a fridge comes from the room", in(Rest{Place: "fridge", TC: 4}).StartC, roomC, 0)
}

// Between the makers' own doubt, the mould's and a batch's, none is lost: any
// maker's next batch has the figures' own spread.
func TestPriorAddsUp(t *testing.T) {
	t.Parallel()
	m := newMaker([]Log{{Mould: "loaf"}, {Mould: "tube"}})
	h := m.picks("loaf")
	var cov mat.Dense
	cov.Product(h, m.cov, h.T())
	for i, figure := range []float64{logDeviation(RateFactor), logDeviation(LossFactor), logDeviation(ReactionHeat)} {
		near(t, "variance", cov.At(i, i)+scatter[i]*scatter[i], figure*figure, 1e-12)
	}
	other := m.picks("a mould never logged")
	var narrow mat.Dense
	narrow.Product(other, m.cov, other.T())
	near(t, "without the mould's own part", cov.At(drawLoss, drawLoss)-narrow.At(drawLoss, drawLoss), lossOfMould*lossOfMould, 1e-12)
}

// Six batches leave half of the doubt about what they do not teach.
func TestBatchesSettleTheRest(t *testing.T) {
	t.Parallel()
	c := plainCase(t, 40, Rest{Place: "room", TC: 20})
	u := middle()
	u[drawGel] = beyond
	fresh := c.drawn(u).Rate.GelC - c.Rate.GelC
	near(t, "of any maker", fresh, 5/1.645, 1e-3) // ±5 K hold nine in ten
	c.Belief = Belief{Batches: 6, Cov: Belief{}.known().Cov}
	near(t, "after six", (c.drawn(u).Rate.GelC-c.Rate.GelC)/fresh, 0.5, 1e-3)
}

// Outside the waters it was measured at, the gel line is half as doubtful
// again; sugar counts as water there.
func TestGelLineFarFromTheMeasured(t *testing.T) {
	t.Parallel()
	spread := func(waterPct, sugarG float64) (line, sd float64) {
		b := plainBatter(880, 40)
		b.WaterPct, b.SugarG = waterPct, sugarG
		c, err := NewCase(b, boxOf(t, "349 x 62 x 62 mm", "softwood 12 mm"), []Rest{{Place: "room", TC: 20}})
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, d := range []int{drawGel, drawOwnGel} {
			u := middle()
			u[d] = beyond
			k := c.drawn(u).Rate.GelC - c.Rate.GelC
			sum += k * k
		}
		return c.Rate.GelC, math.Sqrt(sum)
	}
	_, within := spread(18, 0)
	for _, water := range []float64{14, 25} {
		if _, sd := spread(water, 0); !(sd/within > 1.45 && sd/within < 1.65) {
			t.Errorf("%g %% water: %.2f times the spread", water, sd/within)
		}
	}
	mass := plainBatter(880, 40).MassG
	sweet, sd := spread(18, 0.05*mass)
	near(t, "5 % of sugar on 18 % of water", sweet, GelC(23), 1e-9)
	if !(sd > 1.45*within) {
		t.Error("with the sugar it lies outside what was measured")
	}
}

// The place may be warmer than said, in every stage.
func TestPlaceIsDrawn(t *testing.T) {
	t.Parallel()
	c := plainCase(t, 40, Rest{Place: "fridge", TC: 4, ForS: 3600}, Rest{Place: "room", TC: 20})
	u := middle()
	u[drawPlace] = beyond
	for i, s := range c.drawn(u).Stages {
		near(t, "shift of the place", s.TC-c.Stages[i].TC, 1.5/1.645, 1e-3)
	}
	u = middle()
	u[drawPour] = beyond
	near(t, "and the pour", c.drawn(u).Start.TC-c.Start.TC, 1.5/1.645, 1e-3)
}
