package web

import (
	"bytes"
	"encoding/json"
	"errors"
	"net/http"
	"time"

	"barwright/batch"
	"barwright/store"
)

// tapAnswer answers a device that sent its taps.
type tapAnswer struct {
	Added   int       `json:"added"`
	Refused []refused `json:"refused"`
	NowMS   int64     `json:"now_ms"` // the workshop's clock
}

// refused is a tap that can never be taken, and why. "other" is one whose id or
// number another tap has: the device must take another name.
type refused struct {
	ID  string `json:"id"`
	Why string `json:"why"`
}

// other is the reason of a tap that another one stands in the way of.
const other = "other"

// takeEvents keeps the taps of a device, one a line. One that cannot be taken
// keeps none of the others out, and what was sent before is no news.
func (a *App) takeEvents(w http.ResponseWriter, r *http.Request) error {
	m, err := a.store.Batch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	var body bytes.Buffer
	if _, err := body.ReadFrom(r.Body); err != nil {
		return err
	}
	answer := tapAnswer{Refused: []refused{}}
	for line := range bytes.Lines(body.Bytes()) {
		if line = bytes.TrimSpace(line); len(line) == 0 {
			continue
		}
		e, err := batch.ParseEvent(line)
		if err != nil {
			var id struct{ ID string }
			json.Unmarshal(line, &id) // without an id nothing can be told of it
			answer.Refused = append(answer.Refused, refused{cutTo(id.ID, 64), err.Error()})
			continue
		}
		switch n, err := a.store.AddEvents(r.Context(), m.ID, []batch.Event{e}, a.now()); {
		case errors.Is(err, store.ErrOther):
			answer.Refused = append(answer.Refused, refused{e.ID, other})
		case err != nil:
			return err
		default:
			answer.Added += n
		}
	}
	answer.NowMS = a.now().UnixMilli()
	return writeJSON(w, answer)
}

func writeJSON(w http.ResponseWriter, v any) error {
	out, err := json.Marshal(v)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/json")
	w.Write(out)
	return nil
}

// giveEvents is every tap of a batch as a file, one a line.
func (a *App) giveEvents(w http.ResponseWriter, r *http.Request) error {
	b, err := a.store.Batch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	events, err := a.store.Events(r.Context(), b.ID)
	if err != nil {
		return err
	}
	attach(w, "application/x-ndjson", b.Code+"-events.jsonl")
	w.Write(batch.PrintEvents(events))
	return nil
}

// chapters are the marks of a film of the batch, from when it began.
func (a *App) chapters(w http.ResponseWriter, r *http.Request) error {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	began, ended := m.State.Film()
	if began.IsZero() {
		began = m.State.BegunAt
	}
	if began.IsZero() {
		began = m.MadeAt
	}
	if text := r.FormValue("began"); text != "" {
		at, err := time.ParseInLocation("2006-01-02T15:04:05", padSeconds(text), a.now().Location())
		if err != nil {
			return &tapFault{"“" + cutTo(text, 40) + "” is no day and time.", "Like 2026-11-29T14:03."}
		}
		began, ended = at, time.Time{}
	}
	attach(w, "text/vtt; charset=utf-8", m.Code+"-chapters.vtt")
	w.Write(m.State.Chapters(began, ended))
	return nil
}

// padSeconds gives a time as browsers send it its seconds.
func padSeconds(text string) string {
	if len(text) == len("2006-01-02T15:04") {
		return text + ":00"
	}
	return text
}
