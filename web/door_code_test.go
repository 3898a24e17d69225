package web

import (
	"net/http"
	"net/netip"
	"net/url"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"
	"unicode"
	"unicode/utf8"
)

// A code is good once, and for ten minutes.
func TestCodesRunOut(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	code, until := h.PairingCode()
	if !until.Equal(h.clock.Add(10 * time.Minute)) {
		t.Errorf("good until %s", until)
	}
	h.clock = h.clock.Add(10*time.Minute - time.Second)
	if w := h.pairing(phone, code, "in time"); w.Code != http.StatusSeeOther {
		t.Errorf("in time: %d", w.Code)
	}
	if w := h.pairing("192.168.1.31", code, "again"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("used twice: %d", w.Code)
	}
	code, _ = h.PairingCode()
	h.clock = h.clock.Add(10 * time.Minute)
	if w := h.pairing("192.168.1.31", code, "too late"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("too late: %d", w.Code)
	}
	old, _ := h.PairingCode()
	h.PairingCode()
	if w := h.pairing("192.168.1.31", old, "replaced"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("replaced: %d", w.Code)
	}
	if w := openHouse(t, Door{Open: true}).pairing(phone, "00000000", "none was made"); w.Code != http.StatusUnprocessableEntity {
		t.Errorf("none was made: %d", w.Code)
	}
}

// After five wrong codes even the right one waits, each time twice as long;
// another device is not held up.
func TestGuessingIsSlowedDown(t *testing.T) {
	t.Parallel()
	h := openHouse(t, Door{Open: true})
	guess := func(code string) int {
		w := h.pairing(phone, code, "x")
		if w.Code == http.StatusTooManyRequests && (w.Header().Get("Retry-After") == "" || !strings.Contains(w.Body.String(), "Too many wrong codes")) {
			t.Errorf("it does not say how long: %v", w.Header())
		}
		return w.Code
	}
	for i := range 4 {
		if got := guess("00000000"); got != http.StatusUnprocessableEntity {
			t.Fatalf("guess %d: %d", i+1, got)
		}
	}
	if got := guess("00000000"); got != http.StatusTooManyRequests {
		t.Fatalf("guess 5: %d", got)
	}
	for _, pause := range []time.Duration{1, 2, 4, 8, 16, 32, 60, 60} {
		pause *= time.Minute
		h.clock = h.clock.Add(pause - time.Second)
		code, _ := h.PairingCode()
		if got := guess(code); got != http.StatusTooManyRequests {
			t.Errorf("a second before %s are over the right code is answered %d", pause, got)
		}
		h.clock = h.clock.Add(time.Second)
		if got := guess("00000000"); got != http.StatusTooManyRequests {
			t.Errorf("after %s a wrong code is answered %d", pause, got)
		}
	}
	h.letIn("192.168.1.31", "another")
	h.clock = h.clock.Add(time.Hour)
	h.letIn(phone, "after the pause")
	if got := guess("00000000"); got != http.StatusUnprocessableEntity {
		t.Errorf("the right code has not wiped the slate: %d", got)
	}
}

// Many addresses do not help: after twenty wrong codes everybody waits, until
// the computer shows a new code.
func TestGuessingFromManyAddresses(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	c := codes{now: func() time.Time { return now }}
	code, _ := c.fresh()
	wrong := map[bool]string{true: "00000000", false: "11111111"}[code != "00000000"]
	taken := 0
	for i := range 1000 {
		if _, wait := c.try(netip.AddrFrom4([4]byte{10, 0, byte(i >> 8), byte(i)}), wrong); wait == 0 {
			taken++
		}
	}
	if taken != wrongOverall-1 { // the twentieth is taken and brings the pause
		t.Errorf("%d guesses were taken", taken)
	}
	if len(c.byAddr) > wrongOverall {
		t.Errorf("%d addresses are remembered", len(c.byAddr))
	}
	if right, wait := c.try(netip.MustParseAddr(phone), code); right || wait <= 0 {
		t.Error("the right code was taken in the pause")
	}
	code, _ = c.fresh()
	if right, _ := c.try(netip.MustParseAddr(phone), code); !right {
		t.Error("a new code is not taken")
	}
	// A device of IPv6 has 2^64 addresses, and is one device.
	v6 := codes{now: c.now}
	for i := range 5 {
		v6.try(netip.AddrFrom16([16]byte{0xfd, 15: byte(i)}), wrong)
	}
	if _, wait := v6.try(netip.AddrFrom16([16]byte{0xfd, 15: 99}), wrong); wait == 0 {
		t.Error("the next address of the same device guesses on")
	}
	if _, wait := v6.try(netip.AddrFrom16([16]byte{0xfd, 7: 1}), wrong); wait != 0 {
		t.Error("another network is held up")
	}
	now = now.Add(3 * time.Hour)
	v6.try(netip.MustParseAddr(phone), wrong)
	if len(v6.byAddr) != 1 {
		t.Errorf("%d addresses are remembered for hours", len(v6.byAddr))
	}
}

// Guesses sent all at once are counted one by one, and a code sent twice at
// once is good once.
func TestGuessesAtOnce(t *testing.T) {
	t.Parallel()
	now := time.Date(2026, 11, 25, 12, 0, 0, 0, time.UTC)
	c := codes{now: func() time.Time { return now }}
	code, _ := c.fresh()
	atOnce := func(typed string) (right, taken int32) {
		var wg sync.WaitGroup
		for range 100 {
			wg.Go(func() {
				ok, wait := c.try(netip.MustParseAddr(phone), typed)
				if ok {
					atomic.AddInt32(&right, 1)
				}
				if wait == 0 {
					atomic.AddInt32(&taken, 1)
				}
			})
		}
		wg.Wait()
		return right, taken
	}
	if right, _ := atOnce(code); right != 1 {
		t.Errorf("a code was good %d times", right)
	}
	if right, _ := c.try(netip.MustParseAddr(phone), ""); right {
		t.Error("no code is taken for a used one")
	}
	now = now.Add(3 * time.Hour)
	if _, taken := atOnce("00000000"); taken != wrongPerAddr-1 {
		t.Errorf("%d guesses at once were taken", taken)
	}
}

// Codes are spread over all eight digits; 200 draws miss one of the ten first
// digits with a chance of 10 × 0.9^200, under one in a hundred million.
func TestCodesAreRandom(t *testing.T) {
	t.Parallel()
	c := codes{now: time.Now}
	seen, first := map[string]bool{}, map[byte]bool{}
	for range 200 {
		code, _ := c.fresh()
		if typed, ok := readCode(spoken(code)); !ok || typed != code {
			t.Fatalf("%q is not a code", code)
		}
		seen[code], first[code[0]] = true, true
	}
	if len(seen) < 198 || len(first) != 10 {
		t.Errorf("%d codes, %d first digits", len(seen), len(first))
	}
}

// Whatever is sent as a pairing form, what comes out is eight digits or a
// fault, and a name that is safe on a line.
func FuzzReadPairing(f *testing.F) {
	for _, seed := range []string{"code=1234+5678&name=Kitchen+phone", "code=1234-5678", "code=%EF%BC%91%EF%BC%92", "name=%00%1b%5b31m", "code=&name=%ff", "code=12345678&code=1", "code=123456789"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, body string) {
		form, err := url.ParseQuery(body)
		if err != nil {
			t.Skip()
		}
		p, code := readPairing(form)
		digits := len(code) == codeDigits && strings.IndexFunc(code, func(r rune) bool { return r < '0' || r > '9' }) < 0
		if (p.Fault == "") != digits {
			t.Errorf("code %q, fault %q", code, p.Fault)
		}
		if digits {
			if again, ok := readCode(spoken(code)); !ok || again != code {
				t.Errorf("%q is spoken %q and read %q", code, spoken(code), again)
			}
		}
		if n := utf8.RuneCountInString(p.Name); n == 0 || n > 60 || !utf8.ValidString(p.Name) || strings.TrimSpace(p.Name) != p.Name {
			t.Errorf("the name is %q", p.Name)
		}
		if strings.IndexFunc(p.Name, func(r rune) bool { return !unicode.IsPrint(r) }) >= 0 {
			t.Errorf("the name is %q", p.Name)
		}
		if deviceName(p.Name) != p.Name {
			t.Errorf("%q is read as %q", p.Name, deviceName(p.Name))
		}
	})
}
