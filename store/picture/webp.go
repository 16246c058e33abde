package picture

import "encoding/binary"

// Bits of the head of an extended WebP.
const (
	webpAnimated = 1 << 1
	webpXMP      = 1 << 2
	webpExif     = 1 << 3
	webpAlpha    = 1 << 4
	webpProfile  = 1 << 5
)

// stripWebP keeps head, colour profile and the image. The measures in the head must be
// those of the image: whoever reads only one of them is not deceived.
func stripWebP(b []byte) (c Clean, err error) {
	c.Format = "webp"
	if len(b) < 12 {
		return c, unread(cutOff)
	}
	size := int(binary.LittleEndian.Uint32(b[4:]))
	if size < 4 || size > len(b)-8 {
		return c, unread(cutOff)
	}
	b = b[:8+size] // what stands behind the end is none of it
	out := append(make([]byte, 0, len(b)), "RIFF\x00\x00\x00\x00WEBP"...)
	wide, high, image, flags := 0, 0, false, 0
	for at := 12; at+8 <= len(b); {
		name, n := string(b[at:at+4]), int(binary.LittleEndian.Uint32(b[at+4:]))
		if n > len(b)-at-8 {
			return c, unread(cutOff)
		}
		body := b[at+8 : at+8+n]
		at += 8 + n + n&1 // an odd one is filled up
		switch name {
		case "VP8X":
			if n != 10 || len(out) > 12 {
				return c, unread("the measures of its image are not where they belong")
			}
			if body[0]&webpAnimated != 0 {
				return c, unread("it moves: keep one picture of it")
			}
			wide, high = 1+little24(body[4:]), 1+little24(body[7:])
			flags = len(out) + 8
			body = append([]byte{body[0] &^ (webpXMP | webpExif) & (webpAlpha | webpProfile), 0, 0, 0}, body[4:]...)
		case "EXIF":
			if has(body, 0, "Exif\x00\x00") { // as JPEG has it: not by the book, and met
				body = body[6:]
			}
			c.Turn = turnOf(body)
			continue
		case "VP8 ", "VP8L":
			if image {
				return c, unread("there are two images in it")
			}
			image = true
			if c.Width, c.Height = webpSize(name, body); c.Width == 0 || wide != 0 && (wide != c.Width || high != c.Height) {
				return c, unread("the measures of its image contradict each other")
			}
		case "ICCP", "ALPH":
			if flags == 0 || image {
				return c, unread("a piece of it is not where it belongs")
			}
		default:
			continue
		}
		out = appendRIFF(out, name, body)
	}
	if !image {
		return c, unread("there is no image in it")
	}
	binary.LittleEndian.PutUint32(out[4:], uint32(len(out)-8))
	c.Bytes = out
	return c, nil
}

func little24(b []byte) int { return int(b[0]) | int(b[1])<<8 | int(b[2])<<16 }

// webpSize reads the measures of an image: RFC 6386, 9.1, and RFC 9649, 3.4.
func webpSize(name string, b []byte) (w, h int) {
	switch {
	case name == "VP8 " && len(b) >= 10 && b[3] == 0x9D && b[4] == 0x01 && b[5] == 0x2A:
		return int(binary.LittleEndian.Uint16(b[6:]) & 0x3FFF), int(binary.LittleEndian.Uint16(b[8:]) & 0x3FFF)
	case name == "VP8L" && len(b) >= 5 && b[0] == 0x2F:
		n := binary.LittleEndian.Uint32(b[1:])
		return 1 + int(n&0x3FFF), 1 + int(n>>14&0x3FFF)
	}
	return 0, 0
}

// appendRIFF adds a chunk with its length, filled up to an even one.
func appendRIFF(out []byte, name string, body []byte) []byte {
	out = binary.LittleEndian.AppendUint32(append(out, name...), uint32(len(body)))
	if out = append(out, body...); len(body)&1 == 1 {
		out = append(out, 0)
	}
	return out
}
