package web

import (
	"cmp"
	"encoding/json"
	"fmt"
	"maps"
	"net/url"
	"slices"
	"strings"
)

// taken is one key as it was before a button, and as the button left it.
type taken struct{ Key, Was, Is string }

// lockKey is how a snapshot keeps the lock of a fat.
const lockKey = "lock."

// snapshot is everything a button may change: the fields, and the locks.
func (d *draft) snapshot() map[string]string {
	out := maps.Clone(d.fields)
	for i, on := range d.locks {
		if on {
			out[fmt.Sprint(lockKey, i)] = "1"
		}
	}
	return out
}

// remember keeps how to take back what was just done, said in words.
func (d *draft) remember(before map[string]string, words string) {
	d.undo, d.undone = nil, words
	now := d.snapshot()
	keys := maps.Clone(before)
	maps.Copy(keys, now)
	for key := range keys {
		if before[key] != now[key] {
			d.undo = append(d.undo, taken{key, before[key], now[key]})
		}
	}
	slices.SortFunc(d.undo, func(a, b taken) int { return cmp.Compare(a.Key, b.Key) })
}

// takeBack restores what the last button changed, but for what was typed since.
func (d *draft) takeBack() {
	now := d.snapshot()
	for _, t := range d.undo {
		if plainShare(now[t.Key]) != plainShare(t.Is) {
			continue
		}
		var lock int
		switch _, err := fmt.Sscanf(t.Key, lockKey+"%d", &lock); {
		case err == nil:
			d.locks[lock] = t.Was != ""
		case t.Was == "":
			delete(d.fields, t.Key)
		default:
			d.fields[t.Key] = t.Was
		}
	}
	d.undo, d.undone = nil, ""
}

// plainShare is a text as the page shows it, shares without their sign.
func plainShare(text string) string {
	return strings.TrimSuffix(strings.TrimSpace(text), " %")
}

// lineup is what stands in the lists, line by line. Keys name lines by number,
// so a button can be taken back only while it is the same.
func (d *draft) lineup() string {
	var names []string
	for _, list := range lists {
		for i := range d.count(list) {
			at := fmt.Sprintf("%s.%d.", list, i)
			names = append(names, fmt.Sprintf("%s.%d=%s", list, i, cmp.Or(d.fields[at+"material"], d.fields[at+"quantity"])))
		}
	}
	return strings.Join(names, " ")
}

// readUndo reads what the page can take back, if its lines are still those.
func (d *draft) readUndo(form url.Values) {
	if form.Get("undo.of") != d.lineup() || json.Unmarshal([]byte(form.Get("undo")), &d.undo) != nil {
		d.undo = nil
		return
	}
	d.undone = form.Get("undone")
}
