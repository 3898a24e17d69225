package batch

import (
	"encoding/json"
	"fmt"
	"strconv"

	"barwright/finding"
	"barwright/material"
	"barwright/plan"
	"barwright/recipe"
	"barwright/window"
)

// Start is all a batch was planned with, frozen: the recipe at its size, and
// every material as it was known on that day. It never changes.
type Start struct {
	Name         string               `json:"name"`
	Recipe       string               `json:"recipe"`                // recipe file
	Version      string               `json:"version,omitempty"`     // id of the saved version it was made from
	Materials    []string             `json:"materials"`             // material files
	Lots         map[string]string    `json:"lots,omitempty"`        // the lot meant for each weighing, by step
	SecondReader bool                 `json:"second_reader"`         // a second person reads the alkali
	AfterTrace   *Seconds             `json:"after_trace,omitempty"` // the maker's own window from trace, when she knows it
	Needs        map[string]int       `json:"needs_s,omitempty"`     // her own time for a step [s]
	Taught       []window.Observation `json:"taught,omitempty"`      // what the maker's earlier batches say about the working time
	RoomC        float64              `json:"room_c"`
	Recorded     bool                 `json:"recorded,omitempty"` // typed in from paper afterwards
}

// Seconds is a time as a range [s].
type Seconds struct {
	Low     float64 `json:"low"`
	Typical float64 `json:"typical"`
	High    float64 `json:"high"`
}

// NewStart freezes a recipe and its materials for a batch.
func NewStart(r recipe.Recipe, lib *material.Library) (Start, error) {
	s := Start{Name: r.Name, Recipe: string(r.Print()), RoomC: usualRoomC}
	seen := map[string]bool{}
	keep := func(id string) error {
		m, err := lib.Find(id)
		if err != nil || seen[id] {
			return err
		}
		seen[id] = true
		if m.Of != "" && !seen[m.Of] {
			base, err := lib.Find(m.Of)
			if err != nil {
				return err
			}
			seen[m.Of] = true
			s.Materials = append(s.Materials, string(base.Print()))
		}
		s.Materials = append(s.Materials, string(m.Print()))
		return nil
	}
	for _, id := range materialsOf(r) {
		if err := keep(id); err != nil {
			return Start{}, err
		}
	}
	return s, nil
}

func materialsOf(r recipe.Recipe) (ids []string) {
	for _, a := range r.Alkali {
		ids = append(ids, a.Material)
	}
	for _, f := range r.Fats {
		ids = append(ids, f.Material)
	}
	for _, a := range r.Additions {
		ids = append(ids, a.Material)
	}
	return ids
}

// usualRoomC is the room when nobody says [°C].
const usualRoomC = 20

// Print returns the start as JSON, always the same way.
func (s Start) Print() []byte {
	out, err := json.Marshal(s)
	if err != nil {
		panic(fmt.Sprintf("batch %q does not print: %v", s.Name, err))
	}
	return out
}

// ParseStart reads a start and checks that its sheet can be made.
func ParseStart(data []byte) (Start, error) {
	var s Start
	if err := decode(data, &s, "a batch"); err != nil {
		return Start{}, err
	}
	if err := checkC("room_c", &s.RoomC); err != nil {
		return Start{}, err
	}
	_, err := New(s)
	return s, err
}

// plan makes the plan as it was.
func (s Start) plan() (*plan.Plan, recipe.Recipe, error) {
	lib := material.Builtin()
	for i, text := range s.Materials {
		m, err := material.Parse("material "+strconv.Itoa(i+1), []byte(text), lib)
		if err != nil {
			return nil, recipe.Recipe{}, err
		}
		lib = lib.Plus(m)
	}
	r, err := recipe.Parse(s.Name, []byte(s.Recipe), lib)
	if err != nil {
		return nil, r, err
	}
	p, err := plan.Make(r, lib)
	return p, r, err
}

// StopError is a plan that cannot be started. It holds what stops it.
type StopError struct{ Stops []finding.Finding }

func (e *StopError) Error() string {
	return "this plan cannot be started: " + e.Stops[0].Title
}

// Hint returns how to plan it away.
func (e *StopError) Hint() string { return e.Stops[0].Fix }
