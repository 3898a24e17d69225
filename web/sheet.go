package web

import (
	"cmp"
	"fmt"
	"math"
	"net/http"
	"strings"

	"barwright/finding"
	"barwright/plan"
	"barwright/recipe"
	"barwright/stock"
)

// sheetPage is the batch sheet: one printed page in the order of the work, with
// boxes to tick and blanks to fill. While a stop stands it holds no weights.
type sheetPage struct {
	planned
	Stops, Cautions []finding.Finding
	Kit             []string
	Pot, Jug, Trace []weighed
	JugCheck        string
	FatsAt, LyeAt   string // "" where the recipe does not say
	Stirred         string
	Rest            []string

	lots map[string]string // to take it from, by material
}

// lotsOf names the lots that each material is taken from.
func lotsOf(taken []stock.Taken) map[string]string {
	out := map[string]string{}
	for _, t := range taken {
		var labels []string
		for _, from := range t.From {
			labels = append(labels, from.Lot.Label())
		}
		out[t.Material] = strings.Join(labels, ", then ")
	}
	return out
}

// weighed is one thing to weigh, and what all in the vessel then comes to,
// without the vessel.
type weighed struct{ Name, Note, Weigh, Together string }

func (a *App) sheet(w http.ResponseWriter, r *http.Request) error {
	p, err := a.openRecipe(r)
	if err != nil {
		return err
	}
	made, err := a.planVersion(r.Context(), p.Version.ID)
	if err != nil {
		return err
	}
	s := sheetPage{planned: made}
	if made.Plan != nil {
		shelf, err := a.shelf(r.Context())
		if err != nil {
			return err
		}
		s.lots = lotsOf(shelf.Take(needsOf(made.Plan)))
		s.fill()
	}
	return a.show(w, r, http.StatusOK, "sheet", "recipes", made.Recipe.Name+", batch sheet", &s)
}

func (s *sheetPage) fill() {
	for _, f := range s.Plan.Findings {
		switch f.Severity {
		case finding.Stop:
			s.Stops = append(s.Stops, f)
		case finding.Caution:
			s.Cautions = append(s.Cautions, f)
		}
	}
	s.Kit = kit(s.Plan, s.made)
	s.fillPot()
	s.fillJug()
	for i, x := range s.Plan.Additions {
		if x.When == string(recipe.AtTrace) {
			stir := cmp.Or(s.made.Additions[i].Stir, recipe.Hand)
			s.Trace = append(s.Trace, weighed{Name: x.Name, Note: withLot("at trace, by "+stir, s.lots[x.Material]), Weigh: s.Plan.Scale.Fats.Show(x.WeighG)})
		}
	}
	if c := s.made.Combine; c != nil {
		s.FatsAt, s.LyeAt = c.FatsTemperature.String(), c.LyeTemperature.String()
		s.Stirred = c.Stir
	}
	for _, stage := range s.made.Rest {
		s.Rest = append(s.Rest, restWords(stage))
	}
}

// manyLines is from how many lines on a sheet is set closer, to stay on its one
// page.
const manyLines = 18

// Dense reports a sheet with many lines; a caution takes two.
func (s *sheetPage) Dense() bool {
	return len(s.Pot)+len(s.Jug)+len(s.Trace)+len(s.Rest)+2*len(s.Cautions) > manyLines
}

// Hot reports a batch that is to be cooked.
func (s *sheetPage) Hot() bool { return s.made.Hot() }

// fillPot lists the fats and what goes in with them, with the running weight.
func (s *sheetPage) fillPot() {
	p, together := s.Plan, 0.0
	add := func(name, material string, g float64) {
		together += g
		s.Pot = append(s.Pot, weighed{Name: name, Note: s.lots[material], Weigh: p.Scale.Fats.Show(g), Together: p.Scale.Fats.Show(together)})
	}
	for _, f := range p.Fats {
		add(f.Name, f.Material, f.WeighG)
	}
	for _, x := range p.Additions {
		if x.When == string(recipe.InFats) {
			add(x.Name, x.Material, x.WeighG)
		}
	}
}

// fillJug lists what goes into the jug, in order: water, alkali into it, and
// what goes into the lye once it has cooled.
func (s *sheetPage) fillJug() {
	p, together := s.Plan, 0.0
	add := func(name, note string, scale plan.Steps, g float64) {
		together += g
		s.Jug = append(s.Jug, weighed{name, note, scale.Show(g), p.Scale.Fats.Show(together)})
	}
	ice := ""
	if p.IceG > 0 {
		ice = number(p.IceG, 0) + "\u202fg of it as ice"
	}
	add("Water", ice, p.Scale.Fats, p.WaterWeighG)
	for _, x := range p.Alkali {
		note := fmt.Sprintf("assay %s\u202f%%, weighed dry on its own; not a step more", number(x.PurityPct, 1))
		if x.Stock {
			note = fmt.Sprintf("stock lye of %s\u202f%%; not a step more", number(x.PurityPct, 1))
		}
		add(x.Name, withLot(note, s.lots[x.Material]), p.Scale.Alkali, x.WeighG)
	}
	for _, x := range p.Additions {
		if x.When == string(recipe.InLye) {
			add(x.Name, withLot("once the lye has cooled", s.lots[x.Material]), p.Scale.Fats, x.WeighG)
		}
	}
	s.JugCheck = fmt.Sprintf("%s, within %s\u202fg", p.Scale.Fats.Show(together), number(math.Max(2, 0.005*together), 0))
}

// withLot puts the lot to take it from before a note.
func withLot(note, lot string) string {
	if lot == "" {
		return note
	}
	return lot + "; " + note
}

// kit lists what must stand ready.
func kit(p *plan.Plan, r recipe.Recipe) []string {
	scales := fmt.Sprintf("Scale that shows %s", p.Scale.Fats.Show(p.Scale.Fats.StepG))
	if p.Scale.Alkali != p.Scale.Fats {
		scales += fmt.Sprintf(", and %s for the alkali", p.Scale.Alkali.Show(p.Scale.Alkali.StepG))
	}
	out := []string{scales + "; two thermometers; blender, whisk, spatula", "Pot and jug of steel or polypropylene, never aluminium, zinc, tin, copper or glass"}
	if m := r.Mould; m != nil {
		name := m.Name
		if name == "" {
			name = m.Shape
		}
		out = append(out, fmt.Sprintf("Mould: %s, %s\u202fml, on a board, with its cover", name, number(m.CapacityML(), 0)))
	} else {
		out = append(out, fmt.Sprintf("Moulds for %s\u202fml, with their covers", number(p.Batter.VolumeML, 0)))
	}
	if len(p.Additions) > 0 {
		out = append(out, "Additions weighed out, each in its own cup")
	}
	return out
}

// restWords says how a stage after the pour goes.
func restWords(r recipe.Rest) string {
	parts := []string{strings.ToUpper(r.Place[:1]) + r.Place[1:]}
	if r.Temperature != nil {
		parts[0] += " at " + r.Temperature.String()
	}
	if r.Cover != nil {
		parts = append(parts, "under "+r.Cover.String())
	}
	if r.Fan {
		parts = append(parts, "with a fan")
	}
	if r.For != nil {
		parts = append(parts, "for "+r.For.String())
	}
	return strings.Join(parts, ", ")
}
