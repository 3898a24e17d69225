package cure

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Cuts are weights of bars at the cut.
type Cuts struct {
	EachG  []float64
	Every  bool    // every bar of the batch was weighed, not some
	ScaleG float64 // the scale's step, 0 is unknown and counts as 1 g
}

// leastWeighed is how few weights of some bars still bound the rest: with two
// the factor is 26.
const leastWeighed = 3

// Check returns what is wrong with the weights.
func (c Cuts) Check() error {
	least := leastWeighed
	if c.Every {
		least = 1
	}
	if len(c.EachG) < least {
		return wrong("weigh five bars or more at the cut, each by itself; ten are better", "%d bars were weighed one by one: that bounds nothing", len(c.EachG))
	}
	for i, g := range c.EachG {
		if !(g > 0 && g < 1e5) {
			return wrong("grams of one bar", "bar %d weighs %g g", i+1, g)
		}
	}
	if !(c.ScaleG >= 0 && c.ScaleG <= 50) {
		return wrong("grams", "a scale of %g g", c.ScaleG)
	}
	return nil
}

// Confidence and content of the bound: 95/95.
const sure, content = 0.95, 0.95

// bounds are the lowest the mean and nearly every single bar weighed at the cut
// may be [g].
func (c Cuts) bounds() (meanG, oneG float64) {
	mean, sd := stat.MeanStdDev(c.EachG, nil)
	if c.Every {
		return mean, slices.Min(c.EachG)
	}
	step := c.ScaleG
	if step == 0 {
		step = 1
	}
	sd = math.Max(sd, step/math.Sqrt(12)) // equal figures differ below the scale's step
	n := len(c.EachG)
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(n - 1)}.Quantile(sure)
	return mean - t*sd/math.Sqrt(float64(n)), mean - ToleranceFactor(n, content, sure)*sd
}

// Net is what a batch's label may say.
type Net struct {
	Place        Place
	ShelfDays    float64
	MeanG, OneG  float64 // lowest mean and nearly lowest bar at the cut, with 95 %
	KeptLow      float64 // least share of it left at the end of the shelf time
	PrintG       float64 // the most that stays true; 0 when nothing does
	TolerableG   float64 // what a single bar may lack of it
	NearlyEveryG float64 // what nearly every bar still weighs at the end
	drying       *Drying
}

// Net returns the most that may be printed in a place so that it is still true
// shelfDays after the cut, in steps of stepG. Bad weights and times are an
// error. Source: docs/model/netweight.md eq. 1 to 3.
func (d *Drying) Net(c Cuts, p Place, shelfDays, stepG float64) (Net, error) {
	if err := c.Check(); err != nil {
		return Net{}, err
	}
	if !(shelfDays >= 0 && shelfDays <= latestDay) || !(stepG >= 0.1 && stepG <= 100) {
		return Net{}, wrong("days since the cut, ten years at most; steps of 0.1 to 100 g", "%g days on the shelf in steps of %g g", shelfDays, stepG)
	}
	n := Net{Place: p, ShelfDays: shelfDays, drying: d}
	n.MeanG, n.OneG = c.bounds()
	n.KeptLow = d.Kept(shelfDays).Low
	n.NearlyEveryG = max(0, n.OneG*n.KeptLow)
	for label := math.Floor(n.MeanG*n.KeptLow/stepG+1e-9) * stepG; label > 0; label -= stepG {
		if n.holds(label, n.KeptLow) {
			n.PrintG = math.Round(label*1e6) / 1e6
			n.TolerableG, _ = p.Tolerance(label)
			break
		}
	}
	return n, nil
}

// holds reports a label that is true of bars that kept a share of their mass.
func (n Net) holds(labelG, kept float64) bool {
	tolerance, known := n.Place.Tolerance(labelG)
	return known && n.MeanG*kept >= labelG-1e-9 && n.OneG*kept >= labelG-tolerance-1e-9
}

// Refusal is why a weight may not be printed.
type Refusal struct {
	FromDay float64 // since the cut, from when it would be untrue
	Why     string
}

// Refuse returns why a label may not be printed, nil when it may.
func (n Net) Refuse(labelG float64) *Refusal {
	tolerance, known := n.Place.Tolerance(labelG)
	switch {
	case !known:
		return &Refusal{0, "the rule of the place says nothing of such a weight"}
	case n.holds(labelG, n.KeptLow):
		return nil
	}
	day := n.untrueFrom(labelG)
	why := "the average bar may then weigh less"
	if n.MeanG*n.drying.Kept(day).Low >= labelG-1e-6 || n.OneG-n.MeanG < -tolerance && n.OneG*n.drying.Kept(day).Low < labelG-tolerance-1e-6 {
		why = "single bars may then lack more than the place forgives"
	}
	return &Refusal{day, why}
}

// untrueFrom is the first whole day on which a label does not hold.
func (n Net) untrueFrom(labelG float64) float64 {
	low, high := -1.0, math.Ceil(n.ShelfDays)
	for high-low > 1 {
		if mid := math.Floor((low + high) / 2); n.holds(labelG, n.drying.Kept(mid).Low) {
			low = mid
		} else {
			high = mid
		}
	}
	return high
}

// ThicknessTimes returns how many times as thick the bars are to be cut, the
// other sides and the spread in proportion staying, so that a label holds to the
// end; false when the rule says nothing of such a weight.
// Source: docs/model/netweight.md eq. 4.
func (n Net) ThicknessTimes(labelG float64) (times float64, known bool) {
	tolerance, known := n.Place.Tolerance(labelG)
	if !known || n.OneG <= 0 || n.KeptLow <= 0 {
		return 0, false
	}
	return max(labelG/n.MeanG, (labelG-tolerance)/n.OneG) / n.KeptLow, true
}
