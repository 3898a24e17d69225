package web

import (
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"barwright/batch"
	"barwright/calendar"
	"barwright/quantity"
	"barwright/store"
)

// backForm works backward from a day to the pour.
type backForm struct {
	Recipes           []named
	For, Recipe, Pack string // as typed
	Fault, At         string // what is wrong, and with which field
	Plan              *calendar.Plan
	Late              bool
	Name              string
	Steps             calendar.Steps
	Days              [4]string // pour, cut, ready, the day itself
	InMould, OnRack   string    // how long it takes
	ToPack            string
	By                string // what the days on the rack rest on
}

// mostPackDays is the longest time for bands and boxes that is taken.
const mostPackDays = 60

// backward answers the form in the page's address: nothing is changed by it.
func (a *App) backward(r *http.Request, today quantity.Date) (f backForm, err error) {
	recipes, err := a.store.Recipes(r.Context(), store.Search{})
	if err != nil {
		return f, err
	}
	for _, rec := range recipes {
		f.Recipes = append(f.Recipes, named{rec.ID, rec.Name})
	}
	f.For, f.Recipe, f.Pack = strings.TrimSpace(r.FormValue("for")), r.FormValue("recipe"), strings.TrimSpace(r.FormValue("pack"))
	if f.For == "" && f.Pack == "" && f.Recipe == "" {
		f.Pack = "3"
		return f, nil
	}
	day, err := quantity.ParseDate(f.For)
	if err != nil {
		f.At, f.Fault = "for", "a day, like 2026-11-29"
		return f, nil
	}
	pack, err := strconv.Atoi(f.Pack)
	if err != nil || pack < 0 || pack > mostPackDays {
		f.At, f.Fault = "pack", "whole days, 0 to 60"
		return f, nil
	}
	rec, err := a.store.Recipe(r.Context(), f.Recipe)
	if errors.Is(err, store.ErrMissing) {
		f.At, f.Fault = "recipe", "one of the list"
		return f, nil
	}
	if err != nil {
		return f, err
	}
	return f, a.countBack(r, &f, rec, day, today, pack)
}

func (a *App) countBack(r *http.Request, f *backForm, rec store.Recipe, day, today quantity.Date, pack int) error {
	made, err := a.planVersion(r.Context(), rec.Head)
	if err != nil {
		return err
	}
	l, err := a.rackLearning(r.Context())
	if err != nil {
		return err
	}
	in := l.mouldOf(rec.ID, made.made.Mould)
	known := l.known(in, "")
	var expect batch.Forecast
	ok := made.Plan != nil
	if ok {
		expect, ok = batch.Expect(made.Plan, known)
	}
	if !ok {
		f.At, f.Fault = "recipe", "its newest version makes no bar that can be planned"
		return nil
	}
	f.By = countedBy(known)
	expect.TurnOutH, expect.TooLateH = l.lessons.Hours(batch.SettingOf(made.Plan, in))
	f.Name, f.Steps = rec.Name, expect.Steps(pack)
	f.ToPack = wholeDays(f.Steps.ReadyToFair)
	f.InMould, f.OnRack = wholeDays(f.Steps.PourToCut), wholeDays(f.Steps.CutToReady)
	p := calendar.Backward(day, f.Steps)
	f.Plan, f.Late = &p, p.IsLate(today)
	for i, d := range []quantity.Date{p.Pour, p.Cut, p.Ready, p.Fair} {
		f.Days[i] = d.Time().Format("Monday 2 January 2006")
	}
	return nil
}

// countedBy says what the days on the rack rest on.
func countedBy(k batch.Known) string {
	var rules []string
	if k.Rules.WeeklyPct > 0 {
		rules = append(rules, "under "+bare(k.Rules.WeeklyPct, 2)+"\u202f% lost a week")
	}
	if k.Rules.GonePct > 0 {
		rules = append(rules, bare(k.Rules.GonePct, 1)+"\u202f% of the water gone")
	}
	if k.Rules.LeastWeeks > 0 {
		rules = append(rules, bare(k.Rules.LeastWeeks, 1)+" weeks at least")
	}
	bars := "by what is expected of any maker's bars"
	if k.Habit.Series > 0 {
		bars = fmt.Sprintf("by %d finished series of your own bars of %s", k.Habit.Series, batch.LikeOf(k.Mould))
	}
	return "Dry is " + strings.Join(rules, " and ") + ", " + bars
}

// wholeDays says how long a step takes.
func wholeDays(n int) string {
	if n == 1 {
		return "1 day"
	}
	return fmt.Sprintf("%d days", n)
}
