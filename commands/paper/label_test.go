package paper

import (
	"fmt"
	"image"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/makiuchi-d/gozxing"
	"github.com/makiuchi-d/gozxing/qrcode"
)

func sheetOf(t *testing.T, text string) Sheet {
	t.Helper()
	s, err := ParseSheet(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// samples are labels as a bench has them, each with a code of its own.
func samples(n int) (list []Label) {
	for i := range n {
		l := Label{Word: "release lever return spring", Tells: "right-hand, wire 0.25 mm", Place: "K1", Lines: []string{"from PC-01", "2 pc, 2031-09-01, R"}}
		switch i % 5 {
		case 0:
			l.Stops, l.Wound = []string{"NOT for W3 (left-hand)"}, "right"
		case 1:
			l.Stops = []string{"LEFT-HAND, loosens clockwise"}
		case 2:
			l.Theirs = "NOT STOCK: customer 6's"
		case 3:
			l.Care = "spring under tension: wear eye protection, let the spring down before the screw is removed"
		}
		// Short and long codes, a job's, and one that says its kind.
		l.Code = []string{"B%03d", "PC-%02d", "P%03d", "%d", "W%d-A/3.5"}[i%5]
		l.Code = fmt.Sprintf(l.Code, 101+i)
		l.Square = l.Code
		if i%5 == 3 {
			l.Square = "job:" + l.Code
		}
		list = append(list, l)
	}
	return list
}

// squares are where the square codes of a document stand, in order.
func squares(s Sheet, list []Label) (out []mark) {
	d, r := recorded()
	d.Labels(s, 1, list, false)
	for _, m := range r.drawn {
		if m.filled && len(m.p) > 200 { // a code is many small boxes
			out = append(out, m)
		}
	}
	return out
}

// Every code of a full sheet of 24 and of a roll of 25 x 13 mm is read at 300 dots to
// the inch by two readers that share no code, in grey, in black and white, and with
// 5 % of its modules smeared in one spot, black or white: each label in one of six ways,
// or in all where TINFUL_SOAK is set.
func TestEveryCodeIsRead(t *testing.T) {
	const dpi = 300
	for _, spec := range []string{Usual, "roll 25x13"} {
		t.Run(spec, func(t *testing.T) {
			s, list := sheetOf(t, spec), samples(24)
			file := written(t, "labels.pdf", func(d *Doc) { d.Labels(s, 1, list, true) })
			at := squares(s, list)
			if len(at) != len(list) {
				t.Fatalf("%d labels have %d square codes", len(list), len(at))
			}
			pages := pictures(t, file, dpi)
			seen := map[string][]*image.Gray{}
			for i := range list {
				g, f := pages[0], s.Field(i%s.Fields())
				if s.Page == "" {
					g, f = pages[i], s.Field(0)
				}
				grey := cut(g, dpi, f)
				seen["grey"] = append(seen["grey"], grey)
				seen["black and white"] = append(seen["black and white"], oneBit(grey))
				for way, where := range spots {
					if key := fmt.Sprint("smear ", way); soak {
						seen[key] = append(seen[key], smeared(oneBit(grey), dpi, f, at[i], where, inks[way%2]))
					} else if way == i%len(spots) {
						seen["smeared"] = append(seen["smeared"], smeared(oneBit(grey), dpi, f, at[i], where, inks[way%2]))
					}
				}
			}
			for how, all := range seen {
				byZxing(t, how, all, list)
				byZbar(t, how, all, list)
			}
		})
	}
}

// spots are where a code is smeared, a square's side being 1: the middle, the lower
// right, the right, in black and in white.
var (
	spots = []point{{0.5, 0.5}, {0.5, 0.5}, {0.85, 0.8}, {0.85, 0.8}, {0.8, 0.55}, {0.8, 0.55}}
	inks  = []byte{0, 255}
	soak  = os.Getenv("TINFUL_SOAK") != ""
)

// smeared is a label with 5 % of the modules of its code under one spot.
func smeared(g *image.Gray, dpi int, f Field, m mark, where point, shade byte) *image.Gray {
	px := float64(dpi) / 25.4
	side := m.most.x - m.least.x
	r := side * math.Sqrt(0.05/math.Pi)
	cx, cy := (m.least.x-f.X+side*where.x)*px, (m.least.y-f.Y+side*where.y)*px
	for y := range g.Rect.Dy() {
		for x := range g.Rect.Dx() {
			if math.Hypot(float64(x)+0.5-cx, float64(y)+0.5-cy) <= r*px {
				g.Pix[g.PixOffset(x, y)] = shade
			}
		}
	}
	return g
}

func byZxing(t *testing.T, how string, all []*image.Gray, list []Label) {
	for i, g := range all {
		bits, err := gozxing.NewBinaryBitmapFromImage(g)
		if err != nil {
			t.Fatal(err)
		}
		got, err := qrcode.NewQRCodeReader().Decode(bits, map[gozxing.DecodeHintType]any{gozxing.DecodeHintType_TRY_HARDER: true})
		if want := strings.ToUpper(list[i].Square); err != nil || got.GetText() != want {
			t.Errorf("%s: zxing reads %v (%v), and it says %s", how, got, err, want)
		}
	}
}

func byZbar(t *testing.T, how string, all []*image.Gray, list []Label) {
	needs(t, "zbarimg")
	folder := t.TempDir()
	args := []string{"--nodbus", "-q", "--raw", "-Sdisable", "-Sqrcode.enable"}
	for i, g := range all {
		name := filepath.Join(folder, fmt.Sprintf("%03d.png", i))
		f, err := os.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if err := png.Encode(f, g); err != nil {
			t.Fatal(err)
		}
		f.Close()
		args = append(args, name)
	}
	b, _ := exec.Command("zbarimg", args...).Output()
	got := strings.Split(strings.TrimSpace(string(b)), "\n")
	for i, l := range list {
		if want := strings.ToUpper(l.Square); i >= len(got) || got[i] != want {
			t.Fatalf("%s: zbar reads %q, and label %d says %s", how, got, i+1, want)
		}
	}
}

// The edges of every field stand within 0.3 mm of where its measures say.
func TestEdges(t *testing.T) {
	const dpi = 300
	const px = dpi / 25.4
	for _, spec := range []string{Usual, "letter 2x5 101.6x50.8 from 4,12.7 gaps 5,0", "roll 25x13"} {
		s := sheetOf(t, spec)
		file := written(t, "edges.pdf", func(d *Doc) { d.Test(s, "drawer") })
		sound(t, file)
		g := pictures(t, file, dpi)[0]
		for n := range s.Fields() {
			f := s.Field(n)
			for _, x := range []float64{f.X, f.X + f.W} {
				near(t, g, spec, x*px, func(at int) bool { return dark(g, at, int((f.Y+f.H-1)*px)) }, px)
			}
			for _, y := range []float64{f.Y, f.Y + f.H} {
				near(t, g, spec, y*px, func(at int) bool { return dark(g, int((f.X+f.W-1)*px), at) }, px)
			}
		}
	}
}

// near wants a dark pixel within 0.3 mm; a line on the very edge of the page is half
// beyond it.
func near(t *testing.T, g *image.Gray, spec string, want float64, dark func(int) bool, px float64) {
	t.Helper()
	for d := 0.0; d <= 0.3*px; d += 0.5 {
		if dark(int(want+d)) || dark(int(want-d)) {
			return
		}
	}
	t.Errorf("%s: no edge within 0.3 mm of %.2f mm", spec, want/px)
}

// Nothing of a label leaves its field, whatever stands on it, and letters that the
// fonts lack are named. Names of 300 letters, from right to left, with controls.
func TestHostileTextStaysInItsField(t *testing.T) {
	long := strings.Repeat("W", 300)
	words := strings.TrimSpace(strings.Repeat("spring ", 60))
	texts := []string{long, words, "قفل زنبرك", "מפתח שמאלי", "\u202eevil", "a\x00b\x1b[31m\n\tc", "主ばね", "é́́́́", "🙂🙂", "'\"<&>", "iiiiiiiiiiiiiiiiiiiiiiiiiiiii", "𝔘𝔫𝔦", strings.Repeat("́", 50)}
	var list []Label
	for i, a := range texts {
		b := texts[(i+3)%len(texts)]
		list = append(list, Label{Stops: []string{a, b}, Wound: "left", Word: b, Tells: a, Place: b, Theirs: a, Held: b, Lines: []string{a, b, a}, Care: b,
			Code: strings.Repeat("B", 32), Square: strings.Repeat("B", 32), Stub: []string{a, b, a, b, a}},
			Label{Word: a, Code: "B1", Square: "B1"}, Label{Stops: []string{a}, Stub: texts, Code: a, Square: a})
	}
	for i, spec := range []string{Usual, "roll 8x8", "roll 25x13", "roll 200x10", "roll 10x200", "A4 10x27 19x10 from 5,8 gaps 1,0.5", "A4 3x8 70x37 from 0,4.5"} {
		s := sheetOf(t, spec)
		d, r := recorded()
		d.Labels(s, 1, list, false)
		for i, m := range r.drawn {
			page := r.pages[m.page]
			inside := false
			for n := range s.Fields() {
				f := s.Field(n)
				const hair = 0.02
				inside = inside || m.least.x >= f.X-hair && m.least.y >= f.Y-hair && m.most.x <= f.X+f.W+hair && m.most.y <= f.Y+f.H+hair
			}
			if !inside {
				t.Errorf("%s: mark %d (%q) reaches from %.2f to %.2f of a page of %v", spec, i, m.text, m.least, m.most, page)
			}
		}
		if len(d.Lacks()) == 0 {
			t.Error("no letter is said to be missing from the fonts")
		}
		if i < 2 || soak {
			sound(t, written(t, "hostile.pdf", func(d *Doc) { d.Labels(s, 1, list, true) }))
		}
	}
}

func TestParseSheet(t *testing.T) {
	tests := []struct{ text, want, err string }{
		{text: "A4 3x8 70x37 from 0,4.5", want: "A4 3x8 70x37 from 0,4.5"},
		{text: " a4  3x8 70 ", err: "a sheet of labels is written like"},
		{text: "letter 2x5 101.6x50.8 from 4,12.7 gaps 5,0", want: "letter 2x5 101.6x50.8 from 4,12.7 gaps 5,0"},
		{text: "210×297 3×8 70×37", want: "210x297 3x8 70x37 from 0,0"},
		{text: "roll 25x13", want: "roll 25x13"},
		{text: "roll 25", err: `"25" is no size`},
		{text: "B7 3x8 70x37", err: `"B7" is no page: write A4, A5, legal, letter, or width x height in mm`},
		{text: "A4 4x8 70x37", err: "the last label would begin at 210,259 mm"},
		{text: "A4 3x8 7x37", err: "7x37 mm: paper is 8 to 1200 mm wide and high"},
		{text: "A4 0x8 70x37", err: "0x8: a page has 1 to 400 labels"},
		{text: "A4 30x80 8x8", err: "30x80: a page has 1 to 400 labels"},
		{text: "A4 3x8 70x37 from 1.2.3,0", err: "1.2.3 is no number of mm"},
		{text: "roll 1e9x13", err: "paper is 8 to 1200 mm"},
		{text: "roll NaNx13", err: "paper is 8 to 1200 mm"},
	}
	for _, tt := range tests {
		s, err := ParseSheet(tt.text)
		switch {
		case tt.err != "" && (err == nil || !strings.Contains(err.Error(), tt.err)):
			t.Errorf("%q: %v, want %q", tt.text, err, tt.err)
		case tt.err == "" && (err != nil || s.String() != tt.want):
			t.Errorf("%q: %v, %v", tt.text, s, err)
		}
	}
	// 8 rows of 37 from 4.5 end at 300.5, and A4 at 297: by hand.
	if over := sheetOf(t, "A4 3x8 70x37 from 0,4.5").Over(); math.Abs(over-3.5) > 1e-9 {
		t.Errorf("the last row reaches %v over the edge, not 3.5", over)
	}
}

// A label that begins in field 23 of 24 ends on the first page, the third on the next.
func TestLabelsBeginWhereTheSheetDoes(t *testing.T) {
	s := sheetOf(t, Usual)
	d, r := recorded()
	d.Labels(s, 23, samples(3), false)
	if len(r.pages) != 2 {
		t.Fatalf("%d pages", len(r.pages))
	}
	f := s.Field(22) // the second column of the last row: 70, 259.5
	if m := r.drawn[0]; f.X != 70 || f.Y != 0.5+7*37 || m.least.x < f.X || m.least.y < f.Y || m.page != 0 {
		t.Errorf("field 23 lies at %v, its label at %v", f, m.least)
	}
	if m := r.drawn[len(r.drawn)-1]; m.page != 1 || m.most.x > 70 || m.most.y > 37.5 {
		t.Errorf("the third label ends at %v on page %d", m.most, m.page+1)
	}
}
