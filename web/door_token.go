package web

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"net/http"
	"time"
)

// tokenBytes are 256 bits, which nobody guesses.
const tokenBytes = 32

// cookieName is of the cookie that holds a device's token. Under TLS browsers
// take a name with this prefix from the same host and over TLS only.
func (d *door) cookieName() string {
	if d.secure() {
		return "__Host-barwright"
	}
	return "barwright"
}

// newToken makes a token for a device and its hash, the only trace of it that
// is kept.
func (d *door) newToken() (token, hash string) {
	raw := make([]byte, tokenBytes)
	rand.Read(raw) // never fails
	token = base64.RawURLEncoding.EncodeToString(raw)
	return token, d.hash(token)
}

// giveToken sets a token on the browser, for as long as browsers keep one.
func (d *door) giveToken(w http.ResponseWriter, token string) {
	d.setCookie(w, token, 400*24*time.Hour)
}

func (d *door) takeToken(w http.ResponseWriter) { d.setCookie(w, "", -time.Second) }

// setCookie sets the cookie so that links from elsewhere, such as one in a mail,
// open the workshop and not the pairing page. It is not sent with what other
// sites post, crossOrigin refuses that once more, and nothing that is only asked
// for changes anything.
func (d *door) setCookie(w http.ResponseWriter, value string, life time.Duration) {
	http.SetCookie(w, &http.Cookie{Name: d.cookieName(), Value: value, Path: "/", MaxAge: int(life.Seconds()),
		HttpOnly: true, SameSite: http.SameSiteLaxMode, Secure: d.secure()})
}

// tokenHash is the hash of a request's token, "" without one.
func (d *door) tokenHash(r *http.Request) string {
	c, err := r.Cookie(d.cookieName())
	if err != nil || len(c.Value) != base64.RawURLEncoding.EncodedLen(tokenBytes) {
		return ""
	}
	return d.hash(c.Value)
}

// hash keeps tokens that went over plain HTTP, where others can read along,
// from being good under TLS.
func (d *door) hash(token string) string {
	sum := sha256.Sum256([]byte(d.cookieName() + ":" + token))
	return hex.EncodeToString(sum[:])
}
