package web

import (
	"cmp"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"
)

// rackField is what a field of a form of the rack takes.
type rackField struct {
	name   string
	needed bool
	takes  func(v float64) bool // nil for words
	words  string               // what it takes, as makers say it
}

func between(low, high float64) func(float64) bool {
	return func(v float64) bool { return low <= v && v <= high }
}

func offOrBetween(low, high float64) func(float64) bool {
	return func(v float64) bool { return v == 0 || low <= v && v <= high }
}

func isBarNumber(v float64) bool { return slices.Contains([]float64{1, 2, 3, 4, 5, 6}, v) }

var (
	airC     = rackField{"n.c", false, between(-5, 50), "The air of a rack: −5 to 50\u202f°C."}
	airRH    = rackField{"n.rh_pct", false, between(5, 95), "Humidity is 5 to 95\u202f%; is the hygrometer alive?"}
	weeklyBy = rackField{"n.weekly_pct", false, offOrBetween(0.02, 10), "0.02 to 10\u202f% a week, or nothing: a bar creeps on by less for good."}
	goneBy   = rackField{"n.gone_pct", false, between(0, 99), "Up to 99\u202f%, or nothing."}
	leastBy  = rackField{"n.least_weeks", false, between(0, 520), "Weeks, or nothing."}
	barGrams = rackField{"n.g", true, isBarG, "Grams of one bar, up to 5\u202fkg."}
)

// rackForms are the forms of a batch's page on the rack, by the tap they make.
var rackForms = map[string][]rackField{
	"racked":      {{"s.place", true, nil, "Say where, like top of the rack."}, airC, airRH},
	"came_out":    {{"n.hours", false, between(0.1, 24*60), "Hours after the pour: a tenth to 1440, which is 60 days."}},
	"ready_by":    {weeklyBy, goneBy, leastBy},
	"bar_weighed": {{"n.bar", true, isBarNumber, "The number of a marked bar, 1 to 6."}, barGrams},
	"corrected":   {barGrams},
}

// rackSent is a form of the rack that was sent, and what is wrong with it.
type rackSent struct {
	values url.Values
	faults map[string]string // by field
	whole  string            // what is wrong with it as a whole
	ask    *slipAsk
}

// isOf reports whether it is that form: its kind, and what it is of where there
// are several of a kind.
func (s *rackSent) isOf(form string) bool {
	kind, of, several := strings.Cut(form, " ")
	return s != nil && s.values.Get("kind") == kind && (!several || s.values.Get("s.of") == of)
}

func (s *rackSent) isFine() bool { return len(s.faults) == 0 && s.whole == "" && s.ask == nil }

func (s *rackSent) wrong(field, words string) {
	if s.faults[field] == "" {
		s.faults[field] = words
	}
}

// Says is what stands on top of the page.
func (s *rackSent) Says() string {
	switch n := len(s.faults); {
	case s.whole != "":
		return s.whole
	case n > 1:
		return fmt.Sprintf("%d fields need another look.", n)
	case n == 1:
		for _, words := range s.faults {
			return words
		}
	}
	return s.ask.Text + " Say at its field if it is so."
}

// check reads the fields.
func (s *rackSent) check(fields []rackField) {
	for _, f := range fields {
		text := strings.TrimSpace(s.values.Get(f.name))
		switch {
		case text == "" && !f.needed:
		case text == "", f.takes == nil && len([]rune(text)) > 200:
			s.wrong(f.name, f.words)
		case f.takes != nil:
			if v, err := numberTyped(text); err != nil || !f.takes(v) {
				s.wrong(f.name, f.words)
			}
		}
	}
}

// rackInput is a field as the page shows it.
type rackInput struct {
	ID, Label, Name, Value, Fault string
	Needed, Asked                 bool
}

// Field is a field of a form: as it was sent when that failed, else as it stands.
func (p *batchRackPage) Field(form, name, label, stands string) rackInput {
	in := rackInput{ID: strings.NewReplacer(" ", "-", ".", "-").Replace(form + "-" + name), Label: label, Name: name, Value: stands}
	kind, _, _ := strings.Cut(form, " ")
	for _, f := range rackForms[kind] {
		in.Needed = in.Needed || f.name == name && f.needed
	}
	if p.Sent.isOf(form) {
		in.Value, in.Fault = p.Sent.values.Get(name), p.Sent.faults[name]
		in.Asked = name == barGrams.name && p.Sent.ask != nil
	}
	return in
}

// Asked is the question about a form's weight, nil when there is none.
func (p *batchRackPage) Asked(form string) *slipAsk {
	if !p.Sent.isOf(form) {
		return nil
	}
	return p.Sent.ask
}

// Picked reports the choice of a list of a form that failed.
func (p *batchRackPage) Picked(form, name, value string) bool {
	return p.Sent.isOf(form) && p.Sent.values.Get(name) == value
}

// stampRack takes what was typed on the batch's rack page. What cannot be taken
// is told there, with everything still typed.
func (a *App) stampRack(w http.ResponseWriter, r *http.Request) error {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	sent, err := a.readRackForm(r, m)
	if err == nil && sent.isFine() {
		err = a.stampForm(r, m.Batch, sent.values)
	}
	var tap *tapFault
	if errors.As(err, &tap) {
		sent.whole, err = sentences(tap.text, tap.advice), nil
	}
	if err != nil {
		return err
	}
	if !sent.isFine() {
		p, err := a.rackOf(r, sent)
		if err != nil {
			return err
		}
		return a.show(w, r, http.StatusUnprocessableEntity, "rackbatch", "rack", m.Code+" on the rack", p)
	}
	http.Redirect(w, r, "/batches/"+m.ID+"/rack", http.StatusSeeOther)
	return nil
}

// sentences joins what is wrong and what to do, each with one full stop.
func sentences(parts ...string) string {
	var out []string
	for _, p := range parts {
		if p = strings.TrimRight(strings.TrimSpace(p), "."); p != "" {
			out = append(out, upperFirst(p)+".")
		}
	}
	return strings.Join(out, " ")
}

// readRackForm reads a form and finds what is wrong with it. The form that is
// returned is there in any case.
func (a *App) readRackForm(r *http.Request, m making) (*rackSent, error) {
	s := &rackSent{values: url.Values{}, faults: map[string]string{}}
	for k, v := range r.PostForm {
		s.values[k] = v
	}
	kind := s.values.Get("kind")
	fields, known := rackForms[kind]
	if !known {
		return s, &tapFault{"That is stamped at the bench.", "Open the batch there."}
	}
	if kind == "ready_by" && s.values.Get("as") == "workshop" {
		s.values = url.Values{"kind": {kind}, "id": s.values["id"]}
		return s, nil
	}
	s.check(fields)
	switch kind {
	case "came_out":
		if m.State.Marks["pour"].At.IsZero() && s.values.Get("n.hours") == "" {
			s.wrong("n.hours", "Nobody stamped the pour, so say how many hours it stood.")
		}
	case "ready_by":
		if len(s.faults) == 0 && strings.Trim(s.values.Get("n.weekly_pct")+s.values.Get("n.gone_pct")+s.values.Get("n.least_weeks"), " 0.,") == "" {
			s.wrong("n.weekly_pct", "No rule says when it is dry: fill in one at least.")
		}
	case "bar_weighed", "corrected":
		return s, a.readWeight(r, m, s)
	}
	return s, nil
}

// readWeight reads the rest of a weight of a bar, and asks where it looks like a
// slip.
func (a *App) readWeight(r *http.Request, m making, s *rackSent) error {
	if m.State.Cut == nil {
		return &tapFault{"There are no bars before the cut.", "Cut the batch at the bench first."}
	}
	bar, at := s.weighing(m, a.now())
	if bar > m.State.Cut.Bars {
		s.wrong("n.bar", fmt.Sprintf("%d bars were cut.", m.State.Cut.Bars))
	}
	if at.Before(m.State.Cut.At) {
		s.wrong("on", "It was cut on "+m.State.Cut.At.Format("2 January 2006")+", and not weighed before.")
	}
	text := strings.TrimSpace(s.values.Get("n.g"))
	if len(s.faults) > 0 || s.values.Get("so") == text {
		return nil
	}
	l, err := a.rackLearning(r.Context())
	if err != nil {
		return err
	}
	d := l.dry(m)
	g, _ := numberTyped(text) // it was read before
	if plausible, known := d.plausible(bar, d.day(at)); known {
		if s.ask = askAbout(g, plausible); s.ask != nil {
			s.ask.Name, s.ask.Value = "so", text
		}
	}
	return nil
}

// weighing is of which bar the weight is and when it was taken; a day other than
// today is written into the form as the tap has it.
func (s *rackSent) weighing(m making, now time.Time) (bar int, at time.Time) {
	for _, w := range m.State.Series() {
		if s.values.Get("kind") == "corrected" && w.Event == s.values.Get("s.of") {
			return w.Bar, w.At
		}
	}
	v, _ := numberTyped(s.values.Get("n.bar")) // 0 is told already
	on := cmp.Or(s.values.Get("on"), now.Format(time.DateOnly))
	if on == now.Format(time.DateOnly) {
		return int(v), now
	}
	at, err := time.ParseInLocation(time.DateOnly, on, now.Location())
	if err != nil || at.After(now) {
		s.wrong("on", "A day like 2026-11-29, today at the latest.")
		return int(v), now
	}
	at = at.Add(12 * time.Hour)
	if cut := m.State.Cut.At; sameDay(cut, at) && at.Before(cut) {
		at = cut
	}
	s.values.Set("s.at", at.Format(time.RFC3339))
	return int(v), at
}
