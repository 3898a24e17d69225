package plan

import (
	"sort"

	"barwright/finding"
	"barwright/heat"
	"barwright/source"
)

// Forecast is what the batch does after the pour. Pointers are nil, and JSON
// null, where the recipe says too little; Notes say what it would have to say.
type Forecast struct {
	Recipe   RecipeName        `json:"recipe"`
	Physics  *heat.Physics     `json:"physics"`
	Series   *heat.Series      `json:"series"`
	Bands    *heat.Bands       `json:"bands"`
	Peak     *heat.Peak        `json:"peak"`
	Gel      *heat.Gel         `json:"gel"`
	Energy   *heat.Energy      `json:"energy"`
	TurnOut  *heat.Span        `json:"turn_out_s"`
	Learned  *heat.Learned     `json:"learned"`
	Advice   *heat.Advice      `json:"advice"`
	CoverMap *heat.CoverMap    `json:"cover_map"`
	Section  *heat.Section     `json:"section"`
	Sweet    string            `json:"sweet,omitempty"` // what brings sugar, by name
	Grade    source.Grade      `json:"grade"`
	Findings []finding.Finding `json:"findings"`
	Notes    []string          `json:"notes"`
}

// Gel is what gels.
type Gel = heat.Gel

// ForecastOptions say what a forecast is made of.
type ForecastOptions struct {
	heat.Options
	Poured Poured     // the batch, when there is one
	Maker  heat.Maker // what this maker's logged batches have taught
	Advice bool       // look for the least change, which takes some hundred runs
	Map    bool       // and for the cover map, some thousand
}

// Known reports whether there is a forecast at all.
func (f *Forecast) Known() bool { return f.Physics != nil }

// Forecast returns the heat forecast of the plan: a call of its own, because
// it takes a thousand times as long as the plan.
func (p *Plan) Forecast(o ForecastOptions) (*Forecast, error) {
	f := &Forecast{Recipe: p.Recipe, Grade: source.Unknown, Findings: []finding.Finding{}, Notes: []string{}}
	c, missing, err := p.HeatCaseOf(o.Poured)
	if err != nil {
		return nil, err
	}
	for _, m := range missing {
		f.Notes = append(f.Notes, "no forecast: "+m)
	}
	if len(missing) > 0 {
		return f, nil
	}
	c.Belief = o.Maker.Belief(p.mouldName())
	told, err := heat.Tell(c, o.Options)
	if err != nil {
		return nil, err
	}
	f.Physics, f.Series, f.Bands, f.Peak, f.Gel = &told.Physics, &told.Series, &told.Bands, &told.Peak, &told.Gel
	f.Energy, f.TurnOut, f.Section, f.Learned, f.Grade = &told.Energy, told.TurnOut, &told.Section, &told.Learned, told.Grade
	f.Notes = append(f.Notes, p.heatNotes()...)
	if o.Advice {
		a, err := heat.Advise(c, p.heatLimits(), o.Options)
		if err != nil {
			return nil, err
		}
		f.Advice, f.Sweet = &a, p.charge.sugarOf()
	}
	if o.Map {
		m, err := heat.Map(c, p.heatLimits(), o.Options)
		if err != nil {
			return nil, err
		}
		f.CoverMap = &m
	}
	f.Findings = p.heatFindings(f)
	return f, nil
}

// LastS is how far ahead the forecast looks [s].
func (f *Forecast) LastS() float64 { return f.Series.TimeS[len(f.Series.TimeS)-1] }

// Moment is the forecast at one time.
type Moment struct{ CoreC, LowC, HighC, EdgeC, X float64 }

// At returns the forecast at a time [s], the last there is beyond its end.
func (f *Forecast) At(timeS float64) Moment {
	i := min(sort.SearchFloat64s(f.Series.TimeS, timeS-1), len(f.Series.TimeS)-1)
	return Moment{f.Series.CoreC[i], f.Bands.CoreLowC[i], f.Bands.CoreHighC[i], f.Series.EdgeC[i], f.Series.MeanX[i]}
}

// Log returns a curve that was logged from the pour on as a batch of this very
// plan, poured so, for heat.Learn; false when the plan has no forecast.
func (p *Plan) Log(curve []heat.Reading, as Poured) (heat.Log, bool) {
	c, missing, err := p.HeatCaseOf(as)
	return heat.Log{Mould: p.mouldName(), Case: c, Curve: curve}, err == nil && len(missing) == 0
}

// heatNotes says what was assumed and what is not counted.
func (p *Plan) heatNotes() (notes []string) {
	m, c := p.recipe.Mould, p.charge
	if m.Volume != nil {
		notes = append(notes, "the mould's cavity is taken as round, and 0.4 times as high as wide")
	}
	if m.Cavities() > 1 {
		notes = append(notes, "every cavity is taken as standing alone, with air on all sides")
	}
	if p.Mould.FillPct > 100 {
		notes = append(notes, "the mould is taken as brim full; it does not hold all of the batter")
	}
	if c.lyeHasPotassium() {
		notes = append(notes, "potassium lye is taken to give as much heat as sodium lye, for want of data")
	}
	for _, a := range c.additions {
		if a.base() == "salt" || a.base() == "sea_salt" {
			notes = append(notes, "salt raises the gel line by an amount nobody has measured: it is not counted")
			break
		}
	}
	return notes
}

func (a addition) base() string {
	if a.Of != "" {
		return a.Of
	}
	return a.ID
}
