package picture

import (
	"bytes"
	"encoding/binary"
	"errors"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"math/rand/v2"
	"testing"
)

// photo is a JPEG file, red left and blue right, that says how it was held and
// where it was taken: an Exif segment with an orientation and a GPS directory
// (tags 0x0112, 0x8825, and 1 to 4 of it), written by hand after Exif 2.32.
func photo(t *testing.T, w, h, orientation int) []byte {
	t.Helper()
	im := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			c := color.RGBA{220, 20, 20, 255}
			if x >= w/2 {
				c = color.RGBA{20, 20, 220, 255}
			}
			im.SetRGBA(x, y, c)
		}
	}
	var plain bytes.Buffer
	if err := jpeg.Encode(&plain, im, nil); err != nil {
		t.Fatal(err)
	}
	order := binary.LittleEndian
	tiff := []byte("II*\x00\x08\x00\x00\x00")
	entry := func(tag, kind uint16, n, value uint32) {
		tiff = order.AppendUint16(tiff, tag)
		tiff = order.AppendUint16(tiff, kind)
		tiff = order.AppendUint32(tiff, n)
		tiff = order.AppendUint32(tiff, value)
	}
	tiff = order.AppendUint16(tiff, 2)
	entry(0x0112, 3, 1, uint32(orientation))
	entry(0x8825, 4, 1, 38)
	tiff = order.AppendUint32(tiff, 0)
	tiff = order.AppendUint16(tiff, 2)
	entry(1, 2, 2, 'N')
	entry(2, 5, 3, 68)
	tiff = order.AppendUint32(tiff, 0)
	for _, v := range []uint32{52, 1, 31, 1, 4711, 100} { // 52° 31′ 47.11″
		tiff = order.AppendUint32(tiff, v)
	}
	body := append([]byte("Exif\x00\x00"), tiff...)
	out := []byte{0xff, 0xd8, 0xff, 0xe1}
	out = binary.BigEndian.AppendUint16(out, uint16(len(body)+2))
	out = append(out, body...)
	comment := []byte("taken by helper 2 at the lock")
	out = append(out, 0xff, 0xfe, 0, byte(len(comment)+2))
	out = append(out, comment...)
	return append(out, plain.Bytes()[2:]...)
}

// A photo that holds a place leaves without it: no Exif, no comment, no byte of
// the coordinates; small, and upright as it was held.
func TestPlaceIsGone(t *testing.T) {
	t.Parallel()
	file := photo(t, 3000, 2000, 6) // held upright: to be turned clockwise
	if len(segments(file)) != 2 || !bytes.Contains(file, []byte("Exif")) || orientation(file) != 6 {
		t.Fatal("the photo of the test holds no place")
	}
	clean, err := Clean(file)
	if err != nil {
		t.Fatal(err)
	}
	for _, gone := range []string{"Exif", "helper 2", "\x67\x12\x00\x00", "II*\x00"} { // 4711, the seconds
		if bytes.Contains(clean, []byte(gone)) {
			t.Errorf("%q is left", gone)
		}
	}
	if n := len(segments(clean)); n != 0 {
		t.Errorf("%d segments are left", n)
	}
	im, err := jpeg.Decode(bytes.NewReader(clean))
	if err != nil {
		t.Fatal(err)
	}
	if b := im.Bounds(); b.Dx() != 682 || b.Dy() != 1024 { // 1024·2000/3000, turned
		t.Errorf("%v", b)
	}
	if r, _, b, _ := im.At(300, 100).RGBA(); r < b { // left becomes top
		t.Error("it does not stand upright")
	}
	if r, _, b, _ := im.At(300, 900).RGBA(); r > b {
		t.Error("it does not stand upright")
	}
	if len(clean) > 200<<10 {
		t.Errorf("%d kB", len(clean)>>10)
	}
	p, err := New("p1", "b1", file)
	if key, bad := p.Check(); err != nil || bad != nil {
		t.Error(key, bad, err)
	}
	p.JPEG = "not base64"
	if _, bad := p.Check(); bad == nil {
		t.Error("no base64 passes")
	}
}

// Every orientation of Exif 2.32 stands upright: where the file's left half and
// its first row belong is in the standard's table of the tag.
func TestEveryOrientation(t *testing.T) {
	t.Parallel()
	for orientation, want := range map[int][2]int{1: {0, 0}, 2: {2, 0}, 3: {2, 1}, 4: {0, 1}, 5: {0, 0}, 6: {1, 0}, 7: {1, 2}, 8: {0, 2}} {
		x, y := turned(0, 0, 3, 2, orientation) // where the file's first pixel goes
		if x != want[0] || y != want[1] {
			t.Errorf("%d: the first pixel goes to %d, %d; want %v", orientation, x, y, want)
		}
	}
}

// Noise, the largest a JPEG can be, is made smaller until it fits.
func TestNoiseFits(t *testing.T) {
	t.Parallel()
	random := rand.New(rand.NewPCG(1, 2))
	im := image.NewRGBA(image.Rect(0, 0, 1400, 1400))
	for i := range im.Pix {
		im.Pix[i] = uint8(random.Uint32()) | 3
	}
	var file bytes.Buffer
	if err := png.Encode(&file, im); err != nil {
		t.Fatal(err)
	}
	p, err := New("p1", "b1", file.Bytes())
	if key, bad := p.Check(); err != nil || bad != nil || len(p.JPEG) > 250<<10 {
		t.Error(key, bad, err, len(p.JPEG))
	}
}

func TestNoPhotos(t *testing.T) {
	t.Parallel()
	var clear bytes.Buffer
	png.Encode(&clear, image.NewRGBA(image.Rect(0, 0, 40, 20)))
	if _, err := Clean(clear.Bytes()); err != nil {
		t.Error(err)
	}
	whole := photo(t, 60, 40, 1)
	for name, file := range map[string][]byte{"nothing": nil, "text": []byte("a photo"), "half": whole[:len(whole)/2], "too large": bytes.Repeat([]byte{0xff}, MostBytes+1)} {
		var hint interface{ Hint() string }
		if _, err := Clean(file); !errors.As(err, &hint) || hint.Hint() == "" {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func FuzzClean(f *testing.F) {
	f.Add([]byte("\xff\xd8\xff\xe1\x00\x10Exif\x00\x00II*\x00\x08\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, file []byte) {
		if c, _, err := image.DecodeConfig(bytes.NewReader(file)); err == nil && c.Width*c.Height > 1e6 {
			t.Skip("slow")
		}
		clean, err := Clean(file)
		if err == nil && len(segments(clean)) > 0 {
			t.Error("it says more than its pixels")
		}
	})
}
