package cure

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Range is a 5 % point, a middle and a 95 % point.
type Range struct{ Low, Middle, High float64 }

// Drying is what is believed of a batch's drying after its weighings.
type Drying struct {
	Bar      Bar
	Series   []Weighing
	Mistyped []Mistyped
	prior    Prior
	firstG   []float64 // reference weights of the marked bars
	pieces   []piece
}

// Mistyped is a weighing that the others outvote. It stays in the series.
type Mistyped struct {
	Index     int     // in the series
	Chance    float64 // that it is mistyped
	ExpectedG Range
}

// Fit returns what the weighings of a batch's marked bars say, beginning from a
// prior. No weighings at all leave the prior. A series or bar that fails its
// check is an error. Source: docs/model/cure.md eq. 5 to 9.
func Fit(b Bar, prior Prior, series []Weighing) (*Drying, error) {
	if err := b.Check(); err != nil {
		return nil, err
	}
	if err := CheckSeries(series); err != nil {
		return nil, err
	}
	d := &Drying{Bar: b, Series: series, prior: prior}
	f := &fitter{prior: prior}
	d.refer()
	f.dims = len(d.firstG) + 1
	for _, w := range series {
		f.look = append(f.look, relative{w.Bar, w.Day, w.MassG / d.firstG[w.Bar], 1})
	}
	if len(series) == 0 {
		f.look = []relative{{0, 0, 1, 0.01}} // of a bar whose weight at the cut is the measure of all else
	}
	f.run(append([]*form{brick(d.sides())}, twoTerms...))
	d.pieces = f.pieces
	for i, c := range f.slips() {
		if c >= namedFrom && len(series) > 0 {
			d.Mistyped = append(d.Mistyped, Mistyped{i, c, d.MassG(series[i].Bar, series[i].Day)})
		}
	}
	return d, nil
}

// sides are the bar's, the usual ones where nobody measured it.
func (d *Drying) sides() [3]float64 {
	if d.Bar.SidesMM != nil {
		return *d.Bar.SidesMM
	}
	return usualMM
}

// refer finds every bar's weight at the cut as the prior sees it: the middle of
// what each weighing says, which one mistyped weighing does not move.
func (d *Drying) refer() {
	bars := 1
	for _, w := range d.Series {
		bars = max(bars, w.Bar+1)
	}
	says := make([][]float64, bars)
	typical := law{lnTau: d.prior.LnTau.Mean, shape: d.prior.Shape.Mean}
	for _, w := range d.Series {
		says[w.Bar] = append(says[w.Bar], w.MassG/(1-d.prior.Loss.Mean*typical.gone(w.Day)))
	}
	d.firstG = make([]float64, bars)
	for i, s := range says {
		d.firstG[i] = 1
		if len(s) > 0 {
			slices.Sort(s)
			d.firstG[i] = (s[(len(s)-1)/2] + s[len(s)/2]) / 2
		}
	}
}

// MassG returns the true mass of a marked bar on a day, 0 the cut.
func (d *Drying) MassG(bar int, day float64) Range {
	r := d.mix(func(p *piece) (mean, sd float64) {
		gone, k := p.gone(day), bar+1
		mean = p.mean[k] - gone*max(0, p.mean[0]) - crept(day)
		variance := p.cov[k][k] - 2*gone*p.cov[k][0] + gone*gone*p.cov[0][0]
		return mean, math.Sqrt(max(0, variance) + creepVariance(day))
	})
	g := d.firstG[bar]
	return Range{r.Low * g, r.Middle * g, r.High * g}
}

func creepVariance(day float64) float64 {
	s := sd(creep) * max(0, day) / 365
	return s * s
}

// Kept returns the share of its mass at the cut that a bar still has on a day.
func (d *Drying) Kept(day float64) Range {
	return d.mix(func(p *piece) (mean, sd float64) {
		gone := p.gone(day)
		loss, spread := p.lossShare()
		return 1 - gone*loss - crept(day), math.Sqrt(gone*gone*spread*spread + creepVariance(day))
	})
}

// lossShare is what leaves for good as a share of the mass at the cut, averaged
// over the marked bars; to first order of the doubts.
func (p *piece) lossShare() (mean, sd float64) {
	first := p.mean[1]
	mean = max(0, p.mean[0]) / first
	variance := (p.cov[0][0] - 2*mean*p.cov[0][1] + mean*mean*p.cov[1][1]) / (first * first)
	return mean, math.Sqrt(max(0, variance))
}

// halvings narrow a quantile to a hundred-millionth of what it is looked for in.
const halvings = 26

// mix returns the range of a mixture of normal distributions.
func (d *Drying) mix(of func(*piece) (mean, sd float64)) Range {
	type part struct{ weight, mean, sd float64 }
	parts := make([]part, len(d.pieces))
	low, high := math.Inf(1), math.Inf(-1)
	for i := range d.pieces {
		m, s := of(&d.pieces[i])
		parts[i] = part{d.pieces[i].weight, m, max(s, 1e-9)}
		low, high = min(low, m-5*parts[i].sd), max(high, m+5*parts[i].sd)
	}
	quantile := func(q float64) float64 {
		a, b := low, high
		for range halvings {
			mid, below := (a+b)/2, 0.0
			for _, p := range parts {
				below += p.weight * distuv.UnitNormal.CDF((mid-p.mean)/p.sd)
			}
			if below < q {
				a = mid
			} else {
				b = mid
			}
		}
		return (a + b) / 2
	}
	return Range{quantile(0.05), quantile(0.5), quantile(0.95)}
}

// Water returns the share of water in a bar on a day, all dry matter staying.
func (d *Drying) Water(day float64) Range {
	k := d.Kept(day)
	at := func(kept float64) float64 { return max(0, 1-(1-d.Bar.WaterFraction)/kept) }
	return Range{at(k.Low), at(k.Middle), at(k.High)}
}

// batterDensity is what turns lost mass into lost volume [g/ml of batter, per
// g/ml of water]. Source: docs/model/cure.md eq. 10.
const batterDensity = 1.07

// Shrinkage returns by how much a bar's sides have become shorter on a day,
// share of the side at the cut: volume goes with the water, no pores stay.
func (d *Drying) Shrinkage(day float64) Range {
	k := d.Kept(day)
	at := func(kept float64) float64 { return Shrunk(1 - kept) }
	return Range{at(k.High), at(k.Middle), at(k.Low)}
}

// Shrunk returns by how much the sides become shorter when a share of the mass
// [0..0.9] is lost as water. Source: docs/model/cure.md eq. 10.
func Shrunk(lossShare float64) float64 {
	return 1 - math.Cbrt(1-max(0, lossShare)*batterDensity)
}
