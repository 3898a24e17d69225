package web

import (
	"fmt"
	"strings"
	"time"

	"barwright/batch"
)

// readingForm is one temperature that can be read.
type readingForm struct{ Of, Name, Value string }

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
		x.Fine = "a guess until you read it"
		if st.Do != "" {
			x.Fine += " · " + lowerFirst(st.Do)
		}
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
		last.judgeLanding(*m.LandsC, p.State.Sheet.Plan.Combine.LandingC)
	}
	return append(out, last)
}

// farOffK is how far from the planned landing a batch may be before the screen
// warns (common practice, no source).
const farOffK = 5

// judgeLanding warns of a batch that would land far from where it was planned,
// and has the button say what going on means.
func (x *screen) judgeLanding(landsC float64, plannedC *float64) {
	if plannedC == nil {
		return
	}
	switch off := landsC - *plannedC; {
	case off > farOffK:
		x.Warn = append(x.Warn, fmt.Sprintf("%s °C hotter than planned: let both cool, and read again. So hot it may thicken in moments or boil up", bare(off, 0)))
		x.Button, x.Instead = "So hot all the same", &also{"temperature", "Read again"}
	case off < -farOffK:
		x.Warn = append(x.Warn, fmt.Sprintf("%s °C colder than planned: warm both, and read again. So cold the fats may set", bare(-off, 0)))
		x.Button, x.Instead = "So cold all the same", &also{"temperature", "Read again"}
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
