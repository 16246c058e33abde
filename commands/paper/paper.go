// Package paper draws on pages: labels, drawings at 1:1, letters, as PDF or SVG. It
// is given plain structs; it opens nothing and knows no store.
//
// Lengths are millimetres from the upper left corner of a page, to the right and
// down; the size of letters is that of their em. Paper is black and white. Its one
// surprising rule: no text is wider or higher than the room it was given. It shrinks,
// then it is broken, then it ends with an ellipsis.
package paper

import (
	"errors"
	"path/filepath"
	"strings"
	"time"
)

// ErrOnePage is returned when more than one page is to go into a file that holds one.
var ErrOnePage = errors.New("an .svg holds one page: write a .pdf")

// An ink is what is drawn with.
type ink bool

const (
	black ink = true
	white ink = false
)

// A canvas is what pages are drawn on: a PDF or an SVG.
type canvas interface {
	page(w, h float64)
	text(x, y, size float64, f *face, s string, in ink) // y is the base line
	fill(p path, in ink)
	stroke(p path, width float64, dash []float64, in ink)
	bytes() ([]byte, error)
}

// A Doc is pages in the making.
type Doc struct {
	canvas
	fonts Fonts
	lacks map[rune]bool
}

// Ends are how the names of files end that paper is written to.
var Ends = []string{".pdf", ".svg"}

// New begins a document for a file of that name. Made is the day it is dated with.
func New(file, title string, f Fonts, made time.Time) (*Doc, error) {
	d := &Doc{fonts: f, lacks: map[rune]bool{}}
	switch strings.ToLower(filepath.Ext(file)) {
	case ".pdf":
		d.canvas = newPDF(title, made)
	case ".svg":
		d.canvas = newSVG(title)
	default:
		return nil, errors.New("paper is written to a file that ends in .pdf or .svg")
	}
	return d, nil
}

// Bytes ends the document.
func (d *Doc) Bytes() ([]byte, error) { return d.bytes() }

// A Size is that of a page or a label.
type Size struct{ W, H float64 }

// Pages are the sizes of pages that have names: ISO 216, and ANSI X3.151 for the last
// two.
var Pages = map[string]Size{"A4": {210, 297}, "A5": {148, 210}, "letter": {215.9, 279.4}, "legal": {215.9, 355.6}}
