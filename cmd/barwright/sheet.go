package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"barwright/finding"
	"barwright/material"
	"barwright/plan"
	"barwright/source"
)

// width is the widest line of a sheet [characters].
const width = 80

// printSheet prints a plan as one page for a terminal or a printer, in the
// order the work is done: dangers, weighing, lye, combining, the bar.
func printSheet(w io.Writer, p *plan.Plan) {
	fmt.Fprintf(w, "%s\n%s\n", p.Recipe.Name, strings.Repeat("=", utf8.RuneCountInString(p.Recipe.Name)))
	verdict(w, p)
	heading(w, "Findings, danger first")
	for _, f := range p.Findings {
		printFinding(w, p, f)
	}
	if finding.Worst(p.Findings) == finding.Stop {
		heading(w, "Stopped: nothing below is to be weighed")
	}
	weighOut(w, p)
	lyeSection(w, p)
	superfat(w, p)
	combining(w, p)
	bar(w, p)
	cautions(w)
}

func verdict(w io.Writer, p *plan.Plan) {
	counts := map[finding.Severity]int{}
	for _, f := range p.Findings {
		counts[f.Severity]++
	}
	switch {
	case counts[finding.Stop] > 0:
		fmt.Fprintf(w, "STOP. This plan cannot be started: %s.\n", count(counts[finding.Stop], "stop", "stops"))
	case counts[finding.Caution] > 0:
		fmt.Fprintf(w, "Can be started once %s been read.\n", count(counts[finding.Caution], "caution has", "cautions have"))
	default:
		fmt.Fprintln(w, "Can be started.")
	}
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

func heading(w io.Writer, title string) { fmt.Fprintf(w, "\n%s\n", strings.ToUpper(title)) }

var marks = map[finding.Severity]string{finding.Stop: "STOP", finding.Caution: "caution", finding.Note: "note", finding.OK: "ok"}

func printFinding(w io.Writer, p *plan.Plan, f finding.Finding) {
	const indent = "           "
	hanging(w, fmt.Sprintf("  %-8s ", marks[f.Severity]), indent, f.Title)
	wrapped(w, indent, f.Because+" ["+f.Grade.Phrase()+"]")
	if f.Fix != "" {
		hanging(w, indent+"-> ", indent+"   ", f.Fix+keys(p, f.Edits))
	}
}

// keys names the lines of the recipe file that a fix changes, as they are
// written there.
func keys(p *plan.Plan, edits []finding.Edit) string {
	if len(edits) == 0 {
		return ""
	}
	if shares := newShares(p, edits); shares != "" {
		return shares
	}
	var parts []string
	for _, e := range edits {
		where, key := place(p, e.Key)
		switch {
		case e.Value == "" && !strings.HasPrefix(e.Key, "size."):
			parts = append(parts, fmt.Sprintf("%swithout %s", where, key))
		case e.Value == "true":
			parts = append(parts, fmt.Sprintf("%s%s = true", where, key))
		case e.Value != "":
			parts = append(parts, fmt.Sprintf("%s%s = %q", where, key, e.Value))
		}
	}
	return " (" + strings.Join(parts, ", ") + ")"
}

// newShares lists the shares of all fats, when a fix changes them all.
func newShares(p *plan.Plan, edits []finding.Edit) string {
	var parts []string
	for i, e := range edits {
		if e.Key != fmt.Sprintf("fats.%d.share", i) || i >= len(p.Fats) {
			return ""
		}
		parts = append(parts, fmt.Sprintf("%s %s", lower(p.Fats[i].Name), e.Value))
	}
	return " (" + strings.Join(parts, ", ") + ")"
}

// place turns the path of a key into where it stands in the file: "in [[fats]]
// of beef tallow, " and "share".
func place(p *plan.Plan, path string) (where, key string) {
	table, rest, ok := strings.Cut(path, ".")
	if !ok {
		return "", path
	}
	num, key, ok := strings.Cut(rest, ".")
	i, err := strconv.Atoi(num)
	if !ok || err != nil {
		return fmt.Sprintf("[%s] ", table), rest
	}
	name := ""
	switch {
	case table == "fats" && i < len(p.Fats):
		name = p.Fats[i].Name
	case table == "additions" && i < len(p.Additions):
		name = p.Additions[i].Name
	case table == "alkali" && i < len(p.Alkali):
		name = p.Alkali[i].Name
	}
	return fmt.Sprintf("[[%s]] %s: ", table, lower(name)), key
}

func lower(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

func weighOut(w io.Writer, p *plan.Plan) {
	heading(w, "Weigh out")
	fmt.Fprintf(w, "  %-28s %7s %10s %9s   %s\n", "fats", "share", "exact", "weigh", "takes, mg KOH/g")
	weighed := 0.0
	for _, f := range p.Fats {
		weighed += f.WeighG
		fmt.Fprintf(w, "  %-28s %5.1f %% %8.1f g %9s   %s\n", clip(f.Name, 28), f.SharePct, f.MassG, p.Scale.Fats.Show(f.WeighG), sapRange(f.Sap))
	}
	fmt.Fprintf(w, "  %-28s %5.1f %% %8.1f g %9s\n", "fats together", 100.0, p.FatsG, p.Scale.Fats.Show(weighed))
	if len(p.Additions) == 0 {
		return
	}
	fmt.Fprintf(w, "\n  %-26s %10s %10s %9s   %s\n", "additions", "written", "exact", "weigh", "when")
	for _, a := range p.Additions {
		fmt.Fprintf(w, "  %-26s %10s %8.1f g %9s   %s\n", clip(a.Name, 26), clip(a.Written, 10), a.MassG, p.Scale.Fats.Show(a.WeighG), whenWords[a.When])
	}
}

var whenWords = map[string]string{"lye": "in the lye", "fats": "in the fats", "trace": "at trace"}

func sapRange(s plan.Sap) string {
	r := fmt.Sprintf("%s (%s to %s)", trim(s.Dose, 1), trim(s.Low, 1), trim(s.High, 1))
	if s.Low == s.High {
		r = trim(s.Dose, 1)
	}
	return r
}

func lyeSection(w io.Writer, p *plan.Plan) {
	heading(w, "Lye")
	for _, a := range p.Alkali {
		name := fmt.Sprintf("%s, %s %%", a.Name, trim(a.PurityPct, 2))
		if a.Stock {
			name = fmt.Sprintf("%s, stock lye of %s %%", a.Name, trim(a.PurityPct, 2))
		}
		fmt.Fprintf(w, "  %-37s %8.2f g %9s   rounded down\n", clip(name, 37), a.MassG, p.Scale.Alkali.Show(a.WeighG))
	}
	water := "water"
	if p.IceG > 0 {
		water = fmt.Sprintf("water, %.0f g of it as ice", p.IceG)
	}
	fmt.Fprintf(w, "  %-37s %8.1f g %9s\n", water, p.WaterG, p.Scale.Fats.Show(p.WaterWeighG))
	for _, a := range p.Additions {
		if a.When == "lye" {
			fmt.Fprintf(w, "  %-37s %8.1f g %9s   as listed above\n", clip(lower(a.Name), 37), a.MassG, p.Scale.Fats.Show(a.WeighG))
		}
	}
	if p.AlkaliForAcidsG > 0 {
		wrapped(w, "  ", fmt.Sprintf("Of the pure alkali, %.2f g are for the acids.", p.AlkaliForAcidsG))
	}
	wrapped(w, "  ", fmt.Sprintf("Jug check: all of it together %s, plus the jug.", p.Scale.Fats.Show(p.JugG())))
	wrapped(w, "  ", fmt.Sprintf("%.1f %% strong. Said another way: %.2f parts of water to one of alkali, or water %.0f %% of the fats. %.0f g, %.0f ml.",
		p.Lye.StrengthPct, p.Lye.WaterPerAlkali, p.Lye.WaterPctOfFats, p.Lye.MassG, p.Lye.VolumeML))
	switch l := p.Lye; {
	case l.PeakC != nil && l.BoilingC != nil:
		wrapped(w, "  ", fmt.Sprintf("Fresh, it can reach %.0f °C at the most (a jug reads a few degrees less); it boils at %.0f °C. First crystals at %s °C [%s].", *l.PeakC, *l.BoilingC, strings.TrimSuffix(minus(math.Round(*l.FirstCrystalsC)), ".0"), l.Grade.Phrase()))
	default:
		wrapped(w, "  ", "How hot it gets is not known here, for want of data: treat it as near boiling.")
	}
}

func superfat(w io.Writer, p *plan.Plan) {
	s := p.Superfat
	heading(w, "Superfat, as a range")
	fmt.Fprintf(w, "  %-14s %8s   %-18s %10s   %s\n", "", "typical", "95 % lie between", "worst case", "lye-heavy")
	row := func(name string, typical, low, high, worst, chance float64) {
		fmt.Fprintf(w, "  %-14s %6s %%   %-18s %8s %%   %s\n", name, minus(typical), minus(low)+" and "+minus(high), minus(worst), chanceWords(chance))
	}
	row("exact masses", s.Typical, s.Low, s.High, s.Worst, s.ChanceLyeHeavy)
	a := s.AsWeighed
	row("as weighed", a.Typical, a.Low, a.High, a.Worst, a.ChanceLyeHeavy)
	set := "Its superfat follows from the lye as written."
	if s.Set != nil {
		set = fmt.Sprintf("Set: %s %%.", trim(*s.Set, 2))
	}
	wrapped(w, "  ", fmt.Sprintf("%s One step of the scale moves it %.1f points%s.", set, a.AlkaliStep, goodSize(p)))
	wrapped(w, "  ", "The doubt comes from "+doubts(s)+".")
	for i, n := range s.Narrow {
		if i == 0 {
			fmt.Fprintf(w, "  To narrow it, now %.1f points wide:\n", n.Now)
		}
		if i < 3 {
			hanging(w, "  - ", "    ", fmt.Sprintf("%s: then %.1f points", n.Advice, n.Then))
		}
	}
}

// doubts lists every cause with its share of the variance, the largest first.
func doubts(s plan.Superfat) string {
	parts := make([]string, len(s.Causes))
	for i, c := range s.Causes {
		parts[i] = fmt.Sprintf("%s (%s)", c.Name, percent(c.Share))
	}
	return strings.Join(parts, ", ")
}

func percent(share float64) string {
	if share < 0.005 {
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*share)
}

// goodSize says from which size on one step of the scale is a point or less.
func goodSize(p *plan.Plan) string {
	if p.Superfat.AsWeighed.AlkaliStep <= 1 {
		return ""
	}
	return fmt.Sprintf("; a point or less from %.0f g of fats on", math.Ceil(p.FatsG*p.Superfat.AsWeighed.AlkaliStep/10)*10)
}

func chanceWords(c float64) string {
	switch {
	case c < 0.0005:
		return "under 1 in 2000"
	case c > 0.9995:
		return "certain"
	case c >= 0.1:
		return fmt.Sprintf("%.0f %%", 100*c)
	}
	return fmt.Sprintf("%.2g %%", 100*c)
}

func combining(w io.Writer, p *plan.Plan) {
	c := p.Combine
	heading(w, "Combine and pour")
	if c.LandingC != nil {
		wrapped(w, "  ", fmt.Sprintf("Fats and lye land at about %.0f °C (±1), when both are as warm as planned [%s].", *c.LandingC, source.Estimated.Phrase()))
	}
	if c.CloudPoint != nil {
		wrapped(w, "  ", fmt.Sprintf("%s falls out below %.0f °C (%.0f to %.0f); clear again above %.0f °C [%s].", capital(c.CloudOf), c.CloudPoint.Typical, c.CloudPoint.Low, c.CloudPoint.High, *c.ClearC, c.Grade.Phrase()))
	}
	if win := p.Window; win != nil {
		if win.ToTrace.High < 1 {
			wrapped(w, "  ", fmt.Sprintf("Thickens at once, too thick to pour after %s from combining [%s].", minutes(win.ToUnpourable), win.Grade.Phrase()))
		} else {
			wrapped(w, "  ", fmt.Sprintf("From combining: trace after %s, too thick to pour after %s [%s].", minutes(win.ToTrace), minutes(win.ToUnpourable), win.Grade.Phrase()))
		}
	}
	wrapped(w, "  ", fmt.Sprintf("Batter: %.0f g, %.0f ml, %.1f %% water.", p.Batter.MassG, p.Batter.VolumeML, p.Batter.WaterPct))
	if p.Mould != nil {
		wrapped(w, "  ", fmt.Sprintf("Mould: %.0f ml, filled to %.0f %%.", p.Mould.VolumeML, p.Mould.FillPct))
	}
}

func minutes(r plan.Range) string {
	if r.Typical > 180 {
		return fmt.Sprintf("%.0f hours (%.0f to %.0f)", r.Typical/60, r.Low/60, r.High/60)
	}
	return fmt.Sprintf("%s (%s to %s)", plan.InMinutes(r.Typical), plan.Minutes(r.Low), plan.Minutes(r.High))
}

var groupNames = map[material.Group]string{material.Short: "C4 and C6", material.C8C10: "C8 and C10", material.C12C14: "C12 and C14", material.C16C18: "C16 to C18",
	material.C20C24: "C20 to C24", material.Mono: "one double bond", material.Poly: "two or more", material.Hydroxy: "hydroxy", material.OtherFat: "other"}

func bar(w io.Writer, p *plan.Plan) {
	heading(w, "The bar")
	f, c := p.Bar.Fresh, p.Bar.Cured
	free := f.FreeAlkali > 0.005
	fmt.Fprintf(w, "  %-14s %6s %9s %9s %7s %6s %6s", "% by mass", "soap", "glycerol", "free fat", "water", "wax", "other")
	row := func(name string, c plan.Composition) {
		fmt.Fprintf(w, "\n  %-14s %6.1f %9.1f %9.1f %7.1f %6.1f %6.1f", name, c.Soap, c.Glycerol, c.FreeFat, c.Water, c.Unsaponified, c.Other)
		if free {
			fmt.Fprintf(w, " %12.2f", c.FreeAlkali)
		}
	}
	if free {
		fmt.Fprintf(w, " %12s", "free alkali")
	}
	row("fresh", f)
	if !p.Paste {
		row(fmt.Sprintf("%d days", plan.CureDays), c)
	}
	fmt.Fprintln(w)
	if f.Water-p.Batter.WaterPct > 0.3 {
		wrapped(w, "  ", "Free acids turn to soap and free water, so the bar holds more of it than the batter.")
	}
	if free {
		wrapped(w, "  ", "Free alkali is what no fat can bind: such a bar burns.")
	}
	if !p.Paste {
		wrapped(w, "  ", fmt.Sprintf("Loses about %.0f %% of its weight in %d days (%.0f to %.0f).", p.Bar.Loss.Typical, plan.CureDays, p.Bar.Loss.Low, p.Bar.Loss.High))
	}
	var groups []string
	for _, g := range material.Groups {
		if v := p.Makeup.GroupsPct[g]; v >= 0.5 {
			groups = append(groups, fmt.Sprintf("%s %.0f %%", groupNames[g], v))
		}
	}
	wrapped(w, "  ", "Fatty acids: "+strings.Join(groups, ", ")+".")
	m := p.Makeup
	sap := ""
	if m.SapCalculated != nil {
		sap = fmt.Sprintf(", %.1f from the acids", *m.SapCalculated)
	}
	wrapped(w, "  ", fmt.Sprintf("Chemistry: saponification value %.1f from the tables%s; iodine value %.0f; Cox %.2f; oxidation exposure %.1f; can dissolve %.0f / %.0f / %.0f %% at 20 / 35 / 45 °C.",
		m.SapTypical, sap, m.IodineValue, m.Cox, m.Oxidation, m.Dissolving.At20, m.Dissolving.At35, m.Dissolving.At45))
}

func cautions(w io.Writer) {
	heading(w, "Before you start")
	wrapped(w, "  ", "Lye burns skin and blinds eyes; batter and fresh soap are corrosive until cut and 48 hours old. Sealed goggles, long gloves, sleeves, closed shoes; an open window; no children, no pets. Lye into cold water, little by little, never water onto lye. No aluminium, zinc, tin, copper or brass. On the skin or in an eye: running lukewarm water at once for 15 minutes and more, then call for help; no vinegar. Swallowed: rinse the mouth, do not bring it up, call the poison centre.")
	wrapped(w, "  ", "This sheet is arithmetic, not a safety assessment: the safety sheet of your alkali, local rules and, for bars you sell, a qualified assessor come first.")
}
