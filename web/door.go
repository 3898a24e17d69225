package web

import (
	"context"
	"errors"
	"net/http"
	"net/netip"
	"strings"
	"time"

	"barwright/store"
)

// Door says who else than the computer itself may come in.
type Door struct {
	Open      bool            // devices of the local network may, once they are paired
	Hosts     []string        // the names it answers to, besides its own addresses
	Addresses func() []string // where a device finds it now, as host:port, the best first
	Authority []byte          // certificate of the local authority, DER; nil over plain HTTP
	// WhyNowhere says why when there is no such place, nil when that is not known.
	WhyNowhere func() string

	Install func() []string // where a device finds that certificate, as host:port
}

// door decides who may come in: the computer itself, and devices that were
// paired.
type door struct {
	Door
	now   func() time.Time
	here  func(netip.Addr) bool // an address of the computer itself
	codes codes
}

func newDoor(d Door, now func() time.Time) *door {
	return &door{Door: d, now: now, here: netip.Addr.IsLoopback, codes: codes{now: now}}
}

func (d *door) secure() bool { return d.Authority != nil }

// visitor is who sent a request.
type visitor struct {
	here   bool         // the computer itself
	device store.Device // else the paired device, with an empty hash when it is none
}

func (v visitor) stranger() bool { return !v.here && v.device.Hash == "" }

type visitorKey struct{}

// visitorOf returns who sent a request that came through the guard.
func visitorOf(r *http.Request) visitor {
	v, _ := r.Context().Value(visitorKey{}).(visitor)
	return v
}

// openToAll are the patterns a stranger may ask for. The feed sends on who has
// not its token.
var openToAll = map[string]bool{"GET /static/{name}": true, "GET /pair": true, "POST /pair": true, feedPattern: true}

// guard refuses names that are not this workshop's, lets the computer itself
// and paired devices on to mux, and sends everyone else to the pairing page. It
// asks mux which page it would be, so that no spelling of an address gets past.
func (d *door) guard(a *App, mux *http.ServeMux) http.Handler {
	next := crossOrigin(mux)
	return d.ownHosts(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		v, err := d.visitor(a.store, r)
		switch {
		case err != nil:
			a.fail(w, r, err)
			return
		case !v.here && !d.Open:
			http.Error(w, "Only the computer that serves this workshop may open it.", http.StatusForbidden)
			return
		}
		if _, pattern := mux.Handler(r); v.stranger() && !openToAll[pattern] {
			http.Redirect(w, r, "/pair", http.StatusSeeOther)
			return
		}
		if v.device.Hash != "" {
			d.noteVisit(a, w, r, v.device)
		}
		next.ServeHTTP(w, r.WithContext(context.WithValue(r.Context(), visitorKey{}, v)))
	}))
}

// visitor finds out who sent a request. What was passed on by another program
// is never taken for the computer itself, and what that program says about
// whom it came from is not believed.
func (d *door) visitor(s *store.Store, r *http.Request) (visitor, error) {
	if d.here(remote(r)) && !passedOn(r) {
		return visitor{here: true}, nil
	}
	hash := d.tokenHash(r)
	if hash == "" || !d.Open {
		return visitor{}, nil
	}
	dev, err := s.Device(r.Context(), hash)
	if errors.Is(err, store.ErrMissing) {
		return visitor{}, nil
	}
	return visitor{device: dev}, err
}

// remote is the address a request came from, the zero address when it has
// none.
func remote(r *http.Request) netip.Addr {
	at, err := netip.ParseAddrPort(r.RemoteAddr)
	if err != nil {
		return netip.Addr{}
	}
	return at.Addr().Unmap()
}

// passedOn reports what only programs between a browser and this one write.
func passedOn(r *http.Request) bool {
	for name := range r.Header {
		switch name {
		case "Forwarded", "Via", "X-Real-Ip", "X-Client-Ip", "X-Cluster-Client-Ip", "Cf-Connecting-Ip", "True-Client-Ip", "X-Original-Host":
			return true
		}
		if strings.HasPrefix(name, "X-Forwarded") {
			return true
		}
	}
	return false
}

// noteVisit keeps when a device was last here, once a minute, and once a day
// gives it its cookie anew: browsers forget one after 400 days, however often
// it is used. That a visit cannot be kept is no reason to turn the device away.
func (d *door) noteVisit(a *App, w http.ResponseWriter, r *http.Request, dev store.Device) {
	now := d.now()
	if now.Sub(dev.SeenAt) < time.Minute {
		return
	}
	if !sameDay(now, dev.SeenAt) {
		if c, err := r.Cookie(d.cookieName()); err == nil {
			d.giveToken(w, c.Value)
		}
	}
	if err := a.store.SeeDevice(r.Context(), dev.Hash, now); err != nil && !errors.Is(err, store.ErrMissing) {
		a.logf("a device's visit: %v", err)
	}
}

// crossOrigin refuses what a page of another site makes a browser send.
func crossOrigin(next http.Handler) http.Handler {
	p := http.NewCrossOriginProtection()
	p.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, _ *http.Request) {
		http.Error(w, "That was sent by a page of another site, and nothing was done.", http.StatusForbidden)
	}))
	return p.Handler(next)
}
