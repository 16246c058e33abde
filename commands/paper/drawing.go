package paper

import (
	"fmt"
	"math"
)

// A Drawing is a page of things drawn to scale, side by side.
type Drawing struct {
	Times  float64
	Things []Thing
	Rows   []Compared // their measures
	Notes  []string
}

// A Thing is one of a drawing.
type Thing struct {
	Code, Name string
	Stop       string // LEFT-HAND: white on black
	Figure     Figure
}

// A Compared is a measure of each thing, as words, empty where it was not measured; what
// differs is marked.
type Compared struct {
	Name    string
	Values  []string
	Differs bool
}

// A TooLargeError says that a drawing has no room on its page, and how large it may
// be.
type TooLargeError struct{ Most float64 }

// Error says so in a sentence.
func (e *TooLargeError) Error() string {
	if e.Most < 1 {
		return "it is larger than the page at 1:1: name a larger page with --paper"
	}
	return fmt.Sprintf("it has no room on the page so large: --times %s is the most", num(math.Floor(e.Most*10)/10))
}

// scaleLong is how long the scale on every drawing is, in millimetres of paper.
const scaleLong = 50

const margin, gap = 15.0, 6.0 // of a page with a drawing, and between things

// Most is how many times as large as the things are a drawing of them may be on a page.
func (d *Doc) Most(page Size, w Drawing) float64 {
	_, _, most := d.room(page, w)
	return most
}

// room is how wide each thing may be, the notes below them as they are set, and the most
// of [Doc.Most].
func (d *Doc) room(page Size, w Drawing) (column float64, notes []setRow, most float64) {
	column = (page.W - 2*margin - gap*float64(len(w.Things)-1)) / float64(len(w.Things))
	notes = d.noteRows(w.Notes, page.W-2*margin)
	high := page.H - 2*margin - 22 - 4.6*float64(len(w.Rows)) - total(notes) - 24
	most = math.Inf(1)
	for _, t := range w.Things {
		one := t.Figure.Size(1)
		most = min(most, column/max(one.W, 0.01), high/max(one.H, 0.01))
	}
	return column, notes, most
}

// Drawing prints a drawing on a page of its own.
func (d *Doc) Drawing(page Size, w Drawing) error {
	column, notes, most := d.room(page, w)
	if w.Times > most {
		return &TooLargeError{most}
	}
	d.page(page.W, page.H)
	tallest := 0.0
	for _, t := range w.Things {
		tallest = max(tallest, t.Figure.Size(w.Times).H)
	}
	top := margin + 22
	for i, t := range w.Things {
		x := margin + float64(i)*(column+gap)
		d.heading(t, x, margin, column)
		size := t.Figure.Size(w.Times)
		d.figure(&t.Figure, x+(column-size.W)/2, top+(tallest-size.H)/2, w.Times)
	}
	y := top + tallest + 8
	for _, r := range w.Rows {
		for i, v := range r.Values {
			x := margin + float64(i)*(column+gap)
			text, in := r.Name+"  "+v, black
			switch {
			case v == "":
				text += "not measured"
			case r.Differs:
				d.fill(box(x, y, column, 4.4), black)
				text, in = text+"   differs", white
			}
			d.one(x+1, y+3.3, column-2, 3.2, 2, d.fonts.regular, text, in)
		}
		y += 4.6
	}
	d.printRows(notes, margin, y+3, page.W-2*margin)
	d.scale(margin, page.H-margin-6, w.Times)
	return nil
}

func (d *Doc) noteRows(notes []string, w float64) []setRow {
	var rows []row
	for _, n := range notes {
		rows = append(rows, row{text: n, weight: 1, lines: 3})
	}
	return d.setRows(rows, w, 60, 2.2, 3.2)
}

// heading prints what a thing is.
func (d *Doc) heading(t Thing, x, y, w float64) {
	rows := []row{{text: t.Name, weight: 1.3, lines: 2, bold: true}, {text: t.Code, weight: 1.1, lines: 1}}
	if t.Stop != "" {
		rows = append([]row{{text: t.Stop, weight: 1.3, lines: 2, bar: true}}, rows...)
	}
	d.printRows(d.setRows(rows, w, 20, 2, 4), x, y, w)
}

// scale prints a scale to hold a rule against: whatever the drawing's scale is, it is
// as long on paper as it says.
func (d *Doc) scale(x, y, times float64) {
	const edge = 0.1
	d.stroke(line(x, y, x+scaleLong, y), edge, nil, black)
	for mm := 0; mm <= scaleLong; mm++ {
		long := 1.5
		switch {
		case mm%10 == 0:
			long = 4
		case mm%5 == 0:
			long = 2.5
		}
		d.stroke(line(x+float64(mm), y, x+float64(mm), y-long), edge, nil, black)
	}
	size := "as large as it is"
	if times != 1 {
		size = num(times) + " times as large as it is"
	}
	text := fmt.Sprintf("%d mm on this paper: hold a rule against it; drawn %s", scaleLong, size)
	d.text(x, y+4.2, 3, d.fonts.regular, text, black)
}

// Sketch draws a thing alone, for a screen: so many times as large that it is seen well,
// beside a rule in its own millimetres.
func (d *Doc) Sketch(f *Figure) {
	const wide, high, edge, foot = 120.0, 80.0, 6.0, 12.0
	one, times := f.Size(1), 0.1
	for _, t := range []float64{20, 10, 5, 2, 1, 0.5, 0.2} {
		if one.W*t <= wide && one.H*t <= high {
			times = t
			break
		}
	}
	size, step := f.Size(times), 1
	for float64(step)*times < 9 { // room for a figure
		step = map[byte]int{'1': step * 2, '2': step / 2 * 5, '5': step * 2}[fmt.Sprint(step)[0]]
	}
	parts := max(1, int(math.Ceil(max(size.W, 40)/times/float64(step))))
	long := float64(parts*step) * times
	w := max(size.W, long, 50)
	d.page(w+2*edge, size.H+2*edge+foot)
	d.figure(f, edge+(w-size.W)/2, edge, times)
	y := size.H + 2*edge + 3
	d.stroke(line(edge, y, edge+long, y), 0.15, nil, black)
	for mm := range parts*step + 1 {
		x, tall := edge+float64(mm)*times, 1.2
		if mm%step == 0 {
			tall = 2.5
			d.text(x-0.8, y+4.5, 3, d.fonts.regular, num(float64(mm)), black)
		} else if times < 0.8 {
			continue
		}
		d.stroke(line(x, y, x, y-tall), 0.15, nil, black)
	}
	d.one(edge, y+8, w, 3, 2, d.fonts.regular, "mm; drawn "+num(times)+" times as large as it is", black)
}
