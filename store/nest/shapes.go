package nest

import (
	"slices"
	"sort"
)

// A block is a rectangle out of which a set of panels can be cut: a single panel, or two
// blocks beside or above each other. For a single one dx and dy are how far it lies from
// the block's lower left corner, which only flaws make more than 0; else part is the set
// of the first block, and first and second say which of their shapes the two have.
type block struct {
	w, h          int64
	how           how
	dx, dy        int64
	part          uint64
	first, second int32
}

type how uint8

const (
	single  how = iota
	quarter     // a single panel that is turned
	beside
	above
)

// A front is the blocks of a set of which none is at least as large as another both ways:
// w ascends, h descends.
type front []block

func (f front) with(b block) front {
	i := sort.Search(len(f), func(i int) bool { return f[i].w >= b.w })
	if i < len(f) && f[i].w == b.w && f[i].h <= b.h || i > 0 && f[i-1].h <= b.h {
		return f
	}
	j := i
	for j < len(f) && f[j].h >= b.h {
		j++
	}
	if j == i {
		f = append(f, block{})
		copy(f[i+1:], f[i:])
	} else {
		f = append(f[:i+1], f[j:]...)
	}
	f[i] = b
	return f
}

// within returns the place of a block that is no larger than w by h, or -1.
func (f front) within(w, h int64) int {
	i := sort.Search(len(f), func(i int) bool { return f[i].w > w }) - 1
	if i >= 0 && f[i].h <= h {
		return i
	}
	return -1
}

// shapes returns the front of a set on stock without flaws, of blocks that have room on
// some piece.
func (s *solver) shapes(set uint64) front {
	if f, ok := s.shape[set]; ok {
		return f
	}
	n := s.counts(set)
	f := front{}
	if s.count(set) == 1 {
		for t, c := range n {
			if c == 1 {
				f = s.one(f, s.kinds[t])
			}
		}
	} else if s.partsFit(set, n) {
		s.splits(n, func(part uint64) {
			if part <= set-part {
				f = s.join(f, part, s.shapes(part), s.shapes(set-part))
			}
		})
	}
	s.shape[set] = f
	return f
}

func (s *solver) one(f front, k kind) front {
	if s.roomFor(k.w, k.h) {
		f = f.with(block{w: k.w, h: k.h})
	}
	if k.free && s.roomFor(k.h, k.w) {
		f = f.with(block{w: k.h, h: k.w, how: quarter})
	}
	return f
}

// partsFit says whether a set may have a block at all: its area, and the set without one.
func (s *solver) partsFit(set uint64, n []int) bool {
	area, most := s.area(set), int64(0)
	for _, b := range s.boards {
		most = max(most, b.w*b.h)
	}
	if area > most {
		return false
	}
	for t, c := range n {
		if c > 0 && len(s.shapes(set-s.stride[t])) == 0 {
			return false
		}
	}
	return true
}

// roomFor says whether some board is as large as that.
func (s *solver) roomFor(w, h int64) bool {
	return slices.ContainsFunc(s.large, func(b *board) bool { return w <= b.w && h <= b.h })
}

// join adds the blocks that two blocks make, above and beside each other.
func (s *solver) join(f front, part uint64, a, b front) front {
	s.steps += int64(len(a) + len(b))
	if len(a) == 0 || len(b) == 0 {
		return f
	}
	for i, j := 0, 0; ; {
		w, h := max(a[i].w, b[j].w), a[i].h+s.p.Kerf+b[j].h
		ni, nj := i+1 < len(a) && a[i+1].w <= w, j+1 < len(b) && b[j+1].w <= w
		switch {
		case ni:
			i++
			continue
		case nj:
			j++
			continue
		}
		if s.roomFor(w, h) {
			f = f.with(block{w: w, h: h, how: above, part: part, first: int32(i), second: int32(j)})
		}
		switch {
		case i+1 == len(a) && j+1 == len(b):
		case j+1 == len(b) || i+1 < len(a) && a[i+1].w <= b[j+1].w:
			i++
			continue
		default:
			j++
			continue
		}
		break
	}
	for i, j := len(a)-1, len(b)-1; ; {
		w, h := a[i].w+s.p.Kerf+b[j].w, max(a[i].h, b[j].h)
		switch {
		case i > 0 && a[i-1].h <= h:
			i--
			continue
		case j > 0 && b[j-1].h <= h:
			j--
			continue
		}
		if s.roomFor(w, h) {
			f = f.with(block{w: w, h: h, how: beside, part: part, first: int32(i), second: int32(j)})
		}
		switch {
		case i == 0 && j == 0:
		case j == 0 || i > 0 && a[i-1].h <= b[j-1].h:
			i--
			continue
		default:
			j--
			continue
		}
		break
	}
	return f
}
