package web

import (
	"encoding/json"
	"html/template"
	"maps"
	"math"
	"net/http"
	"slices"
	"strings"

	"barwright/chart"
	"barwright/heat"
	"barwright/plan"
	"barwright/recipe"
)

// heatSeed draws the same nature for the same plan, so that a figure changes
// only when the recipe does.
const heatSeed = 20261125

// heatFrames is how many pictures of the mould the page can be scrubbed
// through.
const heatFrames = 16

// heatRoutes are the forecast's own page, its figures as text, and what was
// learned from logged curves.
func (a *App) heatRoutes() map[string]page {
	return map[string]page{
		"GET /recipes/{id}/heat":     a.heat,
		"GET /recipes/{id}/heat.csv": a.heatCSV,
		"POST /recipes/{id}/heat":    a.logCurve,
		"GET /learned":               a.learnedPage,
		"POST /learned":              a.putCurves,
		"POST /learned/{curve}":      a.putOneCurve,
	}
}

// heatView is a heat forecast as the pages show it.
type heatView struct {
	*plan.Forecast
	Name     string
	Measured []heat.Reading
	Advised  bool
	plan     *plan.Plan
}

// Take is what the button of a suggestion sends: the changes it asks for.
func (h heatView) Take(s heat.Suggestion) (string, error) {
	b, err := json.Marshal(map[string]any{"text": s.Words, "edits": h.plan.RestEdits(s)})
	return "fix:" + string(b), err
}

func (h heatView) drawn() chart.Heat {
	return chart.Heat{Name: h.Name, Series: *h.Series, Bands: *h.Bands, Peak: *h.Peak, Gel: *h.Forecast.Gel, Stages: h.Physics.Stages, Measured: h.Measured}
}

// Course, Sections and Covers are the pictures. The chart package escapes what
// it writes.
func (h heatView) Course() template.HTML { return template.HTML(chart.Course(h.drawn())) }

// CourseNarrow is the same for the width of a phone.
func (h heatView) CourseNarrow() template.HTML { return template.HTML(chart.CourseNarrow(h.drawn())) }

// Sections are the frames of the cross-section.
func (h heatView) Sections() (out []heatFrame) {
	if h.Section == nil {
		return nil
	}
	for i, f := range h.Section.Frames {
		out = append(out, heatFrame{i, chart.Span(f.TimeS), template.HTML(chart.CrossSection(h.Name, *h.Section, i, h.Forecast.Gel.TemperatureC.Typical))})
	}
	return out
}

// Warmest is the frame nearest to the likely peak, which the page shows first.
func (h heatView) Warmest() (best int) {
	for i, f := range h.Section.Frames {
		if math.Abs(f.TimeS-h.Peak.TimeS) < math.Abs(h.Section.Frames[best].TimeS-h.Peak.TimeS) {
			best = i
		}
	}
	return best
}

// Covers is the cover map.
func (h heatView) Covers() template.HTML { return template.HTML(chart.CoverMap(h.Name, *h.CoverMap)) }

// heatFrame is the cross-section at one time.
type heatFrame struct {
	I    int
	At   string
	Draw template.HTML
}

// Unsaid is what the recipe would have to say for a forecast.
func (h heatView) Unsaid() []string {
	if h.Known() {
		return nil
	}
	var out []string
	for _, note := range h.Notes {
		for _, m := range pageMissing {
			if strings.Contains(note, m.file) {
				note = m.page
			}
		}
		out = append(out, upperFirst(note))
	}
	return out
}

// pageMissing is what a forecast lacks, by the tables of the recipe file, and
// what the page says instead.
var pageMissing = []struct{ file, page string }{
	{"[combine]", "No forecast until it is said how warm fats and lye are combined"},
	{"[mould]", "No forecast until a mould with its shape and sides is chosen"},
	{"[[rest]]", "No forecast until it is said where it rests, and how warm it is there"},
}

// forecast returns the heat forecast of a plan by what this maker's curves have
// taught. One is computed at a time; a visitor who goes away stops it.
func (a *App) forecast(r *http.Request, p *plan.Plan, o plan.ForecastOptions) (*heatView, error) {
	maker, err := a.maker(r.Context())
	if err != nil {
		return nil, err
	}
	return a.forecastBy(r, p, maker, o)
}

// forecastBy is forecast by what one maker's curves had taught.
func (a *App) forecastBy(r *http.Request, p *plan.Plan, maker heat.Maker, o plan.ForecastOptions) (*heatView, error) {
	if err := a.heating.take(r.Context()); err != nil {
		return nil, err
	}
	defer a.heating.give()
	o.Maker, o.Seed, o.Done = maker, heatSeed, r.Context().Done()
	f, err := p.Forecast(o)
	if err != nil {
		return nil, err
	}
	return &heatView{Forecast: f, Name: p.Recipe.Name, Advised: o.Advice, plan: p}, nil
}

// heatPage is the forecast of a saved version, part by part: each takes its
// time, and the page asks for one after the other.
type heatPage struct {
	planned
	Heat  *heatView // nil in the page's first answer
	Part  string
	Again string // the page of this version
	Typed curveForm
	Last  int // number of the last frame
}

// Fields are the recipe's keys, for a form that takes a suggestion to the
// planning page.
func (p *heatPage) Fields() (out []hidden) {
	fields := p.made.Fields()
	for _, key := range slices.Sorted(maps.Keys(fields)) {
		out = append(out, hidden{key, fields[key]})
	}
	return out
}

func (a *App) heat(w http.ResponseWriter, r *http.Request) error {
	p, err := a.openHeat(r)
	if err != nil {
		return err
	}
	if p.Plan != nil && p.Part != "" {
		if p.Heat, err = a.forecast(r, p.Plan, optionsOf(p.Part)); err != nil {
			return err
		}
	}
	return a.showHeat(w, r, http.StatusOK, p)
}

func (a *App) showHeat(w http.ResponseWriter, r *http.Request, status int, p *heatPage) error {
	return a.show(w, r, status, "heat", "recipes", p.Recipe.Name+", heat", p)
}

func (a *App) openHeat(r *http.Request) (*heatPage, error) {
	open, err := a.openRecipe(r)
	if err != nil {
		return nil, err
	}
	made, err := a.planVersion(r.Context(), open.Version.ID)
	if err != nil {
		return nil, err
	}
	at := "/recipes/" + open.Recipe.ID + "/heat?version=" + open.Version.ID
	return &heatPage{planned: made, Part: r.FormValue("part"), Again: at, Last: heatFrames - 1}, nil
}

// optionsOf is what a part of the page needs.
func optionsOf(part string) (o plan.ForecastOptions) {
	switch part {
	case "advice":
		o.Advice = true
	case "map":
		o.Map = true
	default:
		o.Frames = heatFrames
	}
	return o
}

// heatCSV is the forecast as text: the course, the cross-sections or the cover
// map.
func (a *App) heatCSV(w http.ResponseWriter, r *http.Request) error {
	p, err := a.openHeat(r)
	if err != nil {
		return err
	}
	if p.Plan == nil {
		return recipe.Fault{Text: "The recipe cannot be planned, so nothing is known of its heat.", Advice: "See the recipe for what it waits for."}
	}
	h, err := a.forecast(r, p.Plan, optionsOf(p.Part))
	if err != nil {
		return err
	}
	if !h.Known() {
		return recipe.Fault{Text: "The recipe says too little for a forecast.", Advice: "Its heat page says what it would have to say."}
	}
	text := ""
	switch p.Part {
	case "map":
		text = chart.CoverMapCSV(*h.CoverMap)
	case "section":
		text = chart.SectionCSV(*h.Section)
	default:
		text = chart.CourseCSV(h.drawn())
	}
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="heat.csv"`)
	_, err = w.Write([]byte(text))
	return err
}
