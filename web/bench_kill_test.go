package web_test

import (
	"bufio"
	"context"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/inspector"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"barwright/demo"
	"barwright/store"
)

// kills is how often something is killed: 20 times, or as BENCH_KILLS says. 200
// is the long run.
func kills(t *testing.T) int {
	t.Helper()
	text := os.Getenv("BENCH_KILLS")
	switch {
	case text == "" && testing.Short():
		return 6
	case text == "":
		return 20
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		t.Fatalf("BENCH_KILLS=%s is no number", text)
	}
	return n
}

// While somebody taps, the page, the browser or the workshop is killed hard at
// any moment, or the last two at once, again and again; half of it over an
// address that is no secure context. Every tap that the screen confirmed comes,
// once, in its device's order without a gap; and a timer that is opened after a
// kill counts from the tap. What is killed, and how long after the first tap,
// is drawn from the number of the kill.
func TestBenchKilled(t *testing.T) {
	t.Parallel()
	if browserPath() == "" {
		t.Skip("no chromium on this machine")
	}
	for nth, host := range []string{"", "kitchen.local"} {
		t.Run(host, func(t *testing.T) {
			t.Parallel()
			m := newMortal(t, host)
			for seed := nth; seed < kills(t); seed += 2 {
				random := rand.New(rand.NewPCG(uint64(seed), 2))
				what := []string{"page", "browser", "workshop", "browser and workshop"}[random.IntN(4)]
				m.tapAndKill(what, time.Duration(100+random.IntN(700))*time.Millisecond)
				m.revive(random.IntN(2) == 0)
				m.timerRight(fmt.Sprintf("kill %d, of %s", seed, what))
			}
			m.revive(true)
			m.arrived()
			m.killWorkshop()
			var err error
			if m.store, err = store.Open(t.Context(), m.dir); err != nil {
				t.Fatal(err)
			}
			defer m.store.Close()
			m.allCame()
		})
	}
}

// allCame wants every confirmed tap once.
func (m *mortal) allCame() {
	m.t.Helper()
	m.onceEach(len(m.confirmed), len(m.confirmed)+kills(m.t)) // one may be under way at every kill
	came := map[string]bool{}
	for _, e := range m.events() {
		came[e.ID] = true
	}
	for id := range m.confirmed {
		if !came[id] {
			m.t.Errorf("tap %s was confirmed and never came", id)
		}
	}
	if len(m.confirmed) == 0 {
		m.t.Error("no tap was confirmed")
	}
	m.t.Logf("%d taps confirmed, %d came", len(m.confirmed), len(came))
}

// mortal is a workshop and a browser, each a process of its own that can be
// killed.
type mortal struct {
	*benchTab
	dir, addr, host, profile string
	workshop                 *exec.Cmd // nil while it is dead
	browser                  context.Context
	page                     bool            // is open
	confirmed                map[string]bool // ids of taps
	least, most              time.Time       // between these was the last tap
}

func newMortal(t *testing.T, host string) *mortal {
	t.Helper()
	m := &mortal{benchTab: &benchTab{tab: &tab{t: t}}, dir: t.TempDir(), host: host, profile: newProfile(t), confirmed: map[string]bool{}}
	s, err := store.Open(t.Context(), m.dir)
	if err != nil {
		t.Fatal(err)
	}
	if err := demo.Fill(t.Context(), s, demo.NinthLock, today); err != nil {
		t.Fatal(err)
	}
	s.Close()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	m.addr = l.Addr().String()
	l.Close()
	t.Cleanup(func() { m.killWorkshop() })
	m.serve()
	m.home = "http://" + m.addr
	m.id = m.start("oatwater-v1")
	if host != "" {
		m.home = strings.Replace(m.home, "127.0.0.1", host, 1)
	}
	m.revive(true)
	if host == "" {
		m.wait(`'stocked' in document.body.dataset`)
	}
	return m
}

// serve starts the workshop where it was.
func (m *mortal) serve() {
	m.t.Helper()
	m.workshop = exec.Command(os.Args[0])
	m.workshop.Env = append(os.Environ(), "WEB_TEST_SERVE="+m.dir, "WEB_TEST_ADDRESS="+m.addr, "WEB_TEST_HOST="+m.host)
	m.workshop.Stderr = os.Stderr
	out, err := m.workshop.StdoutPipe()
	if err != nil {
		m.t.Fatal(err)
	}
	if err := m.workshop.Start(); err != nil {
		m.t.Fatal(err)
	}
	if line, err := bufio.NewReader(out).ReadString('\n'); line != "serving\n" {
		m.t.Fatalf("the workshop does not start: %q, %v", line, err)
	}
}

func (m *mortal) killWorkshop() {
	if m.workshop != nil {
		m.workshop.Process.Kill()
		m.workshop.Wait()
		m.workshop = nil
	}
}

// tapAndKill taps, and kills something a while after the first confirmed tap. Without a workshop
// somebody taps on for as long again.
func (m *mortal) tapAndKill(what string, after time.Duration) {
	m.t.Helper()
	process, dead := chromedp.FromContext(m).Browser.Process(), make(chan struct{})
	life, end := context.WithCancel(m)
	crashed := make(chan struct{})
	if err := chromedp.Listen(life, func(ev any) {
		if _, is := ev.(*inspector.EventTargetCrashed); is {
			close(crashed)
		}
	}); err != nil {
		m.t.Fatal(err)
	}
	kill := func() {
		defer close(dead)
		if strings.Contains(what, "browser") {
			process.Kill()
		}
		if strings.Contains(what, "workshop") {
			m.killWorkshop()
		}
		switch what {
		case "page":
			go chromedp.Call(life, page.Crash, cdp.Empty{}) // nobody is left to answer
			<-crashed
		case "workshop":
			time.AfterFunc(after, end)
			return
		}
		end()
	}
	for taps := 0; ; taps++ {
		before := time.Now()
		id, err := m.tapOnce(life)
		if err != nil && taps == 0 {
			m.t.Fatal(err)
		}
		if err != nil {
			break
		}
		if taps == 0 {
			time.AfterFunc(after, kill)
		}
		m.confirmed[id], m.least = true, before
	}
	<-dead
	if what == "workshop" {
		js[bool](m.tab, `true`) // after the tap that nobody waited for any more
	}
	m.most = time.Now()
	switch {
	case what == "page":
		m.Context, _ = chromedp.NewContext(m.browser)
		m.page = false
	case what != "workshop":
		m.browser, m.page = nil, false
	}
}

// revive starts what is dead, the workshop only when it is wanted or the page
// cannot be opened without.
func (m *mortal) revive(workshop bool) {
	m.t.Helper()
	if m.workshop == nil && (workshop || m.host != "") {
		m.serve()
	}
	switch {
	case m.browser == nil:
		m.launch(m.profile)
		m.browser = m.Context
	case !m.page:
		m.openBench()
	}
	m.page = true
}

// timerRight looks at what the timer of the last call for help shows, at the
// moments when it is written. The call was stamped between m.least and m.most.
func (m *mortal) timerRight(after string) {
	m.t.Helper()
	if m.least.IsZero() {
		return
	}
	js[bool](m.tab, `(window.written = []) && true`)
	m.wait(writtenTimer)
	least, most := m.least.UnixMilli(), m.most.UnixMilli()
	for _, seen := range js[[][2]float64](m.tab, `written`) {
		if says, at := seen[0], int64(seen[1]); says < float64(at-most)/1000-1 || says > float64(at-least)/1000+1 {
			m.t.Errorf("%s: the timer says %g s, %g to %g s after the tap", after, says, float64(at-most)/1000, float64(at-least)/1000)
		}
	}
}

// writtenTimer notes what the shown rinse timer is given, and when, three times.
const writtenTimer = `(() => {
	if (!window.watched) {
		window.watched = true;
		new MutationObserver((changes) => {
			for (const {target} of changes) {
				if (!target.matches?.('.screen:not([hidden]) [data-rinse-timer]')) continue;
				written.push([target.textContent.split(':').reduce((s, part) => 60 * s + Number(part), 0), Date.now()]);
			}
		}).observe(document.body, {subtree: true, childList: true});
	}
	return written.length >= 3;
})()`

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
	options = append(options, chromedp.Flag("host-resolver-rules", "MAP kitchen.local 127.0.0.1"))
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, cancel := chromedp.NewContext(allocator)
	b.Context = ctx
	b.t.Cleanup(func() { cancel(); stop() })
	b.openBench()
	return func() { chromedp.Cancel(ctx); stop() }
}

// openBench opens the bench at the emergency card. A browser that comes back
// after a kill may put a page of its own in the place of one that is loading:
// then it is asked again.
func (b *benchTab) openBench() {
	b.t.Helper()
	var err error
	for range 3 {
		if err = chromedp.Do(b, chromedp.Navigate(b.home+"/bench/"+b.id+"?show=splash")); err == nil || !strings.Contains(err.Error(), "net::ERR_ABORTED") {
			break
		}
	}
	if err != nil {
		b.t.Fatal(err)
	}
	b.wait(`document.body.dataset.waiting !== undefined && document.querySelector('.screen:not([hidden])')`)
}

// tapUntilKilled taps, and kills the browser a while after the first tap. It
// returns how many taps the screen confirmed.
func (b *benchTab) tapUntilKilled(after time.Duration) (confirmed int) {
	b.t.Helper()
	process := chromedp.FromContext(b).Browser.Process()
	killed := make(chan struct{})
	for {
		if confirmed == 1 {
			time.AfterFunc(after, func() { process.Kill(); close(killed) })
		}
		if _, err := b.tapOnce(b); err != nil {
			<-killed
			return confirmed
		}
		confirmed++
	}
}

// tapOnce calls for help, which no double tap swallows, and returns the tap's id
// once the screen has it.
func (b *benchTab) tapOnce(ctx context.Context) (id string, err error) {
	was, err := chromedp.Run(ctx, chromedp.Evaluate[string](`(() => {
		const was = document.body.dataset.kept ?? '';
		document.querySelector('.screen:not([hidden]) [data-stamp="emergency"] button').click();
		return was;
	})()`))
	for id = was; err == nil && id == was; {
		id, err = chromedp.Run(ctx, chromedp.Evaluate[string](`document.body.dataset.kept ?? ''`))
	}
	return id, err
}
