package web

import (
	"slices"

	"barwright/store"
)

// branch is one version in the tree.
type branch struct {
	store.Version
	ParentNumber int    // 0 for the first
	Aside        bool   // made from a version that was no longer the newest
	Head         bool   // the newest
	Before       string // id of the version it was made from
	Lanes        []lane
}

// lane is what is drawn left of a version in one column: which ways a line
// leaves the middle of it, and whether the version stands there.
type lane struct{ Up, Down, Left, Right, Node bool }

// Class names the parts of the drawing.
func (l lane) Class() string {
	class := "lane"
	for _, part := range []struct {
		on   bool
		name string
	}{{l.Up, " up"}, {l.Down, " down"}, {l.Left, " left"}, {l.Right, " right"}, {l.Node, " node"}} {
		if part.on {
			class += part.name
		}
	}
	return class
}

// tree lays versions out, the newest first: a version stands in the column of
// those made from it, and where two were made from one, their columns meet
// there.
func tree(versions []store.Version, head string) []branch {
	numbers := map[string]int{}
	for _, v := range versions {
		numbers[v.ID] = v.Number
	}
	var out []branch
	var waiting []string // by column: the version that stands in it next, "" for none
	for _, v := range versions {
		n := numbers[v.Parent]
		b := branch{Version: v, ParentNumber: n, Before: v.Parent, Aside: n > 0 && n != v.Number-1, Head: v.ID == head}
		b.Lanes, waiting = drawn(v, waiting)
		out = append(out, b)
	}
	most := 0
	for _, b := range out {
		most = max(most, len(b.Lanes))
	}
	for i := range out { // so that all texts start at one line
		out[i].Lanes = append(out[i].Lanes, make([]lane, most-len(out[i].Lanes))...)
	}
	return out
}

// drawn returns the columns of one version, and what the columns wait for
// below it.
func drawn(v store.Version, waiting []string) ([]lane, []string) {
	at := slices.Index(waiting, v.ID)
	hasLater := at >= 0
	if !hasLater {
		if at = slices.Index(waiting, ""); at < 0 {
			at = len(waiting)
			waiting = append(waiting, "")
		}
	}
	lanes := make([]lane, len(waiting))
	last := at
	next := slices.Clone(waiting)
	for i, id := range waiting {
		switch {
		case i == at:
			lanes[i] = lane{Up: hasLater, Down: v.Parent != "", Node: true}
			next[i] = v.Parent
		case id == v.ID: // another one made from it: its column ends here
			lanes[i] = lane{Up: true, Left: true}
			next[i], last = "", i
		case id != "":
			lanes[i] = lane{Up: true, Down: true}
		}
	}
	for i := at; i < last; i++ { // the way to the last column that ends here
		lanes[i].Right = true
		if i > at {
			lanes[i].Left = true
		}
	}
	for len(next) > 0 && next[len(next)-1] == "" {
		next = next[:len(next)-1]
	}
	return lanes, next
}
