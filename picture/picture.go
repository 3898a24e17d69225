// Package picture answers: how is a photo of a batch kept, small and without
// telling where it was taken? A photo is decoded, turned upright, made smaller
// and written anew as JPEG, so that nothing but its pixels is left: no place, no
// day, no device, no thumbnail.
//
// Start with Clean. What it does not do: store photos, or judge what they show.
package picture

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"image"
	"image/jpeg"
	_ "image/png" // screens are photographed too

	"barwright/quantity"
)

// What is taken and what is kept.
const (
	MostBytes  = 16 << 20  // of a photo that is sent
	mostPixels = 64e6      // that are decoded
	mostSide   = 1024      // of a photo that is kept [px]
	quality    = 75        // of the JPEG that is kept
	mostKept   = 180 << 10 // bytes: as text it fits a file of the workshop (tomldoc.MaxBytes)
)

// Photo is a photo of a batch as it is kept.
type Photo struct {
	ID    string `toml:"id"`
	Batch string `toml:"batch"`
	JPEG  string `toml:"jpeg"` // base64 of the file
}

// New returns a photo of a batch from a JPEG or PNG file. The error says what
// is wrong with the file, and has a Hint.
func New(id, batch string, file []byte) (Photo, error) {
	small, err := Clean(file)
	if err != nil {
		return Photo{}, err
	}
	return Photo{id, batch, base64.StdEncoding.EncodeToString(small)}, nil
}

// File returns the JPEG file.
func (p Photo) File() ([]byte, error) { return base64.StdEncoding.DecodeString(p.JPEG) }

// Check returns the key that is wrong and why: what was kept must be a small
// JPEG file of pixels alone.
func (p Photo) Check() (key string, err error) {
	file, err := p.File()
	if err != nil {
		return "jpeg", fault("the base64 of a JPEG file", "it is no base64")
	}
	c, kind, err := image.DecodeConfig(bytes.NewReader(file))
	switch {
	case err != nil || kind != "jpeg":
		return "jpeg", fault("a JPEG file", "it cannot be read")
	case c.Width > mostSide || c.Height > mostSide || len(file) > mostKept:
		return "jpeg", fault(fmt.Sprintf("at most %d pixels a side", mostSide), "it is %d by %d pixels and %d kB", c.Width, c.Height, len(file)>>10)
	case len(segments(file)) > 0:
		return "jpeg", fault("send the photo anew", "it says more than its pixels")
	}
	return "", nil
}

// Clean returns a JPEG file that shows the same upright, at most 1024 pixels a
// side and 180 kB, and holds nothing else.
func Clean(file []byte) ([]byte, error) {
	if len(file) > MostBytes {
		return nil, fault("at most 16 MB", "a photo of %d MB", len(file)>>20)
	}
	c, _, err := image.DecodeConfig(bytes.NewReader(file))
	if err != nil {
		return nil, fault("a JPEG or PNG file; phones can be set to “most compatible”", "that is no photo that can be read")
	}
	if float64(c.Width)*float64(c.Height) > mostPixels {
		return nil, fault("at most 64 million pixels", "a photo of %d by %d pixels", c.Width, c.Height)
	}
	im, _, err := image.Decode(bytes.NewReader(file))
	if err != nil {
		return nil, fault("send it again", "the photo is damaged")
	}
	small := upright(smaller(im, mostSide), orientation(file))
	for side := mostSide; ; side = side * 3 / 4 { // what is full of grain takes more room
		var out bytes.Buffer
		if err := jpeg.Encode(&out, smaller(small, side), &jpeg.Options{Quality: quality}); err != nil || out.Len() <= mostKept {
			return out.Bytes(), err
		}
	}
}

func fault(advice, format string, args ...any) error {
	return &quantity.Error{Text: fmt.Sprintf(format, args...), Advice: advice}
}
