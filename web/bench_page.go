package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"time"

	"barwright/batch"
	"barwright/stock"
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
	Hands   []string // who can be at it, who is at it now first
	Marks   []named
	Rest    restPanel
	Cutting []counted
	Lots    []*lotsPanel
	Jumped  string // that a clock was set

	shelf stock.Shelf
	lots  map[string]*lotsPanel
	query url.Values
}

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
		By: handOf(r), Marks: seenMarks, query: r.URL.Query(), NowMS: a.now().UnixMilli(), Known: m.Events}
	if since, err := strconv.ParseInt(r.URL.Query().Get("since"), 10, 64); err == nil {
		p.Away = upperFirst(m.State.Away(time.UnixMilli(since), a.now()))
	}
	p.Hands = handsAt(p.By, deviceOf(r), m.State.Events)
	shelf, err := a.shelfNow(r.Context())
	if err != nil {
		return err
	}
	p.shelf = shelf.Lots
	tares, err := a.lastTares(r.Context(), m.ID)
	if err != nil {
		return err
	}
	p.fill(tares)
	return a.showBench(w, r, http.StatusOK, "bench", m.Code+", "+m.Start.Name, p)
}

// fill makes every screen of the page.
func (p *benchPage) fill(tares map[string]float64) {
	s := p.State
	n := len(s.Steps)
	p.fillLots()
	p.Rest, p.Cutting, p.Jumped = p.restPanel(), p.cutNumbers(), p.jumped()
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
	if p.Show == "lots" { // of the step that is shown
		for _, x := range p.Screens {
			if x.Shown {
				p.Show = "lots."
				if p.lots[x.Step] != nil {
					p.Show += x.Step
				}
			}
		}
	}
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
