// Package heat forecasts what a batch does after the pour: how warm its core,
// its edge and its mean get and when, what part of it gels, whether it
// overheats, and which place and cover would keep it from gelling halfway.
//
// Start with Solve, one run of one case, and Tell, the forecast with its
// bands and chances. What it does not do: it knows no recipe (package plan
// makes the case of one), no air flow, and no heat of crystallisation, for
// which no figure was found. Model note: docs/model/heat.md.
package heat

import (
	"errors"
	"fmt"
	"math"
)

// Physics is exactly what is solved, in SI units, of the batter alone; z is
// up. Source: docs/model/heat.md eq. 1 to 8.
type Physics struct {
	Body
	ConductivityWMK float64 `json:"k_W_mK"`
	DensityKgM3     float64 `json:"rho_kg_m3"`
	HeatJKgK        float64 `json:"cp_J_kgK"`
	ReactionJKg     float64 `json:"q_J_kg"` // heat of the whole reaction per kg of batter
	Rate            Rate    `json:"rate"`
	Start           Start   `json:"start"`
	Stages          []Stage `json:"stages"`
	Boiling         Boiling `json:"boiling"`
	Wall            *Wall   `json:"wall_store"` // nil: the wall holds no heat
}

// Body is the batter of one cavity: a box or a cylinder.
type Body struct {
	Shape   string     `json:"shape"`              // Box, Upright or Level
	SizeM   [3]float64 `json:"size_m,omitzero"`    // of a box, length, width, height
	RadiusM float64    `json:"radius_m,omitempty"` // of a cylinder
	LengthM float64    `json:"length_m,omitempty"` // of a cylinder, along its axis
	Axis    string     `json:"axis,omitempty"`     // of a cylinder: "upright" or "level"
}

// Shapes of a body. A cylinder's Axis says how it lies.
const (
	Box      = "box"
	Cylinder = "cylinder"
	Upright  = "upright"
	Level    = "level"
)

// VolumeM3 returns the volume of the body.
func (b Body) VolumeM3() float64 {
	if b.Shape == Box {
		return b.SizeM[0] * b.SizeM[1] * b.SizeM[2]
	}
	return math.Pi * b.RadiusM * b.RadiusM * b.LengthM
}

// Rate is the law of the reaction, dX/dt = (k1 + k2 X^m)(1 - X)^n, both k by
// Arrhenius about TRefC. In the gel, above GelC, it runs GelFactor times as
// fast; the factor rises in a straight line over GelRampK about GelC.
type Rate struct {
	K1        float64 `json:"k1_1_s"` // [1/s] at TRefC
	K2        float64 `json:"k2_1_s"` // [1/s] at TRefC
	M         float64 `json:"m"`
	N         float64 `json:"n"` // below 1 the reaction ends in finite time
	EaJMol    float64 `json:"ea_J_mol"`
	TRefC     float64 `json:"t_ref_C"`
	GelFactor float64 `json:"gel_factor"`
	GelC      float64 `json:"gel_C"`
	GelRampK  float64 `json:"gel_ramp_K"`
}

// Start is the batter as poured, the same everywhere.
type Start struct {
	TC float64 `json:"t_C"`
	X  float64 `json:"x"` // conversion [0..1]
}

// Stage is how the batch stands from FromS on, until the next one begins.
type Stage struct {
	FromS   float64 `json:"from_s"`
	TC      float64 `json:"t_C"`            // of the surroundings
	USide   float64 `json:"u_side_W_m2K"`   // heat passed per area and kelvin, wall and covers included
	UTop    float64 `json:"u_top_W_m2K"`    // also of the upper end of an upright cylinder
	UBottom float64 `json:"u_bottom_W_m2K"` // a level cylinder has sides only
}

// Boiling is the sink of heat: above TC what is too much turns water to steam.
type Boiling struct {
	TC        float64 `json:"t_C"`
	LatentJKg float64 `json:"latent_J_kg"`
}

// Wall is the heat that side walls and bottom hold, as a layer between two
// resistances: from the batter to the layer InsideM2KW, the rest of 1/U outside.
type Wall struct {
	SideJM2K     float64 `json:"side_J_m2K"`
	SideInside   float64 `json:"side_inside_m2K_W"`
	BottomJM2K   float64 `json:"bottom_J_m2K"`
	BottomInside float64 `json:"bottom_inside_m2K_W"`
	StartC       float64 `json:"start_C"`
}

// ErrStopped says that nobody waited for the answer any more.
var ErrStopped = errors.New("stopped before it was done")

// ErrCase says that a case cannot be solved.
var ErrCase = errors.New("not a case of heat")

// Check returns what is out of range, an error of ErrCase; nil when the case
// can be solved.
func (p Physics) Check() error {
	for _, c := range []struct {
		what      string
		v, lo, hi float64
	}{
		{"conductivity", p.ConductivityWMK, 1e-3, 1e3},
		{"density", p.DensityKgM3, 1, 2e4},
		{"heat capacity", p.HeatJKgK, 10, 1e5},
		{"heat of reaction", p.ReactionJKg, 0, 1e7},
		{"k1", p.Rate.K1, 0, 1}, {"k2", p.Rate.K2, 0, 1},
		{"m", p.Rate.M, 0, 5}, {"n", p.Rate.N, 0, 5},
		{"activation energy", p.Rate.EaJMol, 0, 3e5},
		{"reference temperature", p.Rate.TRefC, -50, 200},
		{"gel factor", p.Rate.GelFactor, 0.01, 1e3},
		{"gel temperature", p.Rate.GelC, -300, 1e6},
		{"gel ramp", p.Rate.GelRampK, 0, 50},
		{"start temperature", p.Start.TC, -50, 150},
		{"start conversion", p.Start.X, 0, 1},
		{"boiling point", p.Boiling.TC, 50, 1e6},
	} {
		if !(c.v >= c.lo && c.v <= c.hi) {
			return fmt.Errorf("%w: %s %g, between %g and %g", ErrCase, c.what, c.v, c.lo, c.hi)
		}
	}
	return errors.Join(p.Body.check(), checkStages(p.Stages), p.Wall.check())
}

func (b Body) check() error {
	sides := b.SizeM[:]
	switch {
	case b.Shape == Cylinder && (b.Axis == Upright || b.Axis == Level):
		sides = []float64{b.RadiusM, b.LengthM}
	case b.Shape != Box:
		return fmt.Errorf("%w: a body of shape %q, axis %q", ErrCase, b.Shape, b.Axis)
	}
	for _, s := range sides {
		if !(s >= 1e-3 && s <= 10) {
			return fmt.Errorf("%w: a body with a side of %g m, between 1 mm and 10 m", ErrCase, s)
		}
	}
	return nil
}

func checkStages(stages []Stage) error {
	if len(stages) == 0 || stages[0].FromS != 0 {
		return fmt.Errorf("%w: no stage that begins at the pour", ErrCase)
	}
	for i, s := range stages {
		if i > 0 && !(s.FromS > stages[i-1].FromS) {
			return fmt.Errorf("%w: stage %d begins at %g s, not after the one before", ErrCase, i, s.FromS)
		}
		for _, u := range []float64{s.USide, s.UTop, s.UBottom} {
			if !(u >= 0 && u <= 1e5) {
				return fmt.Errorf("%w: %g W/m2K in stage %d", ErrCase, u, i)
			}
		}
		if !(s.TC >= -100 && s.TC <= 300) {
			return fmt.Errorf("%w: %g °C round the batch in stage %d", ErrCase, s.TC, i)
		}
	}
	return nil
}

func (w *Wall) check() error {
	if w == nil {
		return nil
	}
	for _, v := range []float64{w.SideJM2K, w.SideInside, w.BottomJM2K, w.BottomInside} {
		if !(v >= 0 && v <= 1e7) {
			return fmt.Errorf("%w: a wall with %g", ErrCase, v)
		}
	}
	if !(w.StartC >= -100 && w.StartC <= 300) {
		return fmt.Errorf("%w: a wall of %g °C", ErrCase, w.StartC)
	}
	return nil
}
