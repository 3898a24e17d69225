package web

import (
	"crypto/rand"
	"crypto/subtle"
	"fmt"
	"maps"
	"math/big"
	"net/netip"
	"strings"
	"sync"
	"time"
)

// How long a pairing code is good, and how many wrong ones are taken before
// guessing is slowed down.
const (
	codeDigits   = 8
	codeLife     = 10 * time.Minute
	wrongPerAddr = 5
	wrongOverall = 20
	firstPause   = time.Minute
	longestPause = time.Hour
)

// codes holds the pairing code, which is good once and not for long, and slows
// guessing down: by address, and overall for an attacker with many addresses.
// After the free guesses every further wrong one doubles the pause. A new code
// forgets the guesses at the old one, but not who made too many.
type codes struct {
	now func() time.Time

	mu      sync.Mutex
	code    string
	until   time.Time
	overall guesses
	byAddr  map[netip.Prefix]guesses
	told    time.Time // when the log was last told of wrong codes
}

// guesses are wrong ones.
type guesses struct {
	wrong      int
	last, wait time.Time // of the last one, and until when none is taken
}

// more counts one, made now; so many are free.
func (g guesses) more(now time.Time, free int) guesses {
	if now.Sub(g.last) > 2*longestPause {
		g = guesses{}
	}
	g.wrong, g.last = g.wrong+1, now
	if over := g.wrong - free; over >= 0 {
		g.wait = now.Add(min(longestPause, firstPause<<min(over, 10)))
	}
	return g
}

// fresh makes a new code in place of the last.
func (c *codes) fresh() (code string, until time.Time) {
	n, err := rand.Int(rand.Reader, big.NewInt(1e8))
	if err != nil {
		panic(err) // crypto/rand does not fail
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.code, c.until, c.overall = fmt.Sprintf("%0*d", codeDigits, n), c.now().Add(codeLife), guesses{}
	return c.code, c.until
}

// good returns the code that is good now, "" when there is none.
func (c *codes) good() (code string, until time.Time) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.code == "" || !c.now().Before(c.until) {
		return "", time.Time{}
	}
	return c.code, c.until
}

// try takes a code typed at an address. The code is used up when it is right.
// While wait is positive no code is looked at, not even the right one.
func (c *codes) try(from netip.Addr, typed string) (right bool, wait time.Duration) {
	c.mu.Lock()
	defer c.mu.Unlock()
	now, who := c.now(), network(from)
	if wait := max(c.overall.wait.Sub(now), c.byAddr[who].wait.Sub(now)); wait > 0 {
		return false, wait
	}
	match := subtle.ConstantTimeCompare([]byte(typed), []byte(c.code)) == 1
	if match && c.code != "" && now.Before(c.until) {
		c.code = ""
		delete(c.byAddr, who)
		return true, 0
	}
	c.forget(now)
	g := c.byAddr[who].more(now, wrongPerAddr)
	c.byAddr[who], c.overall = g, c.overall.more(now, wrongOverall)
	return false, max(0, c.overall.wait.Sub(now), g.wait.Sub(now))
}

// worthTelling reports, once a minute, that the log should be told of wrong
// codes: whoever sends thousands does not fill it.
func (c *codes) worthTelling() bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	now := c.now()
	if !c.told.IsZero() && now.Sub(c.told) < time.Minute {
		return false
	}
	c.told = now
	return true
}

// forget drops those who have not guessed for long. Guesses are only counted
// while they are taken, so that there are never many.
func (c *codes) forget(now time.Time) {
	maps.DeleteFunc(c.byAddr, func(_ netip.Prefix, g guesses) bool { return now.Sub(g.last) > 2*longestPause })
	if c.byAddr == nil {
		c.byAddr = map[netip.Prefix]guesses{}
	}
}

// network is what one device can have many addresses of: a single address of
// IPv4, the half of IPv6.
func network(a netip.Addr) netip.Prefix {
	bits := 64
	if a.Is4() {
		bits = 32
	}
	p, _ := a.WithZone("").Prefix(bits) // the zero prefix for no address
	return p
}

// readCode takes the digits out of what was typed; false when they are not as
// many as a code has.
func readCode(typed string) (string, bool) {
	code := strings.Map(func(r rune) rune {
		switch r {
		case ' ', '-', '\t', '\u00a0', '\u202f':
			return -1
		}
		return r
	}, typed)
	return code, len(code) == codeDigits && strings.Trim(code, "0123456789") == ""
}

// spoken writes a code in two halves.
func spoken(code string) string {
	if len(code) != codeDigits {
		return code
	}
	return code[:codeDigits/2] + " " + code[codeDigits/2:]
}
