package paper

import "math"

// A Screw is a screw by its measures.
type Screw struct {
	Head         string // cheese, countersunk, raised, pan, shoulder, set, or another word
	Major, Pitch float64
	Depth        float64 // of the thread
	Flank        float64 // angle of the thread, degrees; 0 where its form is not known
	Left         bool
	Length       Measure // overall of a countersunk or set screw, of the thread of a shoulder screw, under the head else
	HeadWide     Measure
	HeadHigh     Measure
	Slot         Measure
	Slotted      bool
	Shoulder     Measure
	ShoulderLong Measure
}

// Draw draws a screw in profile, its head up.
func (s Screw) Draw() (f Figure) {
	y, long := s.head(&f)
	if s.Head == "shoulder" {
		wide := s.Shoulder.or(s.Major * 1.4)
		high := s.ShoulderLong.or(s.Major)
		if !s.Shoulder.Known || !s.ShoulderLong.Known {
			f.guess("the shoulder: drawn dashed")
		}
		f.solid(box(-wide/2, y, wide, high), s.Shoulder.Known && s.ShoulderLong.Known)
		y += high
	}
	if !s.Length.Known {
		f.guess("the length: drawn dashed")
	}
	if s.Flank == 0 {
		f.guess("the form of the thread: drawn dashed without flanks")
		f.solid(box(-s.Major/2, y, s.Major, long), false)
		return f
	}
	s.thread(&f, y, long)
	return f
}

// head draws the head and says where the shank begins and how long it is.
func (s Screw) head(f *Figure) (y, long float64) {
	wide, high := s.HeadWide.or(s.Major*1.7), s.HeadHigh.or(s.HeadWide.or(s.Major*1.7)*0.35)
	known := s.HeadWide.Known && s.HeadHigh.Known
	long = s.Length.or(2 * s.Major)
	switch s.Head {
	case "set":
		s.slot(f, s.Major, 0)
		return 0, long
	case "countersunk", "raised":
		// A head of 90 degrees is half as high as it is wider than the shank.
		if !s.HeadHigh.Known {
			high = (wide - s.Major) / 2
			f.guess("the height of the head: drawn dashed for 90 degrees")
		}
		high = min(high, long*0.9)
		f.solid(path{}.move(-wide/2, 0).line(wide/2, 0).line(s.Major/2, high).line(-s.Major/2, high).close(), known)
		f.edge(line(-wide/2, 0, wide/2, 0), s.HeadWide.Known)
		if s.Head == "raised" {
			f.guess("how far the head is raised: drawn dashed")
			f.edge(path{}.move(-wide/2, 0).curve(point{-wide / 4, -wide * 0.12}, point{wide / 4, -wide * 0.12}, point{wide / 2, 0}), false)
		}
		s.slot(f, wide, 0)
		return high, long - high
	case "pan":
		r := min(high*0.6, wide*0.25)
		f.solid(path{}.move(-wide/2, high).line(-wide/2, r).curve(point{-wide / 2, r * 0.4}, point{-wide/2 + r*0.4, 0}, point{-wide/2 + r, 0}).
			line(wide/2-r, 0).curve(point{wide/2 - r*0.4, 0}, point{wide / 2, r * 0.4}, point{wide / 2, r}).line(wide/2, high).close(), known)
	default:
		f.solid(box(-wide/2, 0, wide, high), known)
	}
	if !s.HeadWide.Known {
		f.guess("the head: drawn dashed")
	} else if !s.HeadHigh.Known {
		f.guess("the height of the head: drawn dashed")
		f.edge(line(-wide/2, high, wide/2, high), true)
	}
	s.slot(f, wide, 0)
	return high, long
}

// slot draws the slot; how deep it is nobody measures.
func (s Screw) slot(f *Figure, wide, y float64) {
	if !s.Slotted {
		return
	}
	f.guess("how deep the slot is: drawn dashed")
	across := s.Slot.or(wide * 0.15)
	f.edge(path{}.move(-across/2, y).line(-across/2, y+across*1.2).line(across/2, y+across*1.2).line(across/2, y), false)
}

// thread draws a thread with its flanks. Seen from the side with the axis upright, the
// crests in front of a right-hand thread rise to the right.
func (s Screw) thread(f *Figure, y, long float64) {
	slope := s.Depth * math.Tan(s.Flank/2*math.Pi/180) // along the axis, of one flank
	flat := max(0, (s.Pitch-2*slope)/2)                // of a crest, and of a root
	side := func(at float64) (out []point) {
		for top := y - s.Pitch + math.Mod(at, s.Pitch); top < y+long+s.Pitch; top += s.Pitch {
			out = append(out, point{s.Major / 2, top}, point{s.Major / 2, top + flat},
				point{s.Major/2 - s.Depth, top + flat + slope}, point{s.Major/2 - s.Depth, top + 2*flat + slope})
		}
		return between2(out, y, y+long)
	}
	// The right side is half a turn ahead of the left: higher for a right-hand thread.
	ahead := s.Pitch / 2
	if s.Left {
		ahead = -ahead
	}
	right, left := side(s.Pitch-ahead/2), side(s.Pitch+ahead/2)
	p := polyline(right...)
	for i := len(left) - 1; i >= 0; i-- {
		p = p.line(-left[i].x, left[i].y)
	}
	f.solid(p.close(), s.Length.Known)
	for top := y - s.Pitch; top < y+long+s.Pitch; top += s.Pitch {
		a, b := top+ahead/2+flat/2, top-ahead/2+flat/2 // of a crest on the left and on the right
		if min(a, b) >= y && max(a, b) <= y+long {
			f.thin(line(-s.Major/2, a, s.Major/2, b))
		}
	}
}

// between2 is a line of points that goes down, cut off above and below.
func between2(list []point, top, bottom float64) (out []point) {
	at := func(a, b point, y float64) point {
		if b.y == a.y {
			return point{b.x, y}
		}
		return point{a.x + (b.x-a.x)*(y-a.y)/(b.y-a.y), y}
	}
	for i, q := range list {
		if i > 0 && list[i-1].y < top && q.y >= top {
			out = append(out, at(list[i-1], q, top))
		}
		if q.y >= top && q.y <= bottom {
			out = append(out, q)
		}
		if i > 0 && list[i-1].y <= bottom && q.y > bottom {
			out = append(out, at(list[i-1], q, bottom))
		}
	}
	return out
}
