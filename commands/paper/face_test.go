package paper

import (
	"bytes"
	"math/rand/v2"
	"testing"
	"time"

	"golang.org/x/image/font/gofont/goregular"
)

// A font that somebody brings may be damaged anywhere: it is refused or printed with,
// and never stops the program.
func TestDamagedFonts(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	printed := 0
	for range 400 {
		data := bytes.Clone(goregular.TTF)
		for range 1 + r.IntN(6) {
			at := r.IntN(len(data))
			if r.IntN(2) == 0 {
				at = r.IntN(400) // the table of tables, and head
			}
			data[at] = byte(r.UintN(256))
		}
		if r.IntN(4) == 0 {
			data = data[:r.IntN(len(data))]
		}
		f, err := TrueType(data)
		if err != nil {
			continue
		}
		for _, name := range Ends {
			d, err := New(name, "test", f, time.Unix(0, 0))
			if err != nil {
				t.Fatal(err)
			}
			d.Labels(sheetOf(t, "roll 70x37"), 1, samples(1), true)
			if _, err := d.Bytes(); err == nil {
				printed++
			}
		}
	}
	if printed < 100 {
		t.Errorf("only %d pages were printed: the fonts are damaged too much to show anything", printed)
	}
}

// What is embedded is a font by itself, with the letters that are used and no others.
func TestSubset(t *testing.T) {
	f := GoFonts().regular
	want := []uint16{f.glyph('B'), f.glyph('é')} // é is made of others
	data, err := f.subset(want)
	if err != nil {
		t.Fatal(err)
	}
	if len(data) > len(f.data)/4 {
		t.Errorf("two letters take %d bytes of %d", len(data), len(f.data))
	}
	if sum := sumOf(data); sum != 0xB1B0AFBA { // OpenType 1.9, "head": with its adjustment a font sums up to that
		t.Errorf("the font sums up to %#x", sum)
	}
}
