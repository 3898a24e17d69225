package web_test

import (
	"strings"
	"testing"
	"time"
)

// A rest that has hardly begun is not over by a button that says Done.
func TestBenchRestEndsEarly(t *testing.T) {
	t.Parallel()
	c := openClocked(t)
	bench := c.begin("plain-tow-v2", nil)
	c.to(bench, "rest.0")
	if _, body := shown(t, c.get(200, bench)); !strings.Contains(body, ">End the rest early</button>") || !strings.Contains(body, ">Read its core</a>") {
		t.Error("the button does not say that the rest has just begun")
	}
	c.now = c.now.Add(25 * time.Hour)
	if _, body := shown(t, c.get(200, bench)); strings.Contains(body, ">End the rest early</button>") || strings.Contains(body, ">Read its core</a>") {
		t.Error("after a day and an hour it is still early")
	}
}
