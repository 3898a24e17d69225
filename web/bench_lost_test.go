package web_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/chromedp"

	"barwright/batch"
)

// What once lost 147 taps: a browser killed between the two writes of a record
// leaves a torn end of its database's log (LevelDB's log_format.md: seven bytes
// of header, then the data). At the next start the whole records before it are
// read and the log is written on; at the start after that the torn record is a
// wrong checksum, and the browser drops the whole database.
//
// Over plain HTTP the second copy is written late: there the log is begun anew
// before the first tap. The page comes, and the workshop takes no taps.
func TestBenchTornLog(t *testing.T) {
	t.Parallel()
	if browserPath() == "" {
		t.Skip("no chromium on this machine")
	}
	for _, host := range []string{"", "kitchen.local"} {
		t.Run(host, func(t *testing.T) {
			t.Parallel()
			b := serveBench(t, "oatwater-v1", host)
			profile := newProfile(t)
			b.launch(profile)
			off := b.deaf
			if host == "" {
				b.wait(`'stocked' in document.body.dataset`)
				off = b.cut
			}
			off.Store(true)
			first := b.tapUntilKilled(500 * time.Millisecond)
			tearLog(t, profile)
			b.launch(profile)
			had := js[int](b.tab, `Number(document.body.dataset.waiting)`)
			confirmed := had + b.tapUntilKilled(500*time.Millisecond)
			if first == 0 || had < first || confirmed <= had {
				t.Fatalf("%d, %d, %d taps confirmed", first, had, confirmed)
			}
			defer b.launch(profile)()
			if had := js[int](b.tab, `Number(document.body.dataset.waiting)`); had < confirmed || had > confirmed+1 {
				t.Fatalf("%d taps wait, %d were confirmed", had, confirmed)
			}
			off.Store(false)
			b.arrived()
			b.onceEach(confirmed, confirmed+1)
		})
	}
}

// tearLog leaves the end of a database's log as a kill between two writes of a
// record does.
func tearLog(t *testing.T, profile string) {
	t.Helper()
	logs, err := filepath.Glob(filepath.Join(profile, "Default/IndexedDB/*/*.log"))
	if err != nil || len(logs) != 1 {
		t.Fatalf("the database's logs are %v, %v", logs, err)
	}
	log, err := os.OpenFile(logs[0], os.O_APPEND|os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer log.Close()
	if _, err := log.Write([]byte{1, 2, 3, 4, 100, 0, 1}); err != nil { // checksum, length, a whole record
		t.Fatal(err)
	}
}

// The device loses one of the two places where taps wait: the page goes on, the
// next tap is kept too, and all come.
func TestBenchOnePlaceLost(t *testing.T) {
	t.Parallel()
	for name, host := range map[string]string{"loopback": "", "plain HTTP": kitchen()} {
		for _, lost := range []string{"indexeddb", "file_systems", "local_storage"} {
			t.Run(name+", "+lost, func(t *testing.T) {
				t.Parallel()
				b := serveBench(t, "oatwater-v1", host)
				b.tab = openTab(t, b.home)
				b.size(400, 800, false)
				b.open("/bench/" + b.id)
				b.wait(shownScreen + ` === 'read.gloves'`)
				b.deaf.Store(true)
				b.tapTo("read.lye_into_water")
				if _, err := chromedp.Call(b, storage.ClearDataForOrigin, storage.ClearDataForOriginParams{Origin: b.home, StorageTypes: lost}); err != nil {
					t.Fatal(err)
				}
				b.wait(`document.body.dataset.waiting === '2'`)
				b.tap()
				b.wait(`document.body.dataset.waiting === '3'`)
				b.open("/bench/" + b.id)
				b.wait(`document.body.dataset.waiting === '3'`)
				b.wait(shownScreen + ` === 'read.first_aid'`)
				b.deaf.Store(false)
				b.arrived()
				if got := strings.Join(kindsOf(b.events()), " "); got != "acknowledged acknowledged acknowledged" {
					t.Error(got)
				}
				b.onceEach(3, 3)
				js[bool](b.tab, journalLeft)
				b.wait(`document.body.dataset.left !== undefined`)
				if left := js[string](b.tab, `document.body.dataset.left`); left != "0" {
					t.Errorf("%s letters of taps that have come are still in the journal", left)
				}
			})
		}
	}
}

// A kill can leave the second copy of a tap that the workshop has and the device
// let go of. It is old news: put back, an earlier call for help would drive the
// rinse timer.
func TestBenchOldNewsStaysAway(t *testing.T) {
	t.Parallel()
	b := openBench(t, "oatwater-v1")
	b.tapTo("read.lye_into_water")
	b.arrived()
	b.wait(journalLeft)
	b.wait(`document.body.dataset.left === '0'`)
	b.deaf.Store(true)
	copied := fmt.Sprintf(`{"batch":%q,"event":%s,"sent":false,"refused":""}`, b.id, batch.PrintEvents(b.events()[:1]))
	js[bool](b.tab, fmt.Sprintf(`localStorage.setItem('bench.tap.%s %s', %q) || true`, b.id, b.events()[0].ID, copied))
	b.tap()
	b.open("/bench/" + b.id)
	b.wait(`document.body.dataset.waiting === '1'`)
	b.wait(`localStorage.getItem('bench.tap.` + b.id + ` ` + b.events()[0].ID + `') === null`)
	b.deaf.Store(false)
	b.arrived()
	b.onceEach(3, 3)
}

// journalLeft counts what is in both kinds of journal.
const journalLeft = `(async () => {
  let n = Object.keys(localStorage).filter((k) => k.startsWith('bench.tap.')).length;
  if (isSecureContext) for await (const file of (await (await navigator.storage.getDirectory()).getDirectoryHandle('taps')).values()) n += (await file.getFile()).size;
  document.body.dataset.left = n;
})() && true`
