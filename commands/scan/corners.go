package scan

import (
	"math"
)

// A corner is the middle of what looks like a corner of a square code: dark, light, dark,
// light, dark as 1, 1, 3, 1, 1, whichever way one goes.
type corner struct {
	x, y   float64
	module float64 // pixels, along the row
	rows   float64 // that it was seen in
}

// mostCorners is how many corners of codes are looked at: the work grows with their third
// power, and a page of labels has three each. A noise has thousands.
const mostCorners = 200

// every is how many rows are passed over: a corner is three modules high in its middle.
const every = 3

// corners are those of a picture, no more than one more than [mostCorners].
func (s *shot) corners() (all []corner) {
	for y := every - 1; y < s.h && len(all) <= mostCorners; y += every {
		var runs [5]int
		dark := false // the last of runs is
		for x := 0; x <= s.w; x++ {
			if d := s.at(x, y); d == dark && x < s.w {
				runs[4]++
				continue
			}
			if dark && likeCorner(runs, 0.5) {
				all = s.confirm(all, runs, x, y)
			}
			copy(runs[:], runs[1:])
			runs[4], dark = 1, !dark
		}
	}
	return all
}

// likeCorner says that runs of dark and light are those of a corner, each off by less than
// a share of what it should be.
func likeCorner(runs [5]int, share float64) bool {
	n := 0
	for _, r := range runs {
		if r == 0 {
			return false
		}
		n += r
	}
	module := float64(n) / 7
	off := func(r, modules int) bool {
		return math.Abs(float64(r)-module*float64(modules)) >= module*float64(modules)*share
	}
	return n >= 7 && !off(runs[0], 1) && !off(runs[1], 1) && !off(runs[2], 3) && !off(runs[3], 1) && !off(runs[4], 1)
}

// confirm adds the corner whose runs end before x in row y, when it is one down and aslant
// as well: to one that is there already, or as another.
func (s *shot) confirm(all []corner, runs [5]int, x, y int) []corner {
	n := runs[0] + runs[1] + runs[2] + runs[3] + runs[4]
	cx := float64(x-runs[4]-runs[3]) - float64(runs[2])/2
	cy, ok := s.across(int(cx), y, 0, 1, n, 0.5)
	if !ok {
		return all
	}
	mid, ok := s.across(int(cx), int(float64(y)+cy), 1, 0, n, 0.5)
	if !ok {
		return all
	}
	c := corner{float64(int(cx)) + mid, float64(y) + cy, float64(n) / 7, 1}
	if _, ok := s.across(int(c.x), int(c.y), 1, 1, 0, 0.75); !ok {
		return all
	}
	for i := range all {
		o := &all[i]
		if math.Abs(o.x-c.x) <= o.module && math.Abs(o.y-c.y) <= o.module && math.Abs(o.module-c.module) <= max(1, o.module) {
			k := o.rows + 1
			o.x, o.y, o.module, o.rows = (o.x*o.rows+c.x)/k, (o.y*o.rows+c.y)/k, (o.module*o.rows+c.module)/k, k
			return all
		}
	}
	return append(all, c)
}

// across goes from a dark pixel in the middle of a corner both ways and returns how far
// on its middle lies along the way. Like is how long the row was, in pixels, and all that
// is found must be some two fifths near it; 0 for any length.
func (s *shot) across(x, y, dx, dy, like int, share float64) (mid float64, ok bool) {
	var runs [5]int
	walk := func(x, y, dx, dy int, into [3]int) (n int) {
		want := true
		for _, i := range into {
			for x >= 0 && y >= 0 && x < s.w && y < s.h && s.at(x, y) == want {
				runs[i]++
				n++
				x, y = x+dx, y+dy
				if like > 0 && n > like {
					return n
				}
			}
			want = !want
		}
		return n
	}
	if !s.at(x, y) {
		return 0, false
	}
	back := walk(x, y, -dx, -dy, [3]int{2, 1, 0})
	ahead := walk(x+dx, y+dy, dx, dy, [3]int{2, 3, 4})
	n := back + ahead
	if like > 0 && 5*max(n-like, like-n) >= 2*like || !likeCorner(runs, share) {
		return 0, false
	}
	return float64(ahead-runs[4]-runs[3]) - float64(runs[2])/2 + 1, true
}
