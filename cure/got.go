package cure

import "math"

// Got is one weighing beside what was said of it before: everything up to
// FromDay was known.
type Got struct {
	FromDay, Day float64
	Predicted    Range
	GotG         float64
}

// Missed reports a weighing outside its range.
func (g Got) Missed() bool { return g.GotG < g.Predicted.Low || g.GotG > g.Predicted.High }

// PredictedBesideGot goes back to a day, forgets the weighings after it, and
// sets what would have been said of each beside what it was. Mistyped ones are
// left out; a weighing's own scatter is in the range.
func PredictedBesideGot(b Bar, prior Prior, series []Weighing, fromDay float64) ([]Got, error) {
	whole, err := Fit(b, prior, series)
	if err != nil {
		return nil, err
	}
	var known []Weighing
	for _, w := range series {
		if w.Day <= fromDay {
			known = append(known, w)
		}
	}
	d, err := Fit(b, prior, known)
	if err != nil || len(known) == 0 {
		return nil, err
	}
	var out []Got
	for i, w := range series {
		if w.Day <= fromDay || whole.isMistyped(i) || w.Bar >= len(d.firstG) {
			continue
		}
		out = append(out, Got{fromDay, w.Day, d.weighed(w.Bar, w.Day), w.MassG})
	}
	return out, nil
}

func (d *Drying) isMistyped(index int) bool {
	for _, m := range d.Mistyped {
		if m.Index == index {
			return true
		}
	}
	return false
}

// weighed is the range of what a scale will show, wider than the true mass by
// a weighing's scatter.
func (d *Drying) weighed(bar int, day float64) Range {
	const scatter = 0.0015
	r := d.MassG(bar, day)
	wide := z90 * scatter * r.Middle
	stretch := func(half float64) float64 { return math.Hypot(half, wide) }
	return Range{r.Middle - stretch(r.Middle-r.Low), r.Middle, r.Middle + stretch(r.High-r.Middle)}
}
