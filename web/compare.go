package web

import (
	"fmt"
	"net/http"
	"slices"

	"barwright/finding"
	"barwright/material"
	"barwright/plan"
	"barwright/recipe"
)

// comparePage is what differs between two versions, and what comes of it.
type comparePage struct {
	A, B         planned
	Changes      []recipe.Change
	Consequences []consequence
	Came, Went   []finding.Finding
}

// consequence is one answer of the two plans side by side.
type consequence struct {
	What, A, B string
	Differs    bool
}

// compare shows two versions, of one recipe or of two, by their ids.
func (a *App) compare(w http.ResponseWriter, r *http.Request) (err error) {
	var p comparePage
	if p.A, err = a.planVersion(r, r.FormValue("a")); err != nil {
		return err
	}
	if p.B, err = a.planVersion(r, r.FormValue("b")); err != nil {
		return err
	}
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	p.Changes = recipe.Diff(p.A.made, p.B.made, lib)
	if p.A.Plan != nil && p.B.Plan != nil {
		p.Consequences = consequences(p.A.Plan, p.B.Plan)
		p.Came, p.Went = newFindings(p.A.Plan, p.B.Plan), newFindings(p.B.Plan, p.A.Plan)
	}
	return a.show(w, r, http.StatusOK, "compare", "recipes", "What changed", p)
}

// consequences puts the answers of two plans side by side.
func consequences(a, b *plan.Plan) []consequence {
	var out []consequence
	add := func(what string, say func(p *plan.Plan) string) {
		c := consequence{What: what, A: say(a), B: say(b)}
		c.Differs = c.A != c.B
		out = append(out, c)
	}
	add("superfat, exact", func(p *plan.Plan) string { return band(p.Superfat.Typical, p.Superfat.Low, p.Superfat.High) })
	add("superfat, as weighed", func(p *plan.Plan) string {
		s := p.Superfat.AsWeighed
		return band(s.Typical, s.Low, s.High)
	})
	add("worst case, as weighed", func(p *plan.Plan) string { return number(p.Superfat.AsWeighed.Worst, 1) + "\u202f%" })
	for i := range max(len(a.Alkali), len(b.Alkali)) {
		add("alkali per kg of fats", func(p *plan.Plan) string {
			if i >= len(p.Alkali) {
				return "none"
			}
			return fmt.Sprintf("%s\u202fg %s", number(1000*p.Alkali[i].MassG/p.FatsG, 1), lowerFirst(p.Alkali[i].Name))
		})
	}
	add("water of the batter", func(p *plan.Plan) string { return number(p.Batter.WaterPct, 1) + "\u202f%" })
	add("fats and lye land at", func(p *plan.Plan) string { return degrees(p.Combine.LandingC) })
	add("falls out below", func(p *plan.Plan) string {
		if p.Combine.CloudPoint == nil {
			return "nothing falls out"
		}
		return fmt.Sprintf("%s (%s), %s", degrees(&p.Combine.CloudPoint.Typical), span(p.Combine.CloudPoint.Low, p.Combine.CloudPoint.High, 0), p.Combine.CloudOf)
	})
	add("minutes to trace", func(p *plan.Plan) string {
		if p.Window == nil {
			return "not said"
		}
		return fmt.Sprintf("%s (%s to %s)", minutes(p.Window.ToTrace.Typical), minutes(p.Window.ToTrace.Low), minutes(p.Window.ToTrace.High))
	})
	add("minutes to unpourable", func(p *plan.Plan) string {
		if p.Window == nil {
			return "not said"
		}
		return fmt.Sprintf("%s (%s to %s)", minutes(p.Window.ToUnpourable.Typical), minutes(p.Window.ToUnpourable.Low), minutes(p.Window.ToUnpourable.High))
	})
	for _, g := range chainGroups {
		add(g.name, func(p *plan.Plan) string { return number(groupSum(p, g.groups), 0) + "\u202f%" })
	}
	add("iodine value", func(p *plan.Plan) string { return number(p.Makeup.IodineValue, 0) })
	add("oxidation exposure", func(p *plan.Plan) string { return number(p.Makeup.Oxidation, 1) })
	add("loss in 42 days", func(p *plan.Plan) string { return number(p.Bar.Loss.Typical, 0) + "\u202f%" })
	return out
}

func groupSum(p *plan.Plan, groups []material.Group) (v float64) {
	for _, g := range groups {
		v += p.Makeup.GroupsPct[g]
	}
	return v
}

func band(typical, low, high float64) string {
	return fmt.Sprintf("%s\u202f%% (%s)", number(typical, 1), span(low, high, 1))
}

func span(low, high float64, decimals int) string {
	return number(low, decimals) + " to " + number(high, decimals)
}

func degrees(c *float64) string {
	if c == nil {
		return "not said"
	}
	return number(*c, 0) + "\u202f°C"
}

// newFindings returns the stops, cautions and notes of b that a does not have.
func newFindings(a, b *plan.Plan) []finding.Finding {
	var out []finding.Finding
	for _, f := range b.Findings {
		same := func(g finding.Finding) bool { return g.ID == f.ID && g.Severity == f.Severity }
		if f.Severity != finding.OK && !slices.ContainsFunc(a.Findings, same) {
			out = append(out, f)
		}
	}
	return out
}
