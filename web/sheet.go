package web

import (
	"net/http"

	"barwright/finding"
	"barwright/plan"
)

// sheetPage is the batch sheet: one printed page in the order of the work.
type sheetPage struct {
	planned
	Pot      []potLine
	Stopped  bool
	Cautions []finding.Finding
	Jug      string
}

// potLine is one thing weighed into the pot, with what the scale then reads.
type potLine struct {
	Name, Weigh, Running string
}

func (a *App) sheet(w http.ResponseWriter, r *http.Request) error {
	p, err := a.openRecipe(r)
	if err != nil {
		return err
	}
	made, err := a.planVersion(r, p.Version.ID)
	if err != nil {
		return err
	}
	s := sheetPage{planned: made}
	if made.Plan != nil {
		s.fill(made.Plan)
	}
	return a.show(w, r, http.StatusOK, "sheet", "recipes", made.Recipe.Name+", batch sheet", s)
}

func (s *sheetPage) fill(p *plan.Plan) {
	running := 0.0
	for _, f := range p.Fats {
		running += f.WeighG
		s.Pot = append(s.Pot, potLine{f.Name, p.Scale.Fats.Show(f.WeighG), p.Scale.Fats.Show(running)})
	}
	s.Jug = p.Scale.Fats.Show(p.JugG())
	for _, f := range p.Findings {
		switch f.Severity {
		case finding.Stop:
			s.Stopped = true
			s.Cautions = append(s.Cautions, f)
		case finding.Caution:
			s.Cautions = append(s.Cautions, f)
		}
	}
}

// ShowAlkali, ShowWater and ShowAdded print masses as the scale shows them.
func (s sheetPage) ShowAlkali(a plan.AlkaliLine) string { return s.Plan.Scale.Alkali.Show(a.WeighG) }

// ShowWater prints the water.
func (s sheetPage) ShowWater() string { return s.Plan.Scale.Fats.Show(s.Plan.WaterWeighG) }

// ShowAdded prints an addition.
func (s sheetPage) ShowAdded(a plan.AdditionLine) string { return s.Plan.Scale.Fats.Show(a.WeighG) }
