// Package photo reads photographs with care: bounds first, then clean, then looked at as
// pixels, one at a time, whatever the bytes are. It is the only room that decodes pictures,
// and knows no store but its [store.Photo].
package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"image/png"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

	"golang.org/x/image/draw"
	"golang.org/x/image/webp"

	"tinful/store"
	"tinful/store/picture"
)

// ErrFile is returned when a name leads to no file that a picture could be read from.
var ErrFile = errors.New("it is no file")

// one is held while a picture is decoded: of the largest some 200 MB are in memory.
var one sync.Mutex

// File reads the photograph in a file.
func File(name string, asItIs bool) (store.Photo, []string, error) {
	f, err := os.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return store.Photo{}, nil, store.Absent("there is no file %s", name)
	} else if err != nil {
		return store.Photo{}, nil, err
	}
	defer f.Close()
	if info, err := f.Stat(); err != nil || !info.Mode().IsRegular() {
		return store.Photo{}, nil, errors.Join(fmt.Errorf("%s: %w", name, ErrFile), err)
	}
	b, err := io.ReadAll(io.LimitReader(f, picture.MaxBytes+1))
	if err != nil {
		return store.Photo{}, nil, err
	}
	return Read(b, filepath.Base(name), asItIs)
}

// Read makes of the bytes of a photograph what is kept of it: positions, serials and
// makers' notes are cut out, the image stays as it is. What cannot be decoded is refused
// with a [picture.ErrUnread] or [picture.ErrLarge]; with asItIs it is kept, and said holds
// what is to be known of it.
func Read(b []byte, name string, asItIs bool) (p store.Photo, said []string, err error) {
	clean, err := picture.Strip(b)
	if p = (store.Photo{Clean: clean, Name: name}); err == nil {
		one.Lock()
		_, err = decode(p.Bytes, p.Format)
		one.Unlock()
	}
	switch {
	case err == nil:
		return p, nil, nil
	case !asItIs || len(b) == 0 || len(b) > picture.MaxBytes:
		return store.Photo{}, nil, fmt.Errorf("%s: %w", name, err)
	case p.Bytes != nil:
		p.Unsure = true
		return p, []string{fmt.Sprintf("%s is kept, and nobody can be sure that it shows something: %v", name, err)}, nil
	}
	p.Clean = picture.Clean{Bytes: b}
	return p, []string{fmt.Sprintf("%s is kept as it is, with all that was written into it, where it was taken too: %v", name, err)}, nil
}

// decode decodes a clean picture, while one is held. Whatever goes wrong with it is a
// [picture.ErrUnread].
func decode(b []byte, format string) (m image.Image, err error) {
	defer func() {
		if r := recover(); r != nil {
			m, err = nil, fmt.Errorf("%w: it cannot be decoded", picture.ErrUnread)
		}
	}()
	read := map[string]func(io.Reader) (image.Image, error){"jpg": jpeg.Decode, "png": png.Decode, "webp": webp.Decode}[format]
	if read == nil {
		return nil, fmt.Errorf("%w: it is kept as it is", picture.ErrUnread)
	}
	if m, err = read(bytes.NewReader(b)); err != nil {
		return nil, fmt.Errorf("%w: %v", picture.ErrUnread, err)
	}
	return m, nil
}

// quality is that of small pictures, of 100.
const quality = 80

// Small is a picture as a small JPEG: upright, its longer side at most so many pixels, on
// white where it was clear.
func Small(p store.Picture, b []byte, side int) ([]byte, error) {
	m, err := Upright(p, b, side)
	if err != nil {
		return nil, err
	}
	var out bytes.Buffer
	err = jpeg.Encode(&out, m, &jpeg.Options{Quality: quality})
	return out.Bytes(), err
}

// Upright is a picture in pixels, as it stands, its longer side at most so many of them.
func Upright(p store.Picture, b []byte, side int) (*image.RGBA, error) {
	clean, err := picture.Strip(b) // bounds again: the file may be another one by now
	if err != nil {
		return nil, err
	}
	one.Lock()
	defer one.Unlock()
	m, err := decode(clean.Bytes, clean.Format)
	if err != nil {
		return nil, err
	}
	w, h := Fit(m.Bounds().Dx(), m.Bounds().Dy(), side)
	to := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(to, to.Bounds(), image.NewUniform(color.White), image.Point{}, draw.Src)
	draw.BiLinear.Scale(to, to.Bounds(), m, m.Bounds(), draw.Over, nil)
	return turned(to, p.Turn), nil
}

// Fit is a size with the longer side at most so long; nothing is made larger.
func Fit(w, h, side int) (int, int) {
	if long := max(w, h); long > side {
		w, h = max(1, w*side/long), max(1, h*side/long)
	}
	return w, h
}

// turned stands a picture upright: CIPA DC-008, Orientation.
func turned(m *image.RGBA, turn uint8) *image.RGBA {
	if turn < 2 || turn > 8 {
		return m
	}
	w, h := m.Bounds().Dx(), m.Bounds().Dy()
	ow, oh := w, h
	if turn >= 5 {
		ow, oh = h, w
	}
	to := image.NewRGBA(image.Rect(0, 0, ow, oh))
	for y := range oh {
		for x := range ow {
			var sx, sy int
			switch turn {
			case 2:
				sx, sy = w-1-x, y
			case 3:
				sx, sy = w-1-x, h-1-y
			case 4:
				sx, sy = x, h-1-y
			case 5:
				sx, sy = y, x
			case 6:
				sx, sy = y, h-1-x
			case 7:
				sx, sy = w-1-y, h-1-x
			case 8:
				sx, sy = w-1-y, x
			}
			to.SetRGBA(x, y, m.RGBAAt(sx, sy))
		}
	}
	return to
}

// Smaller is a picture with its longer side at most so long; one that is not longer is
// returned as it is.
func Smaller(m *image.RGBA, side int) *image.RGBA {
	w, h := Fit(m.Bounds().Dx(), m.Bounds().Dy(), side)
	if w == m.Bounds().Dx() && h == m.Bounds().Dy() {
		return m
	}
	to := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.BiLinear.Scale(to, to.Bounds(), m, m.Bounds(), draw.Src, nil)
	return to
}
