package web

import (
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"

	"barwright/batch"
	"barwright/judging"
	"barwright/store"
)

// What a tester sees tells nothing of the batch: neither its name, code nor id
// is on these pages, only the blind code. They stand alone, without the way to
// the rest of the workshop.

// tastePage asks which bar a tester has in hand.
type tastePage struct {
	Round  string
	Codes  []int
	Tester string
	Thanks string // the code a card just came in for
}

// cardPage is the score card of one code.
type cardPage struct {
	Round     string
	Code      int
	Tester    string
	Questions []cardQuestion
	LostG     string
	Washes    string
	Comment   string
	Fault     string
	At        string // the field that is wrong
}

// cardQuestion is one question with its steps, and the one chosen.
type cardQuestion struct {
	judging.Question
	Steps  []int
	Chosen int // 0 none
	Fault  string
}

func (a *App) showCard(w http.ResponseWriter, status int, name, title string, data any) error {
	return a.pages.render(w, status, name, frame{Title: title, Bare: true, Page: data})
}

// noSuchBar is what a tester reads whose address leads nowhere. It too leads to
// nothing but the round's codes.
func noSuchBar(path string) sorry {
	s := sorry{Text: "There is no such bar in this tasting.", Advice: "Look at its three figures again, or ask who gave you the bar."}
	if round, code, found := strings.Cut(strings.TrimPrefix(path, tastePath), "/"); found && code != "" {
		s.To, s.ToWords = tastePath+url.PathEscape(round), "To the bars"
	}
	return s
}

// tastePath begins the addresses of testers' pages.
const tastePath = "/taste/"

func (a *App) taste(w http.ResponseWriter, r *http.Request) error {
	of, err := a.openRound(r.Context(), r.PathValue("round"))
	if err != nil {
		return err
	}
	p := tastePage{Round: of.ID, Tester: r.FormValue("tester"), Thanks: r.FormValue("thanks")}
	for _, c := range of.Codes {
		p.Codes = append(p.Codes, c.Code)
	}
	return a.showCard(w, http.StatusOK, "taste", "Which bar?", p)
}

// codedIn finds the batch of a code, for the program and not for the page.
func (a *App) codedIn(r *http.Request) (store.Batch, roundOf, int, error) {
	of, err := a.openRound(r.Context(), r.PathValue("round"))
	if err != nil {
		return store.Batch{}, of, 0, err
	}
	code, err := strconv.Atoi(r.PathValue("code"))
	i := slices.IndexFunc(of.Codes, func(c coded) bool { return c.Code == code })
	if err != nil || i < 0 {
		return store.Batch{}, of, 0, store.ErrMissing
	}
	return of.Codes[i].Batch, of, code, nil
}

func newCard(round string, code int) cardPage {
	p := cardPage{Round: round, Code: code, Washes: "20"}
	for _, q := range judging.Questions {
		p.Questions = append(p.Questions, cardQuestion{Question: q, Steps: []int{1, 2, 3, 4, 5, 6, 7, 8, 9}})
	}
	return p
}

func (a *App) card(w http.ResponseWriter, r *http.Request) error {
	_, of, code, err := a.codedIn(r)
	if err != nil {
		return err
	}
	p := newCard(of.ID, code)
	p.Tester = r.FormValue("tester")
	return a.showCard(w, http.StatusOK, "card", "Bar "+strconv.Itoa(code), p)
}

// saveCard keeps a score card.
func (a *App) saveCard(w http.ResponseWriter, r *http.Request) error {
	b, of, code, err := a.codedIn(r)
	if err != nil {
		return err
	}
	p := newCard(of.ID, code)
	scored := p.read(r)
	if p.Fault == "" {
		m, err := a.replay(r.Context(), b)
		if err != nil {
			return err
		}
		if m.State.Judging(a.now()).NotForSkin() != "" {
			p.Fault = "This bar is judged no more: wash your hands, and give it back."
		}
	}
	if p.Fault != "" {
		return a.showCard(w, http.StatusUnprocessableEntity, "card", "Bar "+strconv.Itoa(code), p)
	}
	if err := a.stampData(r, b, r.PostFormValue("id"), handOf(r), "scored", scored); err != nil {
		return err
	}
	http.Redirect(w, r, "/taste/"+of.ID+"?"+url.Values{"thanks": {strconv.Itoa(code)}, "tester": {scored.Tester}}.Encode(), http.StatusSeeOther)
	return nil
}

// read takes what was typed and tapped, and says what is wrong with it.
func (p *cardPage) read(r *http.Request) batch.Scored {
	p.Tester, p.Comment = strings.TrimSpace(r.PostFormValue("tester")), strings.TrimSpace(r.PostFormValue("comment"))
	p.LostG, p.Washes = strings.TrimSpace(r.PostFormValue("lost")), strings.TrimSpace(r.PostFormValue("washes"))
	s := batch.Scored{Round: p.Round, Code: p.Code, Tester: p.Tester, Comment: p.Comment, Scores: map[string]int{}}
	for i := range p.Questions {
		q := &p.Questions[i]
		if text := r.PostFormValue("score." + q.Key); text != "" {
			chosen, err := strconv.Atoi(text)
			if err != nil || !slices.Contains(q.Steps, chosen) {
				q.Fault, p.At = "Tap one of the steps from 1 to 9.", q.Key
				p.Fault = q.Text + ": “" + cutTo(text, 20) + "” is none of the steps from 1 to 9."
				continue
			}
			q.Chosen, s.Scores[q.Key] = chosen, chosen
		}
	}
	if p.Fault != "" {
		return s
	}
	if p.LostG != "" {
		lost, err := numberTyped(p.LostG)
		if err != nil {
			p.Fault, p.At = "Washed away: grams, like 16.", "lost"
			return s
		}
		s.LostG = &lost
		if s.Washes, err = strconv.Atoi(p.Washes); err != nil {
			p.Fault, p.At = "In how many washes? A whole number.", "washes"
			return s
		}
	}
	if err := s.Card().Check(); err != nil {
		f := faultOf(err)
		p.Fault = sentences(f.Text(), f.Advice())
		if p.Tester == "" {
			p.At = "tester"
		}
	}
	return s
}
