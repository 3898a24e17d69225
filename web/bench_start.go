package web

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"barwright/batch"
	"barwright/finding"
	"barwright/recipe"
	"barwright/stock"
	"barwright/store"
)

// startPage is what is asked before a batch begins.
type startPage struct {
	planned
	Stop   *finding.Finding // why it cannot be started
	Lines  []lotLine
	Second bool
	RoomC  string
	Own    ownTimes
	Learn  windowLearned
	Faults map[string]string
}

// lotLine is one thing to be weighed and the lots it can come from, the one to
// be used first in front.
type lotLine struct {
	Step, Name, Weigh string
	Lots              []named
	Lot               string
	Short             string // "" when there is enough
}

func (a *App) newBatch(w http.ResponseWriter, r *http.Request) error {
	p, err := a.startOf(r)
	if err != nil {
		return err
	}
	return a.showStart(w, r, http.StatusOK, p)
}

func (a *App) showStart(w http.ResponseWriter, r *http.Request, status int, p *startPage) error {
	return a.show(w, r, status, "start", "bench", "Start a batch of "+p.Recipe.Name, p)
}

// startOf plans the version that is asked for, and says where all comes from.
func (a *App) startOf(r *http.Request) (*startPage, error) {
	made, err := a.planVersion(r.Context(), r.FormValue("version"))
	if err != nil {
		return nil, err
	}
	p := &startPage{planned: made, RoomC: "20", Faults: map[string]string{}}
	if p.Plan == nil {
		p.Stop = &finding.Finding{Title: "This version cannot be planned", Because: p.Trouble}
		return p, nil
	}
	if i := slices.IndexFunc(p.Plan.Findings, func(f finding.Finding) bool { return f.Severity == finding.Stop }); i >= 0 {
		p.Stop = &p.Plan.Findings[i]
		return p, nil
	}
	shelf, err := a.shelfNow(r.Context())
	if err != nil {
		return nil, err
	}
	p.fillLots(shelf.Lots)
	return p, a.askOwn(r, p)
}

func (p *startPage) fillLots(shelf stock.Shelf) {
	add := func(step, name, material, weigh string, g float64) {
		l := lotLine{Step: step, Name: name, Weigh: weigh}
		t := shelf.Take([]stock.Need{{Material: material, MassG: g}})[0]
		for _, from := range t.From {
			l.Lots = append(l.Lots, named{from.Lot.ID, from.Lot.Label()})
		}
		for _, lot := range shelf {
			if (lot.Of == material || lot.ID == material) && lot.Held == "" && lot.LeftG() > 0 && !slices.ContainsFunc(l.Lots, func(n named) bool { return n.ID == lot.ID }) {
				l.Lots = append(l.Lots, named{lot.ID, lot.Label()})
			}
		}
		if len(l.Lots) > 0 {
			l.Lot = l.Lots[0].ID
			if t.ShortG > 0.5 {
				l.Short = number(t.ShortG, 0) + "\u202fg short"
			}
		}
		p.Lines = append(p.Lines, l)
	}
	scale := p.Plan.Scale
	for i, x := range p.Plan.Alkali {
		add(fmt.Sprintf("weigh.alkali.%d", i), x.Name, x.Material, scale.Alkali.Show(x.WeighG), x.WeighG)
	}
	for i, x := range p.Plan.Fats {
		add(fmt.Sprintf("weigh.fats.%d", i), x.Name, x.Material, scale.Fats.Show(x.WeighG), x.WeighG)
	}
	for i, x := range p.Plan.Additions {
		add(fmt.Sprintf("weigh.additions.%d", i), x.Name, x.Material, scale.Fats.Show(x.WeighG), x.WeighG)
	}
}

// startBatch freezes the plan and begins.
func (a *App) startBatch(w http.ResponseWriter, r *http.Request) error {
	p, err := a.startOf(r)
	if err != nil {
		return err
	}
	if p.Stop != nil {
		return a.showStart(w, r, http.StatusUnprocessableEntity, p)
	}
	p.Second, p.RoomC = r.PostFormValue("second") != "", r.PostFormValue("room")
	room, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(p.RoomC), ",", ".", 1), 64)
	if err != nil || !(room >= -20 && room <= 60) {
		p.Faults["room"] = "degrees Celsius, like 20"
	}
	after, needs := p.Own.read(r, p.Faults)
	if len(p.Faults) > 0 {
		p.keepLots(r)
		return a.showStart(w, r, http.StatusUnprocessableEntity, p)
	}
	start, err := a.freeze(r, p, room)
	start.AfterTrace, start.Needs = after, needs
	if p.Learn.Skip = r.PostFormValue("unlearned") != ""; !p.Learn.Skip {
		start.Taught = p.Learn.taught
	}
	var stop *batch.StopError
	var f recipe.Fault
	switch {
	case errors.As(err, &stop):
		p.Stop = &stop.Stops[0]
		return a.showStart(w, r, http.StatusUnprocessableEntity, p)
	case errors.As(err, &f):
		p.Stop = &finding.Finding{Title: "This version cannot be planned", Because: f.Text}
		return a.showStart(w, r, http.StatusUnprocessableEntity, p)
	case err != nil:
		return err
	}
	b, err := a.store.NewBatch(r.Context(), store.Batch{ID: newID(), Recipe: p.Recipe.ID, Start: start, MadeAt: a.now(), MadeBy: handOf(r)})
	if err != nil {
		return err
	}
	http.Redirect(w, r, "/bench/"+b.ID, http.StatusSeeOther)
	return nil
}

// askOwn lists what can be timed, unless the plan makes no sheet: then that is
// told when it is started.
func (a *App) askOwn(r *http.Request, p *startPage) error {
	lib, err := a.library(r.Context())
	if err != nil {
		return err
	}
	start, err := batch.NewStart(p.made, lib)
	if err != nil {
		return err
	}
	sh, bad := batch.New(start)
	if bad != nil {
		return nil // told when it is started
	}
	p.Own.Steps = ownSteps(sh)
	p.Learn, err = a.learnedWindow(r.Context(), p.Plan)
	return err
}

// keepLots keeps the lots that were chosen in a form that is shown again.
func (p *startPage) keepLots(r *http.Request) {
	for i := range p.Lines {
		p.Lines[i].Lot = r.PostFormValue("lot." + p.Lines[i].Step)
	}
}

// freeze makes the start of a batch as the form wants it.
func (a *App) freeze(r *http.Request, p *startPage, roomC float64) (batch.Start, error) {
	lib, err := a.library(r.Context())
	if err != nil {
		return batch.Start{}, err
	}
	start, err := batch.NewStart(p.made, lib)
	if err != nil {
		return start, err
	}
	start.Version, start.SecondReader, start.RoomC, start.Lots = p.Version.ID, p.Second, roomC, map[string]string{}
	for _, l := range p.Lines {
		lot := r.PostFormValue("lot." + l.Step)
		if slices.ContainsFunc(l.Lots, func(n named) bool { return n.ID == lot }) {
			start.Lots[l.Step] = lot
		}
	}
	_, err = batch.New(start)
	return start, err
}

// CannotStart is why no batch of the recipe can be started, "" when one can.
func (p *planPage) CannotStart() string {
	if p.Plan == nil {
		return "It cannot be planned as it stands."
	}
	for _, f := range p.Plan.Findings {
		if f.Severity == finding.Stop {
			return "Not while a stop stands: " + lowerFirst(f.Title)
		}
	}
	return ""
}
