// Package svg writes small pictures: lines, areas, boxes and words, with a
// title and a description, and nothing that needs a style sheet.
//
// Every shape has a class, and its colours stand in attributes, which any rule
// of a page's style sheet overrides: so a picture is whole by itself and a
// page can restyle it, for the dark or for print. Start with New.
package svg

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Picture is a picture being drawn, in units of a pixel, y down.
type Picture struct {
	width, height float64
	body          strings.Builder
	head          string
}

// New starts a picture. id is unique on its page; title and description are
// its text equivalent.
func New(id string, width, height float64, title, description string) *Picture {
	p := &Picture{width: width, height: height}
	p.head = fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" class="picture" role="img" aria-labelledby="%[1]s-title %[1]s-desc" viewBox="0 0 %[2]s %[3]s" width="%[2]s" height="%[3]s" font-family="system-ui, -apple-system, 'Segoe UI', sans-serif" font-size="13">`+
		"\n<title id=\"%[1]s-title\">%[4]s</title>\n<desc id=\"%[1]s-desc\">%[5]s</desc>\n", escape(id), num(width), num(height), escape(title), escape(description))
	return p
}

// Size returns width and height.
func (p *Picture) Size() (width, height float64) { return p.width, p.height }

// String returns the whole picture.
func (p *Picture) String() string { return p.head + p.body.String() + "</svg>\n" }

// Style is how a shape looks: its class, and the colours it has when no style
// sheet says otherwise.
type Style struct {
	Class   string
	Fill    string  // "" is none
	Stroke  string  // "" is none
	Width   float64 // of the stroke; 0 is 1
	Dash    string  // "4 3"
	Opacity float64 // of fill; 0 is 1
}

func (s Style) attributes() string {
	var b strings.Builder
	set := func(name, value string) {
		if value != "" {
			fmt.Fprintf(&b, ` %s="%s"`, name, escape(value))
		}
	}
	set("class", s.Class)
	if s.Fill == "" {
		s.Fill = "none"
	}
	set("fill", s.Fill)
	set("stroke", s.Stroke)
	if s.Stroke != "" && s.Width > 0 {
		set("stroke-width", num(s.Width))
	}
	set("stroke-dasharray", s.Dash)
	if s.Opacity > 0 {
		set("fill-opacity", num(s.Opacity))
	}
	return b.String()
}

// Point is a place in a picture.
type Point struct{ X, Y float64 }

// Line draws through points.
func (p *Picture) Line(s Style, points []Point) {
	s.Fill = ""
	p.path(s, points, "")
}

// Area fills what points enclose.
func (p *Picture) Area(s Style, points []Point) { p.path(s, points, "Z") }

func (p *Picture) path(s Style, points []Point, end string) {
	if len(points) == 0 {
		return
	}
	fmt.Fprintf(&p.body, "<path%s stroke-linejoin=\"round\" d=\"", s.attributes())
	for i, q := range points {
		fmt.Fprintf(&p.body, "%c%s %s", "ML"[min(i, 1)], num(q.X), num(q.Y))
	}
	fmt.Fprintf(&p.body, "%s\"/>\n", end)
}

// Box draws a box from its upper left corner.
func (p *Picture) Box(s Style, x, y, width, height float64) {
	fmt.Fprintf(&p.body, "<rect%s x=\"%s\" y=\"%s\" width=\"%s\" height=\"%s\"/>\n", s.attributes(), num(x), num(y), num(width), num(height))
}

// Dot draws a disc.
func (p *Picture) Dot(s Style, x, y, radius float64) {
	fmt.Fprintf(&p.body, "<circle%s cx=\"%s\" cy=\"%s\" r=\"%s\"/>\n", s.attributes(), num(x), num(y), num(radius))
}

// Where a word stands about its place.
const (
	Start  = "start"
	Middle = "middle"
	End    = "end"
)

// Text writes words; the place is their baseline.
func (p *Picture) Text(s Style, x, y float64, anchor string, size float64, words string) {
	fmt.Fprintf(&p.body, "<text%s x=\"%s\" y=\"%s\" text-anchor=\"%s\" font-size=\"%s\">%s</text>\n", s.attributes(), num(x), num(y), anchor, num(size), escape(words))
}

// num prints a coordinate to a hundredth, which nobody sees.
func num(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		panic("svg: a coordinate that is not a number")
	}
	s := strconv.FormatFloat(v, 'f', 2, 64)
	s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	if s == "-0" || s == "" {
		return "0"
	}
	return s
}

var escapes = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "'", "&#39;")

// escape makes text safe anywhere in a picture; what XML cannot hold is left out.
func escape(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' && r != '\t' && r != '\n' || r == 0xFFFE || r == 0xFFFF {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
	return escapes.Replace(s)
}
