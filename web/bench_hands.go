package web

import (
	"net/http"
	"net/url"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"barwright/batch"
)

// handsCookie is who works at this device, when two work at one.
const handsCookie = "bench_by"

// mostHands is the longest name of who works [letters].
const mostHands = 60

// handOf is who stamps, as the record tells it: who said so at this device, else
// the device.
func handOf(r *http.Request) string {
	if c, err := r.Cookie(handsCookie); err == nil {
		if name, err := url.QueryUnescape(c.Value); err == nil && isHand(name) {
			return name
		}
	}
	return deviceOf(r)
}

// deviceOf is the name of the device itself.
func deviceOf(r *http.Request) string {
	if v := visitorOf(r); v.device.Name != "" {
		return v.device.Name
	}
	return "this computer"
}

func isHand(name string) bool {
	return strings.TrimSpace(name) == name && name != "" && utf8.ValidString(name) && utf8.RuneCountInString(name) <= mostHands && !strings.ContainsFunc(name, unicode.IsControl)
}

// changeHands says who works at this device from now on. It stamps nothing.
func (a *App) changeHands(w http.ResponseWriter, r *http.Request, to string) error {
	name := strings.TrimSpace(r.PostFormValue("name"))
	if !isHand(name) {
		return &tapFault{"“" + cutTo(name, 40) + "” is no name.", "A few letters, like helper 2."}
	}
	http.SetCookie(w, &http.Cookie{Name: handsCookie, Value: url.QueryEscape(name), Path: "/", MaxAge: 24 * 3600, SameSite: http.SameSiteStrictMode})
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// handsAt are the names that can be tapped: who is at it now, the device, and
// everybody who stamped this batch.
func handsAt(now, device string, events []batch.Event) []string {
	out := []string{now}
	for _, name := range append([]string{device}, byOf(events)...) {
		if isHand(name) && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out[:min(len(out), 6)]
}

func byOf(events []batch.Event) (out []string) {
	for _, e := range events {
		out = append(out, e.By)
	}
	return out
}
