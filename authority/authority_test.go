package authority

import (
	"bytes"
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"encoding/hex"
	"encoding/pem"
	"errors"
	"net"
	"net/netip"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

var now = time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)

func made(t *testing.T) *Authority {
	t.Helper()
	a, err := New(now)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func roots(a *Authority) *x509.CertPool {
	p := x509.NewCertPool()
	p.AddCert(a.cert)
	return p
}

// A leaf is believed by who has installed the authority, for its hosts, and by
// nobody else.
func TestLeafIsBelievedWithTheAuthorityOnly(t *testing.T) {
	t.Parallel()
	a, other := made(t), made(t)
	leaf, err := a.Leaf(now, []string{"192.168.1.20", "fd00::7", "Kitchen.local"})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		host   string
		by     *Authority
		at     time.Time
		wanted bool
	}{
		{"192.168.1.20", a, now, true},
		{"fd00::7", a, now, true},
		{"kitchen.local", a, now, true},
		{"192.168.1.20", a, now.Add(-12 * time.Hour), true}, // a phone whose clock is behind
		{"192.168.1.20", a, now.AddDate(0, 0, leafDays-1), true},
		{"192.168.1.20", a, now.AddDate(0, 0, leafDays+1), false},
		{"192.168.1.21", a, now, false},
		{"kitchen.lan", a, now, false},
		{"192.168.1.20", other, now, false},
	} {
		_, err := leaf.Leaf.Verify(x509.VerifyOptions{DNSName: c.host, Roots: roots(c.by), CurrentTime: c.at})
		if (err == nil) != c.wanted {
			t.Errorf("%s on %s: %v", c.host, c.at.Format(time.DateOnly), err)
		}
	}
	if _, err := leaf.Leaf.Verify(x509.VerifyOptions{DNSName: "192.168.1.20", CurrentTime: now}); err == nil {
		t.Error("believed by a machine that installed nothing")
	}
	if life := leaf.Leaf.NotAfter.Sub(leaf.Leaf.NotBefore); life > 397*24*time.Hour { // CA/Browser Forum, baseline requirements 6.3.2: 398
		t.Errorf("the leaf holds %s", life)
	}
}

// Whoever steals the key cannot pose as a site of the internet: phones refuse
// what lies outside the constraints (RFC 5280, 4.2.1.10).
func TestAStolenKeyOpensNoOtherSite(t *testing.T) {
	t.Parallel()
	a := made(t)
	for _, c := range []struct {
		name   string
		ip     net.IP
		wanted bool
	}{
		{"workshop.local", nil, true},
		{"bank.example", nil, false},
		{"local.example", nil, false},
		{"", net.IPv4(10, 1, 2, 3), true},
		{"", net.IPv4(203, 0, 113, 9), false},
		{"", net.ParseIP("2001:db8::1"), false},
	} {
		key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
		if err != nil {
			t.Fatal(err)
		}
		template := &x509.Certificate{NotBefore: now, NotAfter: now.AddDate(0, 1, 0), ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth}}
		host := c.name
		if c.name != "" {
			template.DNSNames = []string{c.name}
		} else {
			template.IPAddresses, host = []net.IP{c.ip}, c.ip.String()
		}
		der, err := x509.CreateCertificate(rand.Reader, template, a.cert, key.Public(), a.key)
		if err != nil {
			t.Fatal(err)
		}
		forged, err := x509.ParseCertificate(der)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := forged.Verify(x509.VerifyOptions{DNSName: host, Roots: roots(a), CurrentTime: now}); (err == nil) != c.wanted {
			t.Errorf("%s: %v", host, err)
		}
	}
}

// OpenSSL, which is not ours, believes the same.
func TestOpenSSLBelievesIt(t *testing.T) {
	t.Parallel()
	openssl, err := exec.LookPath("openssl")
	if err != nil {
		t.Skip("no openssl on this machine")
	}
	a, err := New(time.Now())
	if err != nil {
		t.Fatal(err)
	}
	leaf, err := a.Leaf(time.Now(), []string{"192.168.1.20"})
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	write := func(name string, der []byte) string {
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: der}), 0o600); err != nil {
			t.Fatal(err)
		}
		return file
	}
	ca, cert := write("ca.pem", a.Certificate()), write("leaf.pem", leaf.Certificate[0])
	run := func(args ...string) (string, error) {
		out, err := exec.CommandContext(t.Context(), openssl, args...).CombinedOutput()
		return string(out), err
	}
	if out, err := run("verify", "-x509_strict", "-purpose", "sslserver", "-CAfile", ca, "-verify_ip", "192.168.1.20", cert); err != nil {
		t.Errorf("refused: %s", out)
	}
	if out, err := run("verify", "-CAfile", ca, "-verify_ip", "192.168.1.21", cert); err == nil {
		t.Errorf("believed for another address: %s", out)
	}
	if out, err := run("x509", "-in", ca, "-noout", "-fingerprint", "-sha256"); err != nil || !strings.Contains(out, Fingerprint(a.Certificate())) {
		t.Errorf("its fingerprint is %q, ours %s", out, Fingerprint(a.Certificate()))
	}
}

// What is written is read back as the same authority.
func TestKeptAndReadBack(t *testing.T) {
	t.Parallel()
	a := made(t)
	kept, err := a.PEM()
	if err != nil {
		t.Fatal(err)
	}
	back, err := Parse(kept, now.AddDate(9, 0, 0))
	if err != nil {
		t.Fatal(err)
	}
	leaf, err := back.Leaf(now.AddDate(9, 0, 0), []string{"10.0.0.1"})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := leaf.Leaf.Verify(x509.VerifyOptions{DNSName: "10.0.0.1", Roots: roots(a), CurrentTime: now.AddDate(9, 0, 0)}); err != nil {
		t.Error(err)
	}
	again, err := back.PEM()
	if err != nil || !bytes.Equal(again, kept) {
		t.Error("written otherwise the second time")
	}
}

// What cannot be used is said in words.
func TestTroubles(t *testing.T) {
	t.Parallel()
	a, other := made(t), made(t)
	kept, err := a.PEM()
	if err != nil {
		t.Fatal(err)
	}
	otherKept, err := other.PEM()
	if err != nil {
		t.Fatal(err)
	}
	leaf, err := a.Leaf(now, []string{"10.0.0.1"})
	if err != nil {
		t.Fatal(err)
	}
	leafKey, err := x509.MarshalPKCS8PrivateKey(leaf.PrivateKey)
	if err != nil {
		t.Fatal(err)
	}
	certOnly := pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: a.Certificate()})
	noAuthority := append(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: leaf.Certificate[0]}), pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: leafKey})...)
	for what, c := range map[string]struct {
		data       []byte
		at         time.Time
		text, hint string
	}{
		"empty":       {nil, now, "damaged", "move it away"},
		"half":        {kept[:len(kept)/2], now, "damaged", "move it away"},
		"no key":      {certOnly, now, "damaged", "move it away"},
		"another key": {append(bytes.Clone(certOnly), otherKept[bytes.Index(otherKept, []byte("-----BEGIN PRIVATE")):]...), now, "damaged", "move it away"},
		"a leaf":      {noAuthority, now, "no authority", "move it away"},
		"clock":       {kept, time.Date(1970, 1, 1, 0, 0, 0, 0, time.UTC), "made on 25 November 2026, and the clock of this computer says 1 January 1970", "set the clock"},
		"ended":       {kept, now.AddDate(10, 0, 1), "ended on 25 November 2036", "move it away"},
	} {
		_, err := Parse(c.data, c.at)
		var trouble *Trouble
		if !errors.As(err, &trouble) || !strings.Contains(trouble.Text, c.text) || !strings.HasPrefix(trouble.Hint(), c.hint) {
			t.Errorf("%s: %v", what, err)
		}
		if err != nil && strings.Contains(err.Error(), "PRIVATE") {
			t.Errorf("%s: the message holds a key: %v", what, err)
		}
	}
	for _, host := range []string{"bank.example", "8.8.8.8", "", "kitchen", "-.local.", "a b.local"} {
		var trouble *Trouble
		if _, err := a.Leaf(now, []string{host}); !errors.As(err, &trouble) {
			t.Errorf("certified %q", host)
		}
	}
}

func TestFingerprint(t *testing.T) {
	t.Parallel()
	sum := sha256.Sum256([]byte("abc"))
	got := Fingerprint([]byte("abc"))
	if len(got) != 95 || !strings.EqualFold(strings.ReplaceAll(got, ":", ""), hex.EncodeToString(sum[:])) || got[:5] != "BA:78" { // FIPS 180-4, example of "abc": BA7816BF…
		t.Error(got)
	}
}

// Every address that is local can be certified and no other; an independent
// word for local is the standard library's.
func TestLocalAddresses(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		b := rapid.SliceOfN(rapid.Byte(), 4, 4).Draw(t, "v4")
		if rapid.Bool().Draw(t, "near") { // most of all addresses are not local
			b[0] = rapid.SampledFrom([]byte{10, 127, 169, 172, 192}).Draw(t, "first")
			b[1] = rapid.SampledFrom([]byte{15, 16, 31, 32, 168, 254}).Draw(t, "second")
		}
		ip, _ := netip.AddrFromSlice(b)
		if want := ip.IsPrivate() || ip.IsLoopback() || ip.IsLinkLocalUnicast(); Local(ip.String()) != want {
			t.Fatalf("%s: local %v, want %v", ip, !want, want)
		}
	})
}

// at is a connection that came to an address of this machine.
type at struct {
	net.Conn
	addr string
}

func (c at) LocalAddr() net.Addr { return net.TCPAddrFromAddrPort(netip.MustParseAddrPort(c.addr)) }

// The certificate follows the clock and the machine's addresses.
func TestLeavesAreRenewed(t *testing.T) {
	t.Parallel()
	clock := now
	a := made(t)
	l, err := NewLeaves(a, func() time.Time { return clock }, []string{"192.168.1.20", "kitchen.local", "localhost"})
	if err != nil {
		t.Fatal(err)
	}
	get := func(addr string) *tls.Certificate {
		t.Helper()
		c, err := l.Config().GetCertificate(&tls.ClientHelloInfo{Conn: at{addr: addr}})
		if err != nil {
			t.Fatal(err)
		}
		if c.Leaf.NotAfter.Before(clock) || c.Leaf.NotBefore.After(clock) {
			t.Errorf("on %s it holds from %s to %s", clock, c.Leaf.NotBefore, c.Leaf.NotAfter)
		}
		return c
	}
	first := get("192.168.1.20:8420")
	for _, addr := range []string{"127.0.0.1:8420", "192.168.1.20:8420", "203.0.113.9:8420"} {
		if get(addr) != first {
			t.Errorf("made anew for %s", addr)
		}
	}
	moved := get("192.168.1.33:8420")
	if moved == first || moved.Leaf.VerifyHostname("192.168.1.33") != nil || moved.Leaf.VerifyHostname("192.168.1.20") != nil {
		t.Error("the new address of this machine is not certified")
	}
	linkLocal := get("[fe80::1%1]:8420")
	if linkLocal.Leaf.VerifyHostname("fe80::1") != nil {
		t.Error("an address with a zone is not certified")
	}
	clock = clock.Add(renewAfter - time.Hour)
	if get("192.168.1.33:8420") != linkLocal {
		t.Error("renewed too early")
	}
	clock = clock.Add(2 * time.Hour)
	renewed := get("192.168.1.33:8420")
	if renewed == linkLocal {
		t.Error("not renewed")
	}
	if _, err := renewed.Leaf.Verify(x509.VerifyOptions{DNSName: "192.168.1.33", Roots: roots(a), CurrentTime: clock}); err != nil {
		t.Error(err)
	}
	if _, err := NewLeaves(a, time.Now, []string{"bank.example"}); err == nil {
		t.Error("certified a site of the internet")
	}
}
