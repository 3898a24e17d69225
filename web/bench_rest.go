package web

import (
	"cmp"
	"strings"

	"barwright/batch"
)

// restPanel asks how a batch rests, when that is not as planned.
type restPanel struct {
	Places, Covers []named
	C              counted
}

// coverWords are those that a page says otherwise.
var coverWords = map[string]string{"": "nothing", "box": "closed box"}

func (p *benchPage) restPanel() restPanel {
	out := restPanel{C: counted{"n.c", "°C there", "", bare(p.State.RoomC, 0), "1", "1"}}
	for _, place := range batch.Places() {
		out.Places = append(out.Places, named{place, place})
	}
	for _, cover := range batch.Covers() {
		out.Covers = append(out.Covers, named{cover, cmp.Or(coverWords[cover], cover)})
	}
	return out
}

// restWords is how it rests now, by what was stamped, "" before anything was.
func (p *benchPage) restWords() string {
	if len(p.State.Rests) == 0 {
		return ""
	}
	return strings.TrimSpace("Stamped: " + batch.RestWords(p.State.Rests[len(p.State.Rests)-1].Rested))
}
