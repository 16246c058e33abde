package picture

import "encoding/binary"

// tagOrientation is how the camera was held: CIPA DC-008, 4.6.4.
const tagOrientation = 0x0112

// turnOf reads how a picture is upright out of Exif, which begins as TIFF 6.0 does; 0 where
// nothing tells it.
func turnOf(b []byte) uint8 {
	var order binary.ByteOrder = binary.LittleEndian
	switch {
	case has(b, 0, "MM\x00*"):
		order = binary.BigEndian
	case !has(b, 0, "II*\x00"):
		return 0
	}
	if len(b) < 8 {
		return 0
	}
	at := uint64(order.Uint32(b[4:]))
	if at+2 > uint64(len(b)) {
		return 0
	}
	n := uint64(order.Uint16(b[at:]))
	for i := range n {
		e := at + 2 + 12*i
		if e+12 > uint64(len(b)) {
			return 0
		}
		if order.Uint16(b[e:]) == tagOrientation && order.Uint16(b[e+2:]) == 3 { // a short
			if turn := order.Uint16(b[e+8:]); turn >= 1 && turn <= 8 {
				return uint8(turn)
			}
			return 0
		}
	}
	return 0
}

// upright is Exif that says how a picture is upright and nothing else.
func upright(turn uint8) []byte {
	return []byte("II*\x00\x08\x00\x00\x00" + "\x01\x00" + "\x12\x01\x03\x00\x01\x00\x00\x00" + string([]byte{turn, 0, 0, 0}) + "\x00\x00\x00\x00")
}

// Upright is a clean picture for who leaves here: how it is upright stands in it again, and
// nothing else. [Strip] makes the same clean picture of it.
func (c Clean) Upright() []byte {
	if c.Turn < 2 || c.Turn > 8 {
		return c.Bytes
	}
	exif, b := upright(c.Turn), c.Bytes
	switch c.Format {
	case "jpg":
		at := 2
		if has(b, 2, "\xff\xe0") && len(b) > 6 {
			at += 2 + int(binary.BigEndian.Uint16(b[4:])) // JFIF stands first
		}
		return append(appendSegment(append([]byte{}, b[:at]...), 0xE1, append([]byte("Exif\x00\x00"), exif...)), b[at:]...)
	case "png":
		at := len(pngMark) + 12 + 13 // behind IHDR
		return append(appendChunk(append([]byte{}, b[:at]...), "eXIf", exif), b[at:]...)
	case "webp":
		if !has(b, 12, "VP8X") { // one that was held otherwise has it
			return b
		}
		out := appendRIFF(append([]byte{}, b...), "EXIF", exif)
		out[20] |= webpExif
		binary.LittleEndian.PutUint32(out[4:], uint32(len(out)-8))
		return out
	}
	return b
}
