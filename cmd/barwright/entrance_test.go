package main

import (
	"bytes"
	gocontext "context"
	"crypto/tls"
	"crypto/x509"
	"errors"
	"io"
	"log"
	"net"
	"net/http"
	"net/netip"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"barwright/authority"
	"barwright/store"
	"barwright/web"
)

// Where it cannot listen, a sentence says why and what to do.
func TestCannotListen(t *testing.T) {
	t.Parallel()
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	_, port, _ := net.SplitHostPort(taken.Addr().String())
	for addr, want := range map[string][2]string{
		taken.Addr().String(): {"port " + port + " is in use already", "is another barwright running?"},
		"203.0.113.9:8420":    {"203.0.113.9 is not an address of this computer", "it has 127.0.0.1"}, // RFC 5737: nobody's
		"8420":                {`"8420" is not an address with a port`, "write it like"},
		"127.0.0.1:99999":     {`"127.0.0.1:99999" is not an address with a port`, "write it like"},
		"127.0.0.1:soap":      {`"127.0.0.1:soap" is not an address with a port`, "write it like"},
	} {
		e := entrance{addr: addr}
		_, err := e.listen()
		var h *hinted
		if !errors.As(err, &h) || !strings.HasPrefix(h.text, want[0]) || !strings.HasPrefix(h.advice, want[1]) {
			t.Errorf("%s: %v", addr, err)
		}
	}
}

// The key is made once, for its owner's eyes, and says when that was not so.
func TestKeyFile(t *testing.T) {
	t.Parallel()
	if runtime.GOOS == "windows" {
		t.Skip("files have no such permissions there")
	}
	dir := filepath.Join(t.TempDir(), "workshop")
	path := filepath.Join(dir, authorityFile)
	var said bytes.Buffer
	out := log.New(&said, "", 0)
	now := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	first, err := openAuthority(dir, now, out)
	if err != nil {
		t.Fatal(err)
	}
	mode := func() os.FileMode {
		info, err := os.Stat(path)
		if err != nil {
			t.Fatal(err)
		}
		return info.Mode().Perm()
	}
	if mode() != 0o600 {
		t.Errorf("made %o", mode())
	}
	if left, err := filepath.Glob(filepath.Join(dir, ".authority-*")); err != nil || len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	again, err := openAuthority(dir, now.AddDate(1, 0, 0), out)
	if err != nil || !bytes.Equal(again.Certificate(), first.Certificate()) {
		t.Errorf("another one at the second start (%v)", err)
	}
	if said.Len() > 0 {
		t.Errorf("nothing was wrong, and it said %q", said.String())
	}
	if err := os.Chmod(path, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := openAuthority(dir, now, out); err != nil || mode() != 0o600 || !strings.Contains(said.String(), "could be read by others on this computer; it is private now") {
		t.Errorf("left at %o, said %q (%v)", mode(), said.String(), err)
	}
	_, err = openAuthority(dir, time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC), out)
	var h *hinted
	if !errors.As(err, &h) || !strings.Contains(h.text, "the clock of this computer says 1 January 1970") || h.advice != "set the clock" {
		t.Errorf("a wrong clock: %v", err)
	}
	if err := os.WriteFile(path, []byte("soap"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := openAuthority(dir, now, out); !errors.As(err, &h) || !strings.Contains(h.text, "it is damaged") || !strings.Contains(h.advice, "move it away") {
		t.Errorf("damaged: %v", err)
	}
	if kept, err := os.ReadFile(path); err != nil || string(kept) != "soap" {
		t.Error("the damaged file was overwritten")
	}
}

// Neither an export nor a backup takes the key along.
func TestTheKeyStaysAtHome(t *testing.T) {
	t.Parallel()
	dir, to := filepath.Join(t.TempDir(), "workshop"), t.TempDir()
	if _, err := openAuthority(dir, time.Now(), log.New(io.Discard, "", 0)); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	s.Close()
	ctx := context{strings.NewReader(""), io.Discard, io.Discard}
	export := exportCommand{Dir: filepath.Join(to, "export"), Data: dir}
	if err := export.Run(ctx); err != nil {
		t.Fatal(err)
	}
	if err := store.Backup(t.Context(), dir, filepath.Join(to, "backup")); err != nil {
		t.Fatal(err)
	}
	files := 0
	err = filepath.WalkDir(to, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		files++
		data, err := os.ReadFile(path)
		if bytes.Contains(data, []byte("PRIVATE KEY")) {
			t.Errorf("%s holds a key", path)
		}
		return err
	})
	if err != nil || files < 3 {
		t.Errorf("%d files (%v)", files, err)
	}
}

// An address of the loop lets nobody else in; any other does, and the loop
// listens too, so that the computer itself needs no code.
func TestWhoMayKnock(t *testing.T) {
	t.Parallel()
	for addr, open := range map[string]bool{"127.0.0.1:0": false, "127.0.0.2:0": false, "localhost:0": false, "0.0.0.0:0": true, ":0": true} {
		e := entrance{addr: addr, hosts: []string{"Kitchen.local"}}
		ls, err := e.listen()
		if err != nil {
			t.Fatal(err)
		}
		defer ls.close()
		d, err := e.door(ls)
		if err != nil || d.Open != open {
			t.Errorf("%s: open %v (%v)", addr, d.Open, err)
		}
		if found := d.Addresses(); len(found) == 0 || !strings.HasPrefix(found[0], "kitchen.local:") {
			t.Errorf("%s is found at %v", addr, found)
		}
	}
	for _, own := range addressesAt(netip.IPv4Unspecified()) { // none on a machine without a network
		e := entrance{addr: own.String() + ":0"}
		ls, err := e.listen()
		for range 20 { // the loop's port of the same number may be taken
			if err == nil || !strings.Contains(err.Error(), "is in use") {
				break
			}
			ls, err = e.listen()
		}
		if err != nil {
			t.Fatal(err)
		}
		defer ls.close()
		if len(ls.app) != 2 || !strings.HasPrefix(ls.app[1].Addr().String(), "127.0.0.1:") {
			t.Errorf("%s: this computer has no way in", own)
		}
	}
	e := entrance{addr: "127.0.0.1:0", hosts: []string{"bank.example"}}
	var err error
	if e.authority, err = authority.New(time.Now()); err != nil {
		t.Fatal(err)
	}
	ls, err := e.listen()
	if err != nil {
		t.Fatal(err)
	}
	defer ls.close()
	if _, err := e.door(ls); err == nil || !strings.Contains(err.Error(), "bank.example") {
		t.Errorf("a certificate for a site of the internet: %v", err)
	}
}

// wantSentence sends plain HTTP to the port of TLS, as browsers do when the s of
// https was not typed, a long request too.
func wantSentence(t *testing.T, port, installPort string) {
	t.Helper()
	for _, long := range []string{"", strings.Repeat("x", 20_000)} {
		req, err := http.NewRequestWithContext(t.Context(), "GET", "http://127.0.0.1:"+port+"/recipes", nil)
		if err != nil {
			t.Fatal(err)
		}
		req.Header.Set("Cookie", long)
		resp, err := http.DefaultClient.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		said, err := io.ReadAll(resp.Body)
		resp.Body.Close()
		if err != nil || resp.StatusCode != http.StatusBadRequest || !strings.Contains(string(said), "Open https://127.0.0.1:"+port+" instead.") || !strings.Contains(string(said), ":"+installPort+"/install") {
			t.Errorf("plain HTTP is answered %d %q (%v)", resp.StatusCode, said, err)
		}
	}
}

// Why devices find the workshop nowhere: no network, or under TLS none but the
// internet (203.0.113.0/24 is for examples, RFC 5737).
func TestWhyNowhere(t *testing.T) {
	t.Parallel()
	loop, public := netip.MustParseAddr("127.0.0.1"), netip.MustParseAddr("203.0.113.9")
	plain, secure := &entrance{}, &entrance{}
	var err error
	if secure.authority, err = authority.New(time.Now()); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		e    *entrance
		own  []netip.Addr
		want string
	}{
		{plain, nil, "in no local network now"},
		{secure, nil, "in no local network now"},
		{secure, []netip.Addr{loop}, "in no local network now"},
		{secure, []netip.Addr{loop, public}, "only addresses of the internet (203.0.113.9)"},
	} {
		if said := c.e.whyNowhere(c.own); !strings.Contains(said, c.want) {
			t.Errorf("%v: %q, want %q", c.own, said, c.want)
		}
	}
}

// lines is a terminal that two may use at once.
type lines struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lines) Write(p []byte) (int, error) { l.mu.Lock(); defer l.mu.Unlock(); return l.b.Write(p) }
func (l *lines) String() string              { l.mu.Lock(); defer l.mu.Unlock(); return l.b.String() }

// The whole of it, under TLS: the terminal says where to go, with the code and
// the fingerprint; the certificate that the second port gives is the one that
// makes a browser believe the first; interrupted, it ends.
func TestServeWithTLS(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	s, err := store.Open(t.Context(), dir)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	var terminal, logged lines
	e := entrance{addr: "0.0.0.0:0", hosts: []string{"kitchen.local"}, log: log.New(&logged, "", 0)}
	if e.authority, err = openAuthority(dir, time.Now(), e.log); err != nil {
		t.Fatal(err)
	}
	bg, interrupt := gocontext.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- serve(bg, context{nil, &terminal, &logged}, s, e, web.Options{Log: e.log}) }()
	said := regexp.MustCompile(`(?s)Open https://localhost:(\d+)/devices .*http://localhost:(\d+)/install\nSHA-256 ([0-9A-F:]{95})\n.*first install the certificate from http://kitchen.local:\d+/install.*open https://kitchen.local:\d+/pair and type the code \d{4} \d{4}\.`)
	var m []string
	for deadline := time.Now().Add(10 * time.Second); m == nil; time.Sleep(5 * time.Millisecond) {
		if m = said.FindStringSubmatch(terminal.String()); m == nil && time.Now().After(deadline) {
			t.Fatalf("the terminal says %q", terminal.String())
		}
	}
	resp, err := http.Get("http://localhost:" + m[2] + "/install/barwright.crt")
	if err != nil {
		t.Fatal(err)
	}
	der, err := io.ReadAll(resp.Body)
	resp.Body.Close()
	if err != nil || authority.Fingerprint(der) != m[3] {
		t.Fatalf("the certificate is not the one the terminal tells of (%v)", err)
	}
	cert, err := x509.ParseCertificate(der)
	if err != nil {
		t.Fatal(err)
	}
	roots := x509.NewCertPool()
	roots.AddCert(cert)
	client := &http.Client{Transport: &http.Transport{TLSClientConfig: &tls.Config{RootCAs: roots}}}
	resp, err = client.Get("https://localhost:" + m[1] + "/devices")
	if err != nil {
		t.Fatal(err)
	}
	page, err := io.ReadAll(resp.Body)
	resp.Body.Close()
	if err != nil || resp.StatusCode != http.StatusOK || !strings.Contains(string(page), m[3][:23]) {
		t.Errorf("the page Devices: %d", resp.StatusCode)
	}
	if _, err := (&http.Client{Transport: &http.Transport{}}).Get("https://localhost:" + m[1]); err == nil {
		t.Error("believed without the certificate")
	}
	client.CloseIdleConnections()
	wantSentence(t, m[1], m[2])
	interrupt()
	select {
	case err := <-ended:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(10 * time.Second):
		t.Error("it does not end")
	}
	if logged.String() != "" {
		t.Errorf("nothing was wrong, and the log says %q", logged.String())
	}
}
