package web

import (
	"cmp"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"barwright/batch"
	"barwright/finding"
)

// benchPage is the bench of one batch: every screen of it, one of them shown,
// so that a device goes on from one to the next without the workshop.
type benchPage struct {
	making
	Moment  batch.Moment
	Screens []*screen
	Cards   []batch.Card
	Asks    []batch.Trouble
	Show    string // a panel over the screen, "" for none
	Away    string
	By      string
	NowMS   int64
	Known   int    // how many taps this page knows of
	Plan    string // the run sheet as JSON, for a device on its own
	Rinse   *int64 // since when somebody rinses [ms]
	Live    []string
	Timing  string // what to do when inside the window, as JSON
	Reading []readingForm
}

// screen is one job: a number, a done area, the next step small.
type screen struct {
	ID     string // of the screen
	Step   string // of the run sheet, "" for none
	Item   string // of a step that is read
	Part   string // of the work
	Kind   string // of the event that does it
	Place  string // "step 6 of 17 · weigh"
	Title  string
	Number string
	Unit   string
	Fine   string
	Reads  string // what the scale shows with the vessel, at the end
	Weighs bool
	Say    string
	Warn   []string
	Next   string
	Button string
	Fields []field
	Step1  *stepper // the number can be changed
	Always bool     // and its buttons are there at once
	Count  *count
	Ways   []batch.Choice
	GoOn   bool // a hold can be gone on from, quarantined
	Tone   string
	Shown  bool
	Done   bool
}

// field is what a form sends besides its button.
type field struct{ Name, Value string }

// stepper changes a number by buttons as large as a knuckle.
type stepper struct {
	Field, Value, Unit string
	By                 []string // how much its buttons change it
}

// count is a time that runs: to an instant, or since one.
type count struct {
	ToMS, LowMS, HighMS int64
	SinceMS             int64
	After               string    // or so long after this step was stamped
	Span                []float64 // [s] low, typical, high
	Text                string    // now
	Range               string
}

// readingForm is one temperature that can be read.
type readingForm struct{ Of, Name, Value string }

// Corrosive reports batter and soap that burns.
func (p *benchPage) Corrosive() bool { return p.Moment.Corrosive }

// UndoUntil is until when the last tap can be taken back [ms], 0 when none can.
func (p *benchPage) UndoUntil() int64 {
	if p.Moment.Undo == "" {
		return 0
	}
	return p.Moment.Now.Add(p.Moment.UndoLeft).UnixMilli()
}

func (a *App) bench(w http.ResponseWriter, r *http.Request) error {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	p := &benchPage{making: m, Moment: m.State.At(a.now()), Cards: batch.Cards, Asks: batch.Troubles, Show: r.URL.Query().Get("show"),
		By: handOf(r), NowMS: a.now().UnixMilli(), Known: m.Events}
	if since, err := strconv.ParseInt(r.URL.Query().Get("since"), 10, 64); err == nil {
		p.Away = upperFirst(m.State.Away(time.UnixMilli(since), a.now()))
	}
	tares, err := a.lastTares(r.Context(), m.ID)
	if err != nil {
		return err
	}
	p.fill(tares)
	return a.showBench(w, r, http.StatusOK, "bench", m.Code+", "+m.Start.Name, p)
}

// lastTares are the weights of the empty vessels as they were last weighed in
// another batch.
func (a *App) lastTares(ctx context.Context, but string) (map[string]float64, error) {
	all, err := a.store.Batches(ctx)
	if err != nil {
		return nil, err
	}
	tares, looked := map[string]float64{}, 0
	for _, b := range all {
		if b.ID == but || b.Events == 0 || len(tares) == 2 || looked == 3 {
			continue
		}
		looked++
		events, err := a.store.Events(ctx, b.ID)
		if err != nil {
			return nil, err
		}
		for _, e := range events {
			if t, ok := e.Do.(batch.Tared); ok && (t.Vessel == "jug" || t.Vessel == "pot") {
				if _, known := tares[t.Vessel]; !known {
					tares[t.Vessel] = t.G
				}
			}
		}
	}
	return tares, nil
}

// fill makes every screen of the page.
func (p *benchPage) fill(tares map[string]float64) {
	s := p.State
	n := len(s.Steps)
	for i := range s.Steps {
		st := &s.Steps[i]
		made := p.screensOf(st, tares)
		for _, x := range made {
			x.Step, x.Part, x.Place = st.ID, st.Part, fmt.Sprintf("%s · step %d of %d · %s", p.Code, i+1, n, partWords[st.Part])
			x.Warn = append(slices.Clone(st.Warn), x.Warn...)
			if x.Next == "" && i+1 < n {
				x.Next = nextWords(s, &s.Steps[i+1])
			}
			// What is quarantined goes on from weights that are not fine.
			x.Done = x.Done || st.Done || s.Quarantined != nil && (st.G != nil || st.GotG != nil)
		}
		p.Screens = append(p.Screens, made...)
	}
	p.Screens = append(p.Screens, &screen{ID: "end", Place: p.Code, Title: "All steps are done", Say: "Gloves on for the bars until 48 hours after the cut. The batch's record has the rest.", Tone: "end"})
	p.special()
	p.choose()
	p.fillLive()
	p.fillPlan()
	p.fillTiming()
	for _, of := range []struct{ of, name string }{{"fats", "Fats"}, {"lye", "Lye"}, {"batter", "Batter"}, {"core", "Core of the mould"}, {"room", "Room"}} {
		p.Reading = append(p.Reading, readingForm{of.of, of.name, bare(s.Expected(of.of, p.Moment.Now), 0)})
	}
	for _, t := range p.Moment.Timers {
		if t.ID == "rinse" {
			from := t.From.UnixMilli()
			p.Rinse = &from
		}
	}
}

// choose shows one of the screens: what is wrong first, else the first that is
// not done.
func (p *benchPage) choose() {
	for _, x := range p.Screens {
		if x.Tone == "wrong" || x.Tone == "trouble" || !x.Done {
			x.Shown = true
			return
		}
	}
}

var partWords = map[string]string{"ready": "before you start", "lye": "lye", "fats": "fats", "cups": "cups", "together": "together", "mould": "mould", "rest": "rest"}

func nextWords(s *batch.State, st *batch.StepState) string {
	if st.Weigh != nil {
		return lowerFirst(st.Weigh.Name) + ", " + st.Weigh.Scale.Show(st.Weigh.G)
	}
	return lowerFirst(st.Do)
}

// screensOf are the screens of one step.
func (p *benchPage) screensOf(st *batch.StepState, tares map[string]float64) []*screen {
	switch st.Type {
	case batch.Read:
		return p.readScreens(st)
	case batch.Tare:
		return []*screen{p.tareScreen(st, tares)}
	case batch.Weigh:
		return p.weighScreens(st)
	case batch.Check:
		return []*screen{p.checkScreen(st)}
	}
	switch {
	case st.ID == "temperatures":
		return p.temperatureScreens(st)
	case st.ID == "cut":
		return []*screen{p.cutScreen(st)}
	}
	return []*screen{p.actScreen(st)}
}

// readScreens is a screen for each thing to acknowledge.
func (p *benchPage) readScreens(st *batch.StepState) (out []*screen) {
	for i, item := range st.Read {
		_, read := st.ReadItems[item.ID]
		x := &screen{ID: "read." + item.ID, Item: item.ID, Kind: "acknowledged", Title: item.Text, Button: "Read, and it is so", Fields: []field{{"l.what", item.ID}}, Done: read, Tone: "read"}
		if i+1 < len(st.Read) {
			x.Next = fmt.Sprintf("%d more to read", len(st.Read)-i-1)
		}
		out = append(out, x)
	}
	return out
}

func (p *benchPage) tareScreen(st *batch.StepState, tares map[string]float64) *screen {
	g, known := tares[st.Vessel]
	x := &screen{ID: st.ID, Kind: "tared", Title: st.Do, Number: scaleNumber(g), Unit: "g", Button: "It weighs that", Fields: []field{{"s.vessel", st.Vessel}}}
	x.Fine = "0 means: the scale was set to zero with it on"
	if known {
		x.Fine = "as it weighed last time; look whether it is so"
	}
	x.Step1 = &stepper{Field: "n.g", Value: bare(g, 1), Unit: "g", By: byScale(p.State.Sheet.Plan.Scale.Fats.StepG, 1000)}
	return x
}

func (p *benchPage) weighScreens(st *batch.StepState) []*screen {
	t := st.Weigh
	value, unit := parted(t.Scale.Show(t.G))
	x := &screen{ID: st.ID, Kind: "weighed", Title: t.Name, Number: value, Unit: unit, Button: "Done", Fields: []field{{"s.step", st.ID}}, Weighs: true}
	if t.Lot != "" && t.Lot != t.Material {
		x.Title += ", lot " + t.Lot
	}
	x.Say = st.Do
	low, _ := parted(t.Scale.Show(t.LowG))
	high, _ := parted(t.Scale.Show(t.HighG))
	x.Fine = "fine from " + low + " to " + high
	if low == high {
		x.Fine = "fine at " + low + " only"
	}
	if reads, ok := p.State.ReadsG(st); ok {
		x.Reads = st.Vessel + " reads " + scaleNumber(reads) + "\u202fg"
	}
	x.Step1 = &stepper{Field: "n.g", Value: bare(t.G, decimalsOf(t.Scale.StepG)), Unit: "g", By: byScale(t.Scale.StepG, t.G)}
	x.Done = st.Done
	out := []*screen{x}
	if p.Start.SecondReader && t.List == "alkali" && st.G != nil && st.SecondG == nil {
		x.Done = true
		out = append(out, &screen{ID: "second." + st.ID, Kind: "read_back", Title: "Somebody else reads the scale: " + lowerFirst(t.Name), Number: scaleNumber(*st.G), Unit: "g", Button: "It reads so", Say: "Without being told the number. Another person taps.",
			Fields: []field{{"s.step", st.ID}, {"by", "second reader"}}, Step1: &stepper{Field: "n.g", Value: bare(*st.G, decimalsOf(t.Scale.StepG)), Unit: "g", By: byScale(t.Scale.StepG, t.G)}})
	}
	return out
}

func (p *benchPage) checkScreen(st *batch.StepState) *screen {
	in := p.State.NetG(st.Vessel)
	tare := p.State.Vessels[st.Vessel]
	off := math.Max(2, 0.005*in)
	step := p.State.Sheet.Plan.Scale.Fats.StepG
	return &screen{ID: st.ID, Kind: "gross", Title: st.Do, Number: scaleNumber(tare + in), Unit: "g", Button: "It reads so", Fields: []field{{"s.vessel", st.Vessel}},
		Fine:  fmt.Sprintf("within %s g of it · the empty %s %s", bare(off, 1), st.Vessel, scaleNumber(tare)),
		Step1: &stepper{Field: "n.g", Value: bare(tare+in, 1), Unit: "g", By: byScale(step, tare+in)}}
}

// temperatureScreens read fats, then lye, then let both meet.
func (p *benchPage) temperatureScreens(st *batch.StepState) []*screen {
	m := p.Moment
	var out []*screen
	since := p.State.BegunAt
	for i := range p.State.Steps {
		if x := &p.State.Steps[i]; x.ID != st.ID && x.Done && x.At.After(since) && x.ID != "combine" {
			since = x.At
		}
	}
	for _, of := range []struct{ of, name string }{{"fats", "Fats"}, {"lye", "Lye"}} {
		x := &screen{ID: "read." + of.of, Kind: "reading", Title: of.name + " now", Unit: "°C", Button: "It reads so", Fields: []field{{"s.of", of.of}}, Always: true}
		x.Number = bare(p.State.Expected(of.of, m.Now), 0)
		x.Step1 = &stepper{Field: "n.c", Value: x.Number, Unit: "°C", By: []string{"5", "1"}}
		x.Fine = st.Do
		for _, had := range p.State.Readings {
			x.Done = x.Done || had.Of == of.of && !had.At.Before(since)
		}
		out = append(out, x)
	}
	last := &screen{ID: st.ID, Kind: "stamped", Title: st.Do, Button: "Both are right", Fields: []field{{"s.step", st.ID}}}
	if m.LandsC != nil {
		last.Number, last.Unit, last.Fine = bare(*m.LandsC, 0), "°C", "is where they land together now"
		if c := p.State.Sheet.Plan.Combine; c.ClearC != nil {
			last.Fine += fmt.Sprintf(" · clear above %s °C", bare(*c.ClearC, 0))
		}
	}
	return append(out, last)
}

func (p *benchPage) cutScreen(st *batch.StepState) *screen {
	bars := p.barsGuess()
	text := strconv.Itoa(bars)
	return &screen{ID: st.ID, Kind: "cut", Title: st.Do, Number: text, Unit: "bars", Button: "Cut into so many", Always: true,
		Step1: &stepper{Field: "n.bars", Value: text, Unit: "bars", By: []string{"5", "1"}}, Fine: "change it to what you have"}
}

// usualBarG is about what a fresh bar weighs, where nothing says how many there
// will be [g].
const usualBarG = 105

func (p *benchPage) barsGuess() int {
	r := p.State.Sheet.Recipe
	if b := r.Size.Bars; b != nil {
		return b.Count
	}
	if r.Mould != nil && r.Mould.Cavities() > 2 {
		return r.Mould.Cavities()
	}
	return max(1, int(math.Round(p.State.Sheet.Plan.Batter.MassG/usualBarG)))
}

// actScreen is a step that is stamped.
func (p *benchPage) actScreen(st *batch.StepState) *screen {
	x := &screen{ID: st.ID, Kind: "stamped", Title: st.Do, Button: cmp.Or(buttonWords[st.ID], "Done"), Fields: []field{{"s.step", st.ID}}}
	w := p.Moment.Window
	switch {
	case st.ID == "mix":
		if c := p.State.Sheet.Plan.Lye.PeakC; c != nil {
			x.Number, x.Unit, x.Fine = bare(*c, 0), "°C", "is how hot it can get"
			st.Warn = slices.DeleteFunc(slices.Clone(st.Warn), func(w string) bool { return strings.HasPrefix(w, "It can reach") })
		}
	case st.ID == "trace" || st.NeedS > 0:
		x.Count = p.countOf(st)
		if w != nil {
			x.Say = w.Say
		}
	case st.Part == "rest":
		x.Count = p.restCount(st)
	}
	return x
}

var buttonWords = map[string]string{"combine": "Together", "trace": "Marks stay", "pour": "Poured", "melt": "It is clear", "mix": "All in, and clear", "turn_out": "Turned out", "finish": "Top is smooth"}

// countOf counts to the end of the window: from the state where it is open, and
// as planned for a device on its own.
func (p *benchPage) countOf(st *batch.StepState) *count {
	c := &count{After: "trace"}
	if st.ID == "trace" {
		c.After = "combine"
	}
	c.Span = p.spans()[c.After]
	if w := p.Moment.Window; w != nil && (w.Of == "trace") == (st.ID == "trace") {
		c.ToMS, c.LowMS, c.HighMS = w.Typical.UnixMilli(), w.Low.UnixMilli(), w.High.UnixMilli()
		c.Text, c.Range = clockMinutes(w.Left), clockMinutes(w.LeftLow)+" to "+clockMinutes(w.LeftHigh)
	}
	return c
}

// spans are the windows as planned [s]: from combining to the trace, and from
// the trace to where it no longer pours.
func (p *benchPage) spans() map[string][]float64 {
	plan := p.State.Sheet.Plan
	landing := 40.0
	if c := plan.Combine.LandingC; c != nil {
		landing = *c
	}
	to := plan.WindowAt(landing).ToTrace
	out := map[string][]float64{"combine": {60 * to.Low, 60 * to.Typical, 60 * to.High}}
	after := plan.AfterTrace(landing, max(to.Typical, 1.0/60))
	out["trace"] = []float64{60 * after.Low, 60 * after.Typical, 60 * after.High}
	if own := p.Start.AfterTrace; own != nil {
		out["trace"] = []float64{own.Low, own.Typical, own.High}
	}
	return out
}

func (p *benchPage) restCount(st *batch.StepState) *count {
	for _, t := range p.Moment.Timers {
		if t.ID == st.ID {
			return &count{ToMS: t.Until.UnixMilli(), Text: clockMinutes(t.Left(p.Moment.Now)), Range: "until " + t.Until.In(p.Moment.Now.Location()).Format("2 January, 15:04")}
		}
	}
	return nil
}

// special are the screens of what is wrong, which come before all others.
func (p *benchPage) special() {
	s := p.State
	add := func(x *screen) { p.Screens = slices.Insert(p.Screens, 0, x) }
	for i := range s.Troubles {
		if t := s.Troubles[i]; t.Done == nil && p.Moment.Now.Sub(t.At) < 12*time.Hour {
			add(&screen{ID: "trouble", Kind: "handled", Place: p.Code + " · " + t.Remedy.What, Title: t.Remedy.Do, Button: t.Remedy.Stamp, Fields: []field{{"s.of", t.Event}}, Tone: "trouble"})
		}
	}
	if len(s.Choices) > 0 && s.Stopped == nil && (s.Quarantined == nil || s.Hold != nil) {
		x := &screen{ID: "wrong", Place: p.Code + " · choose how to go on", Ways: s.Choices, Tone: "wrong"}
		if i := slices.IndexFunc(s.Findings, func(f finding.Finding) bool { return f.Severity == finding.Stop || f.Severity == finding.Caution }); i >= 0 {
			x.Title, x.Say, x.Warn = s.Findings[i].Title, s.Findings[i].Because, []string{s.Findings[i].Fix}
		}
		if s.Hold != nil {
			x.Title, x.Say = "On hold", s.Hold.Why
		}
		x.GoOn = s.Hold != nil
		add(x)
	} else if s.Hold != nil {
		add(&screen{ID: "wrong", Place: p.Code + " · on hold", Title: "On hold", Say: s.Hold.Why, Tone: "wrong", GoOn: true})
	}
	if s.Stopped != nil {
		add(&screen{ID: "stopped", Place: p.Code, Title: "This batch was given up", Say: s.Stopped.Why, Tone: "wrong"})
	}
}

// fillLive says what warms and cools meanwhile.
func (p *benchPage) fillLive() {
	m := p.Moment
	at := func(t time.Time) string { return t.In(m.Now.Location()).Format("15:04") }
	for _, f := range m.Findings {
		if f.ID == "fats_cooling" || strings.HasSuffix(f.ID, "_freeze") || f.ID == "false_trace" || f.ID == "overheating" {
			p.Live = append(p.Live, f.Title+". "+f.Fix)
		}
	}
	if m.Meeting != nil && m.Meeting.At.After(m.Now) {
		if d := m.Meeting.LyeWait; d > time.Minute {
			p.Live = append(p.Live, fmt.Sprintf("Keep the lye warm %s longer: then both are there at %s", clockMinutes(d), at(m.Meeting.At)))
		} else if d := m.Meeting.FatsWait; d > time.Minute {
			p.Live = append(p.Live, fmt.Sprintf("Keep the fats warm %s longer: then both are there at %s", clockMinutes(d), at(m.Meeting.At)))
		}
	}
	for _, of := range []struct {
		name string
		w    *batch.Warmth
	}{{"Lye", m.Lye}, {"Fats", m.Fats}} {
		if of.w == nil {
			continue
		}
		text := fmt.Sprintf("%s about %s °C", of.name, bare(of.w.C, 0))
		if of.w.TargetC != nil && of.w.At != nil && of.w.At.After(m.Now) {
			text += fmt.Sprintf(", at %s about %s (%s to %s)", bare(*of.w.TargetC, 0), at(*of.w.At), at(*of.w.First), at(*of.w.Last))
		}
		p.Live = append(p.Live, text)
	}
}

// LiveOn is what a screen tells of lye and fats meanwhile: the one thing that
// presses most.
func (p *benchPage) LiveOn(x *screen) []string {
	if x.Part == "ready" || x.Part == "rest" || x.Tone != "" || x.Part == "together" && x.Step != "temperatures" && p.Moment.Batter == nil {
		return nil
	}
	return p.Live[:min(1, len(p.Live))]
}

// sheetLine is a step of the run sheet for a device on its own.
type sheetLine struct {
	Step   string  `json:"step"`
	Type   string  `json:"type"`
	Vessel string  `json:"vessel,omitempty"`
	Do     string  `json:"do"`
	G      float64 `json:"g,omitempty"`
	LowG   float64 `json:"low_g,omitempty"`
	HighG  float64 `json:"high_g,omitempty"`
	HadG   float64 `json:"had_g,omitempty"`
	Done   bool    `json:"done,omitempty"`
}

// fillPlan writes the run sheet for a device on its own: order, targets and
// tolerances, and the empty vessels.
func (p *benchPage) fillPlan() {
	var lines []sheetLine
	for i := range p.State.Steps {
		st := &p.State.Steps[i]
		l := sheetLine{Step: st.ID, Type: string(st.Type), Vessel: st.Vessel, Do: st.Do, Done: st.Done}
		if st.Weigh != nil {
			l.G, l.LowG, l.HighG = st.Weigh.G, st.Weigh.LowG, st.Weigh.HighG
		}
		if st.G != nil {
			l.HadG = *st.G
		}
		lines = append(lines, l)
	}
	out, err := json.Marshal(map[string]any{"steps": lines, "vessels": p.State.Vessels})
	if err != nil {
		panic(err) // of numbers and words
	}
	p.Plan = string(out)
}

// mostTiming is how far ahead the window is told for a device on its own.
const mostTiming = 15 * time.Minute

// timed is what to do from an instant on.
type timed struct {
	FromMS  int64  `json:"from_ms"`
	Urgency string `json:"urgency"`
	Say     string `json:"say"`
}

// fillTiming tells what to do at every second of an open window, where it
// changes: the countdown itself runs on the device.
func (p *benchPage) fillTiming() {
	if p.Moment.Window == nil || p.Moment.Window.Of != "pour" {
		p.Timing = "[]"
		return
	}
	out := []timed{}
	last := ""
	end := min(p.Moment.Window.High.Add(time.Minute).Sub(p.Moment.Now), mostTiming)
	for d := time.Duration(0); d <= end; d += time.Second {
		w := p.State.At(p.Moment.Now.Add(d)).Window
		say := w.Say
		if i := strings.LastIndex(say, ". "); i >= 0 && strings.HasSuffix(say, ")") && strings.Contains(say[i:], " left (") {
			say = say[:i] // the device counts that down itself
		}
		if key := say + string(w.Urgency); key != last {
			out, last = append(out, timed{p.Moment.Now.Add(d).UnixMilli(), string(w.Urgency), say}), key
		}
	}
	text, err := json.Marshal(out)
	if err != nil {
		panic(err) // of numbers and words
	}
	p.Timing = string(text)
}
