package web

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"net/http"
	"strings"
	"time"

	"barwright/batch"
	"barwright/calendar"
	"barwright/store"
)

// Calendar programs cannot type a code. A feed is reached by a token in its
// address, which opens the calendar and nothing else; the workshop keeps only
// its hash, among the devices, where it is taken back like theirs.

// feedPattern is the one page of the workshop's own that a stranger with the
// right token sees.
const feedPattern = "GET /calendar/feed/{token}"

// feedMark begins the hash of a feed's token. No cookie hashes to it, so a
// feed's token lets nobody in.
const feedMark = "feed-"

func isFeed(d store.Device) bool { return strings.HasPrefix(d.Hash, feedMark) }

func (d *door) feedHash(token string) string {
	sum := sha256.Sum256([]byte(d.cookieName() + " feed:" + token))
	return feedMark + hex.EncodeToString(sum[:])
}

// feedsPart is how other calendars get what is due.
type feedsPart struct {
	Here, Open, Secure bool
	New                place // the address just made, which is shown once
	Own                string
	Feeds              []deviceRow
}

func (a *App) feedsPart(r *http.Request) (p feedsPart, err error) {
	p = feedsPart{Here: visitorOf(r).here, Open: a.door.Open, Secure: a.door.secure(), Own: a.door.scheme() + r.Host + "/calendar.ics"}
	if !p.Here {
		return p, nil
	}
	all, err := a.store.Devices(r.Context())
	for _, d := range all {
		if isFeed(d) {
			p.Feeds = append(p.Feeds, deviceRow{d.Hash, d.Name, a.moment(d.PairedAt), a.moment(d.SeenAt), false})
		}
	}
	return p, err
}

// newFeed makes a feed's address and shows it once.
func (a *App) newFeed(w http.ResponseWriter, r *http.Request) error {
	if !visitorOf(r).here {
		return errElsewhere
	}
	name := strings.TrimSpace(r.PostFormValue("name"))
	if !isHand(name) {
		return &tapFault{"“" + cutTo(name, 40) + "” is no name.", "Say whose calendar it is, like Anna's phone."}
	}
	token, _ := a.door.newToken()
	if err := a.store.AddDevice(r.Context(), store.Device{Hash: a.door.feedHash(token), Name: name, PairedAt: a.now(), SeenAt: a.now()}); err != nil {
		return err
	}
	at := placeOf(a.door.scheme(), a.feedAddresses(r), "/calendar/feed/"+token+".ics", "")
	return a.show(w, r, http.StatusOK, "feed", "calendar", "A calendar's address", feedPage{name, at, a.door.Open, a.door.secure()})
}

// feedPage shows a new address.
type feedPage struct {
	Name         string
	At           place
	Open, Secure bool
}

// feedAddresses is where the feed is found: as devices find the workshop, else
// on this computer.
func (a *App) feedAddresses(r *http.Request) func() []string {
	if a.door.Open && a.door.Addresses != nil && len(a.door.Addresses()) > 0 {
		return a.door.Addresses
	}
	return func() []string { return []string{r.Host} }
}

func (a *App) removeFeed(w http.ResponseWriter, r *http.Request) error {
	if !visitorOf(r).here {
		return errElsewhere
	}
	if hash := r.PostFormValue("feed"); strings.HasPrefix(hash, feedMark) {
		if err := a.store.RemoveDevice(r.Context(), hash); err != nil && !errors.Is(err, store.ErrMissing) {
			return err
		}
	}
	http.Redirect(w, r, "/calendar#feeds", http.StatusSeeOther)
	return nil
}

// feed serves the calendar to who has its token. Anybody else learns no more
// than from any other address.
func (a *App) feed(w http.ResponseWriter, r *http.Request) error {
	dev, err := a.store.Device(r.Context(), a.door.feedHash(strings.TrimSuffix(r.PathValue("token"), ".ics")))
	if errors.Is(err, store.ErrMissing) && visitorOf(r).stranger() {
		http.Redirect(w, r, "/pair", http.StatusSeeOther)
		return nil
	}
	if err != nil {
		return err
	}
	if a.now().Sub(dev.SeenAt) >= time.Minute {
		if err := a.store.SeeDevice(r.Context(), dev.Hash, a.now()); err != nil && !errors.Is(err, store.ErrMissing) {
			return err
		}
	}
	return a.writeCalendar(r.Context(), w)
}

// calendarFile is the same for this computer and for devices that were let in.
func (a *App) calendarFile(w http.ResponseWriter, r *http.Request) error {
	attach(w, "text/calendar; charset=utf-8", "barwright.ics")
	return a.writeCalendar(r.Context(), w)
}

func (a *App) writeCalendar(ctx context.Context, w http.ResponseWriter) error {
	all, err := a.due(ctx)
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/calendar; charset=utf-8")
	_, err = w.Write(calendar.Write(batch.InCalendars(all), "barwright", a.now()))
	return err
}
