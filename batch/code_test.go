package batch_test

import (
	"testing"

	"barwright/batch"
)

// Every code of two syllables, every letter of it replaced by every other of
// the alphabet, every pair of neighbours swapped: not one slip reads as a code.
// All codes differ, and so do neighbours in number by more than one letter.
func TestEverySlipOfACode(t *testing.T) {
	t.Parallel()
	const all = 7225
	seen := map[string]bool{}
	slips := 0
	refused := func(code string) {
		slips++
		if got, err := batch.CheckCode(code); err == nil {
			t.Fatalf("the slip %q reads as %q", code, got)
		}
	}
	for n := range all {
		code := batch.Code(n)
		if got, err := batch.CheckCode(code); err != nil || got != code || seen[code] || len(code) != 5 {
			t.Fatalf("code %d is %q, reads as %q, %v, there already: %v", n, code, got, err, seen[code])
		}
		seen[code] = true
		if back, err := batch.NumberOf(code); err != nil || back != n {
			t.Fatalf("code %d is read as that of %d, %v", n, back, err)
		}
		for i := range code {
			for c := byte('a'); c <= 'z'; c++ {
				if c != code[i] {
					refused(code[:i] + string(c) + code[i+1:])
				}
			}
			if i > 0 {
				refused(code[:i-1] + code[i:i+1] + code[i-1:i] + code[i+1:])
			}
		}
	}
	if want := all * (5*25 + 4); slips != want {
		t.Errorf("%d slips tried, want %d", slips, want)
	}
}

// The same of a sample of the long codes, and of what is typed loosely.
func TestLongCodes(t *testing.T) {
	t.Parallel()
	for n := 7225; n < 621350; n += 9973 {
		code := batch.Code(n)
		if got, err := batch.CheckCode(" " + code + "\n"); err != nil || got != code || len(code) != 7 {
			t.Fatalf("code %d is %q: %v", n, code, err)
		}
		if back, err := batch.NumberOf(code); err != nil || back != n {
			t.Fatalf("code %d is read as that of %d, %v", n, back, err)
		}
		for i := range code {
			for c := byte('a'); c <= 'z'; c++ {
				if _, err := batch.CheckCode(code[:i] + string(c) + code[i+1:]); (err == nil) != (c == code[i]) {
					t.Fatalf("%q with %c at %d: %v", code, c, i, err)
				}
			}
		}
	}
	for _, bad := range []string{"", "b", "kotu", "kotumm", "KÖTUM", "ko-um"} {
		if _, err := batch.CheckCode(bad); err == nil {
			t.Errorf("%q reads as a code", bad)
		}
	}
}
