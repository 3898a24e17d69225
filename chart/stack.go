package chart

import (
	"fmt"
	"html"
	"regexp"
	"strconv"
	"strings"

	"barwright/heat"
)

var viewBox = regexp.MustCompile(`viewBox="0 0 ([0-9.]+) ([0-9.]+)"`)

// Stacked returns pictures under each other as one, each with its own title
// and description, and below them in small print how far to trust them.
func Stacked(trust string, pictures ...string) string {
	var b strings.Builder
	wide, y := 0.0, 0.0
	for _, p := range pictures {
		m := viewBox.FindStringSubmatch(p)
		if m == nil {
			panic("chart: a picture without a view box")
		}
		width, _ := strconv.ParseFloat(m[1], 64) // digits, as the form says
		height, _ := strconv.ParseFloat(m[2], 64)
		b.WriteString(strings.Replace(p, "<svg ", fmt.Sprintf(`<svg y="%g" `, y), 1))
		wide, y = max(wide, width), y+height+16
	}
	fmt.Fprintf(&b, "<text class=\"quiet\" fill=\"%s\" x=\"24\" y=\"%g\" font-family=\"sans-serif\" font-size=\"12\">%s</text>\n", quiet, y+8, html.EscapeString(trust))
	y += 24
	head := fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" class="pictures" viewBox="0 0 %g %g" width="%g" height="%g">`+"\n", wide, y, wide, y)
	return head + fmt.Sprintf("<rect class=\"paper\" fill=\"%s\" width=\"%g\" height=\"%g\"/>\n", paper, wide, y) + b.String() + "</svg>\n"
}

// WarmestFrame returns the frame with the warmest core.
func WarmestFrame(s heat.Section) int {
	best := 0
	for i, f := range s.Frames {
		if mirrored(s, f).middle() > mirrored(s, s.Frames[best]).middle() {
			best = i
		}
	}
	return best
}
