package picture

import "encoding/binary"

// mostScans is how many passes an image may come in: progressive pictures have about
// ten, and each pass is work over the whole image.
const mostScans = 64

// stripJPEG keeps the segments that make the image, and of the application segments the
// head of JFIF, colour profiles and Adobe's word on how colours are coded.
func stripJPEG(b []byte) (c Clean, err error) {
	c.Format = "jpg"
	out := append(make([]byte, 0, len(b)), b[:2]...)
	scans := 0
	for at := 2; ; {
		mark, next, ok := marker(b, at)
		if !ok {
			return c, unread(cutOff)
		}
		at = next
		switch {
		case mark == 0xD9: // the end
			if scans == 0 {
				return c, unread("there is no image in it")
			}
			c.Bytes = append(out, 0xFF, 0xD9)
			return c, nil
		case mark == 0x01 || mark >= 0xD0 && mark <= 0xD8: // stand alone, and mean nothing here
			continue
		case at+2 > len(b):
			return c, unread(cutOff)
		}
		end := at + int(binary.BigEndian.Uint16(b[at:]))
		if end < at+2 || end > len(b) {
			return c, unread(cutOff)
		}
		body := b[at+2 : end]
		at = end
		switch {
		case mark >= 0xE0 && mark <= 0xEF:
			if mark == 0xE1 && has(body, 0, "Exif\x00") && len(body) > 6 && c.Turn == 0 {
				c.Turn = turnOf(body[6:])
			}
			out = appendSegment(out, mark, kept(mark, body))
			continue
		case mark == 0xFE: // a comment
			continue
		case frame(mark):
			if len(body) < 6 || c.Width != 0 {
				return c, unread("the measures of its image contradict each other")
			}
			c.Height, c.Width = int(binary.BigEndian.Uint16(body[1:])), int(binary.BigEndian.Uint16(body[3:]))
		}
		out = appendSegment(out, mark, body)
		if mark != 0xDA {
			continue
		}
		if scans++; scans > mostScans {
			return c, unread("its image comes in more passes than any camera makes")
		}
		end = coded(b, at)
		out, at = append(out, b[at:end]...), end
	}
}

// marker is the next marker from at on, and where what belongs to it begins.
func marker(b []byte, at int) (mark byte, next int, ok bool) {
	if at >= len(b) || b[at] != 0xFF {
		return 0, 0, false
	}
	for at < len(b) && b[at] == 0xFF { // any number of them may stand before it
		at++
	}
	if at == len(b) || b[at] == 0 {
		return 0, 0, false
	}
	return b[at], at + 1, true
}

// frame says that a marker begins a frame: its measures.
func frame(mark byte) bool {
	return mark >= 0xC0 && mark <= 0xCF && mark != 0xC4 && mark != 0xC8 && mark != 0xCC
}

// kept is what is kept of an application segment, nil for nothing.
func kept(mark byte, body []byte) []byte {
	switch {
	case mark == 0xE0 && has(body, 0, "JFIF\x00") && len(body) >= 14:
		return append(append([]byte{}, body[:12]...), 0, 0) // without the small picture within
	case mark == 0xE2 && has(body, 0, "ICC_PROFILE\x00"):
		return body
	case mark == 0xEE && has(body, 0, "Adobe") && len(body) >= 12:
		return body[:12]
	}
	return nil
}

func appendSegment(out []byte, mark byte, body []byte) []byte {
	if body == nil {
		return out
	}
	out = binary.BigEndian.AppendUint16(append(out, 0xFF, mark), uint16(len(body)+2))
	return append(out, body...)
}

// coded is where the coded bytes of a pass end: before the first marker that is neither a
// byte of theirs (FF 00) nor a restart.
func coded(b []byte, at int) int {
	for ; at+1 < len(b); at++ {
		if b[at] == 0xFF && b[at+1] != 0 && b[at+1] != 0xFF && (b[at+1] < 0xD0 || b[at+1] > 0xD7) {
			return at
		}
	}
	return len(b)
}
