package web_test

import (
	"fmt"
	"slices"
	"testing"
)

// A weak network delays a question on its way there and an answer on its way
// back, by seconds: no reason to take the phone's clock for wrong, and no timer
// moves. (That an answer bounds a clock's offset by the times of asking and
// hearing, and no better: RFC 5905, section 8.)
func TestBenchSlowNetworkMovesNoTimer(t *testing.T) {
	t.Parallel()
	b := openBench(t, "oatwater-v1")
	js[bool](b.tab, `(() => {
		const quick = window.fetch, later = (ms) => new Promise((r) => setTimeout(r, ms));
		window.fetch = async (to, how) => {
			if (how?.method === 'POST') await later(5000);
			const answer = await quick(to, how);
			if (how?.method !== 'POST') await later(2000);
			document.body.dataset.answers = Number(document.body.dataset.answers ?? 0) + (how?.method !== 'POST');
			return answer;
		};
		return true;
	})()`)
	js[bool](b.tab, `document.querySelector('.screen:not([hidden]) button.splash').click() || true`)
	b.wait(shownScreen + ` === 'splash'`)
	b.arrived()
	b.wait(`document.body.dataset.answers > 1`)
	events := b.events()
	if kinds := kindsOf(events); len(kinds) != len(events) || !slices.Contains(kinds, "emergency") {
		t.Fatalf("%d events, of them but for clocks %v", len(events), kinds)
	}
	b.wait(`document.querySelector('.screen:not([hidden]) [data-rinse-timer]')`)
	if off := js[float64](b.tab, fmt.Sprintf(rinseOff, events[len(events)-1].At.UnixMilli())); off < -1 || off > 1 {
		t.Errorf("the timer is %.2f s off", off)
	}
	b.clean()
}

// rinseOff is how far the shown rinse timer is from a stamp, both read at one
// moment [s].
const rinseOff = `(() => {
	const says = document.querySelector('.screen:not([hidden]) [data-rinse-timer]').textContent.split(':').reduce((s, part) => 60 * s + Number(part), 0);
	return says - Math.floor((Date.now() - %d) / 1000);
})()`
