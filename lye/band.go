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
// Model: docs/model/superfat.md, equations 1 to 4.
func (b Batch) Superfat() Band {
	s := b.sample()
	band := Band{Typical: b.Typical(), Worst: b.worst(), Shares: b.FirstOrder().Shares}
	heavy := 0
	for _, v := range s {
		band.Mean += v / numeric.Samples
		if v < 0 {
			heavy++
		}
	}
	for _, v := range s {
		band.SD += (v - band.Mean) * (v - band.Mean)
	}
	band.SD = math.Sqrt(band.SD / (numeric.Samples - 1))
	band.ChanceLyeHeavy = float64(heavy) / numeric.Samples
	band.Low = numeric.Quantile(s, 0.025)
	band.High = numeric.Quantile(s, 0.975)
	return band
}

// sample returns the superfat [%] at every sample point.
func (b Batch) sample() []float64 {
	out, perG := make([]float64, numeric.Samples), make([]float64, numeric.Samples)
	for k, t := range b.Terms {
		t.addTo(out, perG, 4*k, 100/b.DosedMol)
	}
	return out
}

// addTo adds the term's part of the superfat, times scale, at every sample
// point. It uses four columns from dim on, and perG as scratch.
func (t Term) addTo(out, perG []float64, dim int, scale float64) {
	if t.Brings {
		scale = -scale
	}
	t.PerG.sample(perG, numeric.HalfNormal(dim), numeric.Uniform(dim+1))
	step := numeric.Uniform(dim + 2)
	if t.NoiseG > 0 {
		noise := numeric.HalfNormal(dim + 3)
		for i := range out {
			sign := float64(1 - 2*(i&1)) // the columns' orders are random, so parity is a fair coin
			out[i] += scale * sign * t.NoiseG * noise[i] * perG[i]
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
// step, slow takers take nothing, and the alkali is the strongest and over by
// half a step.
func (b Batch) worst() float64 {
	return b.sum(func(t Term) float64 {
		switch {
		case t.Slow:
			return 0
		case t.Brings:
			return (t.MassG + t.StepG/2) * t.PerG.High()
		}
		return math.Max(0, t.MassG-t.StepG/2) * t.PerG.Low()
	})
}

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
