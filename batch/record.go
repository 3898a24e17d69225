package batch

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Record is the story of a batch: what was planned beside what was done.
type Record struct {
	Weights  []Beside // every weighing
	Temps    []Beside // as combined
	Times    []Beside // of the marks, from combining
	Superfat [2]Range // planned as weighed, and true
	Lots     []Taken  // off the shelf, what was thrown away included
	Curves   map[string][]Measured
	Lines    []Line // everything that counts, in order
	Hold     string // "", "on hold", "quarantined", "released" or "given up"
	Why      string
}

// Range is a likely value between its 2.5 % and 97.5 % points.
type Range struct{ Low, Typical, High float64 }

// Beside is one figure planned and had.
type Beside struct {
	What         string
	Unit         string
	Planned, Had *float64
	PlannedTo    *float64 // a planned range ends here
	By           string
}

// Line is one line of the story.
type Line struct {
	At    time.Time
	By    string
	Text  string
	Event string
}

// Record tells the batch.
func (s *State) Record() Record {
	r := Record{Weights: s.weightsBeside(), Temps: s.tempsBeside(), Times: s.timesBeside(), Lots: s.Taken(), Curves: map[string][]Measured{}, Lines: s.story()}
	planned, true := s.Sheet.Plan.Superfat.AsWeighed, s.Weighed.Superfat
	r.Superfat = [2]Range{{planned.Low, planned.Typical, planned.High}, {true.Low, true.Typical, true.High}}
	for _, m := range s.Readings {
		r.Curves[m.Of] = append(r.Curves[m.Of], m)
	}
	switch {
	case s.Stopped != nil:
		r.Hold, r.Why = "given up", s.Stopped.Why
	case s.Hold != nil:
		r.Hold, r.Why = "on hold", s.Hold.Why
	case s.Released != nil:
		r.Hold, r.Why = "released", fmt.Sprintf("%s, %s: %s", s.Released.Laboratory, s.Released.Reference, s.Released.Result)
	case s.Quarantined != nil:
		r.Hold, r.Why = "quarantined", s.Quarantined.Why
	}
	return r
}

func (s *State) weightsBeside() (out []Beside) {
	for _, st := range s.Steps {
		if st.Type == Weigh {
			planned := st.Weigh.G
			if st.G != nil {
				planned = st.ThenG
			}
			out = append(out, Beside{What: st.Weigh.Name, Unit: "g", Planned: &planned, Had: st.G, By: st.By})
		}
	}
	return out
}

// tempsBeside are the last temperatures read before lye and fats met, and the
// first of the batter.
func (s *State) tempsBeside() (out []Beside) {
	met := s.Marks["combine"].At
	for _, of := range []string{"fats", "lye"} {
		b := Beside{What: of, Unit: "°C", Planned: s.target(of)}
		for _, r := range s.Readings {
			if r.Of == of && (met.IsZero() || !r.At.After(met)) {
				b.Had, b.By = &r.C, r.By
			}
		}
		out = append(out, b)
	}
	b := Beside{What: "batter", Unit: "°C", Planned: s.Sheet.Plan.Combine.LandingC}
	for _, r := range s.Readings {
		if r.Of == "batter" && b.Had == nil {
			b.Had, b.By = &r.C, r.By
		}
	}
	return append(out, b)
}

func (s *State) timesBeside() (out []Beside) {
	met := s.Marks["combine"].At
	if met.IsZero() {
		return nil
	}
	add := func(mark string, low, high *float64) {
		m, ok := s.Marks[mark]
		b := Beside{What: mark, Unit: "min", Planned: low, PlannedTo: high, By: m.By}
		if ok {
			had := m.At.Sub(met).Minutes()
			b.Had = &had
		}
		out = append(out, b)
	}
	if p := s.Sheet.Plan; p.Window != nil && p.Combine.LandingC != nil {
		w := p.WindowAt(*p.Combine.LandingC, s.Sheet.model) // with what her batches had taught when she began
		add("trace", &w.ToTrace.Low, &w.ToTrace.High)
		add("thick", &w.ToUnpourable.Low, &w.ToUnpourable.High)
	} else {
		add("trace", nil, nil)
		add("thick", nil, nil)
	}
	add("pour", nil, nil)
	return out
}

// Taken is what the batch took from the shelf: of every weighing that stands,
// and of lye that was set aside.
func (s *State) Taken() []Taken {
	out := slices.Clone(s.wasted)
	for _, st := range s.Steps {
		if st.G != nil {
			out = append(out, st.From...)
		}
	}
	return out
}

// story tells every event that counts.
func (s *State) story() []Line {
	out := make([]Line, 0, len(s.Events))
	for _, e := range s.Events {
		if text := s.words(e); text != "" {
			out = append(out, Line{s.when[e.ID], e.By, text, e.ID})
		}
	}
	return out
}

// itemWords are the things that were read, the first sentence of each.
func (s *State) itemWords(ids []string) string {
	var out []string
	for _, st := range s.Steps {
		for _, item := range st.Read {
			if slices.Contains(ids, item.ID) {
				first, _, _ := strings.Cut(item.Text, ". ")
				out = append(out, lowerFirst(first))
			}
		}
	}
	return strings.Join(out, "; ")
}

// choiceWords says which way on was taken.
func (s *State) choiceWords(id string) string {
	what, step, _ := strings.Cut(id, ".")
	name := step
	if st := s.Step(step); st != nil && st.Weigh != nil {
		name = lowerFirst(st.Weigh.Name)
	} else if st != nil {
		name = "the " + st.Vessel
	}
	switch what {
	case "weigh_again":
		return "weigh " + name + " again"
	case "keep":
		return "leave " + name + " as it is"
	case "lye_again":
		return "make the lye again"
	case "more_lye":
		return "more lye"
	case "more_fat":
		return "more fat"
	case "stop":
		return "give it up"
	}
	return id
}

// words says what an event did.
func (s *State) words(e Event) string {
	switch a := e.Do.(type) {
	case Began:
		return "begun"
	case Acknowledged:
		return "read: " + s.itemWords(a.What)
	case Tared:
		return fmt.Sprintf("empty %s %s g", vesselName(a.Vessel), number(a.G, 1))
	case Weighed:
		st := s.Step(a.Step)
		if st == nil {
			return a.Step + " weighed"
		}
		if a.GrossG != nil {
			return fmt.Sprintf("%s: %s reads %s g", st.Weigh.Name, vesselName(st.Vessel), number(*a.GrossG, 2))
		}
		return fmt.Sprintf("%s %s g", st.Weigh.Name, number(*a.G, 2))
	case ReadBack:
		return fmt.Sprintf("read a second time: %s g", number(a.G, 2))
	case Gross:
		return fmt.Sprintf("the whole %s %s g", vesselName(a.Vessel), number(a.G, 1))
	case Stamped:
		if a.Step == "temperatures" {
			return withText(s.meetWords(s.when[e.ID]), a.Text)
		}
		return withText(s.stampWords(a.Step), a.Text)
	case Reading:
		return fmt.Sprintf("%s %s °C", a.Of, number(a.C, 1))
	case Rested:
		return RestWords(a)
	case Cut:
		return withText(fmt.Sprintf("cut into %d bars, %d set aside", a.Bars, a.Aside), a.Reason)
	case Chose:
		return "chose: " + s.choiceWords(a.Choice)
	case Triaged:
		remedy, _ := a.leaf()
		return fmt.Sprintf("%s: %s", remedy.What, remedy.Do)
	case Handled:
		return "done"
	}
	return s.wordsOfHolds(e)
}

func (s *State) wordsOfHolds(e Event) string {
	switch a := e.Do.(type) {
	case Pictured:
		return withText("a photo", a.Text)
	case Noted:
		return a.Text
	case Corrected:
		for _, c := range s.Corrected {
			if c.Of == a.Of && c.When.Equal(s.when[e.ID]) {
				return fmt.Sprintf("corrected: %s, not %s. %s", c.Wants, c.Was, a.Why)
			}
		}
	case Held:
		return "on hold: " + a.Why
	case WentOn:
		return "went on from the hold: " + a.Why
	case Stopped:
		return "given up: " + a.Why
	case Released:
		return fmt.Sprintf("released: %s, %s: %s", a.Laboratory, a.Reference, a.Result)
	case Tested, Coded, Scored:
		return wordsOfTests(a)
	case Emergency:
		return EmergencyCard(a.What).Title + ": " + EmergencyCard(a.What).First
	}
	return rackWords(e.Do) // undo and clocks tell nothing of the soap
}

// markWords are what a stamp says where its step's own words would say more.
var markWords = map[string]string{
	"trace": "marks stay", "combine": "lye and fats together", "pour": "poured",
	"stable": "it holds together", "false_trace": "a false trace", "riced": "grains in it", "thick": "too thick to pour",
	"smooth": "top is smooth", "film": "film on the top", "covered": "covered", "uncovered": "uncovered", "fan": "a fan on it", "heat_off": "heat off",
	"camera": "a film begins", "camera_off": "the film ends",
}

func (s *State) stampWords(step string) string {
	if words, ok := markWords[step]; ok {
		return words
	}
	if st := s.Step(step); st != nil {
		return lowerFirst(st.Do)
	}
	return step
}

// meetWords says where lye and fats were to land when it was stamped, and where
// they should have.
func (s *State) meetWords(at time.Time) string {
	text := fmt.Sprintf("both read: together at %s °C", number(s.LandsAt(at), 0))
	if c := s.Sheet.Plan.Combine.LandingC; c != nil {
		text += fmt.Sprintf(", planned %s °C", number(*c, 0))
	}
	return text
}

func withText(a, b string) string {
	if b == "" {
		return a
	}
	return a + ": " + b
}

// RestWords says how it was put to rest.
func RestWords(a Rested) string {
	text := "rests in the " + a.Place
	if a.C != nil {
		text += " at " + number(*a.C, 1) + " °C"
	}
	if a.Cover != "" {
		text += ", cover: " + a.Cover
	}
	if a.Fan {
		text += ", with a fan"
	}
	return text
}
