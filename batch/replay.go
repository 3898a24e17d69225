package batch

import (
	"fmt"
	"slices"
	"strings"
	"time"
)

// Replay folds events into the state of a batch. Their order in the slice does
// not matter, nor that some come twice. The error is a start that makes no
// sheet; events never fail: one that cannot count is told in Uncounted.
func Replay(start Start, events []Event) (*State, error) {
	sh, err := New(start)
	if err != nil {
		return nil, err
	}
	return sh.Replay(events), nil
}

// Replay is Replay for a sheet that was made already.
func (sh *Sheet) Replay(events []Event) *State {
	m := merge(events)
	s := &State{Sheet: sh, RoomC: sh.Start.RoomC, Vessels: map[string]float64{}, Marks: map[string]Mark{}, Jumps: m.jumps, Gaps: m.gaps, Ahead: m.ahead,
		when: map[string]time.Time{}}
	for _, step := range sh.Steps {
		st := StepState{Step: step}
		if step.Weigh != nil {
			target := *step.Weigh
			st.Weigh = &target
		}
		if step.Type == Read {
			st.ReadItems = map[string]Mark{}
		}
		s.Steps = append(s.Steps, st)
	}
	counted, left := m.counted()
	s.Uncounted = left
	s.judge(told{})
	for _, e := range counted {
		s.when[e.ID] = e.when
		if why := s.apply(e); why != "" {
			s.Uncounted = append(s.Uncounted, Uncounted{e.Event, why})
			continue
		}
		s.Events = append(s.Events, e.Event)
		s.judge(e)
	}
	return s
}

// When is the instant an event counts from: its clock, put right.
func (s *State) When(event string) time.Time { return s.when[event] }

// apply folds one event in, or says why it does not count.
func (s *State) apply(e told) string {
	mark := Mark{At: e.when, By: e.By}
	switch a := e.Do.(type) {
	case Began:
		s.begin(a, e)
	case Acknowledged:
		return s.acknowledge(a, mark)
	case Tared:
		return s.tare(a, e)
	case Weighed:
		return s.weigh(a, e)
	case ReadBack:
		return s.readBack(a, e)
	case Gross:
		return s.gross(a, e)
	case Stamped:
		return s.stamp(a, e)
	case Reading:
		if a.Of == "room" {
			s.RoomC = a.C
		}
		s.Readings = append(s.Readings, Measured{a.Of, a.C, e.when, e.By, e.ID})
	case Rested:
		s.Rests = append(s.Rests, RestState{a, e.when, e.By})
	case Cut:
		s.Cut = &CutState{a, e.when, e.By}
		s.finish("cut", e, a.Reason)
	case Chose:
		return s.choose(a, e)
	case Triaged:
		remedy, _ := a.leaf()
		s.Troubles = append(s.Troubles, TroubleState{a, remedy, e.when, e.By, e.ID, nil})
	case Handled:
		return s.handled(a, mark)
	case Noted:
		s.Notes = append(s.Notes, Note{e.when, e.By, a.Text})
	case Pictured:
		s.Photos = append(s.Photos, PhotoState{a, e.when, e.By})
	case Corrected:
		return s.correct(a, e)
	case Held:
		s.Hold, s.byHand = &Standing{e.when, e.By, a.Why}, true
	case WentOn:
		return s.wentOn(a, e)
	case Stopped:
		s.Stopped = &Standing{e.when, e.By, a.Why}
	case Released:
		return s.release(a, e)
	case Racked, BarWeighed, CameOut, ReadyBy, RackTeaches:
		return s.rack(a, e)
	case Tested:
		return s.tested(a, e)
	case Coded:
		return s.coded(a, e)
	case Scored:
		return s.scored(a, e)
	case Emergency:
		s.Rinses = append(s.Rinses, Rinse{a.What, e.when, e.By})
	}
	return "" // an undo and a clock did their work before
}

func (s *State) begin(a Began, e told) {
	if s.BegunAt.IsZero() {
		s.BegunAt = e.when
	}
	if a.RoomC != nil {
		s.RoomC = *a.RoomC
		s.Readings = append(s.Readings, Measured{"room", *a.RoomC, e.when, e.By, e.ID})
	}
}

func (s *State) acknowledge(a Acknowledged, mark Mark) string {
	known := false
	for i := range s.Steps {
		st := &s.Steps[i]
		if st.Type != Read {
			continue
		}
		done := true
		for _, item := range st.Read {
			if slices.Contains(a.What, item.ID) {
				st.ReadItems[item.ID], known = mark, true
			}
			_, has := st.ReadItems[item.ID]
			done = done && has
		}
		if done && !st.Done {
			st.Done, st.At, st.By = true, mark.At, mark.By
		}
	}
	if !known {
		return "nothing on the sheet is called so"
	}
	return ""
}

func (s *State) tare(a Tared, e told) string {
	s.Vessels[a.Vessel] = a.G
	if st := s.Step("tare." + a.Vessel); st != nil {
		st.Done, st.At, st.By, st.Event = true, e.when, e.By, e.ID
		st.G = nil
	}
	return ""
}

// stamp marks a step, or one of the marks that are no steps.
func (s *State) stamp(a Stamped, e told) string {
	st := s.Step(a.Step)
	if st == nil && !slices.Contains(freeMarks, a.Step) {
		return "no step and no mark is called so"
	}
	if st != nil && st.Type == Weigh && st.G == nil {
		return "it was not weighed: a stamp is no weight"
	}
	if a.Step == "false_trace" {
		delete(s.Marks, "trace")
		if t := s.Step("trace"); t != nil {
			t.Done = false
		}
	}
	if _, again := s.Marks[a.Step]; !again || st == nil || !st.Done { // the first stamp of a step counts
		s.Marks[a.Step] = Mark{e.when, e.By, a.Text}
	}
	if st != nil && st.Type == Act {
		s.finish(a.Step, e, a.Text)
	}
	return ""
}

// freeMarks are what can be seen of a batter at any time.
var freeMarks = []string{"stable", "false_trace", "thick", "smooth", "film", "uncovered", "covered", "fan", "heat_off", "riced", "camera", "camera_off"}

func (s *State) finish(step string, e told, text string) {
	st := s.Step(step)
	if st == nil || st.Done {
		return
	}
	st.Done, st.At, st.By, st.Event, st.Text = true, e.when, e.By, e.ID, text
	if _, ok := s.Marks[step]; !ok {
		s.Marks[step] = Mark{e.when, e.By, text}
	}
	if step == "mix" || strings.HasSuffix(step, ".mix") {
		s.recheck("jug", step)
	}
}

// recheck opens the checks of a vessel that come after a step which was done
// anew.
func (s *State) recheck(vessel, step string) {
	after := false
	for i := range s.Steps {
		st := &s.Steps[i]
		if after && st.Type == Check && st.Vessel == vessel && st.GotG != nil {
			st.Done, st.GotG, st.Kept = false, nil, false
		}
		after = after || st.ID == step
	}
}

func (s *State) handled(a Handled, mark Mark) string {
	for i := range s.Troubles {
		if s.Troubles[i].Event == a.Of && s.Troubles[i].Done == nil {
			s.Troubles[i].Done = &mark
			return ""
		}
	}
	return "no trouble waits under that name"
}

func (s *State) wentOn(a WentOn, e told) string {
	if s.Hold == nil {
		return "there is no hold to go on from"
	}
	s.quarantine(e, a.Why)
	return ""
}

// quarantine lets a batch on hold go on, for ever under its mark.
func (s *State) quarantine(e told, why string) {
	if s.Quarantined == nil {
		s.Quarantined = &Standing{e.when, e.By, strings.TrimSuffix(s.Hold.Why, ".") + ". " + why}
	}
	s.Hold, s.byHand = nil, false
}

func (s *State) release(a Released, e told) string {
	if s.Quarantined == nil && s.Hold == nil {
		return "there is nothing to release"
	}
	if s.Cut == nil && s.Marks["pour"].At.IsZero() {
		return "a laboratory can only have tested soap that was made"
	}
	if s.Quarantined == nil {
		s.Quarantined = s.Hold
	}
	s.Released, s.Hold, s.byHand = &Release{a, e.when, e.By}, nil, false
	return ""
}

// correct puts an earlier event right.
func (s *State) correct(a Corrected, e told) string {
	was, wants := "", ""
	switch {
	case a.G != nil:
		was, wants = s.correctG(a, e.By)
	case a.C != nil:
		for i := range s.Readings {
			if r := &s.Readings[i]; r.Event == a.Of {
				was, wants = number(r.C, 1)+" °C", number(*a.C, 1)+" °C"
				r.C = *a.C
			}
		}
	case a.At != nil:
		was, wants = s.correctAt(a)
	}
	if was == "" {
		return "there is nothing of that kind to correct"
	}
	s.Corrected = append(s.Corrected, CorrectedState{a, e.when, e.By, was, wants})
	return ""
}

// correctG puts a weight right. Whoever does so stands behind the figure: a
// second reading of her own is none any more, as long as it can be read again.
func (s *State) correctG(a Corrected, by string) (was, wants string) {
	for i := range s.Steps {
		st := &s.Steps[i]
		if st.Event != a.Of || st.G == nil && st.GotG == nil {
			continue
		}
		if st.Type == Check {
			was = number(*st.GotG, 2) + " g"
			st.GotG = a.G
			return was, number(*a.G, 2) + " g"
		}
		was = number(*st.G, 2) + " g"
		if s.combined() {
			// Nobody can look again: of the two figures the worse one decides.
			st.JudgeG = worse(st, *a.G)
		}
		st.G, st.Reader = a.G, by
		if samePerson(st.SecondBy, by) && !s.isMixed(st.ID) {
			st.SecondG, st.SecondBy = nil, ""
		}
		fitLots(st.From, *a.G)
		return was, number(*a.G, 2) + " g"
	}
	return s.correctBar(a)
}

// fitLots makes lots give a corrected weight together: the last one, which ended
// the weighing, gives the difference, and what it has not the one before it.
func fitLots(from []Taken, g float64) {
	for _, t := range from {
		g -= t.G
	}
	for i := len(from) - 1; i >= 0; i-- {
		had := from[i].G
		from[i].G = max(0, had+g)
		g -= from[i].G - had
	}
}

// worse is the figure that leaves less superfat.
func worse(st *StepState, g float64) *float64 {
	old := *st.G
	if st.JudgeG != nil {
		old = *st.JudgeG
	}
	out := min(old, g)
	if st.Weigh.List == "alkali" {
		out = max(old, g)
	}
	return &out
}

func (s *State) correctAt(a Corrected) (was, wants string) {
	at := a.At.UTC()
	for i := range s.Steps {
		st := &s.Steps[i]
		if st.Event != a.Of {
			continue
		}
		was, wants = clockTime(st.At), clockTime(at)
		st.At = at
		if m, ok := s.Marks[st.ID]; ok {
			m.At = at
			s.Marks[st.ID] = m
		}
	}
	for i := range s.Readings {
		if r := &s.Readings[i]; r.Event == a.Of {
			was, wants = clockTime(r.At), clockTime(at)
			r.At = at
		}
	}
	if was == "" {
		return s.correctBarAt(a.Of, at)
	}
	return was, wants
}

func clockTime(t time.Time) string { return t.UTC().Format("15:04:05") }

func (s *State) combined() bool { _, ok := s.Marks["combine"]; return ok }

func (s *State) poured() bool { _, ok := s.Marks["pour"]; return ok }

// mixed is when what was weighed in the alkali's cup went into the jug.
func (s *State) mixed(step string) (time.Time, bool) {
	mix := "mix"
	if rest, ok := strings.CutPrefix(step, "more."); ok {
		round, _, _ := strings.Cut(rest, ".")
		mix = fmt.Sprintf("more.%s.mix", round)
	}
	m, ok := s.Marks[mix]
	return m.At, ok
}

func (s *State) isMixed(step string) bool { _, ok := s.mixed(step); return ok }
