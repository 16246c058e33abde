package store

import (
	"errors"
	"slices"
	"sort"

	"tinful/store/dim"
)

// A Window is which values of an indexed measure may be meant, bounds inclusive.
type Window struct {
	Field  dim.Field
	Lo, Hi int64
}

func (w Window) holds(n int64) bool { return w.Lo <= n && n <= w.Hi }

// errMany is returned when more parts lie in a window than are wanted.
var errMany = errors.New("too many parts")

// MeasuredIn calls fn for every part of some classes with a measure in the first window and
// none outside of the others. With whole set, parts that lack one of the measures may be
// passed over: those that have all lie in each window, and the one that holds the fewest
// parts is read.
func (v *View) MeasuredIn(in []Window, whole bool, of func(class string) bool, fn func(Measured) error) error {
	by := 0
	if whole && len(in) > 1 {
		by = v.narrowest(in)
	}
	if s := v.span(in[by]); s != nil {
		return s.each(in, by, whole, of, fn)
	}
	known := map[string]bool{} // classes, of which there are few
	return v.Measured(in[by].Field, in[by].Lo, in[by].Hi, func(m Measured) error {
		is, ok := known[string(m.class)]
		if !ok {
			is = of(m.Class())
			known[m.Class()] = is
		}
		if !is || !m.within(in) {
			return nil
		}
		return fn(m)
	})
}

// within says whether no measure lies outside of its window.
func (m Measured) within(in []Window) bool {
	for _, w := range in {
		if n, ok := m.Dim(w.Field); ok && !w.holds(n) {
			return false
		}
	}
	return true
}

// narrowest is the number of the window in which the fewest parts lie, about: the first of
// which some hundred are all, or some hundred times four, and so on. What was read before
// is gone through in less time than others are counted.
func (v *View) narrowest(in []Window) int {
	by, fewest := 0, mostSized+1
	for i, w := range in {
		if s := v.memo.span(w); s != nil {
			if from, to := s.window(w); to-from < fewest {
				by, fewest = i, to-from
			}
		}
	}
	if fewest <= mostSized {
		return by
	}
	for most := 128; ; most *= 4 {
		for i, w := range in {
			n := 0
			err := v.Measured(w.Field, w.Lo, w.Hi, func(Measured) error {
				if n++; n > most {
					return errMany
				}
				return nil
			})
			if err == nil {
				return i
			}
		}
	}
}

// mostSized is how many parts of a measure a memo keeps, some 2 MiB; tests have it lower.
var mostSized = 20_000

// A span is every part that a memo has with a measure from lo to hi, in order of the
// measure. Nothing in it changes once it is made. Each of its lists has a part at the same
// place, so that going through one measure of them all reads little.
type span struct {
	field   dim.Field
	lo, hi  int64
	n       [mostIndexed][]int64 // their indexed measures
	has     []uint8              // a bit for each that was taken
	class   []uint8              // among classes
	parts   []sized
	classes []string
}

// A sized is the code of a part and all of its measures as the index has them.
type sized struct {
	row  []byte
	code uint8 // how many bytes of it are the code
}

const mostIndexed = 5

// indexedAt is where an indexed measure stands among those of a span.
func indexedAt(f dim.Field) (at int, ok bool) {
	at = slices.Index(indexed(), f)
	return at, at >= 0 && at < mostIndexed
}

func (s *span) covers(w Window) bool { return s != nil && s.lo <= w.Lo && w.Hi <= s.hi }

// window is from which part to before which a window is.
func (s *span) window(w Window) (from, to int) {
	at, _ := indexedAt(w.Field)
	n := s.n[at]
	from = sort.Search(len(n), func(i int) bool { return n[i] >= w.Lo })
	to = sort.Search(len(n), func(i int) bool { return n[i] > w.Hi })
	return from, max(from, to)
}

// each is MeasuredIn of what was read before.
func (s *span) each(in []Window, by int, whole bool, of func(class string) bool, fn func(Measured) error) error {
	type limit struct {
		Window
		n   []int64
		bit uint8
	}
	var limits []limit
	for i, w := range in {
		if at, ok := indexedAt(w.Field); ok && i != by {
			limits = append(limits, limit{w, s.n[at], 1 << at})
		}
	}
	is := make([]bool, len(s.classes))
	for i, class := range s.classes {
		is[i] = of(class)
	}
	from, to := s.window(in[by])
next:
	for i := from; i < to; i++ {
		for k := range limits {
			l := &limits[k]
			switch taken := s.has[i]&l.bit != 0; {
			case taken && !l.holds(l.n[i]), !taken && whole:
				continue next
			}
		}
		if !is[s.class[i]] {
			continue
		}
		p := s.parts[i]
		if err := fn(Measured{part: p.row[:p.code], class: []byte(s.classes[s.class[i]]), dims: p.row[p.code:]}); err != nil {
			return err
		}
	}
	return nil
}

// span is what was read of the parts in a window, nil where none of that is kept.
func (m *memo) span(w Window) *span {
	if m == nil || m.brief {
		return nil
	}
	m.mu.Lock()
	defer m.mu.Unlock()
	if s := m.spans[w.Field]; s.covers(w) {
		return s
	}
	return nil
}

// span reads the parts in a window for questions to come, beside those of a window that
// overlaps. It is nil where they are too many or nothing is kept.
func (v *View) span(w Window) *span {
	m := v.memo
	if _, ok := indexedAt(w.Field); !ok || m == nil || m.brief {
		return nil
	}
	m.mu.Lock()
	old, wide := m.spans[w.Field], m.wide[w.Field]
	m.mu.Unlock()
	if old.covers(w) {
		return old
	}
	if wide > 0 && w.Hi-w.Lo >= wide {
		return nil
	}
	s := v.beside(w, old)
	m.mu.Lock()
	defer m.mu.Unlock()
	if s == nil {
		if m.wide == nil {
			m.wide = map[dim.Field]int64{}
		}
		m.wide[w.Field] = w.Hi - w.Lo
		return nil
	}
	if m.spans == nil {
		m.spans = map[dim.Field]*span{}
	}
	m.spans[w.Field] = s
	return s
}

// beside reads a window, and joins it to what overlaps as long as they are not too many;
// nil where they are.
func (v *View) beside(w Window, old *span) *span {
	if old != nil && old.lo <= w.Hi && w.Lo <= old.hi {
		s := &span{field: w.Field, lo: min(w.Lo, old.lo), hi: max(w.Hi, old.hi), classes: slices.Clip(old.classes)}
		few := v.lengthen(s, s.lo, old.lo-1)
		s.join(old)
		if few && v.lengthen(s, old.hi+1, s.hi) {
			return s
		}
	}
	s := &span{field: w.Field, lo: w.Lo, hi: w.Hi}
	if !v.lengthen(s, w.Lo, w.Hi) {
		return nil
	}
	return s
}

// join adds the parts of a span to one in the making that knows its classes.
func (s *span) join(other *span) {
	for at := range s.n {
		s.n[at] = append(s.n[at], other.n[at]...)
	}
	s.has, s.class, s.parts = append(s.has, other.has...), append(s.class, other.class...), append(s.parts, other.parts...)
}

// lengthen adds the parts with a measure from lo to hi to a span in the making, and says
// whether they are no more than are kept.
func (v *View) lengthen(s *span, lo, hi int64) bool {
	var room []byte
	err := v.Measured(s.field, lo, hi, func(m Measured) error {
		class := slices.Index(s.classes, m.Class())
		if class < 0 {
			class = len(s.classes)
			s.classes = append(s.classes, m.Class())
		}
		if len(s.parts) >= mostSized || class > 255 {
			return errMany
		}
		var n [mostIndexed]int64
		var has uint8
		for f, x := range m.all() {
			if at, ok := indexedAt(f); ok {
				n[at], has = x, has|1<<at
			}
		}
		for at := range n {
			s.n[at] = append(s.n[at], n[at])
		}
		if n := len(m.part) + len(m.dims); cap(room)-len(room) < n {
			room = make([]byte, 0, max(n, 16<<10))
		}
		begin := len(room)
		room = append(append(room, m.part...), m.dims...)
		s.has, s.class = append(s.has, has), append(s.class, uint8(class))
		s.parts = append(s.parts, sized{room[begin:len(room):len(room)], uint8(len(m.part))})
		return nil
	})
	return err == nil
}
