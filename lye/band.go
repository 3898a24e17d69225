package lye

import (
	"math"

	"barwright/internal/numeric"
)

// Term is one thing on the scale that binds alkali or brings it.
type Term struct {
	Cause  string  // whose doubt this is: a material's id, or Assay
	MassG  float64 // what the scale should show [g]
	StepG  float64 // the scale's step [g]: the true mass lies within half of it
	NoiseG float64 // repeatability of the scale, one standard deviation [g]
	PerG   Law     // alkali bound or brought [mol/g]
	Slow   bool    // may bind nothing at all: left out of the worst corner
	Brings bool    // brings alkali instead of binding it
}

// Causes that are not a material.
const (
	Assay       = "assay"        // strength of the alkali
	AlkaliScale = "alkali_scale" // weighing the alkali
	FatsScale   = "fats_scale"   // weighing everything else
)

// Batch is everything that decides the superfat. Its terms are independent.
type Batch struct {
	Terms    []Term
	DosedMol float64 // what the fats bind at the values they are dosed by [mol]
}

// Band is the superfat as a range [per cent of the alkali the fats bind].
type Band struct {
	Typical        float64            `json:"typical"` // every input at its typical value
	Low            float64            `json:"low"`     // 2.5 % point
	High           float64            `json:"high"`    // 97.5 % point
	Worst          float64            `json:"worst"`   // leanest fats, strongest alkali, scale at its worst
	ChanceLyeHeavy float64            `json:"chance_lye_heavy"`
	Shares         map[string]float64 `json:"shares"` // of the variance, by cause; they come to 1
	Mean           float64            `json:"mean"`
	SD             float64            `json:"sd"`
}

// Superfat returns the band by sampling: 4096 evenly spread points, the same
// every time, so that a plan gives the same numbers next year.
// Model: docs/model/superfat.md, equations 3 to 6.
func (b Batch) Superfat() Band { return Superfats(b)[0] }

// Superfats returns the bands of batches whose terms differ only in their
// masses, such as the exact and the weighed: one draw of nature serves them
// all. Batches with different numbers of terms are a programmer's mistake and
// panic.
func Superfats(batches ...Batch) []Band {
	bands := make([]Band, len(batches))
	for i, s := range sample(batches) {
		bands[i] = batches[i].describe(s)
	}
	return bands
}

// describe turns the superfats of all points into a band. It reorders them.
func (b Batch) describe(superfats []float64) Band {
	band := Band{Typical: b.Typical(), Worst: b.worst(), Shares: b.FirstOrder().Shares}
	heavy, sum := 0, 0.0
	for _, v := range superfats {
		sum += v
		if v < 0 {
			heavy++
		}
	}
	band.Mean = sum / numeric.Samples
	squares := 0.0
	for _, v := range superfats {
		squares += sq(v - band.Mean)
	}
	band.SD = math.Sqrt(squares / (numeric.Samples - 1))
	band.ChanceLyeHeavy = float64(heavy) / numeric.Samples
	band.Low = numeric.Quantile(superfats, 0.025)
	band.High = numeric.Quantile(superfats, 0.975)
	return band
}

// sample returns the superfat [%] of every batch at every sample point.
func sample(batches []Batch) [][]float64 {
	out := make([][]float64, len(batches))
	for i := range out {
		out[i] = make([]float64, numeric.Samples)
	}
	perG := make([]float64, numeric.Samples)
	for k, t := range batches[0].Terms {
		t.PerG.sample(perG, numeric.HalfNormal(4*k), numeric.Uniform(4*k+1))
		for i, b := range batches {
			b.Terms[k].addTo(out[i], perG, 4*k, 100/b.DosedMol)
		}
	}
	return out
}

// addTo adds the term's part of the superfat, times scale, at every sample
// point, given what a gram of it binds or brings there. It uses the columns
// dim+2 and dim+3.
func (t Term) addTo(out, perG []float64, dim int, scale float64) {
	if t.Brings {
		scale = -scale
	}
	step := numeric.Uniform(dim + 2)
	if t.NoiseG > 0 {
		noise := numeric.HalfNormal(dim + 3)
		for i, v := range perG {
			// The last bit of the step's place is a coin of this term's own.
			sign := float64(1 - 2*(int(step[i]*numeric.Samples)&1))
			out[i] += scale * sign * t.NoiseG * noise[i] * v
		}
	}
	least, wide := scale*(t.MassG-t.StepG/2), scale*t.StepG
	for i, v := range perG {
		out[i] += (least + wide*step[i]) * v
	}
}

// Typical returns the superfat with every input at its typical value [%].
func (b Batch) Typical() float64 {
	return b.sum(func(t Term) float64 { return t.MassG * t.PerG.Mode })
}

// worst is the corner where every fat is the leanest and short by half a
// step and the scale's unsteadiness, slow takers take nothing, and the alkali
// is the strongest and over by as much.
func (b Batch) worst() float64 {
	return b.sum(func(t Term) float64 {
		switch {
		case t.Slow:
			return 0
		case t.Brings:
			return (t.MassG + t.offG()) * t.PerG.High()
		}
		return math.Max(0, t.MassG-t.offG()) * t.PerG.Low()
	})
}

// offG is how far the scale may be off [g]: half a step, and 95 % of what its
// unsteadiness does.
func (t Term) offG() float64 { return t.StepG/2 + z975*t.NoiseG }

func (b Batch) sum(of func(Term) float64) float64 {
	total := 0.0
	for _, t := range b.Terms {
		if t.Brings {
			total -= of(t)
		} else {
			total += of(t)
		}
	}
	return 100 * total / b.DosedMol
}

// Moments are mean and standard deviation of the superfat [%] and each
// cause's share of the variance.
type Moments struct {
	Mean, SD float64
	Shares   map[string]float64
}

// FirstOrder returns the moments by first-order propagation, the second route
// that must agree with sampling.
// Source: JCGM 100:2008 (GUM), 5.1.2, with the means of the split normal laws.
func (b Batch) FirstOrder() Moments {
	m := Moments{Shares: map[string]float64{}}
	m.Mean = b.sum(func(t Term) float64 { return t.MassG * t.PerG.Mean() })
	total := 0.0
	for _, t := range b.Terms {
		byLaw := sq(t.MassG) * t.PerG.Variance()
		byScale := sq(t.PerG.Mean()) * (sq(t.StepG)/12 + sq(t.NoiseG))
		m.Shares[t.Cause] += byLaw
		m.Shares[t.scale()] += byScale
		total += byLaw + byScale
	}
	for cause, v := range m.Shares {
		if v == 0 {
			delete(m.Shares, cause)
		} else {
			m.Shares[cause] = v / total
		}
	}
	m.SD = 100 * math.Sqrt(total) / b.DosedMol
	return m
}

func (t Term) scale() string {
	if t.Brings {
		return AlkaliScale
	}
	return FatsScale
}

func sq(x float64) float64 { return x * x }
