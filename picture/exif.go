package picture

import (
	"bytes"
	"encoding/binary"
)

// segments returns what a JPEG file says besides its pixels: application
// segments but JFIF's own, and comments, up to the first scan. Source: ITU-T
// T.81, annex B.
func segments(file []byte) (out [][]byte) {
	if len(file) < 2 || file[0] != 0xff || file[1] != 0xd8 {
		return nil
	}
	for i := 2; i+4 <= len(file) && file[i] == 0xff; {
		marker, n := file[i+1], int(binary.BigEndian.Uint16(file[i+2:]))
		if marker == 0xda || n < 2 || i+2+n > len(file) {
			break
		}
		if marker > 0xe0 && marker <= 0xef || marker == 0xfe {
			out = append(out, file[i+4:i+2+n])
		}
		i += 2 + n
	}
	return out
}

// orientation reads how a photo was held, 1 when it does not say. Source: Exif
// 2.32, tag 0x0112 of the first directory, of the TIFF header in APP1.
func orientation(file []byte) int {
	for _, s := range segments(file) {
		tiff, ok := bytes.CutPrefix(s, []byte("Exif\x00\x00"))
		if !ok || len(tiff) < 8 {
			continue
		}
		var order binary.ByteOrder = binary.BigEndian
		if tiff[0] == 'I' {
			order = binary.LittleEndian
		}
		at := int(order.Uint32(tiff[4:]))
		if at < 8 || at+2 > len(tiff) {
			continue
		}
		for i := range int(order.Uint16(tiff[at:])) {
			e := at + 2 + 12*i
			if e+12 > len(tiff) {
				break
			}
			if order.Uint16(tiff[e:]) == 0x0112 {
				return int(order.Uint16(tiff[e+8:]))
			}
		}
	}
	return 1
}
