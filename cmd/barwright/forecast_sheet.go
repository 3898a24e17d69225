package main

import (
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"barwright/finding"
	"barwright/heat"
	"barwright/plan"
)

// printForecast prints a forecast for a terminal or a printer: what comes of
// it, then how warm and when, then what would change it.
func printForecast(w io.Writer, f *plan.Forecast, p *plan.Plan) {
	title := f.Recipe.Name + ", after the pour"
	fmt.Fprintf(w, "%s\n%s\n", title, strings.Repeat("=", utf8.RuneCountInString(title)))
	if finding.Worst(p.Findings) == finding.Stop {
		wrapped(w, "", "STOP. The plan of this batch cannot be started: barwright plan says why.")
	}
	if !f.Known() {
		for _, n := range f.Notes {
			wrapped(w, "", capital(n)+".")
		}
		return
	}
	heading(w, "What comes of it")
	for _, one := range f.Findings {
		printFinding(w, p, one)
	}
	chances(w, f)
	heading(w, "How warm, and when")
	course(w, f)
	advice(w, f)
	heading(w, "How far to trust it")
	wrapped(w, "  ", f.TrustWords())
	for _, n := range f.Notes {
		hanging(w, "  - ", "    ", capital(n)+".")
	}
}

func chances(w io.Writer, f *plan.Forecast) {
	g := f.Gel
	line := fmt.Sprintf("No gel %s, gel halfway %s, full gel %s; overheating, over %.0f °C, %s.",
		plan.Chance(g.Chance.None), plan.Chance(g.Chance.Partial), plan.Chance(g.Chance.Full), g.OverheatC, plan.Chance(g.Chance.Overheat))
	wrapped(w, "  ", line)
	if part := f.PartWords(); part != "" {
		wrapped(w, "  ", part)
	}
	t := g.TemperatureC
	wrapped(w, "  ", fmt.Sprintf("Soap gels above %.0f °C here (%.0f to %.0f). On the likely course %s.", t.Typical, t.Low, t.High, shareWords(g)))
}

func shareWords(g *plan.Gel) string {
	switch {
	case g.SharePct < 1:
		return "none of it does"
	case g.SharePct > 99:
		return fmt.Sprintf("all of it does, from %s on", span(g.FromS))
	case g.FromS == 0:
		return fmt.Sprintf("%.0f %% of it does", g.SharePct)
	}
	return fmt.Sprintf("%.0f %% of it does, the core from %s on", g.SharePct, span(g.FromS))
}

func course(w io.Writer, f *plan.Forecast) {
	k := f.Peak
	startC := f.Series.CoreC[0]
	switch {
	case k.CoreC < startC+3 && k.C.High < startC+8:
		wrapped(w, "  ", fmt.Sprintf("Poured at %.0f °C, the core hardly warms: %.0f °C at the most (%.0f to %.0f), then it cools.", startC, k.CoreC, k.C.Low, k.C.High))
	case k.CoreC < startC+3:
		wrapped(w, "  ", fmt.Sprintf("Poured at %.0f °C, the core is likely to cool from the first hour on; a quick batch could still reach %.0f °C.", startC, k.C.High))
	default:
		wrapped(w, "  ", fmt.Sprintf("Poured at %.0f °C, the core climbs to %.0f °C (%.0f to %.0f) %s after the pour (%s to %s).", startC, k.CoreC, k.C.Low, k.C.High, span(k.TimeS), span(k.S.Low), span(k.S.High)))
	}
	table(w, f)
	switch {
	case f.TurnOut == nil:
		wrapped(w, "  ", fmt.Sprintf("Not ready to turn out within %s: core at %.0f °C or less and nine tenths reacted [makers' practice].", span(f.LastS()), heat.TurnOutC))
	default:
		wrapped(w, "  ", fmt.Sprintf("Turn out after about %s (%s to %s): core at %.0f °C or less and nine tenths reacted [makers' practice].",
			span(f.TurnOut.Typical), span(f.TurnOut.Low), span(f.TurnOut.High), heat.TurnOutC))
	}
	e := f.Energy
	wrapped(w, "  ", fmt.Sprintf("Of the heat of one mould, %.0f kJ come from the reaction, %.0f kJ leave it%s, and what it holds changes by %s kJ; the account closes to %.2f %%.",
		e.ReleasedJ/1000, e.LostJ/1000, steam(e.SinkJ), minus0(e.StoredJ/1000), e.ResidualPct))
}

func steam(j float64) string {
	if j < 1 {
		return ""
	}
	return fmt.Sprintf(", %.0f kJ as steam", j/1000)
}

func minus0(v float64) string {
	return strings.TrimSuffix(minus(math.Round(v)), ".0")
}

// table prints the course at hours a maker is up.
func table(w io.Writer, f *plan.Forecast) {
	fmt.Fprintf(w, "\n  %-9s %8s   %-14s %8s %10s\n", "after", "core", "nine in ten", "edge", "reacted")
	for _, h := range []float64{0, 1, 2, 4, 6, 9, 12, 18, 24} {
		at := f.At(3600 * h)
		fmt.Fprintf(w, "  %-9s %5.0f °C   %-14s %5.0f °C %8.0f %%\n", fmt.Sprintf("%g h", h), at.CoreC, fmt.Sprintf("%.0f to %.0f", at.LowC, at.HighC), at.EdgeC, 100*at.X)
	}
	fmt.Fprintln(w)
}

func advice(w io.Writer, f *plan.Forecast) {
	if f.Advice == nil {
		return
	}
	heading(w, "What would change it")
	for _, s := range f.Advice.Suggestions {
		goal := map[heat.Outcome]string{heat.NoGel: "For no gel: ", heat.FullGel: "For full gel: "}[s.Goal]
		wrapped(w, "  ", goal+suggestion(s))
	}
	if o := f.Advice.Oven; o != nil {
		wrapped(w, "  ", plan.OvenWords(f.Sweet, *o))
	}
}

func suggestion(s heat.Suggestion) string {
	chance := fmt.Sprintf("%s; halfway %s", plan.Chance(s.Chance.Of(s.Goal)), plan.Chance(s.Chance.Partial))
	if s.Chance.Overheat > 0.02 {
		chance += fmt.Sprintf(", overheating %s", plan.Chance(s.Chance.Overheat))
	}
	if s.Reached {
		return fmt.Sprintf("%s (%s).", s.Words, chance)
	}
	if s.TooHot() {
		return fmt.Sprintf("nothing tried reaches it without overheating. Nearest: %s (%s).", s.Words, chance)
	}
	return fmt.Sprintf("nothing tried reaches 80 %%. Nearest to it, and least often halfway: %s (%s).", s.Words, chance)
}

// span prints a time as a maker says it.
func span(s float64) string {
	switch {
	case s < 90*60:
		return fmt.Sprintf("%.0f min", math.Round(s/300)*5)
	case s < 10*3600:
		return trim(math.Round(s/1800)/2, 1) + " h"
	}
	return fmt.Sprintf("%.0f h", s/3600)
}
