package web

import (
	"strings"

	"barwright/batch"
)

// restPanel asks how a batch rests, when that is not as planned.
type restPanel struct {
	Places, Covers []named
	C              counted
}

// covers are what is put over a mould, as the trade says it.
var covers = []named{{"", "nothing"}, {"film", "film"}, {"lid", "lid"}, {"lid and blanket", "lid and blanket"}, {"box", "closed box"}}

func (p *benchPage) restPanel() restPanel {
	out := restPanel{Covers: covers, C: counted{"n.c", "°C there", "", bare(p.State.RoomC, 0), "1", "1"}}
	for _, place := range batch.Places() {
		out.Places = append(out.Places, named{place, place})
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
