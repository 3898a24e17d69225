package batch

import (
	"fmt"
	"math"
	"time"

	"barwright/finding"
	"barwright/source"
)

// Urgency is how soon something must be done.
type Urgency string

// The urgencies.
const (
	ActNow Urgency = "act now"
	Soon   Urgency = "soon"
	AtEase Urgency = "" // nothing presses
)

// Moment is what a batch says at an instant.
type Moment struct {
	Now       time.Time
	Urgency   Urgency
	Say       string     // what to do now, in one sentence
	Step      *StepState // the job, nil when all is done
	Window    *Window    // while the batter can still be poured
	Lye, Fats *Warmth
	Batter    *Warmth  // as measured last
	LandsC    *float64 // where fats and lye would land now
	Meeting   *Meeting
	Findings  []finding.Finding // danger first, those of the instant among them
	Timers    []Timer
	Undo      string        // id of the event that can be taken back, "" when none
	UndoLeft  time.Duration // for so long
	Corrosive bool          // gloves for everything that touches it
}

// Warmth is a temperature, measured or reckoned on.
type Warmth struct {
	C, LowC, HighC  float64
	Measured        bool // just now, within a minute
	Fitted          bool // the rate comes from two readings of this batch
	TargetC         *float64
	At, First, Last *time.Time // it reaches the target, at the earliest and at the latest; nil when it never does by itself
}

// Timer is a time that runs.
type Timer struct {
	ID, Text string
	From     time.Time
	Until    time.Time
	Least    bool // it may take longer
}

// Left returns what is left of a timer, negative when it is over.
func (t Timer) Left(now time.Time) time.Duration { return t.Until.Sub(now) }

// Hours that batter and fresh soap stay corrosive after the cut. Common
// practice, no source.
const corrosiveFor = 48 * time.Hour

// rinseFor is how long lye is rinsed off at least. Source: safety_sheets
// (recalled).
const rinseFor = 15 * time.Minute

// At returns what the batch says at an instant.
func (s *State) At(now time.Time) Moment {
	m := Moment{Now: now, Step: s.Current(), Findings: s.Findings, Corrosive: s.isCorrosive(now)}
	m.Lye, m.Fats, m.Batter = s.warmth("lye", now), s.warmth("fats", now), s.lastBatter(now)
	if !s.combined() && m.Lye != nil && m.Fats != nil {
		c := s.Sheet.Plan.LandingAt(m.Fats.C, m.Lye.C)
		m.LandsC = &c
		if m.Lye.At != nil && m.Fats.At != nil {
			meet := Meet(*m.Lye.At, *m.Fats.At)
			m.Meeting = &meet
		}
	}
	m.Window = s.window(now)
	m.Timers = s.timers(now)
	m.Undo, m.UndoLeft = s.undoable(now)
	s.alarms(&m)
	finding.Sort(m.Findings)
	s.say(&m)
	return m
}

// isCorrosive reports batter and soap that burns: from the first lye until cut
// and 48 hours.
func (s *State) isCorrosive(now time.Time) bool {
	if _, made := s.Marks["mix"]; !made && !s.combined() {
		return false
	}
	return s.Cut == nil || now.Before(s.Cut.At.Add(corrosiveFor))
}

// last returns the readings of one thing, the newest first, at most n.
func (s *State) last(of string, n int) (out []Measured) {
	for i := len(s.Readings) - 1; i >= 0 && len(out) < n; i-- {
		if s.Readings[i].Of == of {
			out = append(out, s.Readings[i])
		}
	}
	return out
}

// cooling is the law of lye or fats by what was measured of it; false before
// there is anything to go by. The rate is fitted to the first two readings of
// the day, then follows from the newest on.
func (s *State) cooling(of string) (law Cooling, ok bool) {
	var all []Measured
	for _, r := range s.Readings {
		if r.Of == of {
			all = append(all, r)
		}
	}
	prior := s.Sheet.lyeLaw
	start := s.Marks["mix"]
	fromC := s.Sheet.freshC()
	if of == "fats" {
		prior, start, fromC = s.Sheet.fatsLaw, s.Marks["melt"], s.Sheet.meltedC()
	}
	switch {
	case len(all) == 0 && start.At.IsZero():
		return law, false
	case len(all) == 0:
		return prior(fromC, s.RoomC, start.At), true
	}
	law = prior(all[0].C, s.RoomC, all[0].At)
	if len(all) > 1 {
		law = law.Refit(all[0].At, all[0].C, all[1].At, all[1].C)
		newest := all[len(all)-1]
		law.From, law.FromC = newest.At, newest.C
	}
	return law, true
}

func (s *State) target(of string) *float64 {
	m := s.Sheet.Recipe.Combine
	if m == nil {
		return nil
	}
	c := m.LyeTemperature.C()
	if of == "fats" {
		c = m.FatsTemperature.C()
	}
	return &c
}

// warmth reckons the lye's or the fats' temperature at an instant; nil once
// they are together, or before anything is known.
func (s *State) warmth(of string, now time.Time) *Warmth {
	law, ok := s.cooling(of)
	if !ok || s.combined() {
		return nil
	}
	w := &Warmth{Fitted: law.Fitted, TargetC: s.target(of)}
	w.C, w.LowC, w.HighC = law.AtC(now)
	if r := s.last(of, 1); len(r) > 0 && now.Sub(r[0].At) < time.Minute {
		w.Measured = true
	}
	if w.TargetC != nil {
		if at, first, last, ok := law.Reaches(*w.TargetC); ok {
			w.At, w.First, w.Last = &at, &first, &last
		}
	}
	return w
}

func (s *State) lastBatter(now time.Time) *Warmth {
	r := s.last("batter", 1)
	if len(r) == 0 {
		return nil
	}
	return &Warmth{C: r[0].C, LowC: r[0].C - readingErrorC/2, HighC: r[0].C + readingErrorC/2, Measured: now.Sub(r[0].At) < time.Minute}
}

// Expected is the temperature that a stepper starts from: what is reckoned for
// the instant or was read last, else how warm the batter landed, else the plan's.
func (s *State) Expected(of string, now time.Time) float64 {
	if w := s.warmth(of, now); w != nil && (of == "lye" || of == "fats") { // batter, core and room cool by no law of these
		return math.Round(w.C)
	}
	if r := s.last(of, 1); len(r) > 0 {
		return math.Round(r[0].C)
	}
	met, together := s.Marks["combine"]
	switch t, as := s.target(of), s.Poured(); {
	case of == "room":
		return math.Round(s.RoomC)
	case of == "core" && as.TC != nil:
		return math.Round(*as.TC)
	case (of == "batter" || of == "core") && together:
		return math.Round(s.LandsAt(met.At))
	case (of == "lye" || of == "fats") && t != nil:
		return math.Round(*t)
	case s.Sheet.Plan.Combine.LandingC != nil:
		return math.Round(*s.Sheet.Plan.Combine.LandingC)
	}
	return 40
}

// soonK is how far over the clear point fats are warned of [K].
const soonK = 2

// alarms adds what only the instant shows: fats on the way to their cloud
// point, a landing below it, a core that runs away.
func (s *State) alarms(m *Moment) {
	c := s.Sheet.Plan.Combine
	add := func(f finding.Finding, u Urgency) {
		f.Sources = []string{}
		m.Findings = append(m.Findings[:len(m.Findings):len(m.Findings)], f)
		if m.Urgency == AtEase || u == ActNow {
			m.Urgency = u
		}
	}
	if c.ClearC != nil && m.Fats != nil && m.Fats.C < *c.ClearC+soonK {
		f := finding.Finding{ID: "fats_cooling", Severity: finding.Caution, Grade: c.Grade, Title: fmt.Sprintf("Fats at %s °C, clear down to %s °C", number(m.Fats.C, 0), number(*c.ClearC, 0)),
			Because: fmt.Sprintf("%s falls out below %s °C (%s to %s)", c.CloudOf, number(c.CloudPoint.Typical, 0), number(c.CloudPoint.Low, 0), number(c.CloudPoint.High, 0)), Fix: "Warm them again"}
		u := Soon
		if m.Fats.C < *c.ClearC {
			u = ActNow
		}
		add(f, u)
	}
	if c.CloudPoint != nil && m.LandsC != nil && *m.LandsC < *c.ClearC {
		word := "may"
		if *m.LandsC < c.CloudPoint.Low {
			word = "will"
		}
		add(finding.Finding{ID: word + "_freeze", Severity: finding.Caution, Grade: c.Grade, Title: fmt.Sprintf("Lands at %s °C: the wax %s freeze before it traces", number(*m.LandsC, 0), word),
			Because: fmt.Sprintf("Clear above %s °C", number(*c.ClearC, 0)), Fix: "Warm the fats, or wait with cooling the lye"}, Soon)
	}
	s.alarmBatter(m, add)
	s.alarmCore(m, add)
}

// alarmBatter warns of batter below its cloud point: thickening is freezing.
func (s *State) alarmBatter(m *Moment, add func(finding.Finding, Urgency)) {
	c := s.Sheet.Plan.Combine
	if c.ClearC == nil || m.Batter == nil || s.poured() || m.Batter.C >= *c.ClearC {
		return
	}
	add(finding.Finding{ID: "false_trace", Severity: finding.Caution, Grade: c.Grade, Title: fmt.Sprintf("Batter at %s °C: what thickens may be freezing, not reaction", number(m.Batter.C, 0)),
		Because: fmt.Sprintf("%s is clear above %s °C", c.CloudOf, number(*c.ClearC, 0)), Fix: "Warm it to 4 to 8 °C over the cloud point and wait until it is smooth"}, ActNow)
}

// Limits of a core: the peak a bar bears, and how fast it may rise. Common
// practice, no source.
const (
	hotCoreC   = 85.0
	fastCoreC  = 60.0
	fastKAMin  = 0.5
	coreReadIn = 6 * time.Hour
)

func (s *State) alarmCore(m *Moment, add func(finding.Finding, Urgency)) {
	r := s.last("core", 2)
	if len(r) == 0 || m.Now.Sub(r[0].At) > coreReadIn {
		return
	}
	if r[0].C >= hotCoreC {
		add(finding.Finding{ID: "overheating", Severity: finding.Caution, Grade: source.Practice, Title: fmt.Sprintf("Core at %s °C", number(r[0].C, 0)),
			Because: "Over 85 °C it tunnels and cracks", Fix: "Uncover it, cold surface, fan, tray under it; no water"}, ActNow)
		return
	}
	if len(r) == 2 && r[0].C >= fastCoreC {
		if minutes := r[0].At.Sub(r[1].At).Minutes(); minutes > 0 && (r[0].C-r[1].C)/minutes > fastKAMin {
			add(finding.Finding{ID: "overheating", Severity: finding.Caution, Grade: source.Practice, Title: fmt.Sprintf("Core at %s °C and rising %s °C a minute", number(r[0].C, 0), number((r[0].C-r[1].C)/minutes, 1)),
				Because: "Faster than half a degree a minute above 60 °C it runs away", Fix: "Uncover it, fan on it, tray under it"}, ActNow)
		}
	}
}

// timers lists what runs.
func (s *State) timers(now time.Time) (out []Timer) {
	for _, r := range s.Rinses {
		if EmergencyCard(r.What).RinseMin > 0 && now.Before(r.At.Add(4*rinseFor)) {
			out = append(out, Timer{ID: "rinse", Text: EmergencyCard(r.What).Title + ": rinse on", From: r.At, Until: r.At.Add(rinseFor), Least: true})
		}
	}
	if s.Cut != nil && now.Before(s.Cut.At.Add(corrosiveFor)) {
		out = append(out, Timer{ID: "gloves", Text: "Gloves on for the bars", From: s.Cut.At, Until: s.Cut.At.Add(corrosiveFor)})
	}
	at := s.Marks["pour"].At
	for i, r := range s.Sheet.Recipe.Rest {
		if at.IsZero() || r.For == nil || s.Cut != nil {
			break
		}
		until := at.Add(time.Duration(r.For.Seconds() * float64(time.Second)))
		out = append(out, Timer{ID: fmt.Sprintf("rest.%d", i), Text: "Rest: " + restWords(r), From: at, Until: until})
		at = until
	}
	return out
}

// undoable is the last event that can be taken back.
func (s *State) undoable(now time.Time) (id string, left time.Duration) {
	for i := len(s.Events) - 1; i >= 0; i-- {
		e := s.Events[i]
		switch e.Do.(type) {
		case Undone, Clock:
			continue
		}
		if left = UndoFor - now.Sub(s.when[e.ID]); left >= 0 && left <= UndoFor {
			return e.ID, left
		}
		return "", 0
	}
	return "", 0
}

// say puts the one sentence together.
func (s *State) say(m *Moment) {
	switch {
	case s.Stopped != nil:
		m.Say = "This batch was given up: " + s.Stopped.Why
	case s.Hold != nil:
		m.Urgency, m.Say = ActNow, "On hold. "+s.Hold.Why
	case m.Window != nil:
		m.Urgency, m.Say = m.Window.Urgency, m.Window.Say
	case m.Step != nil && m.Step.Weigh != nil:
		m.Say = fmt.Sprintf("%s: %s", m.Step.Weigh.Name, m.Step.Weigh.Scale.Show(m.Step.Weigh.G))
	case m.Step != nil:
		m.Say = m.Step.Do
	}
}

// Away says what passed while nobody looked: "you were away 4:10; fats are now
// about 41 °C". It is "" for less than half a minute.
func (s *State) Away(since, now time.Time) string {
	away := now.Sub(since)
	if away < 30*time.Second {
		return ""
	}
	text := "you were away " + minutes(away)
	m := s.At(now)
	if m.Fats != nil {
		text += fmt.Sprintf("; fats are now about %s °C", number(m.Fats.C, 0))
	}
	if m.Lye != nil {
		text += fmt.Sprintf("; lye about %s °C", number(m.Lye.C, 0))
	}
	if m.Window != nil {
		text += "; " + lowerFirst(m.Window.Say)
	}
	return text
}

// minutes prints a span as 4:10, or 2:04:10 from an hour on.
func minutes(d time.Duration) string {
	sign := ""
	if d < 0 {
		sign, d = "\u2212", -d
	}
	s := int(d / time.Second)
	if s >= 3600 {
		return fmt.Sprintf("%s%d:%02d:%02d", sign, s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%s%d:%02d", sign, s/60, s%60)
}
