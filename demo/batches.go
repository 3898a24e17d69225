package demo

import (
	"fmt"
	"time"

	"barwright/batch"
	"barwright/finding"
	"barwright/internal/tomldoc"
	"barwright/material"
	"barwright/recipe"
	"barwright/stock"
	"barwright/store"
)

// past is the form of the file of batches.
type past struct {
	Today   int               `toml:"today"` // days after the first
	Lots    map[string]string `toml:"lots"`  // by material
	Batches []pastBatch       `toml:"batches"`
}

// pastBatch is one batch as it stood on paper. Seconds count from combining.
type pastBatch struct {
	ID          string            `toml:"id"`
	Day         int               `toml:"day"`
	Recipe      string            `toml:"recipe"`
	Version     int               `toml:"version"`
	Mould       string            `toml:"mould"`
	FatsG       float64           `toml:"fats_g"`
	NaOHG       float64           `toml:"naoh_g"`
	JugOverG    float64           `toml:"jug_over_g"`    // more in the jug than was noted
	NaOHReallyG float64           `toml:"naoh_really_g"` // found later
	WaterG      float64           `toml:"water_g"`
	RoomC       float64           `toml:"room_c"`
	RHPct       float64           `toml:"rh_pct"`
	BarG        float64           `toml:"bar_g"` // mean of three marked bars
	FatsC       float64           `toml:"fats_c"`
	LyeC        float64           `toml:"lye_c"`
	TraceS      float64           `toml:"trace_s"`
	FalseTrace  bool              `toml:"false_trace"`
	CookedS     float64           `toml:"cooked_s"`
	PouredS     float64           `toml:"poured_s"`
	ThickS      float64           `toml:"thick_s"`
	Rest        []pastRest        `toml:"rest"`
	Trouble     *pastTrouble      `toml:"trouble"`
	TurnedOutH  float64           `toml:"turned_out_h"`
	CutH        float64           `toml:"cut_h"`
	Aside       int               `toml:"aside"`
	AsideWhy    string            `toml:"aside_why"`
	WentOn      string            `toml:"went_on"`
	Notes       []string          `toml:"notes"`
	Lots        map[string]string `toml:"lots"`
	By          string            `toml:"by"`
	Later       []pastLater       `toml:"later"`
	Rack        pastRack          `toml:"rack"`
	Drop        string            `toml:"drop"` // what the drop test found
	Judged      []pastJudged      `toml:"judged"`
}

type pastRest struct {
	Place  string  `toml:"place"`
	Cover  string  `toml:"cover"`
	Fan    bool    `toml:"fan"`
	AfterS float64 `toml:"after_s"`
}

type pastTrouble struct {
	AfterS  float64 `toml:"after_s"`
	Trouble string  `toml:"trouble"`
	First   string  `toml:"first"`
	Second  string  `toml:"second"`
}

type pastLater struct {
	Day  int    `toml:"day"`
	Note string `toml:"note"`
	Held string `toml:"held"`

	Laboratory string `toml:"laboratory"`
	Reference  string `toml:"reference"`
	Result     string `toml:"result"`
}

// batches writes the past batches as their events.
func (w *writer) batches(f file) {
	if w.err != nil {
		return
	}
	w.err = func() error {
		data, err := files.ReadFile("batches.toml")
		if err != nil {
			return err
		}
		var p past
		if _, err := tomldoc.Decode("demo/batches.toml", data, &p); err != nil {
			return err
		}
		for i, b := range p.Batches {
			if err := w.batch(f, p, b, i); err != nil {
				return fmt.Errorf("%s: %w", b.ID, err)
			}
		}
		return nil
	}()
}

func (w *writer) batch(f file, p past, b pastBatch, index int) error {
	version := fmt.Sprintf("%s-v%d", b.Recipe, b.Version)
	m, err := mouldOf(f, b.Mould)
	if err != nil {
		return err
	}
	start, err := w.start(m, p, b, version)
	if err != nil {
		return err
	}
	sh, err := batch.New(start)
	if err != nil {
		return err
	}
	day := w.now.UTC().Truncate(24*time.Hour).AddDate(0, 0, b.Day-p.Today)
	by := b.By
	if by == "" {
		by = "lead maker"
	}
	if _, err := w.store.NewBatch(w.ctx, store.Batch{ID: b.ID, Recipe: b.Recipe, Start: start, MadeAt: day.Add(9 * time.Hour), MadeBy: by}); err != nil {
		return err
	}
	made := b.events(sh, m.Bars, day.Add(9*time.Hour), by)
	typed := w.now.AddDate(0, 0, -30) // the day the papers were typed in; a younger batch on its own
	if cut := sh.Replay(made).Cut.At; cut.After(typed) {
		typed = cut
	}
	if _, err = w.store.AddEvents(w.ctx, b.ID, made, typed); err != nil {
		return err
	}
	s := sh.Replay(made)
	later := append(b.rack(index, s.Cut.At, w.now), b.judged(s.Marks["pour"].At, w.now)...)
	_, err = w.store.AddEvents(w.ctx, b.ID, later, w.now)
	return err
}

// start is the plan of a past batch: the recipe's version at its size, in its
// mould, with the lots that were used.
func (w *writer) start(m stock.Mould, p past, b pastBatch, version string) (batch.Start, error) {
	v, err := w.store.Version(w.ctx, version)
	if err != nil {
		return batch.Start{}, err
	}
	r, err := recipe.Parse(version, []byte(v.Body), material.Builtin())
	if err != nil {
		return batch.Start{}, err
	}
	if r, err = r.With(finding.Edit{Key: "size.fats", Value: fmt.Sprintf("%g g", b.FatsG)}); err != nil {
		return batch.Start{}, err
	}
	holds := m.True()
	r.Mould = &holds
	start, err := batch.NewStart(r, material.Builtin())
	if err != nil {
		return start, err
	}
	start.Version, start.RoomC, start.Recorded, start.Lots = version, b.RoomC, true, map[string]string{}
	lotOf := func(step, material string) {
		if lot := b.Lots[material]; lot != "" {
			start.Lots[step] = lot
		} else if lot := p.Lots[material]; lot != "" {
			start.Lots[step] = lot
		}
	}
	for i, a := range r.Alkali {
		lotOf(fmt.Sprintf("weigh.alkali.%d", i), a.Material)
	}
	for i, a := range r.Fats {
		lotOf(fmt.Sprintf("weigh.fats.%d", i), a.Material)
	}
	for i, a := range r.Additions {
		lotOf(fmt.Sprintf("weigh.additions.%d", i), a.Material)
	}
	return start, nil
}

func mouldOf(f file, id string) (stock.Mould, error) {
	for _, m := range f.Moulds {
		if m.ID == id {
			return m, nil
		}
	}
	return stock.Mould{}, fmt.Errorf("no mould %q", id)
}

// paper turns a past batch into events.
type paper struct {
	sh     *batch.Sheet
	bars   int
	b      pastBatch
	by     string
	events []batch.Event
}

func (p *paper) at(at time.Time, a batch.Action) {
	n := int64(len(p.events) + 1)
	p.events = append(p.events, batch.Event{ID: fmt.Sprintf("%s-%d", p.b.ID, n), Device: "paper", Seq: n, At: at, By: p.by, Do: a})
}

const jugG, potG = 214.0, 1630.0

// Minutes of the making day, from its beginning.
const (
	jugMin, potMin, combineMin = 5, 25, 75
)

func (b pastBatch) events(sh *batch.Sheet, bars int, began time.Time, by string) []batch.Event {
	p := &paper{sh: sh, bars: bars, b: b, by: by}
	p.prepare(began)
	combined := began.Add(combineMin * time.Minute)
	p.make(combined)
	p.rest(combined)
	p.later(began)
	return p.events
}

// prepare is everything until both are ready.
func (p *paper) prepare(began time.Time) {
	var read []string
	for _, item := range p.sh.Steps[0].Read {
		read = append(read, item.ID)
	}
	room, rh := p.b.RoomC, p.b.RHPct
	p.at(began, batch.Began{RoomC: &room, RoomRH: &rh})
	p.at(began.Add(time.Minute), batch.Acknowledged{What: read})
	at := began.Add(jugMin * time.Minute)
	inJug := 0.0
	for _, s := range p.sh.Steps {
		if s.ID == "tare.pot" {
			at = began.Add(potMin * time.Minute)
		}
		if s.ID == "temperatures" {
			break
		}
		at = at.Add(75 * time.Second)
		switch s.Type {
		case batch.Tare:
			p.at(at, batch.Tared{Vessel: s.Vessel, G: map[string]float64{"jug": jugG, "pot": potG}[s.Vessel]})
		case batch.Weigh:
			g := p.grams(s)
			if s.Vessel != "pot" && s.Vessel != "cup" {
				inJug += g
			}
			p.at(at, batch.Weighed{Step: s.ID, G: &g})
		case batch.Check:
			g := jugG + inJug + p.b.JugOverG
			if s.Vessel == "pot" {
				g = potG + p.fats()
			}
			p.at(at, batch.Gross{Vessel: s.Vessel, G: g})
			if p.b.WentOn != "" && s.Vessel == "jug" {
				p.at(at.Add(30*time.Second), batch.WentOn{Why: p.b.WentOn})
			}
		case batch.Act:
			p.at(at, batch.Stamped{Step: s.ID})
		}
	}
}

// grams is what the paper says was weighed: the table for alkali and water, the
// plan for the rest.
func (p *paper) grams(s batch.Step) float64 {
	switch s.Weigh.List {
	case "alkali":
		return p.b.NaOHG
	case "water":
		return p.b.WaterG
	}
	return s.Weigh.G
}

// fats is what is in the pot [g].
func (p *paper) fats() (g float64) {
	for _, s := range p.sh.Steps {
		if s.Type == batch.Weigh && s.Vessel == "pot" {
			g += s.Weigh.G
		}
	}
	return g
}

// make is from combining to the mould.
func (p *paper) make(combined time.Time) {
	b := p.b
	after := func(s float64) time.Time { return combined.Add(time.Duration(s * float64(time.Second))) }
	p.at(after(-60), batch.Reading{Of: "fats", C: b.FatsC})
	p.at(after(-50), batch.Reading{Of: "lye", C: b.LyeC})
	p.at(after(-40), batch.Stamped{Step: "temperatures"})
	p.at(after(0), batch.Stamped{Step: "combine"})
	p.at(after(b.TraceS), batch.Stamped{Step: "trace"})
	last := b.TraceS
	if b.FalseTrace {
		p.at(after(b.TraceS+30), batch.Stamped{Step: "false_trace"})
		last += 30
	}
	if b.CookedS > 0 {
		p.at(after(b.ThickS), batch.Stamped{Step: "thick"})
		p.trouble(combined)
		p.at(after(b.CookedS), batch.Stamped{Step: "cook"})
		last = b.CookedS
	}
	for _, s := range p.sh.Steps {
		if s.Part == "together" && s.NeedS > 0 {
			last += float64(s.NeedS)
			p.at(after(last), batch.Stamped{Step: s.ID})
		}
	}
	if b.Trouble != nil && b.CookedS == 0 && b.Trouble.AfterS < b.PouredS {
		p.trouble(combined)
	}
	p.at(after(b.PouredS), batch.Stamped{Step: "pour"})
	p.at(after(b.PouredS+30), batch.Stamped{Step: "finish"})
	if b.CookedS == 0 {
		p.at(after(b.ThickS), batch.Stamped{Step: "thick"})
	}
}

// trouble is what went wrong, asked about and handled.
func (p *paper) trouble(combined time.Time) {
	t := p.b.Trouble
	at := combined.Add(time.Duration(t.AfterS * float64(time.Second)))
	p.at(at, batch.Triaged{Trouble: t.Trouble, First: t.First, Second: t.Second})
	p.at(at.Add(90*time.Second), batch.Handled{Of: p.events[len(p.events)-1].ID})
}

// Hours after the pour at which it is turned out and cut, where nothing else is
// said.
const usualOutH, usualCutH = 22.0, 24.0

// rest is from the mould to the cut.
func (p *paper) rest(combined time.Time) {
	b := p.b
	poured := combined.Add(time.Duration(max(b.PouredS+30, b.ThickS)) * time.Second)
	begins := func(i int) time.Time { return poured.Add(time.Duration(b.Rest[i].AfterS+60) * time.Second) }
	for i, r := range b.Rest {
		if i > 0 && i <= len(p.sh.Recipe.Rest) {
			p.at(begins(i).Add(-2*time.Second), batch.Stamped{Step: fmt.Sprintf("rest.%d", i-1)})
		}
		p.at(begins(i), batch.Rested{Place: r.Place, Cover: r.Cover, Fan: r.Fan})
	}
	if b.Trouble != nil && b.CookedS == 0 && b.Trouble.AfterS >= b.PouredS {
		p.trouble(combined)
	}
	out, cut := usualOutH, usualCutH
	if b.TurnedOutH > 0 {
		out, cut = b.TurnedOutH, b.CutH
	}
	hours := func(h float64) time.Time { return poured.Add(time.Duration(h * float64(time.Hour))) }
	for i := max(0, len(b.Rest)-1); i < max(1, len(p.sh.Recipe.Rest)); i++ { // without a planned one there is a step all the same
		p.at(hours(out-0.5).Add(time.Duration(i)*time.Second), batch.Stamped{Step: fmt.Sprintf("rest.%d", i)})
	}
	p.at(hours(out), batch.Stamped{Step: "turn_out"})
	mean := b.BarG
	p.at(hours(cut), batch.Cut{Bars: p.bars, Aside: b.Aside, Each: b.each(p.bars), Mean: &mean, Marked: 3, Reason: b.AsideWhy})
	for i, note := range b.Notes {
		p.at(hours(cut+0.1*float64(i+1)), batch.Noted{Text: note})
	}
	if b.NaOHReallyG > 0 {
		for _, e := range p.events {
			if w, ok := e.Do.(batch.Weighed); ok && w.Step == "weigh.alkali.0" {
				p.at(hours(cut+1), batch.Corrected{Of: e.ID, G: &b.NaOHReallyG, Why: "weighed again with the scale on the stone"})
			}
		}
	}
}

func (p *paper) later(began time.Time) {
	p.by = "lead maker"
	for _, l := range p.b.Later {
		at := began.AddDate(0, 0, l.Day)
		if l.Note != "" {
			p.at(at, batch.Noted{Text: l.Note})
		}
		if l.Held != "" {
			p.at(at, batch.Held{Why: l.Held})
		}
		if l.Laboratory != "" {
			p.at(at, batch.Released{Laboratory: l.Laboratory, Reference: l.Reference, Result: l.Result})
		}
	}
}
