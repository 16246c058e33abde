package nest

import (
	"errors"
	"reflect"
	"slices"
	"testing"
)

// A valued panel of a published problem: its size, how many there are, what one is worth.
type valued struct {
	w, h  int64
	count int
	value int
}

// published are problems of guillotine cutting out of one sheet. Sizes, counts and values:
// OR-Datasets (github.com/Oscar-Oliveira/OR-Datasets), Cutting-and-Packing/2D/Datasets,
// NGCUT and CGCUT, json/1.json; in the former the values stand under DemandMax.
var published = []struct {
	name   string
	w, h   int64
	panels []valued
	free   bool
	want   int
	source string
}{
	{"NGCUT1", 10, 10, ngcut1, false, 164, "Beasley 1985, Operations Research 33:49-64; packlib, b-etdng-85; the best layout is one of guillotine cuts"},
	{"NGCUT1 turned", 10, 10, ngcut1, true, 193, "not published: an exhaustive search by another program"},
	{"CGCUT1", 15, 10, cgcut1, false, 244, "Christofides and Whitlock 1977, Operations Research 25:30-44; reproduced by an exhaustive search by another program"},
}

var (
	ngcut1 = []valued{{3, 7, 2, 35}, {8, 2, 2, 40}, {10, 2, 1, 27}, {5, 4, 3, 23}, {2, 9, 2, 43}}
	cgcut1 = []valued{{8, 4, 2, 66}, {3, 7, 1, 35}, {8, 2, 3, 24}, {3, 4, 5, 17}, {3, 3, 2, 11}, {3, 2, 2, 8}, {2, 1, 1, 2}}
)

// TestPublished names the best value of published problems: the test goes through all
// choices of pieces, the solver says which of them fit.
func TestPublished(t *testing.T) {
	for _, tt := range published {
		t.Run(tt.name, func(t *testing.T) {
			best := 0
			choices(tt.panels, func(n []int, value, area int) {
				if value <= best || area > int(tt.w*tt.h) {
					return
				}
				p := Problem{Sheets: []Sheet{{W: tt.w, H: tt.h, Count: 1, New: true}}}
				for i, v := range tt.panels {
					p.Panels = append(p.Panels, Panel{W: v.w, H: v.h, Count: n[i], Free: tt.free})
				}
				a := solved(t, p)
				if a.Score.Left == 0 {
					best = value
				} else if !a.Proven {
					t.Errorf("%v: not proven", n)
				}
			})
			if best != tt.want {
				t.Errorf("best value %d, want %d (%s)", best, tt.want, tt.source)
			}
		})
	}
}

// choices calls f with every choice of pieces.
func choices(panels []valued, f func(n []int, value, area int)) {
	n := make([]int, len(panels))
	var down func(i, value, area int)
	down = func(i, value, area int) {
		if i == len(panels) {
			f(n, value, area)
			return
		}
		v := panels[i]
		for c := v.count; c >= 0; c-- {
			n[i] = c
			down(i+1, value+c*v.value, area+c*int(v.w*v.h))
		}
		n[i] = 0
	}
	down(0, 0, 0)
}

// solved lays out, and looks at the answer with the checker.
func solved(tb testing.TB, p Problem) Answer {
	tb.Helper()
	a, err := Solve(p)
	if err != nil {
		tb.Fatal(err)
	}
	if _, err := checked(p, a); err != nil {
		tb.Fatalf("%v\n%+v", err, a)
	}
	return a
}

// bkw1 is the first problem of Burke, Kendall and Whitwell 2004, Operations Research
// 52:655-671 (OR-Datasets, BKW/json/1.json): ten pieces, 1600 in all, that fill a strip 40
// wide and 40 high.
var bkw1 = []Panel{{W: 40, H: 16, Count: 1}, {W: 24, H: 24, Count: 1}, {W: 5, H: 20, Count: 1}, {W: 4, H: 20, Count: 1}, {W: 7, H: 8, Count: 1},
	{W: 7, H: 6, Count: 2}, {W: 7, H: 4, Count: 1}, {W: 5, H: 4, Count: 1}, {W: 4, H: 4, Count: 1}}

func TestStrip(t *testing.T) {
	for _, tt := range []struct {
		name         string
		height, kerf int64
		left         int
	}{
		{"height 40", 40, 0, 0},
		{"height 39: 1560 are less than 1600", 39, 0, 1},
		{"height 40 with a kerf: nothing is left for the blade", 40, 1, 1},
	} {
		t.Run(tt.name, func(t *testing.T) {
			a := solved(t, Problem{Panels: bkw1, Kerf: tt.kerf, Sheets: []Sheet{{W: 40, H: tt.height, Count: 1}}})
			if (a.Score.Left > 0) != (tt.left > 0) || !a.Proven {
				t.Errorf("%d left, proven %v", a.Score.Left, a.Proven)
			}
		})
	}
}

const mm = 1000

// body is the panels of one camera of the worked example: 128 by 57, twice 34 by 57, 56 by
// 40, 128 by 31 mm, all the same way up: the 128 across the sheet, or along it.
func body(n int, across bool) []Panel {
	list := []Panel{{W: 128, H: 57, Count: n}, {W: 34, H: 57, Count: 2 * n}, {W: 56, H: 40, Count: n}, {W: 128, H: 31, Count: n}}
	for i := range list {
		list[i].W, list[i].H = list[i].W*mm, list[i].H*mm
		list[i].Across = across
	}
	return list
}

// TestTwoCamerasAndASpare is the worked example of the trade: panels of two cameras and a
// spare back fit an A4 sheet with 4 mm all round when their long way lies along the sheet's
// long side, not turned the other way, though 542 of 624 square centimetres are needed
// either way; three cameras, 680, never.
func TestTwoCamerasAndASpare(t *testing.T) {
	spare := Panel{W: 128 * mm, H: 57 * mm, Count: 1}
	for _, tt := range []struct {
		name   string
		bodies int
		across bool
		fits   bool
	}{
		{"two, the long way along the sheet", 2, true, true},
		{"two, turned the other way", 2, false, false},
		{"three, the long way along the sheet", 3, true, false},
		{"three, turned the other way", 3, false, false},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := Problem{Margin: 4 * mm, Panels: body(tt.bodies, tt.across), Sheets: []Sheet{{W: 210 * mm, H: 297 * mm, Count: 1, New: true}}}
			if tt.bodies == 2 {
				s := spare
				s.Across = tt.across
				p.Panels = append(p.Panels, s)
			}
			a := solved(t, p)
			if fits := a.Score.Left == 0; fits != tt.fits || !a.Proven {
				t.Errorf("%d left, proven %v", a.Score.Left, a.Proven)
			}
		})
	}
}

// TestChecker feeds layouts that are wrong by one, as a checker that lets them pass would
// prove nothing.
func TestChecker(t *testing.T) {
	p := Problem{Panels: bkw1, Sheets: []Sheet{{W: 40, H: 40, Count: 1, Flaws: []Rect{{40, 40, 3, 3}}}}}
	good := solved(t, p)
	for _, tt := range []struct {
		name  string
		spoil func(p *Problem, l *Layout)
	}{
		{"a panel moved by 1", func(_ *Problem, l *Layout) { l.Placed[3].X++ }},
		{"a cut moved by 1", func(_ *Problem, l *Layout) { l.Cuts[0].Y1++; l.Cuts[0].Y2++; l.Cuts[0].X1++ }},
		{"a cut left out", func(_ *Problem, l *Layout) { l.Cuts = l.Cuts[:len(l.Cuts)-1] }},
		{"a panel left out", func(_ *Problem, l *Layout) { l.Placed = l.Placed[1:] }},
		{"a panel lies on a flaw", func(p *Problem, _ *Layout) { p.Sheets[0].Flaws[0].X = 39; p.Sheets[0].Flaws[0].Y = 0 }},
		{"a panel that is turned", func(_ *Problem, l *Layout) { l.Placed[0].Turned = true }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			q, a := p, good
			q.Sheets = []Sheet{p.Sheets[0]}
			q.Sheets[0].Flaws = slices.Clone(p.Sheets[0].Flaws)
			l := good.Layouts[0]
			l.Placed, l.Cuts = slices.Clone(l.Placed), slices.Clone(l.Cuts)
			tt.spoil(&q, &l)
			a.Layouts = []Layout{l}
			if _, err := checked(q, a); err == nil {
				t.Error("let pass")
			}
		})
	}
}

// bench is panels of six cameras, ten sheets and thirty offcuts, some with a flaw; each
// camera of its own sizes where they differ.
func bench(differ bool) Problem {
	p := Problem{Margin: 4 * mm, Sheets: []Sheet{{W: 210 * mm, H: 297 * mm, Count: 10, New: true}}}
	for i := range int64(6) {
		for _, n := range body(1, true) {
			if differ {
				n.W, n.H = n.W+(i*7%5-2)*mm, n.H+(i*5%7-3)*mm
			}
			p.Panels = append(p.Panels, n)
		}
	}
	for i := range int64(30) {
		sh := Sheet{W: (45 + i*37%71) * mm, H: (55 + i*53%97) * mm, Count: 1}
		if i%5 == 0 {
			sh.Flaws = []Rect{{sh.W/3 - 4*mm, sh.H/2 - 4*mm, 8 * mm, 8 * mm}}
		}
		p.Sheets = append(p.Sheets, sh)
	}
	return p
}

// TestLimit holds that a layout is whole and the same again wherever the steps end, and
// that it says so.
func TestLimit(t *testing.T) {
	for _, differ := range []bool{false, true} {
		for _, steps := range []int64{1, 1000, 200_000} {
			p := bench(differ)
			p.Work = steps
			a, again := solved(t, p), solved(t, p)
			if !reflect.DeepEqual(a, again) {
				t.Errorf("%d steps: another answer the second time", steps)
			}
			if steps > 1 && a.Score.Left > 0 || a.Score.New < a.Fewest {
				t.Errorf("%d steps: %+v, at least %d sheets", steps, a.Score, a.Fewest)
			}
			if steps == 1 && a.Proven {
				t.Error("proven in one step")
			}
		}
	}
}

func TestMany(t *testing.T) {
	var p Problem
	for i := range int64(64) {
		p.Panels = append(p.Panels, Panel{W: 10 + i, H: 20, Count: 1})
	}
	if _, err := Solve(p); !errors.Is(err, ErrMany) {
		t.Errorf("64 kinds of panels: %v", err)
	}
	a := solved(t, Problem{Panels: []Panel{{W: 1, H: 1}}})
	if len(a.Layouts) > 0 || !a.Proven {
		t.Errorf("nothing to cut: %+v", a)
	}
}

func BenchmarkSixCamerasOnTenSheetsAndThirtyOffcuts(b *testing.B) {
	for _, differ := range []bool{false, true} {
		name := "alike"
		if differ {
			name = "each its own sizes"
		}
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				a := solved(b, bench(differ))
				proven := 0.0
				if a.Proven {
					proven = 1
				}
				b.ReportMetric(float64(a.Score.New), "sheets")
				b.ReportMetric(float64(a.Fewest), "sheets-at-least")
				b.ReportMetric(float64(a.Score.Broken), "pieces")
				b.ReportMetric(proven, "proven")
			}
		})
	}
}
