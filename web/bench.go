package web

import (
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"barwright/batch"
	"barwright/store"
)

// benchRoutes are the making of batches: the bench, and what stays of them.
func (a *App) benchRoutes() map[string]page {
	return map[string]page{
		"GET /bench":                       a.benchList,
		"GET /bench/emergency":             a.emergencyCards,
		"GET /bench/new":                   a.newBatch,
		"POST /bench/new":                  a.startBatch,
		"GET /bench/{id}":                  a.bench,
		"POST /bench/{id}":                 a.stamp,
		"GET /sw.js":                       a.worker,
		"GET /batches":                     a.batches,
		"GET /batches/{id}":                a.record,
		"POST /batches/{id}":               a.writeRecord,
		"GET /batches/{id}/events":         a.giveEvents,
		"POST /batches/{id}/events":        a.takeEvents,
		"GET /batches/{id}/record":         a.recordFile,
		"GET /batches/{id}/chapters":       a.chapters,
		"POST /batches/{id}/photos":        a.addPhoto,
		"GET /batches/{id}/photos/{photo}": a.photo,
		"GET /batches/{id}/differ":         a.differ,
		"GET /batches/{id}/curve":          a.batchCurve,
		"POST /batches/{id}/curve":         a.logBatchCurve,
		"GET /batches/{id}/paper":          a.paper,
		"GET /batches/{id}/typed":          a.typed,
		"POST /batches/{id}/typed":         a.saveTyped,
	}
}

// making is a batch with all that was stamped of it.
type making struct {
	store.Batch
	State *batch.State
}

// mostSheets is how many run sheets are kept at hand. A batch's never changes,
// and every tap asks for it.
const mostSheets = 200

// sheetOf returns the run sheet of a batch.
func (a *App) sheetOf(b store.Batch) (*batch.Sheet, error) {
	a.sheets.mu.Lock()
	defer a.sheets.mu.Unlock()
	if sh, ok := a.sheets.of[b.ID]; ok {
		return sh, nil
	}
	sh, err := batch.New(b.Start)
	if err != nil {
		return nil, err
	}
	if len(a.sheets.of) >= mostSheets {
		clear(a.sheets.of)
	}
	a.sheets.of[b.ID] = sh
	return sh, nil
}

// openBatch reads a batch by its id, or by the code that is said aloud.
func (a *App) openBatch(ctx context.Context, id string) (making, error) {
	b, err := a.store.Batch(ctx, id)
	if code, bad := batch.CheckCode(id); errors.Is(err, store.ErrMissing) && bad == nil {
		b, err = a.store.BatchByCode(ctx, code)
	}
	if err != nil {
		return making{}, err
	}
	return a.replay(ctx, b)
}

func (a *App) replay(ctx context.Context, b store.Batch) (making, error) {
	sh, err := a.sheetOf(b)
	if err != nil {
		return making{}, err
	}
	events, err := a.store.Events(ctx, b.ID)
	if err != nil {
		return making{}, err
	}
	return making{b, sh.Replay(events)}, nil
}

// formDevice is the name under which forms without the page's own queue are
// kept: each visitor's taps are a device of their own.
func formDevice(r *http.Request) string {
	if v := visitorOf(r); v.device.Hash != "" {
		return "form-" + v.device.Hash[:12]
	}
	return "form-here"
}

// stamp takes one tap that came as a form, and shows the bench anew. A form
// that is sent twice counts once: it brings the tap's id.
func (a *App) stamp(w http.ResponseWriter, r *http.Request) error {
	m, err := a.openBatch(r.Context(), r.PathValue("id"))
	if err != nil {
		return err
	}
	to := "/bench/" + m.ID
	if r.PostFormValue("kind") == "who" {
		return a.changeHands(w, r, to)
	}
	if err := a.stampForm(r, m.Batch, r.PostForm); err != nil {
		return err
	}
	if next := r.PostFormValue("show"); next != "" {
		to += "?show=" + url.QueryEscape(next)
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// triesForSeq is how often a form asks for its number when others take it.
const triesForSeq = 20

// stampForm keeps what a form says was done.
func (a *App) stampForm(r *http.Request, b store.Batch, form url.Values) error {
	data, err := dataOf(form)
	if err != nil {
		return err
	}
	by := cmp.Or(form.Get("by"), handOf(r))
	if form.Get("kind") == (batch.ReadBack{}).Kind() {
		if err := a.maySecond(r.Context(), b, form.Get("s.step"), by); err != nil {
			return err
		}
	}
	return a.stampData(r, b, form.Get("id"), by, form.Get("kind"), data)
}

// stampData keeps one tap of a visitor. An empty id makes a new one.
func (a *App) stampData(r *http.Request, b store.Batch, id, by, kind string, data any) error {
	return a.stampAll(r, []formTap{{b.ID, id, by, kind, data}})
}

// formTap is a tap that came as a form.
type formTap struct {
	batch, id, by, kind string // an empty id makes a new one
	data                any
}

// stampAll keeps taps of a visitor, all of them or none.
func (a *App) stampAll(r *http.Request, taps []formTap) error {
	for i := range taps {
		taps[i].id = cmp.Or(taps[i].id, newID())
	}
	for range triesForSeq {
		all, err := a.numbered(r, taps)
		if err != nil {
			return err
		}
		if _, err = a.store.AddToBatches(r.Context(), all, a.now()); !errors.Is(err, store.ErrOther) {
			return err
		}
	}
	return store.ErrChanged
}

// numbered makes events of taps, by batch: each has the next number of the
// visitor's device there. One that was sent before is left out.
func (a *App) numbered(r *http.Request, taps []formTap) (out []store.Taps, err error) {
	device, at := formDevice(r), a.now().UTC().Format(time.RFC3339Nano)
	have, last := map[string][]batch.Event{}, map[string]int64{}
	for _, tap := range taps {
		if _, known := have[tap.batch]; !known {
			if have[tap.batch], err = a.store.Events(r.Context(), tap.batch); err != nil {
				return nil, err
			}
			for _, e := range have[tap.batch] {
				if e.Device == device {
					last[tap.batch] = max(last[tap.batch], e.Seq)
				}
			}
			out = append(out, store.Taps{Batch: tap.batch})
		}
		if slices.ContainsFunc(have[tap.batch], func(e batch.Event) bool { return e.ID == tap.id }) {
			continue // sent again
		}
		last[tap.batch]++
		line, err := json.Marshal(map[string]any{"id": tap.id, "device": device, "seq": last[tap.batch], "at": at, "by": tap.by, "kind": tap.kind, "data": tap.data})
		if err != nil {
			return nil, err
		}
		e, err := batch.ParseEvent(line)
		if err != nil {
			return nil, badTap(err)
		}
		i := slices.IndexFunc(out, func(t store.Taps) bool { return t.Batch == tap.batch })
		out[i].Events = append(out[i].Events, e)
	}
	return out, nil
}

// maySecond refuses a second reading by whoever gave the first.
func (a *App) maySecond(ctx context.Context, b store.Batch, step, by string) error {
	m, err := a.replay(ctx, b)
	if err != nil {
		return err
	}
	if why := m.State.SecondReading(step, by); why != "" {
		return &tapFault{upperFirst(why) + ".", "Who is at it is said under More, on this phone or on another."}
	}
	return nil
}

// badTap tells what is wrong with a tap on a page.
func badTap(err error) error {
	var hint interface{ Hint() string }
	told := &tapFault{text: err.Error()}
	if errors.As(err, &hint) {
		told.advice = hint.Hint()
	}
	return told
}

// tapFault is a tap that cannot be taken.
type tapFault struct{ text, advice string }

func (f *tapFault) Error() string { return f.text }

// dataOf reads what a form says of an action. Names of its fields begin with
// what they hold: s. a word, n. a number, oz. lb. kg. a weight in that unit, b. true, l.
// one of several words, ns. numbers with a space between, f. a lot (addLots).
func dataOf(form url.Values) (map[string]any, error) {
	data := map[string]any{}
	for _, key := range slices.Sorted(keysOf(form)) {
		kind, name, ok := strings.Cut(key, ".")
		text := strings.TrimSpace(form.Get(key))
		if !ok || text == "" {
			continue
		}
		switch kind {
		case "s":
			data[name] = text
		case "n":
			v, err := numberTyped(text)
			if err != nil {
				return nil, err
			}
			data[name] = v
		case "b":
			data[name] = text == "true"
		case "oz", "lb", "kg":
			v, err := numberTyped(text)
			if err != nil {
				return nil, err
			}
			data[name] = v * gramsOf[kind]
		case "l":
			data[name] = form[key]
		case "ns":
			var all []float64
			for _, word := range strings.Fields(text) {
				v, err := numberTyped(word)
				if err != nil {
					return nil, err
				}
				all = append(all, v)
			}
			data[name] = all
		}
	}
	return data, addLots(data, form)
}

// numberTyped reads a number as people type it.
func numberTyped(text string) (float64, error) {
	plain := strings.NewReplacer("\u2212", "-", "\u202f", "", " ", "").Replace(text)
	if thousandsOrDecimals.MatchString(plain) {
		return 0, &tapFault{"“" + cutTo(text, 40) + "” can be read two ways.", "Write it with a point, or without the comma."}
	}
	plain = strings.Replace(plain, ",", ".", 1)
	v, err := strconv.ParseFloat(plain, 64)
	if err != nil || !plainFigure.MatchString(plain) {
		return 0, &tapFault{"“" + cutTo(text, 40) + "” is no number.", "Digits, with a point or a comma."}
	}
	return v, nil
}

var (
	thousandsOrDecimals = regexp.MustCompile(`^-?[1-9][0-9]{0,2},[0-9]{3}$`)
	plainFigure         = regexp.MustCompile(`^-?[0-9]{0,9}(\.[0-9]{0,9})?$`)
)

func keysOf(form url.Values) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range form {
			if !yield(k) {
				return
			}
		}
	}
}

// worker serves the bench's service worker from where it covers the bench.
func (a *App) worker(w http.ResponseWriter, r *http.Request) error {
	w.Header().Set("Content-Type", contentTypes[".js"])
	w.Write(a.pages.assets[strings.TrimPrefix(a.pages.hashed["sw.js"], "/static/")].body)
	return nil
}

// cardsPage is the emergency card by itself.
type cardsPage struct{ Cards []batch.Card }

func (a *App) emergencyCards(w http.ResponseWriter, r *http.Request) error {
	return a.showBench(w, r, http.StatusOK, "emergency", "Emergency", cardsPage{batch.Cards})
}

// showBench renders a page of the bench: dark, and nothing around it.
func (a *App) showBench(w http.ResponseWriter, r *http.Request, status int, name, title string, data any) error {
	return a.pages.render(w, status, name, frame{Title: title, Bench: true, Page: data})
}

// sheets are run sheets at hand, by their batch, and the lines of lists by batch
// and number of taps.
type sheets struct {
	mu    sync.Mutex
	of    map[string]*batch.Sheet
	lines map[string]batchLine
}
