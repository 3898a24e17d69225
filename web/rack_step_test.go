package web

import (
	"fmt"
	"strings"
	"testing"

	"barwright/batch"
	"barwright/cure"
)

// A scale that showed whole grams only is not taken for a finer one: a label
// rests on it.
func TestStepOfTheScale(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		each []float64
		want float64
	}{{[]float64{100, 101, 99}, 1}, {[]float64{100, 101.2}, 0.1}, {nil, 1}} {
		if got := stepOf(c.each); got != c.want {
			t.Errorf("%v: %g g", c.each, got)
		}
	}
}

// A paste is understood or handed back with a question; commas that could be of
// two kinds are never taken for one of them.
func TestScalePaste(t *testing.T) {
	t.Parallel()
	code := batch.Code(3)
	for _, c := range []struct{ text, want, asks string }{
		{"100,8,99,5", "", "decimal"},
		{"100,8,99", "", "decimal"},
		{"100,8;99,5", "100.8 99.5", ""},
		{"100,8 99,5", "100.8 99.5", ""},
		{"100,8, 99,5", "100.8 99.5", ""},
		{`"100,8","99,5"`, "100.8 99.5", ""},
		{"100.8,99.5,101", "100.8 99.5 101", ""},
		{"100,102,101", "100 102 101", ""},
		{"100,8\n99,5 g", "100.8 99.5", ""},
		{"100,125", "", "decimal"},
		{"83,105", "", "decimal"},
		{"100,99", "", "decimal"},
		{"83,1", "83.1", ""},
		{"99,55", "99.55", ""},
		{"100.8,99.5", "100.8 99.5", ""},
		{code + ",1,83,1", code + "/1 83.1", ""},
		{code + ",2,82.2 g", code + "/2 82.2", ""},
		{code + ";1;83,1", code + "/1 83.1", ""},
		{code + ";83,1", "", "the bar and its grams"},
		{"soap 4x", "", "no weight"},
		{"100,102,NaN", "", "no weight"},
		{"bar;g\n100", "100", ""},
	} {
		found, unread := readScale(c.text)
		var got []string
		for _, f := range found {
			name := ""
			if f.Code != "" {
				name = fmt.Sprintf("%s/%d ", f.Code, f.Bar)
			}
			got = append(got, name+bare(f.G, 2))
		}
		asked := strings.Join(unread, " ")
		if strings.Join(got, " ") != c.want || !strings.Contains(asked, c.asks) || (c.asks == "") != (asked == "") {
			t.Errorf("%q: read %v, handed back %q", c.text, got, asked)
		}
	}
}

// What was learned is said no finer than it is known.
func TestTaughtWords(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		times, ln cure.Belief
		want      string
	}{
		{cure.Belief{Mean: 0.938, SD: 0.02}, cure.Belief{Mean: -0.25, SD: 0.1}, "lost some 6\u202f% less water than expected of any maker's, some 20\u202f% sooner"},
		{cure.Belief{Mean: 0.97, SD: 0.04}, cure.Belief{Mean: 0.05, SD: 0.1}, "lost about as much water as expected of any maker's, in about the usual time"},
		{cure.Belief{Mean: 1.1, SD: 0.04}, cure.Belief{Mean: 0.94, SD: 0.1}, "lost some 10\u202f% more water than expected of any maker's, and took some 2.5 times as long"},
	} {
		if got := taughtWords(c.times, c.ln); got != c.want {
			t.Errorf("%v, %v: %s", c.times, c.ln, got)
		}
	}
}

// Whatever is pasted, what is read are weights of bars, and a line is read or
// handed back.
func FuzzScale(f *testing.F) {
	for _, text := range []string{"100,8,99,5", "100,8;99,5", batch.Code(3) + ",1,83,1", "bar;g\n1;100 g", ",,,", "g", "\ufeff1"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		found, _ := readScale(text)
		for _, w := range found {
			if !isBarG(w.G) {
				t.Errorf("%q: read %+v", text, w)
			}
		}
	})
}
