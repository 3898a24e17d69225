package main

import (
	"io"
	"log"
	"net/http"
	"os"
	"strings"
	"testing"
)

// The demo beside a workshop starts once, answers, and leaves nothing behind.
func TestSideDemo(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	side := &sideDemo{log: log.New(io.Discard, "", 0)}
	at, err := side.open()
	if err != nil {
		t.Fatal(err)
	}
	if again, err := side.open(); err != nil || again != at {
		t.Errorf("asked again, it is at %s and not at %s (%v)", again, at, err)
	}
	answer, err := http.Get(at + "/recipes")
	if err != nil {
		t.Fatal(err)
	}
	page, err := io.ReadAll(answer.Body)
	answer.Body.Close()
	if err != nil || !strings.Contains(string(page), "Plain Tow") {
		t.Errorf("%v: %.300s", err, page)
	}
	side.end()
	if _, err := http.Get(at); err == nil {
		t.Error("it still answers")
	}
	if left, err := os.ReadDir(os.Getenv("TMPDIR")); err != nil || len(left) > 0 {
		t.Errorf("it leaves %v (%v)", left, err)
	}
}
