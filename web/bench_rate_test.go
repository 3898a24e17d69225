package web_test

import (
	"fmt"
	"net/http/httptest"
	"os"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// Five devices send 100 taps a second together, one request a tap, for as many
// seconds as BENCH_SECONDS says (60 is the long run): every one that was taken is
// there once. How many a second were taken is told with -v.
func TestBenchFiveDevices(t *testing.T) {
	t.Parallel()
	seconds := 3
	if text := os.Getenv("BENCH_SECONDS"); text != "" {
		seconds, _ = strconv.Atoi(text)
	}
	c := openClocked(t)
	bench := c.begin("wax-rind-v3", nil)
	to := strings.Replace(bench, "/bench/", "/batches/", 1) + "/events"
	began := time.Now()
	var wg sync.WaitGroup
	for d := range 5 {
		wg.Go(func() {
			for i := range 20 * seconds {
				line := fmt.Sprintf(`{"id":"d%d-%d","device":"d%d","seq":%d,"at":%q,"kind":"noted","data":{"text":"tap"}}`, d, i+1, d, i+1, c.now.Add(time.Duration(i)*time.Second).UTC().Format(time.RFC3339Nano))
				r := httptest.NewRequest("POST", to, strings.NewReader(line))
				r.Host, r.RemoteAddr = "localhost", "127.0.0.1:50000"
				w := httptest.NewRecorder()
				if c.app.ServeHTTP(w, r); w.Code != 200 || !strings.Contains(w.Body.String(), `"added":1`) {
					t.Errorf("%s answers %d %s", line, w.Code, w.Body)
					return
				}
			}
		})
	}
	wg.Wait()
	took := time.Since(began)
	seen := map[string]bool{}
	for _, e := range c.events(bench) {
		seen[e.ID] = true
	}
	if len(seen) != 100*seconds || len(c.events(bench)) != len(seen) {
		t.Errorf("%d of %d taps are there", len(seen), 100*seconds)
	}
	t.Logf("%d taps in %v: %.0f a second", len(seen), took.Round(time.Millisecond), float64(len(seen))/took.Seconds())
}
