package authority

import (
	"crypto/tls"
	"net"
	"net/netip"
	"slices"
	"sync"
	"time"
)

// Leaves hands out the certificate of every connection. It is made anew when
// it grows old, and when somebody reaches this machine by an address that it
// did not have before.
type Leaves struct {
	from *Authority
	now  func() time.Time

	mu    sync.Mutex
	hosts []string
	last  *tls.Certificate
}

// NewLeaves certifies hosts besides the machine itself. The error is a
// *Trouble when the authority may not speak for one of them.
func NewLeaves(a *Authority, now func() time.Time, hosts []string) (*Leaves, error) {
	l := &Leaves{from: a, now: now, hosts: []string{"localhost", "127.0.0.1", "::1"}}
	for _, h := range hosts {
		if !slices.Contains(l.hosts, h) {
			l.hosts = append(l.hosts, h)
		}
	}
	var err error
	l.last, err = a.Leaf(now(), l.hosts)
	return l, err
}

// Config returns what a server needs.
func (l *Leaves) Config() *tls.Config {
	return &tls.Config{MinVersion: tls.VersionTLS12, GetCertificate: l.get}
}

func (l *Leaves) get(hello *tls.ClientHelloInfo) (*tls.Certificate, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	here := reachedAt(hello.Conn)
	known := here == "" || slices.Contains(l.hosts, here)
	if age := l.now().Sub(l.last.Leaf.NotBefore) - early; known && age < renewAfter && age > -early {
		return l.last, nil
	}
	if !known {
		l.hosts = append(l.hosts, here)
	}
	fresh, err := l.from.Leaf(l.now(), l.hosts)
	if err != nil {
		return nil, err
	}
	l.last = fresh
	return fresh, nil
}

// reachedAt is the address of this machine that a connection came to, "" when
// it is the machine itself or cannot be certified.
func reachedAt(c net.Conn) string {
	if c == nil {
		return ""
	}
	at, err := netip.ParseAddrPort(c.LocalAddr().String())
	if err != nil {
		return ""
	}
	ip := at.Addr().Unmap().WithZone("")
	if ip.IsLoopback() || !Local(ip.String()) {
		return ""
	}
	return ip.String()
}
