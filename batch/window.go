package batch

import (
	"fmt"
	"strings"
	"time"
)

// Window is the time that the batter leaves, as a range, and what is still to
// be done in it. All instants derive from stamps.
type Window struct {
	Of       string    // "trace" before it, "pour" after it
	From     time.Time // the stamp it counts from
	Low      time.Time // it may end here at the earliest
	Typical  time.Time
	High     time.Time // and here at the latest
	Tasks    []Task
	Need     time.Duration // all of them together
	Left     time.Duration // to the likely end; negative when it has passed
	LeftLow  time.Duration
	LeftHigh time.Duration
	Drop     []string // steps to leave out, so that it can still be poured
	Urgency  Urgency
	Say      string
}

// Task is a step that must be done before the window closes.
type Task struct {
	Step string
	Do   string
	Need time.Duration
	By   time.Time // it must begin by then for everything after it to fit
	Drop bool
}

// window returns the countdown: to the trace from combining, then to where it
// no longer pours. Nil before and after.
func (s *State) window(now time.Time) *Window {
	if !s.combined() || s.poured() || s.Stopped != nil || s.Sheet.Recipe.Hot() {
		return nil
	}
	combined := s.Marks["combine"].At
	trace, traced := s.Marks["trace"]
	w := &Window{Of: "trace", From: combined}
	var span Seconds
	switch landing := s.landingC(); {
	case traced:
		w.Of, w.From = "pour", trace.At
		span = s.afterTrace(landing, trace.At.Sub(combined))
	default:
		r := s.Sheet.Plan.WindowAt(landing, s.Sheet.model).ToTrace
		span = Seconds{60 * r.Low, 60 * r.Typical, 60 * r.High}
	}
	at := func(sec float64) time.Time {
		return w.From.Add(time.Duration(sec * float64(time.Second)))
	}
	w.Low, w.Typical, w.High = at(span.Low), at(span.Typical), at(span.High)
	w.LeftLow, w.Left, w.LeftHigh = w.Low.Sub(now), w.Typical.Sub(now), w.High.Sub(now)
	if traced {
		s.planTasks(w, now)
	} else {
		if w.LeftHigh < 0 {
			w.Urgency, w.Say = Soon, fmt.Sprintf("Slower than forecast: %s since lye and fats met, %s at the most were expected. Read the batter's temperature", minutes(now.Sub(combined)), minutes(w.High.Sub(combined)))
			return w
		}
		w.Say = fmt.Sprintf("Blend in short bursts. Marks stay in about %s (%s to %s)", minutes(max(0, w.Left)), minutes(max(0, w.LeftLow)), minutes(max(0, w.LeftHigh)))
	}
	return w
}

// landingC is where the batter landed [°C].
func (s *State) landingC() float64 { return s.LandsAt(s.Marks["combine"].At) }

// LandsAt is where the batter lands when lye and fats meet at a time [°C]: as
// measured within two minutes of it, else from what lye and fats had, else as
// planned.
func (s *State) LandsAt(at time.Time) float64 {
	for _, r := range s.Readings {
		if d := r.At.Sub(at); r.Of == "batter" && d >= 0 && d <= 2*time.Minute {
			return r.C
		}
	}
	fats, okF := s.cooling("fats")
	lye, okL := s.cooling("lye")
	if okF && okL && len(s.last("fats", 1)) > 0 && len(s.last("lye", 1)) > 0 {
		f, _, _ := fats.AtC(at)
		l, _, _ := lye.AtC(at)
		return s.Sheet.Plan.LandingAt(f, l)
	}
	if c := s.Sheet.Plan.Combine.LandingC; c != nil {
		return *c
	}
	return 40
}

// afterTrace is the time from trace to unpourable: the maker's own where she
// knows it, else the model's for a batch that took so long to trace.
func (s *State) afterTrace(landingC float64, toTrace time.Duration) Seconds {
	if own := s.Sheet.Start.AfterTrace; own != nil {
		return *own
	}
	r := s.Sheet.Plan.AfterTrace(landingC, max(toTrace.Minutes(), 1.0/60), s.Sheet.model)
	return Seconds{60 * r.Low, 60 * r.Typical, 60 * r.High}
}

// planTasks fits what is left into the window. While the likely end leaves room
// for all, all is done; scents are left out first, then whatever else is not the
// pour.
func (s *State) planTasks(w *Window, now time.Time) {
	for _, st := range s.Steps {
		if !st.Done && st.NeedS > 0 && (st.Part == together || st.ID == "pour") {
			w.Tasks = append(w.Tasks, Task{Step: st.ID, Do: st.Do, Need: time.Duration(st.NeedS) * time.Second})
		}
	}
	sum := func() (d time.Duration) {
		for _, t := range w.Tasks {
			if !t.Drop {
				d += t.Need
			}
		}
		return d
	}
	for _, scents := range []bool{true, false} {
		for i := len(w.Tasks) - 1; i >= 0 && sum() > w.Left; i-- {
			t := &w.Tasks[i]
			if st := s.Step(t.Step); t.Step != "pour" && st.Scent == scents {
				t.Drop = true
			}
		}
	}
	for i := range w.Tasks {
		if w.Tasks[i].Drop {
			w.Drop = append(w.Drop, w.Tasks[i].Step)
		}
	}
	w.Need = sum()
	end := w.Typical
	for i := len(w.Tasks) - 1; i >= 0; i-- {
		if t := &w.Tasks[i]; !t.Drop {
			end = end.Add(-t.Need)
			t.By = end
		}
	}
	w.speak(now)
}

// speak says what is done now, by when the next must begin, and what is left
// out.
func (w *Window) speak(now time.Time) {
	var next []Task
	for _, t := range w.Tasks {
		if !t.Drop {
			next = append(next, t)
		}
	}
	if len(next) == 0 {
		w.Say = "Pour now"
		w.Urgency = ActNow
		return
	}
	spare := w.Left - w.Need
	w.Urgency = Soon
	if spare < 30*time.Second || w.LeftLow < w.Need {
		w.Urgency = ActNow
	}
	text := next[0].Do
	if next[0].Step == "pour" {
		text = "Pour now"
		if spare > time.Minute {
			text = fmt.Sprintf("Pour within %s", minutes(spare))
		}
	} else {
		text += " now"
	}
	for _, t := range next[1:] {
		if t.Step == "pour" {
			text += fmt.Sprintf(". Pour by %s", t.By.In(now.Location()).Format("15:04:05"))
		} else {
			text += fmt.Sprintf(". %s by %s", strings.SplitN(t.Do, ",", 2)[0], t.By.In(now.Location()).Format("15:04:05"))
		}
	}
	for _, t := range w.Tasks {
		if t.Drop {
			text += ". Leave out: " + lowerFirst(strings.SplitN(t.Do, ",", 2)[0])
		}
	}
	if w.Left < 0 {
		text += ". The likely end has passed"
	} else {
		text += fmt.Sprintf(". %s left (%s to %s)", minutes(w.Left), minutes(max(0, w.LeftLow)), minutes(max(0, w.LeftHigh)))
	}
	w.Say = text
}
