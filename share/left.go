package share

import (
	"fmt"
	"strings"
)

// LeftOut is the file of what could not be written so that it can be read back.
const LeftOut = "LEFT-OUT.txt"

// leftOut collects it, each with why and with all it holds.
type leftOut struct{ items []string }

func (l *leftOut) add(what string, why error, bodies ...string) {
	l.items = append(l.items, strings.ToValidUTF8(fmt.Sprintf("== %s: %v\n\n%s\n", what, why, strings.Join(bodies, "\n--\n")), "\ufffd"))
}

func (l *leftOut) recipe(r Recipe, why error) {
	var bodies []string
	for i, v := range r.Versions {
		bodies = append(bodies, fmt.Sprintf("version %d, %s, %s\n%s", i+1, stamp(v.MadeAt), v.Reason, v.Body))
	}
	l.add(fmt.Sprintf("recipe %q", r.Name), why, bodies...)
}

func (l *leftOut) thing(t Thing, why error) {
	var bodies []string
	for i, r := range t.Revisions {
		bodies = append(bodies, fmt.Sprintf("revision %d, %s\n%s", i+1, stamp(r.MadeAt), r.Body))
	}
	l.add(fmt.Sprintf("%s %q", t.Kind, t.ID), why, bodies...)
}

func (l *leftOut) batch(b Batch, why error) {
	bodies := []string{b.Start}
	for _, e := range b.Events {
		bodies = append(bodies, e.Body)
	}
	l.add(fmt.Sprintf("batch %q", b.Code), why, bodies...)
}

func (l *leftOut) print() []byte {
	return []byte("This could not be written as files that can be read back. Nothing else is missing.\n\n" + strings.Join(l.items, "\n"))
}
