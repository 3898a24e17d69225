package heat

import (
	"math"
	"testing"
)

// slabSeries is the full series of a slab cooled on both faces, theta at a
// place of 0 (middle) to 1 (face). Source: carslaw_jaeger, chapter 3.
func slabSeries(biot, fourier, place float64) (theta float64) {
	for n := range 60 {
		low, high := float64(n)*math.Pi, (float64(n)+0.5)*math.Pi
		for range 80 { // zeta tan zeta = Biot
			if z := (low + high) / 2; z*math.Tan(z) < biot {
				low = z
			} else {
				high = z
			}
		}
		z := (low + high) / 2
		theta += 4 * math.Sin(z) / (2*z + math.Sin(2*z)) * math.Exp(-z*z*fourier) * math.Cos(z*place)
	}
	return theta
}

// The series of this file against that computed outside.
func TestSlabSeries(t *testing.T) {
	t.Parallel()
	rows := 0
	for _, row := range published(t, "transient_exact.csv") {
		if row["geometry"] != "plane_wall" {
			continue
		}
		rows++
		near(t, "theta", slabSeries(number(t, row["Bi"]), number(t, row["Fo"]), number(t, row["position_ratio"])), number(t, row["theta_exact"]), 2e-6)
	}
	if rows < 50 {
		t.Errorf("only %d rows", rows)
	}
}

// The edge that a forecast tells of a box, the middle of an upright edge, is
// the product of three slabs at two faces and a middle.
func TestEdgeOfABoxIsTheProduct(t *testing.T) {
	t.Parallel()
	p := inert()
	p.Body.SizeM = [3]float64{0.08, 0.09, 0.12}
	for _, hours := range []float64{1, 2, 4} {
		s := Shown
		s.UntilS = 3600 * hours
		r := solve(t, p, s)
		theta := 1.0
		for axis, place := range []float64{1, 1, 0} {
			halfM := p.Body.SizeM[axis] / 2
			fourier := p.ConductivityWMK / (p.DensityKgM3 * p.HeatJKgK) * s.UntilS / (halfM * halfM)
			theta *= slabSeries(5*halfM/p.ConductivityWMK, fourier, place)
		}
		near(t, "edge", r.EdgeC[len(r.EdgeC)-1], 20+50*theta, 0.005)
	}
}

// A cylinder as high as wide, the nearest a mould comes to a sphere, is the
// product of a cylinder and a slab.
func TestAsHighAsWide(t *testing.T) {
	t.Parallel()
	const halfM = 0.04
	theta := map[[2]string]float64{}
	for _, row := range published(t, "transient_exact.csv") {
		if row["position_ratio"] == "0" {
			key := [2]string{row["Bi"], row["Fo"]}
			if _, first := theta[key]; !first {
				theta[key] = 1
			}
			if row["geometry"] == "plane_wall" || row["geometry"] == "cylinder" {
				theta[key] *= number(t, row["theta_exact"])
			}
		}
	}
	for key, want := range theta {
		biot, fourier := number(t, key[0]), number(t, key[1])
		if biot > 5 {
			continue
		}
		for _, axis := range []string{Upright, Level} {
			p := inert()
			u := biot * p.ConductivityWMK / halfM
			p.Body = Body{Shape: Cylinder, Axis: axis, RadiusM: halfM, LengthM: 2 * halfM}
			p.Stages[0] = Stage{TC: 20, USide: u, UTop: u, UBottom: u}
			s := Shown
			s.UntilS = fourier * halfM * halfM * p.DensityKgM3 * p.HeatJKgK / p.ConductivityWMK
			r := solve(t, p, s)
			near(t, axis+", Bi "+key[0]+" Fo "+key[1], (r.CoreC[len(r.CoreC)-1]-20)/50, want, 0.0002)
		}
	}
	if len(theta) < 20 {
		t.Errorf("only %d cases", len(theta))
	}
}
