package batch

import (
	"fmt"
	"slices"
	"time"

	"barwright/judging"
)

// Coded gives the batch a blind code in a round of judging, in which Of batches
// take part.
type Coded struct {
	Round string `json:"round"`
	Code  int    `json:"code"`
	Of    int    `json:"of"`
}

// Scored is one tester's card of one blind code.
type Scored struct {
	Round   string         `json:"round"`
	Code    int            `json:"code"`
	Tester  string         `json:"tester"`
	Scores  map[string]int `json:"scores,omitempty"`
	LostG   *float64       `json:"lost_g,omitempty"` // washed away
	Washes  int            `json:"washes,omitempty"` // in so many washes
	Comment string         `json:"comment,omitempty"`
}

// Kind is each action's word.
func (Coded) Kind() string  { return "coded" }
func (Scored) Kind() string { return "scored" }

func init() {
	register[Tested]()
	register[Coded]()
	register[Scored]()
}

// MostInRound is how many batches a round of judging can have: noses tire.
const MostInRound = 12

func (a Coded) check() error {
	switch {
	case !isID(a.Round):
		return fault("letters, digits, - and _, at most 64 of them", "round: %.60q is not an id", a.Round)
	case a.Code < 101 || a.Code > 999:
		return fault("three figures, from 101", "code: %d", a.Code)
	case a.Of < 1 || a.Of > MostInRound:
		return fault(fmt.Sprintf("1 to %d batches", MostInRound), "of: %d", a.Of)
	}
	return nil
}

func (a Scored) check() error {
	if err := (Coded{a.Round, a.Code, 1}).check(); err != nil {
		return err
	}
	if err := checkText("tester", a.Tester, mostLine); err != nil {
		return err
	}
	if err := checkText("comment", a.Comment, mostText); err != nil {
		return err
	}
	if a.Washes < 0 || a.Washes > 1000 {
		return fault("in how many washes", "washes: %d", a.Washes)
	}
	return a.Card().Check()
}

// Card is the card as package judging knows it.
func (a Scored) Card() judging.Card {
	return judging.Card{Tester: a.Tester, Scores: a.Scores, LostG: a.LostG, Washes: a.Washes, Comment: a.Comment}
}

// CodeState is a blind code the batch has, since when.
type CodeState struct {
	Coded
	At time.Time
}

// CardState is one card that counts.
type CardState struct {
	Scored
	At time.Time
}

func (s *State) coded(a Coded, e told) string {
	if why := s.Judging(e.when).NotForSkin(); why != "" {
		return "it is not for testers' skin: " + why
	}
	if _, has := s.CodeIn(a.Round); has {
		return "it has a code in that round"
	}
	s.Codes = append(s.Codes, CodeState{a, e.when})
	return ""
}

// CodeIn returns the batch's code in a round; false when it has none.
func (s *State) CodeIn(round string) (CodeState, bool) {
	i := slices.IndexFunc(s.Codes, func(c CodeState) bool { return c.Round == round })
	if i < 0 {
		return CodeState{}, false
	}
	return s.Codes[i], true
}

// scored keeps a card; a second one of the same tester takes the place of the
// first.
func (s *State) scored(a Scored, e told) string {
	if c, has := s.CodeIn(a.Round); !has || c.Code != a.Code {
		return "the batch has no such code in that round"
	}
	if why := s.Judging(e.when).NotForSkin(); why != "" {
		return "it is not for testers' skin: " + why
	}
	same := func(c CardState) bool { return c.Round == a.Round && samePerson(c.Tester, a.Tester) }
	s.Cards = append(slices.DeleteFunc(slices.Clone(s.Cards), same), CardState{a, e.when})
	return ""
}

// CardsOf are the cards of a round.
func (s *State) CardsOf(round string) (out []judging.Card) {
	for _, c := range s.Cards {
		if c.Round == round {
			out = append(out, c.Card())
		}
	}
	return out
}

// wordsOfTests says what an event of testing and judging did.
func wordsOfTests(do Action) string {
	switch a := do.(type) {
	case Tested:
		return a.Words()
	case Coded:
		return fmt.Sprintf("judged under the blind code %d", a.Code)
	case Scored:
		return fmt.Sprintf("a score card of code %d", a.Code)
	}
	return ""
}
