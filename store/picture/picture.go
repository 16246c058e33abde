// Package picture takes out of a photograph what says where, when and with what it was
// taken, without decoding it: the bytes of its image are left as they are.
//
// JPEG (ITU-T T.81, JFIF: T.871), PNG (W3C, third edition) and WebP (RFC 9649) are lists
// of pieces with their lengths. Those that make the image, its colours among them, are
// kept, all others are left out, whatever they are called: positions, serials, makers'
// notes, small pictures within, and what stands behind the end. The one surprising rule:
// how the camera was held goes as well, and comes back as a number, [Clean.Turn].
package picture

import (
	"errors"
	"fmt"
)

// A picture larger than one of these is none of a bench's: bounds of our own.
const (
	MaxBytes  = 30 << 20
	MaxPixels = 25_000_000
)

// Formats are the endings of the files that can be cleaned.
var Formats = []string{"jpg", "png", "webp"}

// ErrUnread is returned when bytes are no picture that can be cleaned: of another format,
// cut off, or not made as their format says.
var ErrUnread = errors.New("it is no picture that can be read")

// ErrLarge is returned when a picture has more than MaxPixels.
var ErrLarge = errors.New("it is too large")

// ErrHeavy is returned when a picture has more than MaxBytes.
var ErrHeavy = errors.New("it is too large")

// A Clean is a picture without what tells of anything but its image.
type Clean struct {
	Bytes         []byte
	Format        string // one of Formats
	Width, Height int    // in pixels, as they lie in the file
	Turn          uint8  // how it is upright: 1 to 8 as Exif has it (CIPA DC-008, Orientation), 1 as it lies
}

// Strip cleans a picture. It returns an [ErrUnread], [ErrLarge] or [ErrHeavy] with what is wrong; one
// of too many pixels comes clean all the same. What it returns, stripped again, is the same.
func Strip(b []byte) (c Clean, err error) {
	if len(b) > MaxBytes {
		return c, fmt.Errorf("%w: %d MB are the most", ErrHeavy, MaxBytes>>20)
	}
	switch {
	case len(b) == 0:
		return c, unread("the file is empty")
	case has(b, 0, "\xff\xd8\xff"):
		c, err = stripJPEG(b)
	case has(b, 0, pngMark):
		c, err = stripPNG(b)
	case has(b, 0, "RIFF") && has(b, 8, "WEBP"):
		c, err = stripWebP(b)
	default:
		return c, unread(looks(b))
	}
	switch {
	case err != nil:
		return Clean{}, err
	case c.Width < 1 || c.Height < 1:
		return Clean{}, unread("it has no width or no height")
	case c.Width*c.Height > MaxPixels:
		return c.held(), fmt.Errorf("%w: %d x %d pixels, and %d million are the most", ErrLarge, c.Width, c.Height, MaxPixels/1_000_000)
	}
	return c.held(), nil
}

// held is the picture with a turn that there is.
func (c Clean) held() Clean {
	if c.Turn < 1 || c.Turn > 8 {
		c.Turn = 1
	}
	return c
}

// looks says what bytes may be that are none of the three formats.
func looks(b []byte) string {
	for _, k := range []struct {
		at   int
		mark string
		what string
	}{
		{4, "ftyphei", "it is a HEIC picture: let the camera write JPEG, or convert it"},
		{4, "ftypmif1", "it is a HEIF picture: let the camera write JPEG, or convert it"},
		{4, "ftypavif", "it is an AVIF picture: convert it to JPEG"},
		{0, "GIF8", "it is a GIF: convert it to PNG"},
		{0, "II*\x00", "it is a TIFF or a raw picture: convert it to JPEG"},
		{0, "MM\x00*", "it is a TIFF or a raw picture: convert it to JPEG"},
		{0, "BM", "it is a BMP: convert it to PNG"},
		{0, "%PDF", "it is a PDF"},
		{0, "<", "it is text, such as SVG or a page"},
	} {
		if has(b, k.at, k.mark) {
			return k.what
		}
	}
	return "it begins as no JPEG, PNG or WebP does"
}

func has(b []byte, at int, mark string) bool {
	return len(b) >= at+len(mark) && string(b[at:at+len(mark)]) == mark
}

func unread(what string) error { return fmt.Errorf("%w: %s", ErrUnread, what) }

const cutOff = "it is cut off"
