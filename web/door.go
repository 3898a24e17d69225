package web

import (
	"net"
	"net/http"
	"time"
)

// door decides who may come in.
type door struct {
	now func() time.Time
}

func newDoor(now func() time.Time) *door { return &door{now: now} }

// guard lets loopback in by its own names only, so that a page elsewhere that
// points a name of its own at this machine is refused.
func (d *door) guard(a *App, next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !localHost(r.Host) {
			http.Error(w, "This workshop does not answer to that name.", http.StatusMisdirectedRequest)
			return
		}
		next.ServeHTTP(w, r)
	})
}

func localHost(host string) bool {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	}
	ip := net.ParseIP(host)
	return host == "localhost" || ip != nil && ip.IsLoopback()
}
