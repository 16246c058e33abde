package picture

import (
	"encoding/binary"
	"hash/crc32"
	"slices"
)

const pngMark = "\x89PNG\r\n\x1a\n"

// pngKept are the chunks that make the image and its colours. Of an animation the first
// picture stands in them.
var pngKept = []string{"IHDR", "PLTE", "IDAT", "IEND", "tRNS", "gAMA", "cHRM", "sRGB", "iCCP", "cICP", "mDCV", "cLLI", "sBIT", "bKGD", "pHYs", "hIST"}

func stripPNG(b []byte) (c Clean, err error) {
	c.Format = "png"
	out := append(make([]byte, 0, len(b)), pngMark...)
	data := false
	for at := len(pngMark); ; {
		if at+12 > len(b) {
			return c, unread(cutOff)
		}
		n := int(binary.BigEndian.Uint32(b[at:]))
		if n > len(b)-at-12 {
			return c, unread(cutOff)
		}
		chunk, name, body := b[at:at+12+n], string(b[at+4:at+8]), b[at+8:at+8+n]
		at += 12 + n
		if crc32.ChecksumIEEE(chunk[4:8+n]) != binary.BigEndian.Uint32(chunk[8+n:]) {
			return c, unread("a piece of it does not agree with its sum")
		}
		first := len(out) == len(pngMark)
		switch {
		case first != (name == "IHDR") || name == "IHDR" && n != 13:
			return c, unread("the measures of its image are not where they belong")
		case first:
			c.Width, c.Height = int(binary.BigEndian.Uint32(body)), int(binary.BigEndian.Uint32(body[4:]))
			if c.Width > 1<<24 || c.Height > 1<<24 {
				c.Width, c.Height = 1<<24, 1<<24 // too large, whatever it is
			}
		case name == "eXIf":
			c.Turn = turnOf(body)
		case name == "IDAT":
			data = true
		}
		if slices.Contains(pngKept, name) {
			out = append(out, chunk...)
		}
		if name == "IEND" {
			if !data {
				return c, unread("there is no image in it")
			}
			c.Bytes = out
			return c, nil
		}
	}
}

// appendChunk adds a chunk with its length and sum.
func appendChunk(out []byte, name string, body []byte) []byte {
	out = append(binary.BigEndian.AppendUint32(out, uint32(len(body))), name...)
	out = append(out, body...)
	return binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[len(out)-len(body)-4:]))
}
