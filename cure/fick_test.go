package cure

import (
	"math"
	"testing"
)

// A slab loses half by D t / (2 half)² = 0.04919. Source: J. Crank, The
// Mathematics of Diffusion, 2nd ed. 1975, section 4.3.5, eq. 4.23: the half-time
// is exactly −ln(π²/16 − (π²/16)⁹/9) / π².
func TestSlabHalfTime(t *testing.T) {
	t.Parallel()
	const fourier = 4 * 0.04919
	if left := slab(fourier); math.Abs(left-0.5) > 2e-4 {
		t.Errorf("left at the half-time: %.5f, want 0.5", left)
	}
}

// The other exact solution of the same problem, by images and the error
// function, quick where the cosine series is slow. Source: Crank, eq. 4.20.
func TestSlabAgainstErrorFunctions(t *testing.T) {
	t.Parallel()
	ierfc := func(x float64) float64 { return math.Exp(-x*x)/math.Sqrt(math.Pi) - x*math.Erfc(x) }
	for _, f := range []float64{1e-4, 0.001, 0.01, 0.019, 0.021, 0.05, 0.1, 0.3, 0.6, 1, 2} {
		sum, sign := 1/math.Sqrt(math.Pi), -1.0
		for n := 1; n < 60; n++ {
			sum += 2 * sign * ierfc(float64(n)/math.Sqrt(f))
			sign = -sign
		}
		if want, got := 1-2*math.Sqrt(f)*sum, slab(f); math.Abs(got-want) > 1e-6 {
			t.Errorf("slab at %g: %.8f left, want %.8f", f, got, want)
		}
	}
}

// The rule of thickness is exact in diffusion: twice the sides, four times as
// long.
func TestTwiceAsThickTakesFourTimes(t *testing.T) {
	t.Parallel()
	for _, days := range []float64{1, 5, 20, 60} {
		thin, thick := Fick([3]float64{20, 50, 80}, 4e-11, days), Fick([3]float64{40, 100, 160}, 4e-11, 4*days)
		if math.Abs(thin-thick) > 1e-12 {
			t.Errorf("after %g days %.6f of the thin bar, %.6f of the thick", days, thin, thick)
		}
	}
}

// The law with shape 1 is Lewis: half gone after ln 2 time constants, 95.0 %
// after three (1 − e⁻³ = 0.950213, any table of exponentials).
func TestShapeOneIsExponential(t *testing.T) {
	t.Parallel()
	l := law{lnTau: math.Log(20), shape: 1}
	for days, want := range map[float64]float64{0: 0, 20 * math.Ln2: 0.5, 60: 0.950213} {
		if got := l.gone(days); math.Abs(got-want) > 1e-6 {
			t.Errorf("gone by day %g: %.6f, want %.6f", days, got, want)
		}
	}
	if got := l.dayOf(0.950213); math.Abs(got-60) > 1e-3 {
		t.Errorf("95 %% gone by day %.3f, want 60", got)
	}
}

// The literature's derived time: with 4e-11 m²/s a bar of 25 mm has lost 90 % of
// its loose water in about 26 days. The usual bar's brick is what it was
// derived for within its rounding.
func TestNinetyPerCentOfTheUsualBar(t *testing.T) {
	t.Parallel()
	if got := Fick(usualMM, 4e-11, 26); math.Abs(got-0.9) > 0.02 {
		t.Errorf("gone after 26 days: %.3f, want 0.90 ± 0.02", got)
	}
}
