package picture

import (
	"image"
	"image/color"
	"image/draw"
)

// smaller returns a picture of at most so many pixels a side: each pixel is the
// mean of those it stands for.
func smaller(im image.Image, most int) *image.RGBA {
	b := im.Bounds()
	w, h := b.Dx(), b.Dy()
	src := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(src, src.Bounds(), image.White, image.Point{}, draw.Src) // what is transparent becomes white
	draw.Draw(src, src.Bounds(), im, b.Min, draw.Over)
	side := max(w, h)
	if side <= most {
		return src
	}
	nw, nh := max(1, w*most/side), max(1, h*most/side)
	out := image.NewRGBA(image.Rect(0, 0, nw, nh))
	for y := range nh {
		for x := range nw {
			out.SetRGBA(x, y, mean(src, x*w/nw, y*h/nh, max(x*w/nw+1, (x+1)*w/nw), max(y*h/nh+1, (y+1)*h/nh)))
		}
	}
	return out
}

func mean(im *image.RGBA, x0, y0, x1, y1 int) color.RGBA {
	var r, g, b, n int
	for y := y0; y < y1; y++ {
		for x := x0; x < x1; x++ {
			c := im.RGBAAt(x, y)
			r, g, b, n = r+int(c.R), g+int(c.G), b+int(c.B), n+1
		}
	}
	return color.RGBA{uint8(r / n), uint8(g / n), uint8(b / n), 255}
}

// upright turns a picture as its orientation says (Exif 2.32, tag 0x0112): 1
// stands upright; 2, 4, 5 and 7 are mirrored.
func upright(im *image.RGBA, orientation int) *image.RGBA {
	w, h := im.Bounds().Dx(), im.Bounds().Dy()
	if orientation < 2 || orientation > 8 {
		return im
	}
	nw, nh := w, h
	if orientation > 4 {
		nw, nh = h, w
	}
	out := image.NewRGBA(image.Rect(0, 0, nw, nh))
	for y := range h {
		for x := range w {
			nx, ny := turned(x, y, w, h, orientation)
			out.SetRGBA(nx, ny, im.RGBAAt(x, y))
		}
	}
	return out
}

// turned is where a pixel of the file stands upright.
func turned(x, y, w, h, orientation int) (nx, ny int) {
	switch orientation {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return h - 1 - y, x
	case 7:
		return h - 1 - y, w - 1 - x
	case 8:
		return y, w - 1 - x
	}
	return x, y
}
