package web_test

import (
	"context"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// kills is how often the browser is killed, by BENCH_KILLS: 20 takes half a
// minute, 200 is the long run. Without it nothing is killed: see Known limits in
// docs/bench.md.
func kills(t *testing.T) int {
	text := os.Getenv("BENCH_KILLS")
	if text == "" {
		t.Skip("BENCH_KILLS=20 kills the browser twenty times")
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		t.Fatalf("BENCH_KILLS=%s is no number", text)
	}
	return n
}

// A browser is killed hard (SIGKILL) at any moment while somebody taps without a
// network, again and again, and started with the same profile, still without
// one: the bench starts cold, every tap that the screen confirmed is there, and
// at most the one under way beside them. When the network is back each comes
// once, in the device's order without a gap.
func TestBenchBrowserKilled(t *testing.T) {
	t.Parallel()
	n := kills(t)
	if _, err := chromium(); err != nil {
		t.Skip(err)
	}
	b := serveBench(t, "oatwater-v1", "")
	profile := newProfile(t)
	seed := rand.Uint64()
	t.Logf("seed %d", seed)
	random := rand.New(rand.NewPCG(seed, 2))

	closeIt := b.launch(profile)
	b.wait(`'stocked' in document.body.dataset`)
	closeIt()
	b.cut.Store(true)
	confirmed := 0
	for range n {
		b.launch(profile)
		had := js[int](b.tab, `Number(document.body.dataset.waiting)`)
		if had < confirmed || had > confirmed+1 {
			t.Fatalf("%d taps wait, %d were confirmed", had, confirmed)
		}
		confirmed = b.tapUntilKilled(had, time.Duration(100+random.IntN(900))*time.Millisecond)
	}
	closeIt = b.launch(profile)
	defer closeIt()
	had := js[int](b.tab, `Number(document.body.dataset.waiting)`)
	if had < confirmed || had > confirmed+1 || confirmed == 0 {
		t.Fatalf("%d taps wait, %d were confirmed", had, confirmed)
	}
	b.cut.Store(false)
	b.arrived()
	b.onceEach(had, had)
	t.Logf("%d taps confirmed through %d kills", confirmed, n)
}

// newProfile is a place for a browser's data; what a killed browser still
// writes there is no fault.
func newProfile(t *testing.T) string {
	t.Helper()
	profile, err := os.MkdirTemp("", "bench-profile")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(profile) })
	return profile
}

// launch starts a browser of its own on a profile and opens the bench in it.
func (b *benchTab) launch(profile string) (closeIt func()) {
	b.t.Helper()
	options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(browserPath()), chromedp.Headless, chromedp.DisableGPU, chromedp.NoFirstRun, chromedp.UserDataDir(profile)}
	for _, flag := range []string{"no-sandbox", "disable-quic", "disable-background-networking", "disable-component-update", "disable-sync", "hide-crash-restore-bubble"} {
		options = append(options, chromedp.Flag(flag, true))
	}
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, cancel := chromedp.NewContext(allocator)
	b.Context = ctx
	b.t.Cleanup(func() { cancel(); stop() })
	b.open("/bench/" + b.id)
	b.wait(`document.body.dataset.waiting !== undefined && document.querySelector('.screen:not([hidden])')`)
	return func() { chromedp.Cancel(ctx); stop() }
}

// tapUntilKilled calls for help again and again, which no double tap swallows,
// and kills the browser after a while. It returns how many taps were confirmed.
func (b *benchTab) tapUntilKilled(had int, after time.Duration) int {
	b.t.Helper()
	process := chromedp.FromContext(b).Browser.Process()
	killed := make(chan struct{})
	time.AfterFunc(after, func() { process.Kill(); close(killed) })
	for {
		_, err := chromedp.Run(b, chromedp.Evaluate[bool](`document.querySelector('.screen:not([hidden]) [data-stamp="emergency"] button').click() || true`))
		for was := had; err == nil && had == was; { // the next tap comes when the screen has this one
			had, err = chromedp.Run(b, chromedp.Evaluate[int](`Number(document.body.dataset.waiting)`))
			had = max(had, was)
		}
		if err != nil {
			<-killed
			return had
		}
	}
}
