package web

import (
	"net"
	"net/http"
	"net/netip"
	"slices"
	"strings"
)

// ownHosts answers to the workshop's own names only, so that a page elsewhere
// that points a name of its own at this machine is refused.
func (d *door) ownHosts(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if !d.ownHost(r) {
			http.Error(w, "This workshop does not answer to that name.", http.StatusMisdirectedRequest)
			return
		}
		next.ServeHTTP(w, r)
	})
}

// ownHost reports a request for this machine by its loopback names or, when
// others may come in, by the address that they reached or a name it was given.
func (d *door) ownHost(r *http.Request) bool {
	host := hostOnly(r.Host)
	ip, err := netip.ParseAddr(host)
	ip = ip.Unmap().WithZone("")
	switch {
	case loopbackName(host):
		return true
	case !d.Open:
		return false
	case err != nil:
		return slices.ContainsFunc(d.Hosts, func(h string) bool { return strings.EqualFold(h, host) })
	}
	return ip == reached(r)
}

func loopbackName(host string) bool {
	ip, err := netip.ParseAddr(host)
	return host == "localhost" || err == nil && ip.Unmap().IsLoopback()
}

// hostOnly is a Host header without its port, in small letters.
func hostOnly(host string) string {
	if h, _, err := net.SplitHostPort(host); err == nil {
		host = h
	} else if inside, ok := strings.CutPrefix(host, "["); ok {
		host = strings.TrimSuffix(inside, "]")
	}
	return strings.ToLower(host)
}

// reached is the address of this machine that a request came to, the zero
// address when it is not known.
func reached(r *http.Request) netip.Addr {
	local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	if !ok {
		return netip.Addr{}
	}
	at, err := netip.ParseAddrPort(local.String())
	if err != nil {
		return netip.Addr{}
	}
	return at.Addr().Unmap().WithZone("")
}
