package batch

import (
	"maps"
	"slices"
)

// Kind is each action's word.
func (Began) Kind() string        { return "began" }
func (Acknowledged) Kind() string { return "acknowledged" }
func (Tared) Kind() string        { return "tared" }
func (Weighed) Kind() string      { return "weighed" }
func (ReadBack) Kind() string     { return "read_back" }
func (Gross) Kind() string        { return "gross" }
func (Stamped) Kind() string      { return "stamped" }
func (Reading) Kind() string      { return "reading" }
func (Rested) Kind() string       { return "rested" }
func (Cut) Kind() string          { return "cut" }
func (Chose) Kind() string        { return "chose" }
func (Triaged) Kind() string      { return "triaged" }
func (Handled) Kind() string      { return "handled" }
func (Noted) Kind() string        { return "noted" }
func (Pictured) Kind() string     { return "pictured" }
func (Undone) Kind() string       { return "undone" }
func (Corrected) Kind() string    { return "corrected" }
func (Held) Kind() string         { return "held" }
func (WentOn) Kind() string       { return "went_on" }
func (Stopped) Kind() string      { return "stopped" }
func (Released) Kind() string     { return "released" }
func (Emergency) Kind() string    { return "emergency" }
func (Clock) Kind() string        { return "clock" }

// kinds reads each kind of action.
var kinds = map[string]func([]byte) (Action, error){}

func register[A Action]() {
	var zero A
	kinds[zero.Kind()] = func(data []byte) (Action, error) {
		var a A
		err := decode(data, &a, zero.Kind())
		return a, err
	}
}

func init() {
	register[Began]()
	register[Acknowledged]()
	register[Tared]()
	register[Weighed]()
	register[ReadBack]()
	register[Gross]()
	register[Stamped]()
	register[Reading]()
	register[Rested]()
	register[Cut]()
	register[Chose]()
	register[Triaged]()
	register[Handled]()
	register[Noted]()
	register[Pictured]()
	register[Undone]()
	register[Corrected]()
	register[Held]()
	register[WentOn]()
	register[Stopped]()
	register[Released]()
	register[Emergency]()
	register[Clock]()
}

func sortedKinds() []string { return slices.Sorted(maps.Keys(kinds)) }
