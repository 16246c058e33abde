// Package scan reads the square codes of labels on a photograph. It knows no store: what a
// code stands for is for others to say.
package scan

import (
	"errors"
	"slices"
	"strings"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/multi/qrcode"

	"tinful/commands/photo"
	"tinful/store"
	"tinful/store/code"
)

var (
	// ErrNone is returned when no square code is seen on a picture.
	ErrNone = errors.New("no square code is seen: take it nearer and sharper, all of it in the picture, with light on it")

	// ErrSpoilt is returned when the corners of a square code are seen and it cannot be
	// read.
	ErrSpoilt = errors.New("a square code is seen and cannot be read: it is smeared, cut or too far away; what is printed beside it can be typed")

	// ErrForeign is returned when a square code holds something else than our labels do.
	ErrForeign = errors.New("the square code is none of a label from here")
)

// sides are how long the longer side of a picture is made, one after the other: a code
// that fills the picture is read when it is small, one in a corner when it is large.
var sides = []int{900, 1600, 2600}

// Codes reads what the labels on a photograph hold: a code, or with a kind before it, such
// as JOB:105, each once, those above first. The picture is bounded as those that are kept.
// It returns an [ErrNone], [ErrSpoilt] or [ErrForeign], or what is wrong with the picture
// as [photo.Upright] does.
func Codes(b []byte) ([]string, error) {
	m, err := photo.Upright(store.Picture{}, b, sides[len(sides)-1])
	if err != nil {
		return nil, err
	}
	var s scanner
	for _, side := range sides {
		small := photo.Smaller(m, side)
		s.look(small.Pix, small.Bounds().Dx(), small.Bounds().Dy())
		if s.noise || len(s.found) > 0 && side > sides[0] || side >= max(m.Bounds().Dx(), m.Bounds().Dy()) {
			break
		}
	}
	return s.codes()
}

// A scanner looks at a picture at one size after the other.
type scanner struct {
	found   []seen
	corners bool // of a code were seen
	noise   bool // so many were seen that they are none
}

type seen struct {
	text string
	y    float64 // as a share of the height
}

// look looks for codes in a picture of four bytes a pixel.
func (s *scanner) look(pix []byte, w, h int) {
	grey := make([]byte, w*h)
	for i := range grey {
		p := pix[4*i : 4*i+3]
		grey[i] = byte((int(p[0])*77 + int(p[1])*150 + int(p[2])*29) >> 8)
	}
	for _, cut := range []func(gozxing.LuminanceSource) gozxing.Binarizer{gozxing.NewHybridBinarizer, gozxing.NewGlobalHistgramBinarizer} {
		src, err := gozxing.NewPlanarYUVLuminanceSource(grey, w, h, 0, 0, w, h, false)
		if err != nil {
			return
		}
		if s.read(cut(src), h) || s.noise {
			return
		}
	}
}

// mostCorners is how many corners of codes are looked at: the work grows with their third
// power, and a page of labels has three each. A noise has thousands.
const mostCorners = 200

// read reads the codes of a picture in black and white, and says whether there was one.
func (s *scanner) read(bits gozxing.Binarizer, high int) (read bool) {
	corners := 0
	defer func() {
		_ = recover() // noise, or what the reader did not reckon with: nothing is read
	}()
	bitmap, err := gozxing.NewBinaryBitmap(bits)
	if err != nil {
		return false
	}
	list, err := qrcode.NewQRCodeMultiReader().DecodeMultiple(bitmap, map[gozxing.DecodeHintType]any{
		gozxing.DecodeHintType_TRY_HARDER: true,
		gozxing.DecodeHintType_NEED_RESULT_POINT_CALLBACK: gozxing.ResultPointCallback(func(gozxing.ResultPoint) {
			if corners++; corners > mostCorners {
				s.noise = true
				panic("too many")
			}
		}),
	})
	if err != nil {
		return false
	}
	s.corners = s.corners || len(list) == 0
	for _, r := range list {
		x := seen{text: strings.ToUpper(strings.TrimSpace(r.GetText()))}
		for _, p := range r.GetResultPoints() {
			x.y += p.GetY() / float64(high*len(r.GetResultPoints()))
		}
		if read = true; !slices.ContainsFunc(s.found, func(o seen) bool { return o.text == x.text }) {
			s.found = append(s.found, x)
		}
	}
	return read
}

// codes are the texts that are those of labels.
func (s *scanner) codes() (out []string, err error) {
	slices.SortStableFunc(s.found, func(a, b seen) int {
		switch {
		case a.y < b.y:
			return -1
		case a.y > b.y:
			return 1
		}
		return 0
	})
	for _, x := range s.found {
		if ours(x.text) {
			out = append(out, x.text)
		}
	}
	switch {
	case len(out) > 0:
		return out, nil
	case len(s.found) > 0:
		return nil, ErrForeign
	case s.corners && !s.noise:
		return nil, ErrSpoilt
	}
	return nil, ErrNone
}

// ours says that a text is what a label holds: a code, perhaps with its kind before it.
func ours(text string) bool {
	if kind, rest, typed := strings.Cut(text, ":"); typed {
		if !slices.Contains([]string{"BAG", "PART", "DONOR", "JOB", "PLACE", "MODEL"}, kind) {
			return false
		}
		text = rest
	}
	_, err := code.Parse(text)
	return err == nil
}
