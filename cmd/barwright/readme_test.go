package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
)

// The sheet in the README is what make plan prints.
func TestReadmeShowsTheSheet(t *testing.T) {
	t.Parallel()
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, after, ok := strings.Cut(string(readme), "```text\n")
	sheet, _, ok2 := strings.Cut(after, "\n```\n")
	if !ok || !ok2 || len(sheet) < 1000 {
		t.Fatal("the README holds no sheet")
	}
	var out, errs bytes.Buffer
	if status := run([]string{"plan", "../../recipes/plain-tow.toml"}, context{nil, &out, &errs}); status != exitDone {
		t.Fatalf("status %d: %s", status, errs.String())
	}
	if !strings.HasPrefix(out.String(), sheet+"\n") {
		t.Error("the README's sheet is not what barwright plan recipes/plain-tow.toml prints; copy it anew")
	}
}
