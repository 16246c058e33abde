package nest

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// A brute tries everything on a grid of whole numbers: every cut at every place, every way
// to share the panels out. It shares nothing with the solver.
type brute struct {
	p     Problem
	sh    Sheet
	items []item // the last may be what is to be left
	memo  map[region4]bool
}

// A region4 is a region, some of the items, and the size of what is to be left.
type region4 struct {
	r    Rect
	some int
	w, h int64
}

// An item of the brute: a panel with its margin, or a rectangle that is to be left.
type item struct {
	panel int // below 0 for what is to be left
	w, h  int64
}

// can says whether some items can be cut from a region, each alone in a piece.
func (b *brute) can(r Rect, some int) bool {
	if some == 0 {
		return true
	}
	if r.W <= 0 || r.H <= 0 {
		return false
	}
	if some&(some-1) == 0 {
		return b.one(r, b.items[bits.TrailingZeros(uint(some))])
	}
	key := region4{r: r, some: some}
	if last := b.items[len(b.items)-1]; last.panel < 0 {
		key.w, key.h = last.w, last.h
	}
	v, ok := b.memo[key]
	if !ok {
		v = b.split(r, some)
		b.memo[key] = v
	}
	return v
}

func (b *brute) split(r Rect, some int) bool {
	k := b.p.Kerf
	for one := (some - 1) & some; one > 0; one = (one - 1) & some {
		for c := int64(1); c < r.W; c++ {
			if b.can(Rect{r.X, r.Y, c, r.H}, one) && b.can(Rect{r.X + c + k, r.Y, r.W - c - k, r.H}, some-one) {
				return true
			}
		}
		for c := int64(1); c < r.H; c++ {
			if b.can(Rect{r.X, r.Y, r.W, c}, one) && b.can(Rect{r.X, r.Y + c + k, r.W, r.H - c - k}, some-one) {
				return true
			}
		}
	}
	return false
}

func (b *brute) one(r Rect, n item) bool {
	sides := [][2]int64{{n.w, n.h}}
	m := b.p.Margin
	if n.panel < 0 {
		m = 0
	} else if of := b.p.Panels[n.panel]; of.Free {
		sides = append(sides, [2]int64{n.h, n.w})
	} else if of.Across != b.sh.Across {
		sides = [][2]int64{{n.h, n.w}}
	}
	for _, s := range sides {
		for x := r.X; x+s[0] <= r.X+r.W; x++ {
			for y := r.Y; y+s[1] <= r.Y+r.H; y++ {
				if !slices.ContainsFunc(b.sh.Flaws, func(f Rect) bool {
					return x+m < f.X+f.W && f.X < x+s[0]-m && y+m < f.Y+f.H && f.Y < y+s[1]-m
				}) {
					return true
				}
			}
		}
	}
	return false
}

// left is the area of the largest rectangle that panels leave, below 0 where they have no
// room.
func (b *brute) left(panels []int) int64 {
	e := b.sh.Edge
	in := Rect{e, e, b.sh.W - 2*e, b.sh.H - 2*e}
	b.items, b.memo = nil, map[region4]bool{}
	for _, i := range panels {
		n := b.p.Panels[i]
		b.items = append(b.items, item{i, n.W + 2*b.p.Margin, n.H + 2*b.p.Margin})
	}
	all := 1<<len(panels) - 1
	if !b.can(in, all) {
		return -1
	}
	most := int64(0)
	b.items = append(b.items, item{})
	for w, h := int64(1), in.H; w <= in.W; w++ { // a wider one is never higher
		for ; h > 0; h-- {
			if b.items[len(panels)] = (item{-1, w, h}); b.can(in, all|1<<len(panels)) {
				most = max(most, w*h)
				break
			}
		}
	}
	return most
}

// best is the best score and the largest rectangles left with it.
func best(p Problem) (Score, []int64) {
	var panels, stock []int
	for i, n := range p.Panels {
		for range n.Count {
			panels = append(panels, i)
		}
	}
	brutes := make([]*brute, len(p.Sheets))
	known := map[string]int64{}
	for i, sh := range p.Sheets {
		brutes[i] = &brute{p: p, sh: sh}
		for range sh.Count {
			stock = append(stock, i)
		}
	}
	left := func(sheet int, of []int) int64 {
		key := fmt.Sprint(sheet, of)
		v, ok := known[key]
		if !ok {
			v = brutes[sheet].left(of)
			known[key] = v
		}
		return v
	}
	var top Score
	var topLefts []int64
	to := make([]int, len(panels)) // 0: nowhere
	for {
		if sc, lefts, ok := outcome(p, panels, stock, to, left); ok {
			if c := cmp.Or(cmp.Compare(top.Left, sc.Left), cmp.Compare(top.New, sc.New), cmp.Compare(top.OnNew, sc.OnNew), cmp.Compare(top.Broken, sc.Broken), slices.Compare(lefts, topLefts)); topLefts == nil || c > 0 {
				top, topLefts = sc, lefts
			}
		}
		i := 0
		for ; i < len(to); i++ {
			if to[i]++; to[i] <= len(stock) {
				break
			}
			to[i] = 0
		}
		if i == len(to) {
			return top, topLefts
		}
	}
}

func outcome(p Problem, panels, stock, to []int, left func(int, []int) int64) (sc Score, lefts []int64, ok bool) {
	on := make([][]int, len(stock)+1)
	for i, n := range panels {
		on[to[i]] = append(on[to[i]], n)
	}
	sc.Left = len(on[0])
	for i, sheet := range stock {
		l := left(sheet, on[i+1])
		if l < 0 {
			return sc, nil, false
		}
		lefts = append(lefts, l)
		if len(on[i+1]) == 0 {
			continue
		}
		sc.Broken++
		if p.Sheets[sheet].New {
			sc.New++
			for _, n := range on[i+1] {
				sc.OnNew += (p.Panels[n].W + 2*p.Margin) * (p.Panels[n].H + 2*p.Margin)
			}
		}
	}
	if p.Most > 0 && sc.New > p.Most {
		return sc, nil, false
	}
	slices.Sort(lefts)
	slices.Reverse(lefts)
	return sc, lefts, true
}

// anyProblem draws a problem small enough to try everything.
func anyProblem(t *rapid.T) Problem {
	n := func(from, to int, what string) int64 { return int64(rapid.IntRange(from, to).Draw(t, what)) }
	p := Problem{Margin: n(0, 1, "margin") * n(0, 1, "margin too"), Kerf: n(0, 1, "kerf") * n(0, 1, "kerf too"), Most: int(n(0, 1, "most"))}
	for left := 4; left > 0; {
		c := int(n(1, min(2, left), "count"))
		left -= c
		p.Panels = append(p.Panels, Panel{n(1, 4, "w"), n(1, 4, "h"), c, n(0, 1, "across") == 1, n(0, 2, "free") == 2})
		if n(0, 2, "enough") == 2 {
			break
		}
	}
	for left := 3; left > 0; {
		c := int(n(1, min(2, left), "pieces"))
		left -= c
		s := Sheet{W: n(2, 6, "width"), H: n(2, 7, "length"), Count: c, New: n(0, 1, "new") == 1, Across: n(0, 1, "sheet across") == 1, Edge: n(0, 3, "edge") / 3}
		for range n(0, 2, "flaws") * n(0, 1, "flawed") {
			s.Flaws = append(s.Flaws, Rect{n(-1, 6, "x"), n(-1, 6, "y"), n(1, 3, "flaw w"), n(1, 3, "flaw h")})
		}
		p.Sheets = append(p.Sheets, s)
		if n(0, 2, "sheets") == 2 {
			break
		}
	}
	return p
}

// TestAgainstBruteForce lays out 500 small problems at random and compares with trying
// everything: the score, and the largest rectangles left.
func TestAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		for range 5 {
			p := anyProblem(t)
			a, err := Solve(p)
			if err != nil {
				t.Fatal(err)
			}
			lefts, err := checked(p, a)
			if err != nil {
				t.Fatalf("%+v\n%+v\n%v", p, a, err)
			}
			sc, want := best(p)
			if !a.Proven || !a.BestLeft {
				t.Fatalf("not proven: %+v", p)
			}
			if a.Score != sc || !slices.Equal(lefts, want) {
				t.Fatalf("%+v\n%+v\nscore %+v left %v\nwant  %+v left %v", p, a, a.Score, lefts, sc, want)
			}
			if sc.Left == 0 && sc.New < a.Fewest {
				t.Fatalf("%d new sheets are enough, %d were said to be needed: %+v", sc.New, a.Fewest, p)
			}
		}
	})
}
