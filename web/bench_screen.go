package web

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"barwright/batch"
)

// screen is one job: a number, a done area, the next step small.
type screen struct {
	ID      string // of the screen
	Step    string // of the run sheet, "" for none
	Item    string // of a step that is read
	Part    string // of the work
	Kind    string // of the event that does it
	Place   string // "step 6 of 17 · weigh"
	Title   string
	Name    string // of what is weighed
	Lots    bool   // and another lot can be named
	Also    *also  // what else the second tool does here
	Number  string
	Unit    string
	Should  string // what a control weighing should read
	Fine    string
	ReadsIn string // the unit of that scale
	Reads   string // what the scale shows with the vessel, at the end
	Weighs  bool
	Say     string
	Warn    []string
	Next    string
	Button  string
	Early   string // what the button says before the count has run out
	Fields  []field
	Step1   *stepper // the number can be changed
	Always  bool     // and its buttons are there at once
	Count   *count
	FirstBy string // who gave the first of two readings, which another person repeats
	Instead *also  // what had better be done than the button
	Ways    []batch.Choice
	GoOn    bool // a hold can be gone on from, quarantined
	Tone    string
	Shown   bool
	Done    bool
}

// also is a tool of a screen that opens a panel of its own.
type also struct{ Panel, Words string }

// field is what a form sends besides its button.
type field struct{ Name, Value string }

// stepper changes a number by buttons as large as a knuckle.
type stepper struct {
	Field, Value, Unit string
	By                 []string // how much its buttons change it
}

// count is a time that runs: to an instant, or since one.
type count struct {
	ToMS, LowMS, HighMS int64
	SinceMS             int64
	After               string    // or so long after this step was stamped
	Span                []float64 // [s] low, typical, high
	Text                string    // now
	Range               string
	Over                bool // it has run out
}

var partWords = map[string]string{"ready": "before you start", "lye": "lye", "fats": "fats", "cups": "cups", "together": "together", "mould": "mould", "rest": "rest"}

func nextWords(s *batch.State, st *batch.StepState) string {
	if st.Weigh != nil {
		return lowerFirst(st.Weigh.Name) + ", " + st.Weigh.Scale.Show(st.Weigh.G)
	}
	return lowerFirst(st.Do)
}

// screensOf are the screens of one step.
func (p *benchPage) screensOf(st *batch.StepState, tares map[string]float64) []*screen {
	switch st.Type {
	case batch.Read:
		return p.readScreens(st)
	case batch.Tare:
		return []*screen{p.tareScreen(st, tares)}
	case batch.Weigh:
		return p.weighScreens(st)
	case batch.Check:
		return []*screen{p.checkScreen(st)}
	}
	switch {
	case st.ID == "temperatures":
		return p.temperatureScreens(st)
	case st.ID == "cut":
		return []*screen{p.cutScreen(st)}
	}
	return []*screen{p.actScreen(st)}
}

// mostTitle is the longest text that is read as one heading; of a longer one the
// first sentence is.
const mostTitle = 140

// readScreens is a screen for each thing to acknowledge.
func (p *benchPage) readScreens(st *batch.StepState) (out []*screen) {
	for i, item := range st.Read {
		_, read := st.ReadItems[item.ID]
		title, because := item.Text, ""
		if first, rest, ok := strings.Cut(item.Text, ". "); ok && len(item.Text) > mostTitle {
			title, because = first, rest
		}
		x := &screen{ID: "read." + item.ID, Item: item.ID, Kind: "acknowledged", Title: title, Say: because, Button: "Read, and it is so", Fields: []field{{"l.what", item.ID}}, Done: read, Tone: "read"}
		if i+1 < len(st.Read) {
			x.Next = fmt.Sprintf("%d more to read", len(st.Read)-i-1)
		}
		out = append(out, x)
	}
	return out
}

// actScreen is a step that is stamped.
func (p *benchPage) actScreen(st *batch.StepState) *screen {
	x := &screen{ID: st.ID, Kind: "stamped", Title: st.Do, Button: cmp.Or(buttonWords[st.ID], "Done"), Fields: []field{{"s.step", st.ID}}}
	w := p.Moment.Window
	switch {
	case st.ID == "mix":
		if c := p.State.Sheet.Plan.Lye.PeakC; c != nil {
			x.Number, x.Unit, x.Fine = bare(*c, 0), "°C", "is how hot it can get"
			st.Warn = slices.DeleteFunc(slices.Clone(st.Warn), func(w string) bool { return strings.HasPrefix(w, "It can reach") })
		}
	case st.ID == "trace" || st.NeedS > 0:
		x.Count = p.countOf(st)
		if w != nil {
			x.Say = w.Say
		}
	case st.Part == "rest":
		x.Count, x.Say, x.Also = p.restCount(st), p.restWords(), &also{"rest", "Other rest"}
		if x.Count != nil {
			x.Early = "End the rest early"
			if !x.Count.Over {
				x.Instead = &also{"temperature", "Read its core"}
			}
		}
	}
	return x
}

var buttonWords = map[string]string{"combine": "Together", "trace": "Marks stay", "pour": "Poured", "melt": "It is clear", "mix": "All in, and clear", "turn_out": "Turned out", "finish": "Top is smooth"}
