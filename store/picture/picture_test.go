package picture

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"golang.org/x/image/webp"
)

// drawn is a picture in which every pixel tells where it lies.
func drawn(w, h int) image.Image {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.Set(x, y, color.NRGBA{uint8(x * 4), uint8(y * 6), uint8(x * y), 255})
		}
	}
	return m
}

func jpegOf(tb testing.TB, w, h int) []byte {
	tb.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, drawn(w, h), nil); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

func pngOf(tb testing.TB, w, h int) []byte {
	tb.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, drawn(w, h)); err != nil {
		tb.Fatal(err)
	}
	return b.Bytes()
}

func read(tb testing.TB, name string) []byte {
	tb.Helper()
	b, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		tb.Fatal(err)
	}
	return b
}

func decoded(tb testing.TB, b []byte) image.Image {
	tb.Helper()
	decode := webp.Decode
	switch {
	case has(b, 0, "\xff\xd8"):
		decode = jpeg.Decode
	case has(b, 0, pngMark):
		decode = png.Decode
	}
	m, err := decode(bytes.NewReader(b))
	if err != nil {
		tb.Fatal(err)
	}
	return m
}

// exif is the block that a camera may write: how it was held, who made it, where.
func exif(turn byte) []byte {
	b := []byte("MM\x00*\x00\x00\x00\x08\x00\x02")
	b = append(b, "\x01\x0f\x00\x02\x00\x00\x00\x04Qui\x00"...)                              // maker
	b = append(b, "\x01\x12\x00\x03\x00\x00\x00\x01\x00"+string([]byte{turn})+"\x00\x00"...) // held
	return append(b, "\x00\x00\x00\x00 51 deg 30 N, serial 14207"...)
}

func withJPEG(b []byte, segments ...[]byte) []byte {
	return slices.Concat(b[:2], slices.Concat(segments...), b[2:])
}

func segment(mark byte, body string) []byte { return appendSegment(nil, mark, []byte(body)) }

// secrets are words that must not be in a clean picture.
var secrets = []string{"51 deg", "14207", "Exif", "adobe.com/xap", "Photoshop", "MPF", "small picture", "behind the end", "tEXt", "eXIf", "zTXt", "iTXt", "tIME", "prIv", "XMP ", "EXIF"}

func TestStrip(t *testing.T) {
	plain := jpegOf(t, 61, 40)
	jfif := segment(0xE0, "JFIF\x00\x01\x02\x00\x00\x01\x00\x01\x02\x01small picture")
	icc := segment(0xE2, "ICC_PROFILE\x00\x01\x01profile")
	pngPlain := pngOf(t, 61, 40)
	at := len(pngMark) + 25
	chunk := func(name string, body []byte) []byte { return appendChunk(nil, name, body) }
	alpha := read(t, "alpha.webp")
	extended := slices.Concat(alpha, appendRIFF(nil, "EXIF", exif(8)), appendRIFF(nil, "XMP ", []byte("51 deg")), appendRIFF(nil, "prIv", []byte("14207")))
	binary.LittleEndian.PutUint32(extended[4:], uint32(len(extended)-8))
	extended[20] |= webpExif | webpXMP
	for _, tt := range []struct {
		name string
		in   []byte
		turn uint8
		keep string
	}{
		{"a JPEG as it is drawn", plain, 1, ""},
		{"a JPEG of a camera", withJPEG(plain, jfif, segment(0xE1, "Exif\x00\x00"+string(exif(6))), segment(0xE1, "http://ns.adobe.com/xap/1.0/\x00 51 deg"), icc, segment(0xE2, "MPF\x0014207"),
			segment(0xED, "Photoshop 3.0\x00 51 deg"), segment(0xFE, "14207"), segment(0xEB, "14207")), 6, "ICC_PROFILE\x00\x01\x01profile"},
		{"a second picture behind the end", append(slices.Clone(plain), "behind the end\xff\xd8\xff\xe114207"...), 1, ""},
		{"a PNG of a camera", slices.Concat(pngPlain[:at], chunk("eXIf", exif(3)), chunk("tEXt", []byte("Where\x0051 deg")), chunk("gAMA", []byte{0, 0, 0xB1, 0x8F}), chunk("prIv", []byte("14207")),
			chunk("tIME", []byte("1234567")), pngPlain[at:], []byte("behind the end")), 3, "gAMA"},
		{"a WebP that loses", read(t, "lossy.webp"), 1, "VP8 "},
		{"a WebP that loses nothing", read(t, "lossless.webp"), 1, "VP8L"},
		{"a WebP of a camera", append(extended, "behind the end"...), 8, "ALPH"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, err := Strip(tt.in)
			if err != nil {
				t.Fatal(err)
			}
			if c.Width != 61 || c.Height != 40 || c.Turn != tt.turn || !bytes.Contains(c.Bytes, []byte(tt.keep)) {
				t.Errorf("%d x %d, turn %d, want 61 x 40, turn %d and %q in it", c.Width, c.Height, c.Turn, tt.turn, tt.keep)
			}
			for _, s := range secrets {
				if bytes.Contains(c.Bytes, []byte(s)) {
					t.Errorf("%q is still in it", s)
				}
			}
			if !reflect.DeepEqual(decoded(t, c.Bytes), decoded(t, tt.in)) {
				t.Error("the image is another one")
			}
			settled(t, c)
		})
	}
}

// settled holds what is true of every clean picture: stripped again it is the same, and so
// is what leaves with its turn.
func settled(t testing.TB, c Clean) {
	t.Helper()
	again, err := Strip(c.Bytes)
	if want := (Clean{c.Bytes, c.Format, c.Width, c.Height, 1}); err != nil || !reflect.DeepEqual(again, want) {
		t.Errorf("stripped again it is another one: %v", err)
	}
	back, err := Strip(c.Upright())
	if err != nil || !bytes.Equal(back.Bytes, c.Bytes) || back.Turn != c.Turn && has(c.Upright(), 12, "VP8X") {
		t.Errorf("with its turn and without it is another one: %v, turn %d", err, back.Turn)
	}
}

func TestRefused(t *testing.T) {
	plain, pngPlain, web := jpegOf(t, 61, 40), pngOf(t, 61, 40), read(t, "lossy.webp")
	wide := slices.Clone(plain)
	sof := bytes.Index(wide, []byte{0xFF, 0xC0})
	binary.BigEndian.PutUint16(wide[sof+5:], 60000)
	binary.BigEndian.PutUint16(wide[sof+7:], 60000)
	bomb := append([]byte(pngMark), appendChunk(nil, "IHDR", []byte("\x00\x00\xff\xff\x00\x00\xff\xff\x08\x02\x00\x00\x00"))...)
	bomb = appendChunk(appendChunk(bomb, "IDAT", []byte("x")), "IEND", nil)
	false8X := slices.Concat([]byte("RIFF\x00\x00\x00\x00WEBP"), appendRIFF(nil, "VP8X", []byte("\x00\x00\x00\x00\x01\x00\x00\x01\x00\x00")), web[12:])
	binary.LittleEndian.PutUint32(false8X[4:], uint32(len(false8X)-8))
	moves := slices.Clone(read(t, "alpha.webp"))
	moves[20] |= webpAnimated
	sos := bytes.Index(plain, []byte{0xFF, 0xDA})
	scans := append([]byte{}, plain[:len(plain)-2]...)
	for range mostScans {
		scans = append(scans, plain[sos:len(plain)-2]...)
	}
	for _, tt := range []struct {
		name string
		in   []byte
		is   error
		text string
	}{
		{"nothing", nil, ErrUnread, "the file is empty"},
		{"a cut JPEG", plain[:len(plain)-40], ErrUnread, "it is cut off"},
		{"a JPEG of its head alone", plain[:30], ErrUnread, "it is cut off"},
		{"a JPEG without an image", []byte("\xff\xd8\xff\xd9"), ErrUnread, "there is no image in it"},
		{"a cut PNG", pngPlain[:len(pngPlain)-9], ErrUnread, "it is cut off"},
		{"a PNG with a flipped bit", flip(pngPlain, 60), ErrUnread, "does not agree with its sum"},
		{"a cut WebP", web[:len(web)-9], ErrUnread, "it is cut off"},
		{"a WebP that moves", moves, ErrUnread, "it moves"},
		{"a WebP of two measures", false8X, ErrUnread, "contradict each other"},
		{"a JPEG of 60000 x 60000", wide, ErrLarge, "60000 x 60000 pixels"},
		{"a PNG of 65535 x 65535", bomb, ErrLarge, "65535 x 65535 pixels"},
		{"a JPEG of too many passes", append(scans, 0xFF, 0xD9), ErrUnread, "more passes"},
		{"30 MB and more", make([]byte, MaxBytes+1), ErrHeavy, "30 MB are the most"},
		{"a script", []byte("#!/bin/sh\necho 1"), ErrUnread, "it begins as no JPEG"},
		{"SVG", []byte(`<svg onload="x()"/>`), ErrUnread, "it is text, such as SVG"},
		{"HEIC", []byte("\x00\x00\x00\x18ftypheic"), ErrUnread, "HEIC"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			c, err := Strip(tt.in)
			if !errors.Is(err, tt.is) || !strings.Contains(fmt.Sprint(err), tt.text) || c.Bytes != nil && tt.is == ErrUnread {
				t.Errorf("%v, want %q", err, tt.text)
			}
		})
	}
}

func flip(b []byte, at int) []byte {
	b = slices.Clone(b)
	b[at] ^= 4
	return b
}

// Positions, serials and makers' notes are gone, judged by a program that is not ours.
func TestPositionsAreGone(t *testing.T) {
	tool, err := exec.LookPath("exiftool")
	if err != nil {
		t.Skip("exiftool (Debian: libimage-exiftool-perl) is not here, and nobody else judges whether positions are gone")
	}
	dir := t.TempDir()
	for name, b := range map[string][]byte{"a.jpg": jpegOf(t, 61, 40), "b.png": pngOf(t, 61, 40), "c.webp": read(t, "lossy.webp"), "d.webp": read(t, "alpha.webp")} {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join(dir, name)
			if err := os.WriteFile(file, b, 0o600); err != nil {
				t.Fatal(err)
			}
			out, err := exec.Command(tool, "-q", "-overwrite_original", "-EXIF:GPSLatitude=51.5", "-EXIF:GPSLatitudeRef=N", "-EXIF:SerialNumber=14207", "-EXIF:Make=Quillmoor",
				"-EXIF:Orientation#=6", "-XMP:Creator=customer 2", "-XMP:GPSLongitude=0.1", "-EXIF:UserComment=their address", file).CombinedOutput()
			if err != nil {
				t.Fatalf("%v: %s", err, out)
			}
			marked, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if !slices.Contains(groups(t, tool, file), "GPS") {
				t.Fatal("the tool put no position in")
			}
			c, err := Strip(marked)
			if err != nil || c.Turn != 6 {
				t.Fatalf("turn %d, %v", c.Turn, err)
			}
			if !reflect.DeepEqual(decoded(t, c.Bytes), decoded(t, b)) {
				t.Error("the image is another one")
			}
			for what, clean := range map[string][]byte{"clean": c.Bytes, "upright": c.Upright()} {
				file := filepath.Join(dir, what+name)
				if err := os.WriteFile(file, clean, 0o600); err != nil {
					t.Fatal(err)
				}
				for _, g := range groups(t, tool, file) {
					if !slices.Contains([]string{"ExifTool", "System", "File", "JFIF", "PNG", "RIFF", "Composite"}, g) && (g != "IFD0" || what == "clean") {
						t.Errorf("the tool still finds %s in what is %s", g, what)
					}
				}
			}
		})
	}
}

// groups are the kinds of facts that the tool finds in a file.
func groups(t *testing.T, tool, file string) (all []string) {
	t.Helper()
	out, err := exec.Command(tool, "-json", "-a", "-u", "-G1", file).Output()
	var list []map[string]any
	if err != nil || json.Unmarshal(out, &list) != nil || len(list) != 1 {
		t.Fatalf("%v: %s", err, out)
	}
	for k, v := range list[0] {
		if g, name, ok := strings.Cut(k, ":"); ok {
			if name == "Warning" || name == "Error" {
				t.Errorf("%s: %v", file, v)
			}
			if all = append(all, g); g == "IFD0" && !slices.Contains([]string{"Orientation", "Make"}, name) {
				t.Logf("%s %v", k, v)
			}
		}
	}
	return all
}

// Whatever the bytes, they are cleaned and then stay as they are, or are refused.
func FuzzStrip(f *testing.F) {
	plain := jpegOf(f, 9, 7)
	for _, b := range [][]byte{plain, withJPEG(plain, segment(0xE1, "Exif\x00\x00"+string(exif(6)))), pngOf(f, 9, 7), read(f, "lossy.webp"), read(f, "lossless.webp"), read(f, "alpha.webp")} {
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		c, err := Strip(b)
		if err != nil {
			if !errors.Is(err, ErrUnread) && !errors.Is(err, ErrLarge) {
				t.Logf("%d bytes", len(b))
				t.Error(err)
			}
			return
		}
		settled(t, c)
	})
}
