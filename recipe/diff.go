package recipe

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"barwright/material"
)

// Change is one difference between two recipes, in words.
type Change struct {
	Text string
	kind changeKind
}

func (c Change) String() string { return c.Text }

// changeKind is how a change counts among the causes of a difference.
type changeKind int

const (
	alone       changeKind = iota // by itself
	fatShare                      // one of the shares that come to 100 %
	alkaliShare                   // likewise
	noCause                       // a name or a note
)

// Causes counts the changes that could each explain why two batches differ.
// Shares come to 100 %: where three of them changed, two are free. Names and
// notes explain nothing.
func Causes(changes []Change) int {
	var of [noCause + 1]int
	for _, c := range changes {
		of[c.kind]++
	}
	for _, kind := range []changeKind{fatShare, alkaliShare} {
		if of[kind] > 1 {
			of[kind]--
		}
	}
	return of[alone] + of[fatShare] + of[alkaliShare]
}

// Diff lists in words what differs from a to b, in the order of the file.
// Lines of a list are matched by their material: moving a line is no change.
// lib names the materials; one it does not hold goes by its id.
func Diff(a, b Recipe, lib *material.Library) []Change {
	d := differ{lib: lib, was: a.Fields(), now: b.Fields()}
	d.keys("name", "note", "method", "superfat", "lye_strength", "water")
	d.add(alone, "size", sizeWords(a.Size), sizeWords(b.Size))
	for _, list := range []string{"alkali", "fats", "additions"} {
		d.list(list)
	}
	d.keys("lye.water_temperature", "lye.ice", "lye.vessel", "combine.fats_temperature", "combine.lye_temperature", "combine.pot", "combine.stir")
	d.add(alone, "mould", mouldWords(a.Mould), mouldWords(b.Mould))
	if a.Mould != nil && b.Mould != nil {
		d.keys("mould.name", "mould.holds", "mould.wall", "mould.lid", "mould.fill")
	}
	for i := range max(len(a.Rest), len(b.Rest)) {
		d.rest(i)
	}
	d.keys("scale.fats", "scale.alkali", "scale.repeatability", "scale.fats_capacity", "scale.alkali_capacity")
	return d.out
}

// differ gathers the changes between the keys of two recipes.
type differ struct {
	lib      *material.Library
	was, now map[string]string
	out      []Change
}

// called names the keys that are not called in the file as people say them.
var called = map[string]string{
	"note": "the note", "method": "made", "lye_strength": "lye strength",
	"lye.water_temperature": "water of the lye at", "lye.ice": "ice in the water", "lye.vessel": "jug of the lye",
	"combine.fats_temperature": "fats at", "combine.lye_temperature": "lye at", "combine.pot": "pot", "combine.stir": "stirred by",
	"mould.name": "name of the mould", "mould.holds": "mould by a water fill holds", "mould.wall": "wall of the mould", "mould.lid": "lid of the mould", "mould.fill": "mould filled to",
	"scale.fats": "step of the scale", "scale.alkali": "step of the alkali's scale", "scale.repeatability": "scale repeats itself to", "scale.fats_capacity": "scale carries", "scale.alkali_capacity": "the alkali's scale carries",
}

func (d *differ) keys(paths ...string) {
	for _, path := range paths {
		kind, what, was, now := alone, called[path], d.was[path], d.now[path]
		if path == "name" || path == "note" || path == "mould.name" {
			kind = noCause
		}
		if what == "" {
			what = path
		}
		if path == "method" { // cold, when not given
			was, now = cmp.Or(was, "cold"), cmp.Or(now, "cold")
		}
		d.add(kind, what, was, now)
	}
}

// add notes a change of one value; "" is a value that was not given.
func (d *differ) add(kind changeKind, what, was, now string) {
	if was == now {
		return
	}
	text := fmt.Sprintf("%s %s", what, arrow(was, now))
	switch {
	case was == "":
		text = fmt.Sprintf("%s: %s, was not given", what, now)
	case now == "":
		text = fmt.Sprintf("%s: no longer given, was %s", what, was)
	}
	d.out = append(d.out, Change{text, kind})
}

// arrow writes "5 % → 3 %" as "5 → 3 %".
func arrow(was, now string) string {
	number, unit, ok := strings.Cut(was, " ")
	if _, unitNow, _ := strings.Cut(now, " "); ok && unit == unitNow {
		if _, err := strconv.ParseFloat(number, 64); err == nil {
			return number + " → " + now
		}
	}
	return was + " → " + now
}
