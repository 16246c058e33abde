package paper

// A Label is what stands on a label. What is empty is left out; what has no room is
// left out too, the last first.
type Label struct {
	Stops  []string // what it is not for, LEFT-HAND: white on black, the largest
	Wound  string   // left or right: a coil is drawn as it is wound
	Word   string   // what it is
	Tells  string   // and the measure that tells it from its neighbour
	Place  string
	Theirs string // whose it is, in place of where it lives: the left edge is hatched
	Held   string // for whom it is set aside: hatched too
	Lines  []string
	Care   string
	Code   string   // as the eye reads it
	Square string   // as a reader does
	Stub   []string // on a part to tear off
}

// Labels print labels on a sheet, the first of them in field from, counted from 1.
// Edges draws the edge of every field.
func (d *Doc) Labels(s Sheet, from int, list []Label, edges bool) {
	n := from - 1
	for i := 0; i == 0 || i < len(list); i++ {
		if at := n % s.Fields(); at == 0 || i == 0 {
			d.page(s.size.W, s.size.H)
			if edges {
				d.edges(s)
			}
		}
		if i < len(list) {
			d.label(s.Field(n%s.Fields()), list[i])
		}
		n++
	}
}

// edges draws the edge of every field, numbered, to hold against the sheet.
func (d *Doc) edges(s Sheet) {
	const thin = 0.1
	for n := range s.Fields() {
		f := s.Field(n)
		d.stroke(box(f.X, f.Y, f.W, f.H), thin, nil, black)
	}
}

// Test prints a page by which a sheet is held against the light: the edges of its
// fields, their numbers, and a scale.
func (d *Doc) Test(s Sheet, name string) {
	d.page(s.size.W, s.size.H)
	d.edges(s)
	for n := range s.Fields() {
		f := s.Field(n)
		rows := d.setRows([]row{{text: num(float64(n + 1)), weight: 2, lines: 1, bold: true}, {text: name, weight: 1, lines: 2},
			{text: "hold this against a sheet of labels: every edge within 0.3 mm, printed at 100 %", weight: 1, lines: 3}}, f.W-4, f.H-4, 1.4, 3.5)
		d.printRows(rows, f.X+2, f.Y+2, f.W-4)
	}
}

// Letters of labels: the smallest that an eye reads at arm's length, and the largest
// on one that is not large itself.
const (
	leastLetter = 1.4
	mostLetter  = 3.6
)

// label prints a label into a field.
func (d *Doc) label(f Field, l Label) {
	edge := min(2.2, max(0.8, f.H*0.055))
	if l.Theirs != "" || l.Held != "" {
		f = d.hatched(f)
	}
	if len(l.Stub) > 0 && f.W >= 50 {
		f = d.stub(f, l.Stub, edge)
	}
	in := Field{f.X + edge, f.Y + edge, f.W - 2*edge, f.H - 2*edge}
	taken, under := d.square(f, in, l, f.H < 20)
	in.W -= taken
	rows := d.labelRows(l, !under)
	set := d.setRows(rows, in.W, in.H, leastLetter, max(mostLetter, f.H/10))
	d.printRows(set, in.X, in.Y, in.W)
	d.wound(set, in, l)
}

// labelRows are the rows of a label, in their order of size.
func (d *Doc) labelRows(l Label, codeToo bool) (rows []row) {
	add := func(r row) {
		if r.text != "" {
			rows = append(rows, r)
		}
	}
	for _, s := range l.Stops {
		add(row{text: s, weight: 1.5, lines: 3, bar: true})
	}
	less := 0.0
	if l.Wound != "" {
		less = coilWide
	}
	where := l.Place
	if codeToo && l.Word != l.Code {
		// Where no code stands under the square one, it stands beside the drawer.
		add(row{text: joined(l.Code, l.Place), weight: 1.4, lines: 1, bold: true})
		where = ""
	}
	add(row{text: l.Word, weight: 1.35, lines: 2, bold: true, less: less})
	add(row{text: l.Tells, weight: 1.2, lines: 3, less: less})
	if l.Theirs != "" {
		add(row{text: l.Theirs, weight: 1.15, lines: 2, bold: true})
	} else {
		add(row{text: where, weight: 1.15, lines: 1, bold: true})
	}
	add(row{text: l.Held, weight: 1.1, lines: 2, bold: true})
	for i, s := range l.Lines {
		add(row{text: s, weight: 1 - 0.05*float64(i), lines: 2})
	}
	add(row{text: l.Care, weight: 0.8, lines: 6})
	return rows
}

func joined(a, b string) string {
	if a == "" || b == "" {
		return a + b
	}
	return a + "  " + b
}

// square prints the square code into the right of a label, with what the eye reads
// under it where there is room, and says how much of the width that takes.
func (d *Doc) square(f, in Field, l Label, small bool) (taken float64, under bool) {
	s := newSquare(l.Square)
	if s == nil {
		return 0, false
	}
	side := min(f.H*0.62, in.W*0.45, 24)
	if small {
		side = min(f.H, f.W*0.5)
	}
	m := s.module(side)
	if m < 2*dot {
		return 0, false // no reader would read it
	}
	whole, n := m*float64(s.n+2*quiet), m*float64(s.n)
	x, y := f.X+f.W-whole+m*quiet, f.Y+m*quiet
	if small {
		y = f.Y + (f.H-n)/2
	}
	d.fill(s.path(x, y, m), black)
	code := d.printable(l.Code)
	size := min(5, f.H*0.13, n*slack/d.fonts.bold.width(code))
	if under = !small && size >= leastLetter; under {
		d.text(x, y+n+m*quiet*0.6+size*0.9, size, d.fonts.bold, code, black)
	}
	return in.X + in.W - x + m*quiet, under
}

// hatched hatches the left edge of a field, and returns what is left of it.
func (d *Doc) hatched(f Field) Field {
	wide := min(3, f.W*0.09)
	const gap = 1.1
	for y := f.Y - wide; y < f.Y+f.H; y += gap {
		// From the left edge down to the right, cut off at the field's.
		x1, y1, x2, y2 := f.X, y, f.X+wide, y+wide
		if y1 < f.Y {
			x1, y1 = x1+f.Y-y1, f.Y
		}
		if over := y2 - f.Y - f.H; over > 0 {
			x2, y2 = x2-over, y2-over
		}
		if x2 > x1 {
			d.stroke(line(x1, y1, x2, y2), 0.35, nil, black)
		}
	}
	d.stroke(line(f.X+wide, f.Y, f.X+wide, f.Y+f.H), 0.35, nil, black)
	return Field{f.X + wide, f.Y, f.W - wide, f.H}
}

// stub prints the part to tear off, on the right, and returns what is left.
func (d *Doc) stub(f Field, lines []string, edge float64) Field {
	wide := f.W * 0.36
	x := f.X + f.W - wide
	d.stroke(line(x, f.Y, x, f.Y+f.H), 0.2, []float64{1, 1}, black)
	var rows []row
	for i, s := range lines {
		rows = append(rows, row{text: s, weight: max(0.8, 1.3-0.15*float64(i)), lines: 2, bold: i < 2})
	}
	d.printRows(d.setRows(rows, wide-2*edge, f.H-2*edge, leastLetter, mostLetter), x+edge, f.Y+edge, wide-2*edge)
	return Field{f.X, f.Y, f.W - wide, f.H}
}

// coilWide is the room of a drawn coil beside a row, in sizes of its letters.
const coilWide = 2.4

// wound draws a coil as it is wound, beside the word of the label. Seen from the
// side, the turns in front of a right-hand coil whose axis stands upright rise to the
// right, those of a left-hand one to the left.
func (d *Doc) wound(set []setRow, in Field, l Label) {
	y := in.Y
	for i, r := range set {
		if l.Wound == "" || r.less == 0 {
			y += r.height()
			continue
		}
		high := r.height()
		if i+1 < len(set) && set[i+1].less > 0 {
			high += set[i+1].height()
		}
		wide := r.size * (coilWide - 0.5)
		const turns = 4
		step := high / (turns + 0.8)
		thick := step * 0.55
		x := in.X + in.W - wide
		for n := range turns {
			top := y + float64(n)*step + step*0.4
			from, to := top+step*0.8, top // rises to the right
			if l.Wound == "left" {
				from, to = to, from
			}
			d.stroke(line(x+thick/2, from, x+wide-thick/2, to), thick, nil, black)
			for _, end := range []point{{x + thick/2, from}, {x + wide - thick/2, to}} {
				d.fill(circle(end.x, end.y, thick/2), black)
			}
		}
		return
	}
}
