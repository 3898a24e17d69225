package web

import (
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"
	"unicode"

	"barwright/store"
)

// pairPage is where a device types the code.
type pairPage struct {
	Code, Name string // as typed
	Fault      string
}

// pairPage shows the form. A code in the address, from the QR code, is filled
// in; only the button lets the device in.
func (a *App) pairPage(w http.ResponseWriter, r *http.Request) error {
	if to := beyondPairing(r); to != "" {
		http.Redirect(w, r, to, http.StatusSeeOther)
		return nil
	}
	var p pairPage
	if code, ok := readCode(r.URL.Query().Get("code")); ok {
		p.Code = spoken(code)
	}
	return a.show(w, r, http.StatusOK, "pair", "", "Let this device in", p)
}

// beyondPairing is where those belong who need no pairing, "" for a stranger.
func beyondPairing(r *http.Request) string {
	switch v := visitorOf(r); {
	case v.here:
		return "/devices"
	case v.stranger():
		return ""
	}
	return "/"
}

// pair takes the code and gives the device its cookie.
func (a *App) pair(w http.ResponseWriter, r *http.Request) error {
	if to := beyondPairing(r); to != "" {
		http.Redirect(w, r, to, http.StatusSeeOther)
		return nil
	}
	p, code := readPairing(r.PostForm)
	if p.Fault != "" {
		return a.show(w, r, http.StatusUnprocessableEntity, "pair", "", "Let this device in", p)
	}
	from := remote(r)
	right, wait := a.door.codes.try(from, code)
	switch {
	case wait > 0:
		p.Fault = "Too many wrong codes. For " + inMinutes(wait) + " none is taken, not even the right one."
		if a.door.codes.worthTelling() {
			a.logf("wrong pairing codes, the last from %s: none is taken for %s", from, inMinutes(wait))
		}
		w.Header().Set("Retry-After", strconv.Itoa(int(wait.Seconds())+1))
		return a.show(w, r, http.StatusTooManyRequests, "pair", "", "Let this device in", p)
	case !right:
		p.Fault = "That is not the code, or it has run out: it is good once, for ten minutes. Ask the computer for a new one."
		return a.show(w, r, http.StatusUnprocessableEntity, "pair", "", "Let this device in", p)
	}
	token, hash := a.door.newToken()
	now := a.now()
	if err := a.store.AddDevice(r.Context(), store.Device{Hash: hash, Name: p.Name, PairedAt: now, SeenAt: now}); err != nil {
		return err
	}
	a.door.giveToken(w, token)
	a.logf("let in: %q at %s", p.Name, from)
	http.Redirect(w, r, "/", http.StatusSeeOther)
	return nil
}

// readPairing reads the form. Fault says what is wrong with it.
func readPairing(form url.Values) (p pairPage, code string) {
	p = pairPage{Code: cutTo(form.Get("code"), 40), Name: deviceName(form.Get("name"))}
	code, ok := readCode(form.Get("code"))
	if !ok {
		p.Fault = fmt.Sprintf("The code has %d digits.", codeDigits)
	}
	return p, code
}

// deviceName is a name on one line, of letters that can be seen.
func deviceName(typed string) string {
	seen := strings.Map(func(r rune) rune {
		switch {
		case unicode.IsSpace(r):
			return ' '
		case !unicode.IsPrint(r) || r == unicode.ReplacementChar:
			return -1
		}
		return r
	}, typed)
	name := strings.TrimSpace(cutTo(strings.Join(strings.Fields(seen), " "), 60))
	if name == "" {
		return "A device without a name"
	}
	return name
}

// inMinutes says a pause, rounded up.
func inMinutes(d time.Duration) string {
	if n := int((d + time.Minute - 1) / time.Minute); n > 1 {
		return fmt.Sprintf("%d minutes", n)
	}
	return "a minute"
}
