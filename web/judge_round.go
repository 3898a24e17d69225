package web

import (
	"cmp"
	"context"
	"crypto/rand"
	"encoding/binary"
	"fmt"
	"html/template"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"

	"barwright/batch"
	"barwright/chart"
	"barwright/judging"
	"barwright/store"
)

// roundsPage lists the rounds of blind judging and begins another.
type roundsPage struct {
	Rounds  []roundOf
	May     []candidate
	MayNot  []candidate
	Fault   string
	Chosen  map[string]bool
	MostIn  int
	HasSoap bool
}

// roundOf is one round: when, which codes.
type roundOf struct {
	ID    string
	When  string
	Codes []coded
	Of    int // how many were to take part

	at time.Time
}

// coded is a batch under its code.
type coded struct {
	Code  int
	Batch store.Batch
}

// candidate is a batch that could be judged, or why it must not.
type candidate struct {
	ID, Name, Why string
	Untested      bool // nobody dropped phenolphthalein on it, nor sent it to a laboratory
}

// roundsOf gathers every round from the codes the batches have, the newest first.
func (a *App) roundsOf(ctx context.Context) (out []roundOf, err error) {
	all, err := a.store.Batches(ctx)
	if err != nil {
		return nil, err
	}
	for _, b := range all {
		if _, bad := a.sheetOf(b); bad != nil {
			continue // it cannot be told any more
		}
		m, err := a.replay(ctx, b)
		if err != nil {
			return nil, err
		}
		for _, c := range m.State.Codes {
			i := slices.IndexFunc(out, func(r roundOf) bool { return r.ID == c.Round })
			if i < 0 {
				i, out = len(out), append(out, roundOf{ID: c.Round, When: a.moment(c.At), Of: c.Of, at: c.At})
			}
			out[i].Codes = append(out[i].Codes, coded{c.Code, b})
		}
	}
	for _, r := range out {
		slices.SortFunc(r.Codes, func(a, b coded) int { return a.Code - b.Code })
	}
	slices.SortFunc(out, func(a, b roundOf) int { return cmp.Or(b.at.Compare(a.at), strings.Compare(a.ID, b.ID)) })
	return out, nil
}

// openRound returns one round, or ErrMissing.
func (a *App) openRound(ctx context.Context, id string) (roundOf, error) {
	all, err := a.roundsOf(ctx)
	if err != nil {
		return roundOf{}, err
	}
	i := slices.IndexFunc(all, func(r roundOf) bool { return r.ID == id })
	if i < 0 {
		return roundOf{}, store.ErrMissing
	}
	return all[i], nil
}

func (a *App) roundsPage(r *http.Request) (p roundsPage, err error) {
	p.MostIn, p.Chosen = batch.MostInRound, map[string]bool{}
	if p.Rounds, err = a.roundsOf(r.Context()); err != nil {
		return p, err
	}
	all, err := a.store.Batches(r.Context())
	if err != nil {
		return p, err
	}
	for _, b := range all[:min(len(all), mostBatches)] {
		m, err := a.replay(r.Context(), b)
		if err != nil {
			return p, err
		}
		c := candidate{ID: b.ID, Name: b.Code + " · " + b.Start.Name, Why: m.State.Judging(a.now()).NotForSkin(), Untested: true}
		for _, t := range m.State.Tests {
			c.Untested = c.Untested && t.Test != "drop" && t.Test != "laboratory"
		}
		switch {
		case m.State.Cut == nil:
		case c.Why == "":
			p.May = append(p.May, c)
		default:
			p.MayNot = append(p.MayNot, c)
		}
	}
	return p, nil
}

func (a *App) rounds(w http.ResponseWriter, r *http.Request) error {
	p, err := a.roundsPage(r)
	if err != nil {
		return err
	}
	p.Chosen[r.FormValue("batch")] = true
	return a.show(w, r, http.StatusOK, "rounds", "batches", "Blind judging", &p)
}

// newRound gives each chosen batch a code of its own.
func (a *App) newRound(w http.ResponseWriter, r *http.Request) error {
	p, err := a.roundsPage(r)
	if err != nil {
		return err
	}
	ids := slices.Compact(slices.Sorted(slices.Values(r.PostForm["batch"])))
	for _, id := range ids {
		p.Chosen[id] = true
		if !slices.ContainsFunc(p.May, func(c candidate) bool { return c.ID == id }) {
			p.Fault = "One of them may not be judged: see below why."
		}
	}
	if p.Fault == "" && (len(ids) == 0 || len(ids) > batch.MostInRound) {
		p.Fault = fmt.Sprintf("Choose one batch at least, and %d at most: noses tire.", batch.MostInRound)
	}
	if p.Fault != "" {
		return a.show(w, r, http.StatusUnprocessableEntity, "rounds", "batches", "Blind judging", &p)
	}
	round := cmp.Or(r.PostFormValue("id"), newID())
	if has, err := a.openRound(r.Context(), round); err == nil && len(has.Codes) > 0 { // sent again
		http.Redirect(w, r, "/judging/"+round, http.StatusSeeOther)
		return nil
	}
	for i, code := range judging.Codes(len(ids), seed()) {
		b, err := a.store.Batch(r.Context(), ids[i])
		if err != nil {
			return err
		}
		if err := a.stampData(r, b, "", handOf(r), "coded", batch.Coded{Round: round, Code: code, Of: len(ids)}); err != nil {
			return err
		}
	}
	http.Redirect(w, r, "/judging/"+url.PathEscape(round), http.StatusSeeOther)
	return nil
}

// seed makes codes that nobody can foresee.
func seed() uint64 {
	var b [8]byte
	rand.Read(b[:]) // never fails
	return binary.LittleEndian.Uint64(b[:])
}

// roundPage is a round for who hands out the bars: which code is which batch,
// and what was said.
type roundPage struct {
	roundOf
	Cards     int
	Questions []asked
	Washed    []saidLine
}

// asked is what was said of every batch to one question.
type asked struct {
	judging.Question
	Lines []saidLine

	rows []chart.Score
	n    int
}

// Picture shows the batches beside each other.
func (q asked) Picture() template.HTML {
	return template.HTML(chart.Scores("said"+strconv.Itoa(q.n), q.rows))
}

func (a *App) round(w http.ResponseWriter, r *http.Request) error {
	of, err := a.openRound(r.Context(), r.PathValue("round"))
	if err != nil {
		return err
	}
	p := roundPage{roundOf: of}
	for i, q := range judging.Questions {
		p.Questions = append(p.Questions, asked{Question: q, n: i})
	}
	for _, c := range of.Codes {
		m, err := a.replay(r.Context(), c.Batch)
		if err != nil {
			return err
		}
		p.add(c, m.State.CardsOf(of.ID))
	}
	return a.show(w, r, http.StatusOK, "round", "batches", "A round of blind judging", &p)
}

func (p *roundPage) add(c coded, cards []judging.Card) {
	name := c.Batch.Code + " · " + c.Batch.Start.Name
	p.Cards += len(cards)
	for i := range p.Questions {
		q := &p.Questions[i]
		if s, ok := judging.Summary(cards, q.Key); ok {
			q.Lines = append(q.Lines, saidLine{Question: name, Words: scoreWords(s, "")})
			q.rows = append(q.rows, chart.Score{Name: name, Least: q.Least, Most: q.Most, Said: s})
		}
	}
	if s, ok := judging.WashedAway(cards); ok {
		p.Washed = append(p.Washed, saidLine{Question: name, Words: scoreWords(s, "\u202fg")})
	}
}
