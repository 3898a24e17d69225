package batch

import (
	"fmt"
	"slices"

	"barwright/finding"
	"barwright/plan"
	"barwright/recipe"
	"barwright/window"
)

// Sheet is the run sheet of one batch: what is done, in order.
type Sheet struct {
	Start  Start
	Plan   *plan.Plan
	Recipe recipe.Recipe
	Steps  []Step

	model *window.Model
}

// StepType is how a step is done.
type StepType string

// The types of steps.
const (
	Read  StepType = "read"  // things to acknowledge
	Tare  StepType = "tare"  // an empty vessel on the scale
	Weigh StepType = "weigh" // something into a vessel
	Check StepType = "check" // the whole vessel on the scale
	Act   StepType = "act"   // anything else, one stamp
)

// Step is one job: one screen, one number, one done.
type Step struct {
	ID     string
	Type   StepType
	Part   string   // lye, fats, cups, together, mould or rest: the unit procedure
	Vessel string   // pot, jug, mix or cup, for what is weighed
	Do     string   // what is done, in words
	Warn   []string // what to beware of right here
	Read   []Item   // of a Read step
	Weigh  *Target  // of a Weigh step
	NeedS  int      // how long it takes [s], where minutes count; common practice, no source
	Scent  bool     // can be left out when there is no time
}

// Item is one thing to acknowledge.
type Item struct{ ID, Text string }

// Target is what one weighing is to show.
type Target struct {
	List     string // fats, alkali, additions or water
	Index    int
	Name     string
	Material string
	Lot      string     // of the shelf, "" when none was meant
	G        float64    // target
	LowG     float64    // fine from
	HighG    float64    // to: for alkali the target itself
	Scale    plan.Steps // it is shown in
}

// Parts of a sheet, in the order of the work.
const (
	ready    = "ready"
	theLye   = "lye"
	theFats  = "fats"
	cups     = "cups"
	together = "together"
	theMould = "mould"
	theRest  = "rest"
)

// Seconds that a step takes where minutes count. Common practice, no source:
// each workshop has its own (Start.Needs).
const (
	needSugar  = 25
	needScent  = 20
	needPowder = 30
	needSalt   = 40
	needOther  = 20
	needPour   = 60
)

// New returns the sheet of a batch. The error is a *StopError for a plan that
// must not be started; one that was recorded from paper may be told whatever it
// was.
func New(s Start) (*Sheet, error) {
	p, r, err := s.plan()
	if err != nil {
		return nil, err
	}
	if stops := slices.DeleteFunc(slices.Clone(p.Findings), func(f finding.Finding) bool { return f.Severity != finding.Stop }); len(stops) > 0 && !s.Recorded {
		return nil, &StopError{stops}
	}
	sh := &Sheet{Start: s, Plan: p, Recipe: r}
	if len(s.Taught) > 0 {
		sh.model = window.Prior().Learn(s.Taught)
	}
	for _, add := range []func(){sh.addReady, sh.addLye, sh.addFats, sh.addCups, sh.addCooled, sh.addTogether, sh.addRest} {
		add()
	}
	for i := range sh.Steps {
		if n, ok := s.Needs[sh.Steps[i].ID]; ok {
			sh.Steps[i].NeedS = n
		}
	}
	return sh, nil
}

func (sh *Sheet) add(s Step) { sh.Steps = append(sh.Steps, s) }

// Index returns the place of a step, -1 when there is none.
func (sh *Sheet) Index(id string) int {
	return slices.IndexFunc(sh.Steps, func(s Step) bool { return s.ID == id })
}

// addReady is what must be read before the first weighing: the kit, and every
// caution of the plan.
func (sh *Sheet) addReady() {
	s := Step{ID: "ready", Type: Read, Part: ready, Do: "Before anything else", Read: []Item{
		{"gloves", "Long gloves on, sleeves down, closed shoes"},
		{"goggles", "Sealed goggles on; not off until everything is washed"},
		{"lye_into_water", "Lye goes into water, little by little; never water onto lye"},
		{"first_aid", "First aid read: running lukewarm water at once, 15 minutes and more, then call for help. Water runs nearby; no children, no pets"},
	}}
	for i, f := range sh.Plan.Findings {
		if f.Severity == finding.Caution {
			s.Read = append(s.Read, Item{fmt.Sprintf("caution.%d.%s", i, f.ID), f.Title + ". " + f.Because})
		}
	}
	sh.add(s)
}
