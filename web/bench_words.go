package web

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"barwright/plan"
)

// parted parts a quantity from its unit: "26.0 g".
func parted(text string) (value, unit string) {
	if i := strings.LastIndexAny(text, " \u202f\u00a0"); i >= 0 {
		return text[:i], strings.TrimSpace(text[i+1:])
	}
	return text, ""
}

// bare prints a number as forms send it, with no more decimals than it needs.
func bare(v float64, decimals int) string {
	p := math.Pow10(decimals)
	return strconv.FormatFloat(math.Round(v*p)/p, 'f', -1, 64)
}

// scaleNumber prints grams of a scale, without an empty decimal.
func scaleNumber(g float64) string {
	if r := math.Round(10*g) / 10; r != math.Trunc(r) {
		return number(r, 1)
	}
	return number(g, 0)
}

// decimalsOf is how many decimals a scale with such steps shows.
func decimalsOf(step float64) (n int) {
	for v := step; n < 4 && math.Abs(v-math.Round(v)) > 1e-6*math.Max(1, v); v *= 10 {
		n++
	}
	return n
}

// byScale are the steps of the buttons for a weight: from a step of the scale
// up to what is worth it.
func byScale(step, v float64) (out []string) {
	least := math.Inf(1)
	for by := math.Pow10(3); by >= 0.001; by /= 10 {
		if by <= math.Max(10, v) && by >= step*0.99 {
			out, least = append(out, bare(by, 3)), by
		}
	}
	if step < least*0.99 { // between two decades: a scale of 2 g, or of 0.05 oz
		out = append(out, bare(step, 4))
	}
	return out[max(0, len(out)-mostSteps):]
}

// mostSteps is how many sizes of step fit beside each other on a phone.
const mostSteps = 4

// gramsOf are the units that a scale may show. Source: NIST SP 811, appendix B.
var gramsOf = map[string]float64{"g": 1, "oz": 28.349523125, "lb": 453.59237, "kg": 1000}

// scaled is a weight in the unit of its scale: its field, which says the unit,
// what it shows, and the stepper for it.
func scaled(s plan.Steps, g float64) (x *stepper, shown string) {
	unit, per := s.Unit, gramsOf[s.Unit]
	if per == 0 {
		unit, per = "g", 1
	}
	kind := "n"
	if unit != "g" {
		kind = unit
	}
	step := s.StepG / per
	value := bare(g/per, max(decimalsOf(step), 1))
	v, _ := strconv.ParseFloat(value, 64)
	return &stepper{Field: kind + ".g", Value: value, Unit: unit, By: byScale(step, g/per)}, plainNumber(v, max(decimalsOf(step), 1))
}

// clockMinutes prints a span as 4:10, or 2:04:10 from an hour on.
func clockMinutes(d time.Duration) string {
	sign := ""
	if d < 0 {
		sign, d = "\u2212", -d
	}
	s := int(d / time.Second)
	if s >= 3600 {
		return fmt.Sprintf("%s%d:%02d:%02d", sign, s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%s%d:%02d", sign, s/60, s%60)
}

// jumpTold is how long a jump of a device's clock is told at the bench.
const jumpTold = time.Hour

// jumped says that a device's clock was set while it worked, "" when none was.
func (p *benchPage) jumped() string {
	for i := len(p.State.Jumps) - 1; i >= 0; i-- {
		j := p.State.Jumps[i]
		if d := p.Moment.Now.Sub(p.State.When(j.After)); d > jumpTold {
			continue
		}
		way := "on"
		if j.By < 0 {
			way = "back"
		}
		return fmt.Sprintf("The clock of a device was put %s by %s. Times here go by its counter, which nobody can set.", way, clockMinutes(j.By.Abs()))
	}
	return ""
}
