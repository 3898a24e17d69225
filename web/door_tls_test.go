package web

import (
	"bytes"
	"crypto/tls"
	"crypto/x509"
	"io"
	"log"
	"net"
	"net/http"
	"net/netip"
	"net/url"
	"strings"
	"testing"
	"time"

	"barwright/authority"
)

// From a browser to the page, over real connections: 127.0.0.2 plays the
// phone, and TLS is believed with the authority only.
func TestPairingOverTheNetwork(t *testing.T) {
	t.Parallel()
	a, err := authority.New(time.Now())
	if err != nil {
		t.Fatal(err)
	}
	leaves, err := authority.NewLeaves(a, time.Now, nil)
	if err != nil {
		t.Fatal(err)
	}
	h := openHouse(t, Door{Open: true, Authority: a.Certificate()})
	h.door.here = func(ip netip.Addr) bool { return ip == netip.MustParseAddr(loop) }
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	server := &http.Server{Handler: h, TLSConfig: leaves.Config(), ErrorLog: log.New(io.Discard, "", 0), ReadHeaderTimeout: time.Minute}
	go server.ServeTLS(l, "", "")
	defer server.Close()
	home := "https://" + l.Addr().String()
	roots := x509.NewCertPool()
	cert, err := x509.ParseCertificate(a.Certificate())
	if err != nil {
		t.Fatal(err)
	}
	roots.AddCert(cert)
	client := func(from string, roots *x509.CertPool) *http.Client {
		dial := net.Dialer{LocalAddr: &net.TCPAddr{IP: net.ParseIP(from)}}
		transport := &http.Transport{DialContext: dial.DialContext, TLSClientConfig: &tls.Config{RootCAs: roots}, ForceAttemptHTTP2: true}
		t.Cleanup(transport.CloseIdleConnections)
		return &http.Client{Transport: transport, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	}
	if _, err := client(loop, x509.NewCertPool()).Get(home + "/recipes"); err == nil {
		t.Error("a device that has not installed the certificate believes it")
	}
	status := func(c *http.Client, path string) int {
		t.Helper()
		resp, err := c.Get(home + path)
		if err != nil {
			t.Fatal(err)
		}
		resp.Body.Close()
		return resp.StatusCode
	}
	here, away := client(loop, roots), client("127.0.0.2", roots)
	if got := status(here, "/recipes"); got != http.StatusOK {
		t.Errorf("here: %d", got)
	}
	if got := status(away, "/recipes"); got != http.StatusSeeOther {
		t.Errorf("away: %d", got)
	}
	code, _ := h.PairingCode()
	resp, err := away.PostForm(home+"/pair", url.Values{"code": {code}, "name": {"Phone"}})
	if err != nil {
		t.Fatal(err)
	}
	resp.Body.Close()
	if len(resp.Cookies()) != 1 {
		t.Fatalf("%d, no cookie", resp.StatusCode)
	}
	req, err := http.NewRequestWithContext(t.Context(), "GET", home+"/recipes", nil)
	if err != nil {
		t.Fatal(err)
	}
	req.AddCookie(resp.Cookies()[0])
	if resp, err = away.Do(req); err != nil || resp.StatusCode != http.StatusOK || resp.ProtoMajor != 2 {
		t.Fatalf("paired: %v (%v)", resp, err)
	}
	resp.Body.Close()
}

// Beside TLS, plain HTTP gives the certificate and nothing of the workshop.
func TestInstallPort(t *testing.T) {
	t.Parallel()
	a, err := authority.New(time.Now())
	if err != nil {
		t.Fatal(err)
	}
	h := openHouse(t, Door{Open: true, Authority: a.Certificate()})
	app := h.Handler
	h.Handler = h.InstallHandler()
	for _, from := range []string{loop, phone} {
		page := h.ask(from, "GET", "/install", nil)
		if body := page.Body.String(); page.Code != http.StatusOK || !strings.Contains(body, authority.Fingerprint(a.Certificate())[:23]) || !strings.Contains(body, `href="https://192.168.1.20:8420"`) || strings.Contains(body, "/stock") {
			t.Errorf("from %s: %d %s", from, page.Code, body)
		}
		crt := h.ask(from, "GET", "/install/barwright.crt", nil)
		if crt.Header().Get("Content-Type") != "application/x-x509-ca-cert" || !bytes.Equal(crt.Body.Bytes(), a.Certificate()) {
			t.Errorf("from %s: %v", from, crt.Header())
		}
		if _, err := x509.ParseCertificate(crt.Body.Bytes()); err != nil {
			t.Error(err)
		}
		for _, path := range []string{"/", "/recipes", "/export", "/pair", "/devices", "/install/x"} {
			if w := h.ask(from, "GET", path, nil); w.Code != http.StatusSeeOther || w.Header().Get("Location") != "/install" {
				t.Errorf("%s from %s: %d", path, from, w.Code)
			}
		}
		if w := h.ask(from, "POST", "/pair", url.Values{}); w.Code != http.StatusMethodNotAllowed {
			t.Errorf("a form over plain HTTP: %d", w.Code)
		}
		if w := h.ask(from, "GET", "/install", nil, header("Host", "evil.example")); w.Code != http.StatusMisdirectedRequest || w.Header().Get("Content-Security-Policy") == "" {
			t.Errorf("another name: %d", w.Code)
		}
	}
	h.Handler = app
	page := h.ask(loop, "GET", "/devices", nil).Body.String()
	if !strings.Contains(page, authority.Fingerprint(a.Certificate())[:23]) || strings.Contains(page, "Over plain HTTP") {
		t.Error("the page Devices does not show the fingerprint")
	}
	if w := openHouse(t, Door{}).ask(loop, "GET", "/install", nil); w.Code != http.StatusNotFound {
		t.Errorf("without TLS there is a certificate: %d", w.Code)
	}
}
