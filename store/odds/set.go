package odds

import (
	"math"
)

// A Set is some bodies that may have a part, and how likely they have as many pieces
// of it as are needed. Bodies of one group (part, model, history) share one rate;
// groups are taken to be independent of each other, which leaves out that sister
// models were counted together and that the same hands may have been at all of
// them. A body gives all its pieces or none, for it was looked at once.
//
// With a group of m bodies and its Beta(a, b) the chance that h certain bodies have
// the part and the others lack it is B(a+m-h, b+h)/B(a, b); the number of such
// choices of h bodies that give s pieces is counted. So every term is positive.
type Set struct {
	need   int64
	sure   int64 // pieces that were seen
	groups []group
	undo   []undone
	chance float64 // of enough, below 0 where it was not reckoned yet
}

// A group is the bodies of a set that share one rate.
type group struct {
	plan   Plan
	bodies int
	pieces int64     // of all of them
	ways   []float64 // ways[h*need+s]: choices of h bodies with s pieces, for s below the need
	short  []float64 // chance of s pieces, for s below the need; nil where it was not reckoned yet
}

// An undone is what Add changed.
type undone struct {
	at     int
	pieces int64
	group  group
}

// NewSet is a set without bodies of which so many pieces are needed; plans are those
// of the groups that its bodies may be of.
func NewSet(need int64, plans []Plan) *Set {
	s := &Set{need: max(1, need), groups: make([]group, len(plans)), chance: -1}
	for i, p := range plans {
		ways := make([]float64, s.need)
		ways[0] = 1
		s.groups[i] = group{plan: p, ways: ways}
	}
	return s
}

// Of is a set of k bodies of one group, one piece each, of which one is needed.
func Of(p Plan, k int64) *Set {
	s := NewSet(1, []Plan{p})
	for range k {
		s.Add(0, 1)
	}
	return s
}

// Add adds a body that nobody looked at with so many pieces, by the number of its
// group among the plans; below 0 it is one in which the part was seen.
func (s *Set) Add(at int, pieces int64) {
	s.chance = -1
	pieces = min(pieces, s.need)
	if at < 0 {
		s.undo = append(s.undo, undone{at: at, pieces: pieces})
		s.sure += pieces
		return
	}
	g := &s.groups[at]
	s.undo = append(s.undo, undone{at: at, group: *g})
	*g = g.with(pieces, s.need)
}

// Drop takes the last added body out again.
func (s *Set) Drop() {
	s.chance = -1
	u := s.undo[len(s.undo)-1]
	s.undo = s.undo[:len(s.undo)-1]
	if u.at < 0 {
		s.sure -= u.pieces
		return
	}
	s.groups[u.at] = u.group
}

// with is the group with one more body.
func (g group) with(pieces, need int64) group {
	rows := int64(len(g.ways)) / need
	grown := g
	grown.bodies, grown.pieces, grown.short = g.bodies+1, g.pieces+pieces, nil
	if rows < need {
		rows++ // h bodies give h pieces at least
	}
	if rows == 1 {
		return grown // of one piece: short is only where none has it
	}
	grown.ways = make([]float64, rows*need)
	copy(grown.ways, g.ways)
	for h := int64(1); h < rows; h++ {
		for k := pieces; k < need; k++ {
			grown.ways[h*need+k] += g.ways[(h-1)*need+k-pieces]
		}
	}
	return grown
}

// Enough is the chance that the bodies have as many pieces as are needed: the mean
// over what the rates may be.
func (s *Set) Enough() float64 {
	if s.chance < 0 {
		s.chance = s.enough(Guess)
	}
	return s.chance
}

// enough is the chance by the bodies whose basis is as firm, or firmer.
func (s *Set) enough(basis Basis) float64 {
	d := s.none()
	for i := range s.groups {
		g := &s.groups[i]
		if g.bodies == 0 || g.plan.Basis > basis || d == nil {
			continue
		}
		if g.short == nil {
			g.short = g.under(s.need, g.plan.law(g.bodies, len(g.ways)/int(s.need)))
		}
		d = joined(d, g.short)
	}
	return rest(d)
}

// none is the distribution of the pieces still needed before any group gives some:
// d[k] is the chance of k pieces, for k below what is needed. It is nil where enough
// was seen.
func (s *Set) none() []float64 {
	if s.sure >= s.need {
		return nil
	}
	d := make([]float64, s.need-s.sure)
	d[0] = 1
	return d
}

// law is the chance that h certain ones of m bodies have the part and the others
// lack it, for h from 0 on.
func (p Plan) law(m, rows int) []float64 {
	out := make([]float64, rows)
	out[0] = 1
	for i := range m {
		out[0] *= (p.alpha + float64(i)) / (p.alpha + p.beta + float64(i))
	}
	for h := 1; h < rows && h <= m; h++ {
		out[h] = out[h-1] * (p.beta + float64(h-1)) / (p.alpha + float64(m-h))
	}
	return out
}

// known is the same were the rate known.
func known(rate float64, m, rows int) []float64 {
	out := make([]float64, rows)
	for h := 0; h < rows && h <= m; h++ {
		out[h] = math.Pow(rate, float64(m-h)) * math.Pow(1-rate, float64(h))
	}
	return out
}

// under is the chance of each number of pieces below the need, by a law.
func (g *group) under(need int64, law []float64) []float64 {
	out := make([]float64, need)
	for h, p := range law {
		for k := range out {
			out[k] += p * g.ways[int64(h)*need+int64(k)]
		}
	}
	return out
}

// joined is the distribution of the pieces of both, as far as d goes, in place.
func joined(d, more []float64) []float64 {
	for k := len(d) - 1; k >= 0; k-- {
		sum := 0.0
		for j := 0; j <= k; j++ {
			if more[j] != 0 {
				sum += d[k-j] * more[j]
			}
		}
		d[k] = sum
	}
	return d
}

// rest is what a distribution leaves to 1: enough pieces.
func rest(d []float64) float64 {
	sum := 0.0
	for _, p := range d {
		sum += p
	}
	return max(0, min(1, 1-sum))
}

// Rate is how many bodies of a group count as lacking the part and as having it, the
// half of the prior with them: a and b of its Beta distribution.
func (s *Set) Rate(at int) (lack, have float64) {
	p := s.groups[at].plan
	return p.alpha, p.beta
}
