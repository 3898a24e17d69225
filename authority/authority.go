// Package authority answers how a phone can know that it talks to this
// workshop: by a certificate authority of the workshop's own, made once, that
// may speak for a local network and for nothing else.
//
// Start with New and Parse, and with Leaf, which certifies addresses. What it
// does not do: read or write files, serve, or decide who may come in.
package authority

import (
	"crypto/ecdsa"
	"crypto/elliptic"
	"crypto/rand"
	"crypto/sha256"
	"crypto/tls"
	"crypto/x509"
	"crypto/x509/pkix"
	"encoding/pem"
	"fmt"
	"net"
	"net/netip"
	"strings"
	"time"
)

// How long an authority and its certificates hold. Phones refuse certificates
// of web sites of more than 398 days; 90 are enough, as they are renewed.
const (
	years      = 10
	leafDays   = 90
	renewAfter = 60 * 24 * time.Hour
)

// early is how far before its making a certificate already holds, because the
// clock of a phone may be behind.
const early = 24 * time.Hour

// Authority signs certificates for addresses and names of a local network.
type Authority struct {
	cert *x509.Certificate
	key  *ecdsa.PrivateKey
}

// Trouble is what keeps an authority from being used, in a maker's words.
type Trouble struct{ Text, Advice string }

func (t *Trouble) Error() string { return t.Text }

// Hint returns what to do about it.
func (t *Trouble) Hint() string { return t.Advice }

const makeAnew = "move it away; a new one is made at the next start, and every phone must then install the new certificate"

// New makes an authority that holds for ten years from now. Its certificate
// names the only addresses it may ever speak for, so that whoever steals the
// key still cannot pose as any site of the internet.
func New(now time.Time) (*Authority, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	template := &x509.Certificate{
		Subject:                     pkix.Name{Organization: []string{"Barwright"}, CommonName: "Barwright workshop, " + now.Format("2 January 2006 15:04")},
		NotBefore:                   now.Add(-early),
		NotAfter:                    now.AddDate(years, 0, 0),
		IsCA:                        true,
		BasicConstraintsValid:       true,
		MaxPathLenZero:              true,
		KeyUsage:                    x509.KeyUsageCertSign,
		ExtKeyUsage:                 []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
		PermittedDNSDomainsCritical: true,
		PermittedDNSDomains:         localDomains,
		PermittedIPRanges:           localNets(),
	}
	der, err := x509.CreateCertificate(rand.Reader, template, template, key.Public(), key)
	if err != nil {
		return nil, err
	}
	cert, err := x509.ParseCertificate(der)
	if err != nil {
		return nil, err
	}
	return &Authority{cert, key}, nil
}

// Parse reads what PEM wrote. The error is a *Trouble: damaged, ended, or not
// yet begun, which means that a clock is wrong.
func Parse(data []byte, now time.Time) (*Authority, error) {
	pair, err := tls.X509KeyPair(data, data) // checks that key and certificate belong together
	if err != nil {
		return nil, &Trouble{"it is damaged: " + strings.TrimPrefix(err.Error(), "tls: "), makeAnew}
	}
	key, ok := pair.PrivateKey.(*ecdsa.PrivateKey)
	switch c := pair.Leaf; {
	case !ok || !c.IsCA || c.CheckSignatureFrom(c) != nil:
		return nil, &Trouble{"it is damaged: that is no authority", makeAnew}
	case now.Before(c.NotBefore):
		return nil, &Trouble{fmt.Sprintf("it was made on %s, and the clock of this computer says %s", c.NotBefore.Add(early).Format("2 January 2006"), now.Format("2 January 2006")), "set the clock"}
	case now.After(c.NotAfter):
		return nil, &Trouble{fmt.Sprintf("it ended on %s", c.NotAfter.Format("2 January 2006")), makeAnew}
	}
	return &Authority{pair.Leaf, key}, nil
}

// PEM returns certificate and private key. Whoever has them can pose as this
// workshop to its phones.
func (a *Authority) PEM() ([]byte, error) {
	key, err := x509.MarshalPKCS8PrivateKey(a.key)
	if err != nil {
		return nil, err
	}
	return append(pem.EncodeToMemory(&pem.Block{Type: "CERTIFICATE", Bytes: a.cert.Raw}),
		pem.EncodeToMemory(&pem.Block{Type: "PRIVATE KEY", Bytes: key})...), nil
}

// Certificate returns what a phone installs, as DER.
func (a *Authority) Certificate() []byte { return a.cert.Raw }

// Fingerprint returns the SHA-256 of a certificate in DER as phones show it:
// 32 pairs of hexadecimal digits, parted by colons.
func Fingerprint(der []byte) string {
	sum := sha256.Sum256(der)
	return strings.ReplaceAll(fmt.Sprintf("% X", sum[:]), " ", ":")
}

// Leaf returns a certificate for hosts, which are addresses or names, with a
// key of its own. A host the authority may not speak for is a *Trouble.
func (a *Authority) Leaf(now time.Time, hosts []string) (*tls.Certificate, error) {
	key, err := ecdsa.GenerateKey(elliptic.P256(), rand.Reader)
	if err != nil {
		return nil, err
	}
	template := &x509.Certificate{
		Subject:     pkix.Name{Organization: []string{"Barwright"}, CommonName: "Barwright workshop"},
		NotBefore:   later(now.Add(-early), a.cert.NotBefore),
		NotAfter:    now.AddDate(0, 0, leafDays),
		KeyUsage:    x509.KeyUsageDigitalSignature,
		ExtKeyUsage: []x509.ExtKeyUsage{x509.ExtKeyUsageServerAuth},
	}
	if template.NotAfter.After(a.cert.NotAfter) {
		template.NotAfter = a.cert.NotAfter
	}
	for _, h := range hosts {
		if !Local(h) {
			return nil, &Trouble{fmt.Sprintf("the certificate cannot be for %q", h), "give an address of the local network, or a name that ends in .local, .home.arpa, .internal or .lan"}
		}
		if ip, err := netip.ParseAddr(h); err == nil {
			template.IPAddresses = append(template.IPAddresses, net.IP(ip.Unmap().AsSlice()))
		} else {
			template.DNSNames = append(template.DNSNames, strings.ToLower(h))
		}
	}
	der, err := x509.CreateCertificate(rand.Reader, template, a.cert, key.Public(), a.key)
	if err != nil {
		return nil, err
	}
	leaf, err := x509.ParseCertificate(der)
	return &tls.Certificate{Certificate: [][]byte{der, a.cert.Raw}, PrivateKey: key, Leaf: leaf}, err
}

func later(a, b time.Time) time.Time {
	if a.After(b) {
		return a
	}
	return b
}
