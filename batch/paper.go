package batch

import (
	"fmt"
	"time"
)

// Blank is what is filled in by hand beside a step on paper.
type Blank string

// The blanks.
const (
	Tick    Blank = "tick"
	GramsIn Blank = "g"
	Clock24 Blank = "time"
	Degrees Blank = "°C"
)

// PaperLine is one line of the printed sheet, in the order of the work.
type PaperLine struct {
	Step   Step
	Reads  string // running gross weight, without the vessel
	Blanks []Blank
}

// Paper returns the run sheet as lines of one printed page. Each line's step is
// what its entry is typed in for.
func (sh *Sheet) Paper() []PaperLine {
	var out []PaperLine
	in := map[string]float64{}
	for _, s := range sh.Steps {
		l := PaperLine{Step: s}
		switch s.Type {
		case Read:
			l.Blanks = []Blank{Tick}
		case Tare, Check:
			l.Blanks = []Blank{GramsIn}
		case Weigh:
			in[s.Vessel] += s.Weigh.G
			if s.Vessel == "pot" || s.Vessel == "jug" {
				l.Reads = sh.Plan.Scale.Fats.Show(in[s.Vessel])
			}
			l.Blanks = []Blank{GramsIn}
		default:
			l.Blanks = []Blank{Clock24}
		}
		if s.ID == "mix" {
			in["jug"] += in["mix"]
		}
		if s.ID == "temperatures" {
			l.Blanks = []Blank{Degrees, Degrees, Clock24}
		}
		out = append(out, l)
	}
	return out
}

// Entry is what stood on paper beside a step: grams, a time, temperatures.
type Entry struct {
	Step        string
	G           *float64
	At          time.Time // zero when no time was written
	FatsC, LyeC *float64
	By          string
}

// Typed turns what was filled in on paper into events of a device, in the order
// of the sheet. An entry without a time has that of the one before it, a second
// later; began is when the work began.
func (sh *Sheet) Typed(entries []Entry, device string, began time.Time) ([]Event, error) {
	t := typist{device: device, at: began}
	t.add(Began{}, began, "")
	byStep := map[string]Entry{}
	for _, e := range entries {
		if sh.Index(e.Step) < 0 {
			return nil, fault("the names of the steps are on the sheet", "%.40q is no step of this batch", e.Step)
		}
		byStep[e.Step] = e
	}
	for _, s := range sh.Steps {
		if e, ok := byStep[s.ID]; ok {
			if err := t.entry(s, e); err != nil {
				return nil, err
			}
		}
	}
	return t.events, nil
}

type typist struct {
	device string
	at     time.Time
	events []Event
}

func (t *typist) add(a Action, at time.Time, by string) {
	if at.IsZero() || !at.After(t.at) && len(t.events) > 0 {
		at = t.at.Add(time.Second)
	}
	t.at = at
	n := int64(len(t.events) + 1)
	t.events = append(t.events, Event{ID: fmt.Sprintf("%.50s-%d", t.device, n), Device: t.device, Seq: n, At: at.UTC().Truncate(time.Millisecond), By: by, Do: a})
}

func (t *typist) entry(s Step, e Entry) error {
	switch {
	case s.Type == Read:
		var what []string
		for _, item := range s.Read {
			what = append(what, item.ID)
		}
		t.add(Acknowledged{What: what}, e.At, e.By)
		return nil
	case s.Type == Act:
		for _, r := range []struct {
			of string
			c  *float64
		}{{"fats", e.FatsC}, {"lye", e.LyeC}} {
			if r.c != nil {
				t.add(Reading{Of: r.of, C: *r.c}, e.At, e.By)
			}
		}
		t.add(Stamped{Step: s.ID}, e.At, e.By)
		return nil
	case e.G == nil:
		return fault(gramsAdvice, "%s: no weight", s.ID)
	}
	switch s.Type {
	case Tare:
		t.add(Tared{Vessel: s.Vessel, G: *e.G}, e.At, e.By)
	case Weigh:
		t.add(Weighed{Step: s.ID, G: e.G}, e.At, e.By)
	case Check:
		t.add(Gross{Vessel: s.Vessel, G: *e.G}, e.At, e.By)
	}
	return nil
}
