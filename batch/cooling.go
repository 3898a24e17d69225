package batch

import (
	"math"
	"time"
)

// Cooling is a vessel that loses heat to the room: T = room + (T0 − room)
// e^(−k t), Newton's law, one lump. It serves lye in a jug and fats in a pot
// that is off the heat.
type Cooling struct {
	FromC, RoomC float64
	From         time.Time
	PerS         float64 // k [1/s]
	Low, High    float64 // k lies between, for nine in ten
	Fitted       bool    // from two readings of this day, not from the vessel's size
}

// Figures of the rate before two readings are there. A vessel as wide as high,
// open on top: loss by free convection and radiation. own_estimate.
const (
	lossWPerM2K   = 11.0
	lossFactor    = 1.6 // the rate lies within this factor either way
	readingErrorC = 1.0 // two thermometer readings differ by this much for nothing
)

// CoolingOf returns the law of a vessel with so much in it [g, g/ml, J/(g K)]
// before anything is measured.
func CoolingOf(massG, gPerML, jPerGK, fromC, roomC float64, from time.Time) Cooling {
	m3 := massG / gPerML / 1e6
	d := math.Cbrt(4 * m3 / math.Pi)
	area := math.Pi*d*d + math.Pi*d*d/2 // side, top and bottom
	k := lossWPerM2K * area / (massG * jPerGK)
	return Cooling{FromC: fromC, RoomC: roomC, From: from, PerS: k, Low: k / lossFactor, High: k * lossFactor}
}

// Refit returns the law with the rate that two readings say: k = ln((T1 − room)
// / (T2 − room)) / (t2 − t1). It stays as it is, but starts at the second
// reading, when they are too near each other or to the room to say anything.
func (c Cooling) Refit(at1 time.Time, c1 float64, at2 time.Time, c2 float64) Cooling {
	out := c
	out.From, out.FromC = at2, c2
	seconds, over1, over2 := at2.Sub(at1).Seconds(), c1-c.RoomC, c2-c.RoomC
	if seconds <= 0 || over2 < 2*readingErrorC || over1-over2 < 2*readingErrorC {
		return out
	}
	rate := func(a, b float64) float64 { return math.Log(a/b) / seconds }
	out.PerS, out.Fitted = rate(over1, over2), true
	out.Low = math.Max(out.PerS/10, rate(over1-readingErrorC/2, over2+readingErrorC/2))
	out.High = rate(over1+readingErrorC/2, over2-readingErrorC/2)
	return out
}

// AtC returns the temperature at an instant [°C], with its range.
func (c Cooling) AtC(at time.Time) (likely, low, high float64) {
	s := math.Max(0, at.Sub(c.From).Seconds())
	by := func(k float64) float64 { return c.RoomC + (c.FromC-c.RoomC)*math.Exp(-k*s) }
	likely, low, high = by(c.PerS), by(c.High), by(c.Low)
	return likely, math.Min(low, high), math.Max(low, high)
}

// Reaches returns when it has cooled to a temperature, the earliest and the
// latest; false for one it never cools to. What is that cool already is there.
func (c Cooling) Reaches(targetC float64) (at, first, last time.Time, ok bool) {
	if c.FromC <= targetC {
		return c.From, c.From, c.From, true
	}
	if targetC <= c.RoomC {
		return at, first, last, false
	}
	ratio := math.Log((c.FromC - c.RoomC) / (targetC - c.RoomC))
	after := func(k float64) time.Time { return c.From.Add(time.Duration(ratio / k * float64(time.Second))) }
	return after(c.PerS), after(c.High), after(c.Low), true
}

// Meeting is how lye and fats arrive at their temperatures together.
type Meeting struct {
	At       time.Time // both are there
	LyeAt    time.Time // the lye by itself
	FatsAt   time.Time
	LyeWait  time.Duration // start the lye, or leave it warm, by so much later
	FatsWait time.Duration // and the fats
}

// Meet returns when each should start so that they arrive together: the one that
// takes longer at once, the other so much later.
func Meet(lyeAt, fatsAt time.Time) Meeting {
	m := Meeting{LyeAt: lyeAt, FatsAt: fatsAt, At: lyeAt}
	if fatsAt.After(lyeAt) {
		m.At, m.LyeWait = fatsAt, fatsAt.Sub(lyeAt)
		return m
	}
	m.FatsWait = lyeAt.Sub(fatsAt)
	return m
}

// meltFor is how long fats take from the cupboard to clear [s a gram, and at
// least]: a kilogram in some twenty minutes. Common practice, no source.
const (
	meltSPerG   = 1.2
	leastMelt   = 6 * time.Minute
	overClearC  = 8.0  // melted fats are this much over where they are clear
	usualMeltC  = 60.0 // fats that nobody knows the clear point of
	belowPeakC  = 8.0  // a jug reads less than the adiabatic peak; common practice, no source
	peakUnknown = 90.0 // lye whose heat has no table
)

// Schedule returns when lye and fats that start at an instant arrive, and what
// must wait for the other; false for a recipe without temperatures.
func (sh *Sheet) Schedule(at time.Time, roomC float64) (Meeting, bool) {
	m := sh.Recipe.Combine
	if m == nil {
		return Meeting{}, false
	}
	lyeAt, _, _, ok := sh.lyeLaw(sh.freshC(), roomC, at).Reaches(m.LyeTemperature.C())
	if !ok { // it needs a cold bath, and that takes about a quarter of the time to 5 K over the room
		warm, _, _, _ := sh.lyeLaw(sh.freshC(), roomC, at).Reaches(roomC + 5)
		lyeAt = at.Add(warm.Sub(at) / 4)
	}
	melted := at.Add(max(leastMelt, time.Duration(meltSPerG*sh.Plan.FatsG)*time.Second))
	fatsAt, _, _, ok := sh.fatsLaw(sh.meltedC(), roomC, melted).Reaches(m.FatsTemperature.C())
	if !ok {
		fatsAt = melted
	}
	return Meet(lyeAt, fatsAt), true
}

// freshC is how warm the fresh lye is [°C].
func (sh *Sheet) freshC() float64 {
	if p := sh.Plan.Lye.PeakC; p != nil {
		return *p - belowPeakC
	}
	return peakUnknown
}

// meltedC is how warm the fats are once they are clear [°C].
func (sh *Sheet) meltedC() float64 {
	c := usualMeltC
	if clear := sh.Plan.Combine.ClearC; clear != nil {
		c = *clear + overClearC
	}
	if m := sh.Recipe.Combine; m != nil {
		c = math.Max(c, m.FatsTemperature.C())
	}
	return c
}

// Rough densities and heat capacities for the first guess of a rate; two
// readings replace it.
const (
	lyeGPerML, lyeJPerGK   = 1.33, 3.5
	fatsGPerML, fatsJPerGK = 0.90, 2.05
)

func (sh *Sheet) lyeLaw(fromC, roomC float64, from time.Time) Cooling {
	return CoolingOf(sh.Plan.Lye.MassG, lyeGPerML, lyeJPerGK, fromC, roomC, from)
}

func (sh *Sheet) fatsLaw(fromC, roomC float64, from time.Time) Cooling {
	return CoolingOf(sh.Plan.FatsG, fatsGPerML, fatsJPerGK, fromC, roomC, from)
}
