package web

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"barwright/finding"
	"barwright/material"
	"barwright/quantity"
	"barwright/recipe"
)

// draft is a recipe being written: the text of its keys as typed, half
// finished or not, and what was done to it last.
type draft struct {
	fields map[string]string      // by the recipe's dotted paths
	locks  map[int]bool           // fats whose share stays when the rest is balanced
	undo   []taken                // takes the last button back
	undone string                 // what that button did, in words
	moved  map[string]map[int]int // where the form's lines went, by list
	sizeTo string                 // the way to say the size that was just chosen
}

// Prefix of the recipe's own keys in a form; all other names steer the page.
const keyPrefix = "r."

// lists are the lists of a recipe or a goal, whose lines a form numbers as it
// likes.
var lists = []string{"fats", "additions", "alkali", "rest", "limits", "objective.targets"}

func draftOf(r recipe.Recipe) draft {
	return draft{fields: r.Fields(), locks: map[int]bool{}}
}

// readDraft reads a posted form. Lines that were left empty are dropped and
// the others numbered anew.
func readDraft(form url.Values, lib *material.Library) draft {
	d := draft{fields: map[string]string{}, locks: map[int]bool{}}
	for name, values := range form {
		if key, ok := strings.CutPrefix(name, keyPrefix); ok && len(values) > 0 {
			d.fields[key] = values[0]
		}
	}
	by := form.Get("size.by")
	if form.Get("do") == "resize" { // the value is still that of the way it was
		d.sizeTo, by = by, form.Get("size.was")
	}
	if by != "" {
		d.setSize(by, form.Get("size.value"))
	}
	d.moved = map[string]map[int]int{}
	for _, list := range lists {
		d.moved[list] = d.compact(list)
	}
	for old, now := range d.moved["fats"] {
		d.locks[now] = form.Get("lock."+strconv.Itoa(old)) != ""
	}
	for _, list := range []string{"fats", "additions"} {
		for i := range d.count(list) {
			key := fmt.Sprintf("%s.%d.material", list, i)
			d.fields[key] = idOf(d.fields[key], lib)
		}
	}
	d.readUndo(form)
	return d
}

// count returns the lines of a list.
func (d draft) count(list string) int {
	n := 0
	for key := range d.fields {
		if i, _, ok := line(key, list); ok {
			n = max(n, i+1)
		}
	}
	return n
}

// line splits "fats.2.share" into 2 and "share".
func line(key, list string) (i int, rest string, ok bool) {
	after, ok := strings.CutPrefix(key, list+".")
	if !ok {
		return 0, "", false
	}
	num, rest, _ := strings.Cut(after, ".")
	i, err := strconv.Atoi(num)
	return i, rest, err == nil && i >= 0 && i < 1000
}

// compact drops the empty lines of a list and returns where each other line
// went.
func (d *draft) compact(list string) map[int]int {
	lines := map[int]map[string]string{}
	for key, text := range d.fields {
		if i, rest, ok := line(key, list); ok {
			if lines[i] == nil {
				lines[i] = map[string]string{}
			}
			lines[i][rest] = text
			delete(d.fields, key)
		}
	}
	order := slices.Sorted(maps.Keys(lines))
	moved := map[int]int{}
	for _, i := range order {
		if isBlank(lines[i]) {
			continue
		}
		moved[i] = len(moved)
		for rest, text := range lines[i] {
			d.fields[fmt.Sprintf("%s.%d.%s", list, moved[i], rest)] = text
		}
	}
	return moved
}

// isBlank reports a line nobody has written in. A choice that stands there from
// the beginning is not written.
func isBlank(line map[string]string) bool {
	for key, text := range line {
		if key != "when" && strings.TrimSpace(text) != "" {
			return false
		}
	}
	return true
}

// do carries out a button of the page; it returns false for one that does not
// change the draft.
func (d *draft) do(action string, lib *material.Library) bool {
	verb, rest, _ := strings.Cut(action, ":")
	before := d.snapshot()
	switch verb {
	case "remove", "up", "down":
		list, i, ok := d.lineOf(rest)
		if !ok {
			return true // an empty line, or none: nothing to do
		}
		what := nameOf(d.fields[fmt.Sprintf("%s.%d.material", list, i)], lib)
		d.moveLine(list, i, map[string]int{"up": -1, "down": +1}[verb])
		d.remember(before, map[string]string{"remove": "took out ", "up": "moved up ", "down": "moved down "}[verb]+what)
	case "balance":
		d.balance()
		d.remember(before, "balanced the shares to 100 %")
	case "fix":
		d.fix(rest)
	case "undo":
		d.takeBack()
	default:
		return false
	}
	return true
}

// lineOf is the line that a button of the form means ("fats.2"), by its number
// after the empty lines above it were dropped.
func (d *draft) lineOf(which string) (list string, i int, ok bool) {
	list, num, _ := strings.Cut(which, ".")
	posted, err := strconv.Atoi(num)
	if err != nil {
		return list, 0, false
	}
	i, ok = d.moved[list][posted]
	return list, i, ok
}

// moveLine moves a line up or down, or with 0 takes it out. The lock of a fat
// goes with it.
func (d *draft) moveLine(list string, i, by int) {
	if by == 0 {
		for key := range d.fields {
			if k, _, ok := line(key, list); ok && k == i {
				delete(d.fields, key)
			}
		}
		went := d.compact(list)
		if list != "fats" {
			return
		}
		locks := map[int]bool{}
		for old, now := range went {
			locks[now] = d.locks[old]
		}
		d.locks = locks
		return
	}
	j := i + by
	if j < 0 || j >= d.count(list) {
		return
	}
	swapped := map[string]string{}
	for key, text := range d.fields {
		if k, rest, ok := line(key, list); ok && (k == i || k == j) {
			swapped[fmt.Sprintf("%s.%d.%s", list, i+j-k, rest)] = text
			delete(d.fields, key)
		}
	}
	for key, text := range swapped {
		d.fields[key] = text
	}
	if list == "fats" {
		d.locks[i], d.locks[j] = d.locks[j], d.locks[i]
	}
}

// balance brings the shares to 100 %, changing those that are not locked in
// proportion. While one of them cannot be read it does nothing.
func (d *draft) balance() {
	locked, free := 0.0, 0.0
	shares := make([]float64, d.count("fats"))
	for i := range shares {
		s, ok := d.share(i)
		if !ok {
			return
		}
		shares[i] = s
		if d.locks[i] {
			locked += s
		} else {
			free += s
		}
	}
	if free <= 0 || locked >= 100 {
		return
	}
	left, last := 100-locked, -1
	for i, s := range shares {
		if !d.locks[i] {
			shares[i] = math.Round(s*(100-locked)/free*100) / 100
			left -= shares[i]
			last = i
		}
	}
	shares[last] += left
	for i, s := range shares {
		d.fields[shareKey(i)] = strconv.FormatFloat(math.Round(s*100)/100, 'f', -1, 64)
	}
}

// share is the share of a fat as typed, in per cent; an empty one is 0.
func (d draft) share(i int) (percent float64, ok bool) {
	text := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(d.fields[shareKey(i)]), "%"))
	if text == "" {
		return 0, true
	}
	s, err := quantity.ParseShare(text + " %")
	return s.Percent, err == nil && s.Percent <= mostShare
}

// mostShare is more than any share that is meant [%].
const mostShare = 1000

func shareKey(i int) string { return fmt.Sprintf("fats.%d.share", i) }

// fix applies a finding's edits and remembers how to take them back.
func (d *draft) fix(payload string) {
	var f struct {
		Text  string         `json:"text"`
		Edits []finding.Edit `json:"edits"`
	}
	if json.Unmarshal([]byte(payload), &f) != nil {
		return
	}
	before := d.snapshot()
	d.apply(f.Edits)
	d.remember(before, f.Text)
}

func (d *draft) apply(edits []finding.Edit) {
	for _, e := range edits {
		if e.Value == "" {
			delete(d.fields, e.Key)
		} else {
			d.fields[e.Key] = e.Value
		}
	}
}

// recipe reads the draft; faults are by path.
func (d draft) recipe(lib *material.Library) (recipe.Recipe, map[string]recipe.Fault) {
	r, faults := recipe.FromFields(d.fields)
	if len(faults) == 0 {
		faults = r.Check(lib)
	}
	byPath := map[string]recipe.Fault{}
	for _, f := range faults {
		if _, ok := byPath[f.Path]; !ok {
			byPath[f.Path] = f
		}
	}
	return r, byPath
}
