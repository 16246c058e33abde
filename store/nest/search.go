package nest

import (
	"cmp"
	"maps"
	"slices"
)

// assign finds the best score: quickly first, with few states and fillings, in the end with
// all of them that can still be better.
func (s *solver) assign() *state {
	s.limit = s.work
	s.measure()
	var best *state
	for _, few := range []struct{ width, fillings int }{{8, 3}, {40, 8}} {
		s.watched(func() {
			if found := s.layers(few.width, few.fillings, best); found.better(best) {
				best = found
			}
		})
	}
	if found := s.layers(wide, sets, best); found.better(best) {
		best = found
	}
	s.cut = s.cut && !s.lowest(best.score)
	return best
}

// better says whether a state's score is better than another's, or its offcuts at the same
// score.
func (t *state) better(o *state) bool {
	if o == nil {
		return true
	}
	return cmp.Or(t.score.compare(o.score), cmp.Compare(o.spare, t.spare)) < 0
}

// layers goes through the stock piece by piece: of each piece nothing is taken, or a set
// to which nothing more can be added. That is enough: whatever is added to a piece is one
// less for those after it. Of several ways to the same state the best is kept.
func (s *solver) layers(width, fillings int, than *state) *state {
	now := map[uint64]*state{s.all: {todo: s.all}}
	for i := range s.stock {
		at := s.stock[i].board
		fresh := s.boards[at].fresh
		next := maps.Clone(now)
		for _, todo := range slices.Sorted(maps.Keys(now)) {
			t := now[todo]
			if todo == 0 || fresh && s.p.Most > 0 && t.score.New == s.p.Most || s.hopeless(t, i, than) {
				continue
			}
			for _, set := range s.fillings(at, todo, fillings) {
				s.steps += 5
				n := s.with(t, i, set, fresh)
				if o := next[n.todo]; o == nil || n.better(o) {
					next[n.todo] = n
				}
			}
		}
		now = s.narrowed(next, width)
	}
	var best *state
	for _, todo := range slices.Sorted(maps.Keys(now)) {
		t := now[todo]
		t.score.Left = s.count(todo)
		if t.better(best) {
			best = t
		}
	}
	return best
}

func (s *solver) with(t *state, i int, set uint64, fresh bool) *state {
	n := &state{todo: t.todo - set, score: t.score, spare: t.spare, before: t, pick: pick{i, set}}
	area := s.area(set)
	n.score.Broken++
	if fresh {
		n.score.New++
		n.score.OnNew += area
	}
	b := s.boards[s.stock[i].board]
	over := (b.w*b.h - area) / 1_000_000
	whole := b.w * b.h / 1_000_000
	n.spare += over*over - whole*whole
	return n
}

// narrowed keeps the states with the least to do where there are too many.
func (s *solver) narrowed(states map[uint64]*state, width int) map[uint64]*state {
	if s.steps > s.limit {
		width = min(width, 8)
	}
	if len(states) <= width {
		return states
	}
	s.cut = true
	s.steps += int64(10 * len(states))
	type known struct {
		*state
		area int64
	}
	var list []known
	for todo, t := range states {
		list = append(list, known{t, s.area(todo)})
	}
	slices.SortFunc(list, func(a, b known) int {
		return cmp.Or(cmp.Compare(a.area, b.area), a.score.compare(b.score), cmp.Compare(a.todo, b.todo))
	})
	for _, k := range list[width:] {
		delete(states, k.todo)
	}
	return states
}

// hopeless says whether a state cannot become better than what is known, whatever is cut
// from the pieces from i on.
func (s *solver) hopeless(t *state, i int, than *state) bool {
	if than == nil || than.score.Left > 0 {
		return false
	}
	area := s.area(t.todo)
	r := s.rooms[i]
	least := t.score
	onNew := max(0, area-r.offcuts)
	if onNew > 0 {
		least.New += int((onNew + r.sheet - 1) / max(1, r.sheet))
	}
	least.OnNew += onNew
	// What offcuts have to take, so that no more goes on to new sheets than is known.
	if must := area - max(0, than.score.OnNew-t.score.OnNew); must > 0 && r.largest > 0 {
		least.Broken += int((must + r.largest - 1) / r.largest)
	}
	return least.compare(than.score) >= 0
}

// A rest is how much the pieces from one on can take: offcuts together, the largest of
// the new sheets and the largest offcut.
type rest struct{ offcuts, sheet, largest int64 }

// measure looks how much every board can take.
func (s *solver) measure() {
	for at, b := range s.boards {
		all := s.limit
		s.limit = s.steps + s.work/int64(4*len(s.boards))
		if s.watched(func() {
			s.each(at, s.counts(s.capped(at, s.all)), sets, func(set uint64, _ []int) bool {
				b.cap = max(b.cap, s.area(set))
				return true
			})
		}) {
			b.cap = min(b.w*b.h, s.area(s.all))
		}
		s.limit = all
	}
	s.rooms = make([]rest, len(s.stock)+1)
	for i := len(s.stock) - 1; i >= 0; i-- {
		r, b := s.rooms[i+1], s.boards[s.stock[i].board]
		if b.fresh {
			r.sheet = max(r.sheet, b.cap)
		} else {
			r.offcuts += b.cap
			r.largest = max(r.largest, b.cap)
		}
		s.rooms[i] = r
	}
}

// fewest is how many new sheets a layout of all panels needs at least.
func (s *solver) fewest() int {
	r := s.rooms[0]
	if over := s.area(s.all) - r.offcuts; over > 0 && r.sheet > 0 {
		return int((over + r.sheet - 1) / r.sheet)
	}
	return 0
}

// lowest says whether no score can be lower.
func (s *solver) lowest(sc Score) bool {
	if sc.Left > 0 || sc.New > s.fewest() || sc.OnNew > 0 && sc.Broken > sc.New {
		return false
	}
	if sc.OnNew > max(0, s.area(s.all)-s.rooms[0].offcuts) {
		return false
	}
	var areas []int64
	for _, p := range s.stock {
		if !s.boards[p.board].fresh || sc.New > 0 {
			areas = append(areas, s.boards[p.board].cap)
		}
	}
	slices.SortFunc(areas, func(a, b int64) int { return cmp.Compare(b, a) })
	sum, pieces := int64(0), 0
	for ; pieces < len(areas) && sum < s.area(s.all); pieces++ {
		sum += areas[pieces]
	}
	return sc.Broken <= pieces
}
