package web

import (
	"fmt"
	"strings"

	"rsc.io/qr"
)

// qrPicture is a QR code as a path of squares in a view box, with the quiet
// zone of four squares that readers need (ISO/IEC 18004).
type qrPicture struct {
	Size int
	Path string
	Text string
}

// quiet is the width of the rim.
const quiet = 4

// qrOf draws a text. One too long for a QR code has no picture.
func qrOf(text string) *qrPicture {
	code, err := qr.Encode(text, qr.M)
	if err != nil {
		return nil
	}
	var b strings.Builder
	for y := range code.Size {
		for x := 0; x < code.Size; x++ {
			start := x
			for x < code.Size && code.Black(x, y) {
				x++
			}
			if x > start {
				fmt.Fprintf(&b, "M%d %dh%dv1h-%dz", start+quiet, y+quiet, x-start, x-start)
			}
		}
	}
	return &qrPicture{code.Size + 2*quiet, b.String(), text}
}
