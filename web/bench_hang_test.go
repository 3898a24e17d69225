package web_test

import (
	"testing"
)

// A question that hangs, as over a network that lost it, keeps nothing waiting
// for ever: the next one is asked.
func TestBenchAsksAgainWhenAQuestionHangs(t *testing.T) {
	t.Parallel()
	b := openBench(t, "plain-tow-v2")
	js[bool](b.tab, `(() => { const real = window.fetch; let hung = false; window.fetch = (what, how = {}) => { if (hung || how.method === 'POST') return real(what, how); hung = true; return new Promise((_, no) => how.signal?.addEventListener('abort', () => no(new Error('given up')))); }; window.wasHung = () => hung; window.dispatchEvent(new Event('online')); return true; })()`)
	b.wait(`wasHung()`)
	before := len(b.events())
	b.tap()
	b.wait(`document.body.dataset.waiting === '0'`)
	if n := len(b.events()); n <= before {
		t.Errorf("%d taps came", n-before)
	}
}
