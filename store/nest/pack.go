package nest

import (
	"cmp"
	"slices"
)

// again is how often an order is tried once more with the panel first that had no room.
const again = 12

// pack lays a set out the quick way: panel by panel, each in the rectangle that it fills
// best, in several orders. It returns nil where none of them has room for all.
func (s *solver) pack(b *board, set uint64) *drawing {
	var list []int
	for t, c := range s.counts(set) {
		for range c {
			list = append(list, t)
		}
	}
	orders := []func(t int) int64{
		func(t int) int64 { return s.kinds[t].area() },
		func(t int) int64 { return s.kinds[t].h },
		func(t int) int64 { return s.kinds[t].w },
		func(t int) int64 { return max(s.kinds[t].w, s.kinds[t].h) },
	}
	for _, o := range orders {
		for w := range rules {
			slices.SortStableFunc(list, func(a, b int) int { return cmp.Compare(o(b), o(a)) })
			for range again {
				s.steps += int64(len(list) * len(list))
				d := &drawing{s: s, kerf: s.p.Kerf, rule: w, rest: []Rect{{0, 0, b.w, b.h}}}
				stuck := d.packAll(b, list)
				if stuck < 0 {
					return d
				}
				t := list[stuck]
				copy(list[1:], list[:stuck])
				list[0] = t
			}
		}
	}
	return nil
}

// packAll lays panels out one by one, and returns the place of the first that has no room,
// else -1.
func (d *drawing) packAll(b *board, list []int) int {
	for i, t := range list {
		at, c := d.tightest(b, t)
		if at < 0 {
			return i
		}
		r := d.rest[at]
		d.rest = slices.Delete(d.rest, at, at+1)
		d.trim(r, c.Rect)
		d.cells = append(d.cells, c)
	}
	return -1
}

// tightest returns the rectangle that is left in which a panel leaves the narrowest strip,
// and where it lies there.
func (d *drawing) tightest(b *board, t int) (int, cell) {
	best, slack := -1, int64(0)
	var c cell
	k := d.s.kinds[t]
	for i, r := range d.rest {
		xs, ys := b.starts(r.X, r.Y)
		for turn, w, h := false, k.w, k.h; ; turn, w, h = true, k.h, k.w {
			for _, x := range xs {
				for _, y := range ys {
					sx, sy := r.X+r.W-x-w, r.Y+r.H-y-h
					if sx < 0 || sy < 0 || !b.clear(x, y, w, h) {
						continue
					}
					if n := min(sx, sy); best < 0 || n < slack {
						best, slack, c = i, n, cell{Rect{x, y, w, h}, t, turn}
					}
				}
			}
			if turn || !k.free {
				break
			}
		}
	}
	return best, c
}
