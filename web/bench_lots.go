package web

import (
	"fmt"
	"math"
	"net/url"
	"slices"
	"strings"

	"barwright/batch"
	"barwright/plan"
	"barwright/stock"
)

// lotsPanel asks from which lot a step is weighed.
type lotsPanel struct {
	Step, Name string
	Lots       []lotChoice
	First      lotChoice // that may run out on the way
	FirstG     *stepper
}

// lotChoice is one lot on the shelf.
type lotChoice struct{ ID, Label, Left string }

// lotsFor are the lots that a step can be weighed from, the one meant for it
// first. A plan that named a lot itself has its certificate in its sums: another
// lot is another plan; and so is an alkali stronger than planned.
func lotsFor(st *batch.StepState, made *plan.Plan, shelf stock.Shelf) *lotsPanel {
	if st.Weigh == nil || slices.ContainsFunc(shelf, func(l stock.Lot) bool { return l.ID == st.Weigh.Material }) {
		return nil
	}
	p := &lotsPanel{Step: st.ID, Name: st.Weigh.Name}
	for _, l := range shelf.InOrder() {
		if l.Of != st.Weigh.Material || l.Held != "" || l.LeftG() <= 0 && l.ID != st.Weigh.Lot {
			continue
		}
		if st.Weigh.List == "alkali" && l.Purity != nil && 100*l.Purity.Fraction() > made.Alkali[st.Weigh.Index].PurityPct+samePurityPct {
			continue
		}
		c := lotChoice{l.ID, l.Label(), scaleNumber(l.LeftG()) + "\u202fg left"}
		if l.ID == st.Weigh.Lot {
			p.Lots = slices.Insert(p.Lots, 0, c)
			continue
		}
		p.Lots = append(p.Lots, c)
	}
	if len(p.Lots) < 2 {
		return nil
	}
	p.First = p.Lots[0]
	i := slices.IndexFunc(shelf, func(l stock.Lot) bool { return l.ID == p.First.ID })
	x, _ := scaled(st.Weigh.Scale, firstG(shelf[i].LeftG(), st.Weigh))
	x.Field = strings.TrimSuffix(x.Field, ".g") + ".first"
	p.FirstG = x
	return p
}

// firstG is what the first of two lots gives, as a start [g]: all that is left of
// it when that is not enough, else half.
func firstG(leftG float64, t *batch.Target) float64 {
	if leftG < t.G {
		return leftG
	}
	return math.Round(t.G/2/t.Scale.StepG) * t.Scale.StepG
}

// samePurityPct is what two labels of the same assay may differ by in print [%].
const samePurityPct = 0.001

// fillLots says for every weighing from which lots it can come.
func (p *benchPage) fillLots() {
	p.lots = map[string]*lotsPanel{}
	for i := range p.State.Steps {
		if l := lotsFor(&p.State.Steps[i], p.State.Sheet.Plan, p.shelf); l != nil {
			p.Lots, p.lots[l.Step] = append(p.Lots, l), l
		}
	}
}

// lotLabel is what is written on a lot's tub.
func (p *benchPage) lotLabel(id string) string {
	if i := slices.IndexFunc(p.shelf, func(l stock.Lot) bool { return l.ID == id }); i >= 0 {
		return p.shelf[i].Label()
	}
	return "lot " + id
}

// from takes the lots that the address of the page names for a step into the
// form of its screen.
func (x *screen) from(form url.Values, p *lotsPanel) {
	label := func(id string) string {
		if i := slices.IndexFunc(p.Lots, func(c lotChoice) bool { return c.ID == id }); i >= 0 {
			return p.Lots[i].Label
		}
		return ""
	}
	lot, first := form.Get("lot"), form.Get("first_lot")
	if form.Get("of") != p.Step || label(lot) == "" {
		return
	}
	if first == "" || first == lot || label(first) == "" {
		x.Fields = append(x.Fields, field{"f." + lot, ""})
		x.Title = x.Name + ", " + label(lot)
		return
	}
	for _, unit := range []string{"n", "oz", "lb", "kg"} {
		if g, err := numberTyped(form.Get(unit + ".first")); err == nil {
			per := max(gramsOf[unit], 1)
			x.Fields = append(x.Fields, field{"f." + first, bare(g*per, 3)}, field{"f." + lot, "rest"})
			x.Title = fmt.Sprintf("%s, %s\u202fg of %s and the rest of %s", x.Name, scaleNumber(g*per), label(first), label(lot))
			return
		}
	}
}

// addLots reads from which lots a weight came: f.LOT is the grams of one, empty
// for all of it, "rest" for what the others leave.
func addLots(data map[string]any, form url.Values) error {
	var from []map[string]any
	g, _ := data["g"].(float64)
	for _, key := range slices.Sorted(keysOf(form)) {
		lot, ok := strings.CutPrefix(key, "f.")
		if !ok {
			continue
		}
		part := map[string]any{"lot": lot}
		if text := strings.TrimSpace(form.Get(key)); text != "" && text != "rest" {
			v, err := numberTyped(text)
			if err != nil {
				return err
			}
			part["g"] = v
			g -= v
		}
		from = append(from, part)
	}
	for _, part := range from {
		if _, has := part["g"]; !has && len(from) > 1 {
			if g < 0 {
				return &tapFault{"More came from the first lot than was weighed.", "Say how much came from each."}
			}
			part["g"] = g
		}
	}
	if len(from) > 0 {
		data["from"] = from
	}
	return nil
}
