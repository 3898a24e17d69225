package main

import (
	"crypto/tls"
	"fmt"
	"io"
	"log"
	"net"
	"net/netip"
	"slices"
	"strconv"
	"strings"
	"time"

	"barwright/authority"
	"barwright/web"
)

// entrance is where the workshop can be reached: by this computer, and by
// others when the address is not one of the computer's own loop.
type entrance struct {
	addr        string // as given
	hosts       []string
	installPort int
	authority   *authority.Authority // nil over plain HTTP
	tlsConfig   *tls.Config
	log         *log.Logger
}

// listeners are what listens: the app, also on the loop when the address given
// is one of the network, and the page with the certificate.
type listeners struct {
	app     []net.Listener
	install net.Listener
}

func (ls listeners) close() {
	for _, l := range ls.app {
		l.Close()
	}
	if ls.install != nil {
		ls.install.Close()
	}
}

// at is where the app listens.
func (ls listeners) at() netip.AddrPort {
	at := netip.MustParseAddrPort(ls.app[0].Addr().String())
	return netip.AddrPortFrom(at.Addr().Unmap(), at.Port())
}

func (e *entrance) listen() (ls listeners, err error) {
	l, err := listen(e.addr)
	if err != nil {
		return ls, err
	}
	ls.app = []net.Listener{l}
	at := ls.at()
	if ip := at.Addr(); !ip.IsLoopback() && !ip.IsUnspecified() {
		l, err := listen(fmt.Sprintf("127.0.0.1:%d", at.Port()))
		if err != nil {
			ls.close()
			return ls, err
		}
		ls.app = append(ls.app, l)
	}
	if e.authority != nil {
		host, _, _ := net.SplitHostPort(ls.app[0].Addr().String())
		if ls.install, err = listen(net.JoinHostPort(host, strconv.Itoa(e.installPort))); err != nil {
			ls.close()
			return ls, &hinted{err.Error(), "name another port for the page with the certificate: --install-port"}
		}
	}
	return ls, nil
}

// door says who may come in, and prepares the certificates.
func (e *entrance) door(ls listeners) (web.Door, error) {
	d := web.Door{Open: !ls.at().Addr().IsLoopback(), Hosts: e.names()}
	d.Addresses = func() []string { return e.found(ls.app[0]) }
	d.WhyNowhere = func() string { return e.whyNowhere(addressesAt(ls.at().Addr())) }
	if e.authority == nil {
		return d, nil
	}
	d.Authority = e.authority.Certificate()
	d.Install = func() []string { return e.found(ls.install) }
	hosts := e.names()
	for _, ip := range addressesAt(ls.at().Addr()) {
		if given := ls.at().Addr(); authority.Local(ip.String()) || ip == given {
			hosts = append(hosts, ip.String())
		}
	}
	leaves, err := authority.NewLeaves(e.authority, time.Now, hosts)
	if err != nil {
		return d, err
	}
	e.tlsConfig = leaves.Config()
	return d, nil
}

// names are the names given, of the address and of --host, in small letters.
func (e *entrance) names() (names []string) {
	host, _, _ := net.SplitHostPort(e.addr)
	for _, name := range append(slices.Clone(e.hosts), host) {
		if _, err := netip.ParseAddr(name); err != nil && name != "" {
			names = append(names, strings.ToLower(name))
		}
	}
	return names
}

// found lists where devices find a listener, the best first: names, then
// addresses. Under TLS only what can be certified.
func (e *entrance) found(l net.Listener) (out []string) {
	at := netip.MustParseAddrPort(l.Addr().String())
	hosts := e.names()
	for _, ip := range addressesAt(at.Addr().Unmap()) {
		hosts = append(hosts, ip.String())
	}
	for _, h := range hosts {
		if e.authority == nil || authority.Local(h) {
			out = append(out, net.JoinHostPort(h, strconv.Itoa(int(at.Port()))))
		}
	}
	return out
}

// whyNowhere says why devices find the workshop nowhere, at a computer with
// these addresses.
func (e *entrance) whyNowhere(own []netip.Addr) string {
	own = slices.DeleteFunc(slices.Clone(own), netip.Addr.IsLoopback)
	if len(own) == 0 || e.authority == nil {
		return "This computer is in no local network now; its page Devices shows a code once it is."
	}
	public := make([]string, len(own))
	for i, ip := range own {
		public[i] = ip.String()
	}
	return fmt.Sprintf("No device is let in: this computer has only addresses of the internet (%s), and a certificate of its own holds only in a local network. Put it behind a router, or name it with --host as the local network does, such as kitchen.local.", strings.Join(public, ", "))
}

// greet says in the terminal where to go and, when others may come in, how.
func (e *entrance) greet(w io.Writer, app *web.App, d web.Door, ls listeners) {
	scheme := "http"
	if e.authority != nil {
		scheme = "https"
	}
	if !d.Open {
		fmt.Fprintf(w, "Open %s://%s in a browser. Ctrl-C stops it.\n", scheme, ls.at())
	} else {
		fmt.Fprintf(w, "Open %s://localhost:%d/devices on this computer. Ctrl-C stops it.\n", scheme, ls.at().Port())
	}
	if e.authority != nil {
		fmt.Fprintf(w, "Its browser knows the workshop once the certificate is installed: http://localhost:%d/install\nSHA-256 %s\n",
			ls.install.Addr().(*net.TCPAddr).Port, authority.Fingerprint(d.Authority))
	}
	if !d.Open {
		return
	}
	found := d.Addresses()
	if len(found) == 0 {
		fmt.Fprintln(w, e.whyNowhere(addressesAt(ls.at().Addr())))
		return
	}
	code, until := app.PairingCode()
	if e.authority != nil {
		fmt.Fprintf(w, "On a phone or tablet in the same network, first install the certificate from http://%s/install and compare the SHA-256.\n", d.Install()[0])
	}
	fmt.Fprintf(w, "On a phone or tablet in the same network, open %s://%s/pair and type the code %s. It is good once, until %s.\n", scheme, found[0], code, until.Format("15:04"))
}
