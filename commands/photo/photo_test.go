package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tinful/store"
	"tinful/store/picture"
)

// corner is a picture of w x h, white, with its upper left quarter black.
func corner(w, h int) image.Image {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.Set(x, y, color.White)
			if x < w/2 && y < h/2 {
				m.Set(x, y, color.Black)
			}
		}
	}
	return m
}

func encoded(t *testing.T, m image.Image, format string) []byte {
	t.Helper()
	var b bytes.Buffer
	err := png.Encode(&b, m)
	if format == "jpg" {
		b.Reset()
		err = jpeg.Encode(&b, m, &jpeg.Options{Quality: 95})
	}
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func chunk(name, body string) string {
	head := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	return string(head) + name + body + string(binary.BigEndian.AppendUint32(nil, crc32.ChecksumIEEE([]byte(name+body))))
}

// What cannot be decoded is refused, whatever it says it is; with asItIs it is kept, clean
// where that can be done, and what is to be known is said.
func TestRead(t *testing.T) {
	whole := encoded(t, corner(64, 48), "jpg")
	sos := bytes.Index(whole, []byte{0xFF, 0xDA})
	noise := append(bytes.Clone(whole[:sos+14]), bytes.Repeat([]byte{0xA5, 0x3C}, 9)...)
	noise = append(noise, 0xFF, 0xD9)
	bomb := []byte("\x89PNG\r\n\x1a\n" + chunk("IHDR", "\x00\x00\xf0\x00\x00\x00\xf0\x00\x08\x06\x00\x00\x00") + chunk("IDAT", "x\x9c\x63\x00\x00") + chunk("IEND", ""))
	short := []byte("\x89PNG\r\n\x1a\n" + chunk("IHDR", "\x00\x00\x10\x00\x00\x00\x10\x00\x08\x06\x00\x00\x00") + chunk("IDAT", "x\x9c\x63\x00\x00") + chunk("IEND", ""))
	for _, tt := range []struct {
		name   string
		b      []byte
		is     error  // nil: it is read
		format string // in which it is kept as it is
		kept   bool
	}{
		{"a picture", whole, nil, "jpg", true},
		{"a cut one", whole[:len(whole)/2], picture.ErrUnread, "", true},
		{"one of noise", noise, picture.ErrUnread, "jpg", true},
		{"one of 61440 x 61440", bomb, picture.ErrLarge, "png", true},
		{"one of 4096 x 4096 in five bytes", short, picture.ErrUnread, "png", true},
		{"a script", []byte("#!/bin/sh\ntouch /tmp/x\n"), picture.ErrUnread, "", true},
		{"SVG", []byte(`<svg xmlns="http://www.w3.org/2000/svg"><script>x()</script></svg>`), picture.ErrUnread, "", true},
		{"nothing", nil, picture.ErrUnread, "", false},
		{"30 MB and one", make([]byte, picture.MaxBytes+1), picture.ErrHeavy, "", false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p, said, err := Read(tt.b, "front.jpg", false)
			if !errors.Is(err, tt.is) || (err == nil) != (tt.is == nil) || len(said) > 0 || err != nil && p.Bytes != nil {
				t.Errorf("%v, %q", err, said)
			}
			if err != nil && (!strings.HasPrefix(err.Error(), "front.jpg: ") || strings.Contains(err.Error(), "\n")) {
				t.Errorf("%v", err)
			}
			p, said, err = Read(tt.b, "front.jpg", true)
			if (err == nil) != tt.kept || err == nil && (p.Format != tt.format || len(p.Bytes) == 0 || (len(said) == 1) != (tt.is != nil)) {
				t.Errorf("as it is: %v, %q in %q", err, said, p.Format)
			}
		})
	}
}

func TestFile(t *testing.T) {
	dir := t.TempDir()
	if _, _, err := File(dir, true); !errors.Is(err, ErrFile) {
		t.Errorf("%v", err)
	}
	if _, _, err := File(filepath.Join(dir, "none.jpg"), true); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("%v", err)
	}
	name := filepath.Join(dir, "a.png")
	if err := os.WriteFile(name, encoded(t, corner(9, 9), "png"), 0o600); err != nil {
		t.Fatal(err)
	}
	if p, _, err := File(name, false); err != nil || p.Name != "a.png" || p.Format != "png" || p.Width != 9 {
		t.Errorf("%+v, %v", p.Name, err)
	}
}

// A picture held in each of the eight ways stands upright: of a black upper left quarter
// CIPA DC-008, table of Orientation, says where row 0 and column 0 of the file belong.
func TestUpright(t *testing.T) {
	b := encoded(t, corner(60, 40), "png")
	for turn, want := range map[uint8]struct {
		w, h int
		at   string // of the black quarter
	}{
		0: {60, 40, "upper left"}, 1: {60, 40, "upper left"}, 2: {60, 40, "upper right"}, 3: {60, 40, "lower right"}, 4: {60, 40, "lower left"},
		5: {40, 60, "upper left"}, 6: {40, 60, "upper right"}, 7: {40, 60, "lower right"}, 8: {40, 60, "lower left"},
	} {
		m, err := Upright(store.Picture{Turn: turn}, b, 1000)
		if err != nil {
			t.Fatal(err)
		}
		w, h := m.Bounds().Dx(), m.Bounds().Dy()
		at := ""
		for name, p := range map[string]image.Point{"upper left": {w / 4, h / 4}, "upper right": {3 * w / 4, h / 4}, "lower left": {w / 4, 3 * h / 4}, "lower right": {3 * w / 4, 3 * h / 4}} {
			if m.RGBAAt(p.X, p.Y).R < 128 {
				at += name
			}
		}
		if w != want.w || h != want.h || at != want.at {
			t.Errorf("turn %d: %d x %d, black %s; want %d x %d, %s", turn, w, h, at, want.w, want.h, want.at)
		}
	}
}

func TestSmall(t *testing.T) {
	b := encoded(t, corner(1200, 800), "jpg")
	small, err := Small(store.Picture{Turn: 6}, b, 320)
	if err != nil {
		t.Fatal(err)
	}
	c, err := jpeg.DecodeConfig(bytes.NewReader(small))
	if err != nil || c.Width != 213 || c.Height != 320 || len(small) > 40<<10 {
		t.Errorf("%d x %d, %d bytes, %v", c.Width, c.Height, len(small), err)
	}
	if _, err := Small(store.Picture{}, []byte("<svg/>"), 320); !errors.Is(err, picture.ErrUnread) {
		t.Error(fmt.Sprint(err))
	}
}
