package demo

import (
	"fmt"
	"time"

	"barwright/batch"
	"barwright/judging"
)

// pastJudged is a round in which testers judged a batch. Invented.
type pastJudged struct {
	Day   int      `toml:"day"` // after the pour
	Round string   `toml:"round"`
	Code  int      `toml:"code"`
	Of    int      `toml:"of"`
	LostG *float64 `toml:"lost_g"` // washed away in lossWashes, found by the last tester
	Cards [][]int  `toml:"cards"`  // one a tester, the scores in the order of the questions
}

const (
	lossWashes = 20
	dropAfter  = 72 * time.Hour // from the pour
)

// judged are the drop test and the score cards of a batch.
func (b pastBatch) judged(poured, now time.Time) (out []batch.Event) {
	at := func(at time.Time, by string, a batch.Action) {
		n := int64(len(out) + 1)
		if at.Before(now) {
			out = append(out, batch.Event{ID: fmt.Sprintf("%s-j%d", b.ID, n), Device: "judging", Seq: n, At: at, By: by, Do: a})
		}
	}
	if b.Drop != "" {
		at(poured.Add(dropAfter), "lead maker", batch.Tested{Test: "drop", Found: b.Drop, Where: "a cut face"})
	}
	for _, j := range b.Judged {
		begun := poured.AddDate(0, 0, j.Day)
		at(begun, "lead maker", batch.Coded{Round: j.Round, Code: j.Code, Of: j.Of})
		for i, scores := range j.Cards {
			card := batch.Scored{Round: j.Round, Code: j.Code, Tester: fmt.Sprintf("tester %d", i+1), Scores: map[string]int{}}
			for q, score := range scores {
				card.Scores[judging.Questions[q].Key] = score
			}
			if i == len(j.Cards)-1 && j.LostG != nil {
				card.LostG, card.Washes = j.LostG, lossWashes
			}
			at(begun.Add(time.Duration(i+1)*24*time.Hour), card.Tester, card)
		}
	}
	return out
}
