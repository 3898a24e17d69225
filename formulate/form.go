package formulate

import (
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"barwright/internal/keyed"
	"barwright/recipe"
)

// Fields returns the goal as the text of its keys, by dotted path: what a form
// shows. Lists count from 0.
func (g Goal) Fields() map[string]string { return keyed.Fields(g) }

// FromFields makes a goal of the text of its keys. A number typed without its
// unit gets the one it has there. Every text that cannot be read is a Fault at
// its path; the goal holds the rest.
func FromFields(fields map[string]string) (Goal, []recipe.Fault) {
	whole := make(map[string]string, len(fields))
	for path, text := range fields {
		whole[path] = withUnit(path, text, fields)
	}
	g := Goal{Format: 1}
	var faults []recipe.Fault
	for _, f := range keyed.Fill(&g, whole) {
		advice := ""
		if h, ok := f.Err.(interface{ Hint() string }); ok {
			advice = h.Hint()
		}
		faults = append(faults, recipe.Fault{Path: f.Path, Text: f.Err.Error(), Advice: advice})
	}
	return g, faults
}

// withUnit adds the unit that a bare number has at a path: that of the quantity
// beside it, or a price's kilogram.
func withUnit(path, text string, fields map[string]string) string {
	text = strings.TrimSpace(text)
	if text == "" || strings.Trim(text, "0123456789.,") != "" {
		return text
	}
	table, key := "", path
	if i := strings.LastIndexByte(path, '.'); i >= 0 {
		table, key = path[:i], path[i+1:]
	}
	switch key {
	case "price":
		return text + " / kg"
	case "min", "max", "value", "from", "to":
		name := fields[table+".quantity"]
		if m, _ := findMeasure(name); m != nil && m.kind != number {
			return text + " " + m.kind.unit()
		} else if name == "share" {
			return text + " %"
		}
	}
	return text
}

func (k kind) unit() string { return [...]string{"%", "", "/ kg", "each", "°C"}[k] }

// Quantity is one thing that a limit, a target or a curve can speak of.
type Quantity struct {
	Name    string // in the goal file
	Words   string
	Unit    string // of a number typed alone
	OnlyMax bool   // it cannot be asked to be at least something
	Bent    bool   // it can be limited, but not aimed at
}

// Quantities lists all of them but the share of a single fat.
func Quantities() []Quantity {
	out := make([]Quantity, len(measures))
	for i, m := range measures {
		out[i] = Quantity{m.name, m.words, m.kind.unit(), m.onlyMax, !m.linear()}
	}
	return out
}

// Print returns the goal as a file that Parse reads back unchanged.
func (g Goal) Print() []byte {
	out, err := toml.Marshal(g)
	if err != nil {
		panic(fmt.Sprintf("goal %q does not print: %v", g.Name, err))
	}
	return out
}

// Check finds what no library is needed for to refuse: the key that is wrong
// and why.
func (g Goal) Check() (key string, err error) {
	if g.Format != 1 {
		return "format", fmt.Errorf("the format is %d; this program reads format 1", g.Format)
	}
	return "", nil
}
