package formulate

import (
	"fmt"

	"barwright/finding"
	"barwright/quantity"
)

// Relaxation is how little one wish of a conflict would have to move, all the
// others kept, for a recipe to fit.
type Relaxation struct {
	Limit    string         `json:"limit"` // as written
	To       *string        `json:"to"`    // what to write instead; null when this wish alone cannot help
	Sentence string         `json:"sentence"`
	Edits    []finding.Edit `json:"edits,omitempty"` // that write it into the goal; none where only the shelf can give way
}

// relax finds the cheapest relaxation of wish i. What it names has been tried:
// written in the wish's place, a recipe fits.
func (m *maker) relax(i int) Relaxation {
	w := m.wishes[i]
	r := Relaxation{Limit: w.written}
	if !m.fits(ask{gaveUp: map[int]bool{i: true}}) {
		r.Sentence = "Giving up “" + m.words(w) + "” would not be enough: the others still clash with something."
		return r
	}
	to := m.relaxed(i, w)
	r.To, r.Edits = &to, w.edits(to)
	r.Sentence = m.inMoney(m.relaxSentence(w, to))
	return r
}

// relaxed returns the text of the value to write instead.
func (m *maker) relaxed(i int, w wish) string {
	switch w.kind {
	case wishMust:
		return "false"
	case wishStep:
		return m.finerStep(i, w)
	}
	by := m.leastMove(i, m.little(w))
	switch w.kind {
	case wishLimit:
		return m.limits[w.limit].moved(by)
	case wishCount:
		return fmt.Sprintf("%.0f", w.value+by)
	case wishStock:
		return trim(w.value+by, 1) + " g"
	case wishLeast:
		by = -by
	}
	return quantity.Share{Percent: short(w.value + by)}.String()
}

// moved is the value of a limit moved outward, as written.
func (l limit) moved(by float64) string {
	if l.atLeast {
		by = -by
	}
	return l.text(l.value + by)
}

// text is a value of the measure as a goal file writes it.
func (m *measure) text(v float64) string {
	switch m.kind {
	case percent:
		return trim(v, 3) + " %"
	case perKg:
		return trim(v, 3) + " / kg"
	case each:
		return trim(v, 4) + " each"
	case celsius:
		return trim(v, 2) + " °C"
	}
	return trim(v, 3)
}

// leastMove finds the least outward move of a wish that lets a recipe fit, in
// hundredths of a little (a fat more is the least for the number of fats), by
// halving.
func (m *maker) leastMove(i int, little float64) float64 {
	grain := little / 100
	if m.wishes[i].kind == wishCount {
		grain = 1
	}
	fits := func(n int) bool { return m.fits(ask{moved: map[int]float64{i: short(float64(n) * grain)}}) }
	high := 1
	for !fits(high) && high < 1<<26 {
		high *= 2
	}
	low := high / 2 // does not fit, or is 0
	for high-low > 1 {
		if mid := (low + high) / 2; fits(mid) {
			high = mid
		} else {
			low = mid
		}
	}
	return short(float64(high) * grain)
}

// finerStep tries ever finer steps.
func (m *maker) finerStep(i int, w wish) string {
	for _, step := range []float64{50, 25, 20, 12.5, 10, 5, 4, 2.5, 2, 1, 0.5, 0.25, 0.2, 0.1} {
		if step < w.value && m.fits(ask{moved: map[int]float64{i: step - w.value}}) {
			return quantity.Share{Percent: step}.String()
		}
	}
	return "none"
}

func (m *maker) relaxSentence(w wish, to string) string {
	of := func(format string, args ...any) string { return fmt.Sprintf(format, args...) }
	name := ""
	if w.kind != wishCount && w.kind != wishStep && w.kind != wishLimit {
		name = lower(m.fats[w.fat].Name)
	}
	switch w.kind {
	case wishMost:
		return of("Allow %s of %s instead of %s %%.", to, name, trim(w.value, 2))
	case wishLeast:
		return of("Let %s be used from %s on instead of %s %%.", name, to, trim(w.value, 2))
	case wishMust:
		return of("Do without %s.", name)
	case wishNever:
		return of("Allow %s of %s.", to, name)
	case wishStock:
		return of("Have %s of %s in stock instead of %s g.", to, name, trim(w.value, 1))
	case wishCount:
		return of("Take up to %s fats instead of %.0f.", to, w.value)
	case wishStep:
		if to == "none" {
			return "Let shares be any number, without steps."
		}
		return of("Weigh in steps of %s instead of %s %%.", to, trim(w.value, 2))
	}
	l := m.limits[w.limit]
	if l.atLeast {
		return of("Be content with %s instead of %s.", l.end(to, true), l.text(w.value))
	}
	return of("Allow %s instead of %s.", l.end(to, false), l.text(w.value))
}
