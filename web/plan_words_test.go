package web

import (
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// Whatever the check of a recipe file advises, the page says it without the
// file's brackets and keys.
func TestAdviceOnPage(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("../recipe/check*.go")
	if err != nil {
		t.Fatal(err)
	}
	ofFile := regexp.MustCompile(`\[\w|\w = "`)
	literal := regexp.MustCompile("`[^`\n]*`|" + `"(?:[^"\\\n]|\\.)*"`)
	seen := 0
	for _, name := range files {
		source, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, call := range regexp.MustCompile(`fs\.add\([^\n]*`).FindAllString(string(source), -1) {
			words := literal.FindAllString(call, -1)
			if len(words) < 2 {
				continue
			}
			for _, quoted := range words {
				advice, err := strconv.Unquote(quoted)
				if err != nil || !ofFile.MatchString(advice) || strings.Contains(advice, "%.40q") || strings.Contains(advice, "there is no [mould]") || strings.HasPrefix(advice, "[combine] needs") {
					continue // a text, which onPage replaces word by word
				}
				seen++
				if got := adviceOnPage(advice); ofFile.MatchString(got) {
					t.Errorf("%s: the page says %q", name, got)
				}
			}
		}
	}
	if seen < 10 {
		t.Errorf("only %d pieces of advice were found", seen)
	}
}
