package nest

import (
	"cmp"
	"slices"
)

// many is how many states are kept after a piece of stock when the largest rectangles are
// looked for; where there are more, that search is given up.
const many = 3000

// A stage tells states apart whose score must come out the same.
type stage struct {
	todo          uint64
	newly, broken int
	onNew         int64
}

// roomiest looks among the layouts with the best score for the one that leaves the largest
// rectangles, and says whether none leaves larger ones. Here a piece may be filled less
// than it could be. Where that is too much to look through, it returns best.
func (s *solver) roomiest(best *state) (*state, bool) {
	first := &state{todo: s.all}
	for _, p := range s.stock {
		first.lefts = append(first.lefts, s.roomLeft(p.board, 0).area)
	}
	slices.SortFunc(first.lefts, func(a, b int64) int { return cmp.Compare(b, a) })
	s.limit = s.steps + s.work/2
	s.cut = false
	now, order := map[stage]*state{{todo: s.all}: first}, []stage{{todo: s.all}}
	for i := range s.stock {
		next, keys := map[stage]*state{}, []stage(nil)
		add := func(g stage, t *state) {
			o, ok := next[g]
			if !ok {
				keys = append(keys, g)
			}
			if !ok || slices.Compare(t.lefts, o.lefts) > 0 {
				next[g] = t
			}
		}
		for _, g := range order {
			add(g, now[g])
			s.takes(i, g, now[g], best.score, add)
			if len(keys) > many || s.steps > s.limit || s.cut {
				return best, false
			}
		}
		now, order = next, keys
	}
	var found *state
	for _, g := range order {
		t := now[g]
		t.score.Left = s.count(t.todo)
		if t.score.compare(best.score) == 0 && (found == nil || slices.Compare(t.lefts, found.lefts) > 0) {
			found = t
		}
	}
	if found == nil || s.cut {
		return best, false
	}
	return found, true
}

// takes adds what a state becomes by every set out of piece i with which the score can
// still be what it must be.
func (s *solver) takes(i int, g stage, t *state, must Score, add func(stage, *state)) {
	at := s.stock[i].board
	fresh := s.boards[at].fresh
	if g.todo == 0 || g.broken == must.Broken || fresh && g.newly == must.New {
		return
	}
	whole := s.roomLeft(at, 0).area
	try := func(set uint64, _ []int) bool {
		h := stage{g.todo - set, g.newly, g.broken + 1, g.onNew}
		if fresh {
			h.newly++
			h.onNew += s.area(set)
		}
		if !s.reaches(i+1, h, must) {
			return true
		}
		r := s.roomLeft(at, set)
		s.cut = s.cut || !r.exact
		n := s.with(t, i, set, fresh)
		n.lefts = slices.Clone(t.lefts)
		k := slices.Index(n.lefts, whole)
		n.lefts = slices.Delete(n.lefts, k, k+1)
		k, _ = slices.BinarySearchFunc(n.lefts, r.area, func(a, b int64) int { return cmp.Compare(b, a) })
		n.lefts = slices.Insert(n.lefts, k, r.area)
		add(h, n)
		return !s.cut
	}
	if must.Left == 0 && g.broken+1 == must.Broken {
		if s.fits(at, g.todo) { // the last piece takes all that is left
			try(g.todo, nil)
		}
		return
	}
	s.each(at, s.counts(g.todo), sets, try)
}

// reaches says whether what is left to do can still end in a score.
func (s *solver) reaches(i int, g stage, must Score) bool {
	if g.onNew > must.OnNew {
		return false
	}
	if must.Left > 0 {
		return true
	}
	r := s.rooms[i]
	area, pieces := s.area(g.todo), int64(must.Broken-g.broken)
	onNew := min(must.OnNew-g.onNew, r.sheet*int64(must.New-g.newly))
	return area <= onNew+min(r.offcuts, r.largest*pieces)
}
