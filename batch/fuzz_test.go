package batch_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"strings"
	"testing"

	"barwright/batch"
)

func asHint(err error, h *interface{ Hint() string }) bool { return errors.As(err, h) }

// Whatever comes in, the parser does not panic; what it takes prints as
// something it takes again, the same; what it refuses it refuses in words.
func FuzzParseEvent(f *testing.F) {
	f.Add([]byte(goodEvent))
	for _, s := range []string{"", "{}", `{"id":"a","device":"p","seq":1,"at":"2026-11-25T09:00:00.000+01:00","run":"r","tick_ms":9,"by":"x","kind":"weighed","data":{"step":"weigh.fats.0","gross_g":5,"from":[{"lot":"a","g":1}]}}`,
		`{"id":"a","device":"p","seq":1,"at":"2026-11-25T09:00:00Z","kind":"corrected","data":{"of":"a","at":"2026-11-25T09:00:00Z","why":"w"}}`,
		`{"kind":"noted","data":{"text":"\ud800"}}`, strings.Repeat("[", 100), `{"a":{"a":1,"a":2}}`, `null`} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		e, err := batch.ParseEvent(data)
		if err != nil {
			var h interface{ Hint() string }
			if !asHint(err, &h) || h.Hint() == "" || len(err.Error()) > 600 {
				t.Fatalf("%q: %v", data, err)
			}
			return
		}
		text, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		back, err := batch.ParseEvent(text)
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		if again, _ := json.Marshal(back); !bytes.Equal(text, again) {
			t.Fatalf("%s becomes %s", text, again)
		}
		sheet(t).Replay([]batch.Event{e})
	})
}

var oneSheet *batch.Sheet

func sheet(t *testing.T) *batch.Sheet {
	if oneSheet == nil {
		sh, err := batch.New(started(t, "plain-tow"))
		if err != nil {
			t.Fatal(err)
		}
		oneSheet = sh
	}
	return oneSheet
}
