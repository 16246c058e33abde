package nest

import (
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

func solverOf(t rapid.TB, p Problem) *solver {
	t.Helper()
	s, err := newSolver(p)
	if err != nil {
		t.Fatal(err)
	}
	s.limit = s.work
	return s
}

// What was cut from a board has room on it: no bound says otherwise, whatever the board was
// cut into, by edges that need not meet, with a blade, and turned.
func TestBoundsNeverLie(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		kerf := rapid.SampledFrom([]int64{0, 0, 1, 3}).Draw(rt, "kerf")
		p := Problem{Kerf: kerf, Sheets: []Sheet{{W: rapid.Int64Range(8, 200).Draw(rt, "w"), H: rapid.Int64Range(8, 200).Draw(rt, "h"), Count: 1}}}
		todo := []Rect{{W: p.Sheets[0].W, H: p.Sheets[0].H}}
		most := rapid.IntRange(1, 14).Draw(rt, "panels")
		for len(todo) > 0 && len(p.Panels) < most {
			r := todo[0]
			todo = todo[1:]
			if r.W < 1 || r.H < 1 {
				continue
			}
			if len(todo)+len(p.Panels) >= most-1 || rapid.IntRange(0, 3).Draw(rt, "take") == 0 || min(r.W, r.H) < 3 {
				n := Panel{W: rapid.Int64Range((r.W+1)/2, r.W).Draw(rt, "pw"), H: rapid.Int64Range((r.H+1)/2, r.H).Draw(rt, "ph"), Count: 1, Free: rapid.Bool().Draw(rt, "free")}
				if rapid.Bool().Draw(rt, "whole") {
					n.W, n.H = r.W, r.H
				}
				if n.Free && rapid.Bool().Draw(rt, "turned") {
					n.W, n.H = n.H, n.W
				}
				p.Panels = append(p.Panels, n)
				continue
			}
			a, b := r, r
			if rapid.Bool().Draw(rt, "along") {
				c := rapid.Int64Range(1, r.W-1).Draw(rt, "cut")
				a.W, b.W = c, r.W-c-kerf
			} else {
				c := rapid.Int64Range(1, r.H-1).Draw(rt, "cut")
				a.H, b.H = c, r.H-c-kerf
			}
			todo = append(todo, a, b)
		}
		s := solverOf(rt, p)
		if s.impossible(s.boards[0], s.all) {
			rt.Fatalf("%+v was cut, and is said to be impossible", p)
		}
		s.boards[0].cap = s.boards[0].w * s.boards[0].h
		if n := s.atMost(); n < len(p.Panels) {
			rt.Fatalf("%+v: %d of %d panels at most", p, n, len(p.Panels))
		}
	})
}

// What has no room though the area would do. By hand: of squares with more than a third of
// a board's side two lie beside each other, so that four do in all; of strips of 6 x 3 on 10 x 10
// no two lie beside each other, and three above each other; 7 x 7 leaves strips of 3, on which no 4 x 4 lies; turned
// by a quarter 6 x 3 lie 4 in a ring around 3 x 3 (its area 81 of 81), and five are 90.
func TestBounds(t *testing.T) {
	for _, tt := range []struct {
		name   string
		w, h   int64
		kerf   int64
		panels []Panel
		most   int
	}{
		{"five squares", 10, 10, 0, []Panel{{W: 4, H: 4, Count: 5}}, 4},
		{"four squares", 10, 10, 0, []Panel{{W: 4, H: 4, Count: 4}}, 4},
		{"four squares and a blade", 8, 8, 1, []Panel{{W: 4, H: 4, Count: 4}}, 1},
		{"strips", 10, 10, 0, []Panel{{W: 6, H: 3, Count: 4}}, 3},
		{"one keeps the other out", 10, 10, 0, []Panel{{W: 7, H: 7, Count: 1}, {W: 4, H: 4, Count: 1}}, 1},
		{"nine thirds and a crumb", 10, 10, 0, []Panel{{W: 3, H: 3, Count: 9}, {W: 2, H: 2, Count: 1}}, 9},
		{"five strips, turned or not", 9, 9, 0, []Panel{{W: 6, H: 3, Count: 5, Free: true}}, 4},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := Problem{Panels: tt.panels, Kerf: tt.kerf, Sheets: []Sheet{{W: tt.w, H: tt.h, Count: 1}}}
			s := solverOf(t, p)
			s.boards[0].cap = s.boards[0].w * s.boards[0].h
			all := s.count(s.all)
			if no := s.impossible(s.boards[0], s.all); no != (tt.most < all) {
				t.Errorf("impossible: %v", no)
			}
			if got := s.atMost(); got != tt.most {
				t.Errorf("%d at most, want %d", got, tt.most)
			}
		})
	}
}

// Twelve panels that all differ, cut out of a sheet so that nothing is left, go back on it;
// and with a strip of 1 mm less none of its layouts has room for all: the area alone says so,
// and twelve are searched to the end.
func TestTwelveThatDiffer(t *testing.T) {
	for seed := range uint64(4) {
		r := rand.New(rand.NewPCG(seed, 1))
		p := Problem{Sheets: []Sheet{{W: 210_000, H: 297_000, Count: 1}}}
		all := []Rect{{W: 210, H: 297}}
		for len(all) < 12 {
			i := 0
			for j, x := range all {
				if x.Area() > all[i].Area() {
					i = j
				}
			}
			x, share := all[i], 3+r.Int64N(5)
			if x.W > x.H {
				c := x.W * share / 10
				all[i].W, x.W = c, x.W-c
			} else {
				c := x.H * share / 10
				all[i].H, x.H = c, x.H-c
			}
			all = append(all, x)
		}
		for _, x := range all {
			p.Panels = append(p.Panels, Panel{W: x.W * 1000, H: x.H * 1000, Count: 1})
		}
		if a := solved(t, p); a.Score.Left > 0 || !a.Proven {
			t.Errorf("%v: %d left, proven %v", all, a.Score.Left, a.Proven)
		}
		p.Sheets[0].W -= 1000
		if a := solved(t, p); a.Most >= 12 || a.Score.Left == 0 {
			t.Errorf("a strip less: %d left, %d at most", a.Score.Left, a.Most)
		}
	}
}
