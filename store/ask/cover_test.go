package ask

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"gonum.org/v1/gonum/mathext"

	"tinful/store/cover"
	"tinful/store/odds"
)

//go:embed testdata/cover.json
var coverCases []byte

// A shared is a problem of bodies in groups that share a rate, as the tests here make
// it: counts by want and group, none for a gift that was seen.
type shared struct {
	cover.Problem
	counts [][]odds.Count
}

func (s *shared) want(need int64, target float64, counts ...odds.Count) {
	var plans []odds.Plan
	for _, c := range counts {
		plans = append(plans, odds.Planned(odds.Counts{Own: c}))
	}
	s.counts = append(s.counts, counts)
	s.Wants = append(s.Wants, cover.Want{Need: need, Target: target, Reckon: func(need int64) cover.Reckoner { return odds.NewSet(need, plans) }})
}

// Cases that were enumerated in rational numbers (Python 3.11, R 4.2.2).
func TestCoverOfSharedRates(t *testing.T) {
	type pair [2]int64
	var cases []struct {
		Name   string
		Inputs struct {
			Bodies []struct {
				Price int64
				Gives map[string][2]any
			}
			Wants  map[string]int64
			Groups map[string]struct{ Own, Sisters pair }
			Target float64
		}
		Expected struct {
			Cost    int64
			Sets    [][]int
			Next    *int64 `json:"next_cost"`
			Chances map[string]float64
		}
	}
	if err := json.Unmarshal(coverCases, &cases); err != nil || len(cases) != 3 {
		t.Fatal(len(cases), err)
	}
	for _, c := range cases {
		var names, parts []string
		var plans []odds.Plan
		for g, n := range c.Inputs.Groups {
			names = append(names, g)
			plans = append(plans, odds.Planned(odds.Counts{Own: odds.Count{Missing: n.Own[0], Looked: n.Own[1]}, Sisters: odds.Count{Missing: n.Sisters[0], Looked: n.Sisters[1]}}))
		}
		var p cover.Problem
		for part, need := range c.Inputs.Wants {
			parts = append(parts, part)
			p.Wants = append(p.Wants, cover.Want{Need: need, Target: c.Inputs.Target, Reckon: func(need int64) cover.Reckoner { return odds.NewSet(need, plans) }})
		}
		for _, b := range c.Inputs.Bodies {
			body := cover.Body{Price: b.Price}
			for part, g := range b.Gives {
				body.Gives = append(body.Gives, cover.Gift{Want: slices.Index(parts, part), Pieces: int64(g[1].(float64)), Group: slices.Index(names, g[0].(string))})
			}
			p.Bodies = append(p.Bodies, body)
		}
		a := cover.Solve(p)
		if a.Cost != c.Expected.Cost || !a.Proven || !slices.Equal(a.Chosen, c.Expected.Sets[0]) || (c.Expected.Next != nil) != (a.NextBest != nil) ||
			c.Expected.Next != nil && a.NextCost != *c.Expected.Next {
			t.Errorf("%s: %+v, want %+v", c.Name, a, c.Expected)
		}
		for i, part := range parts {
			set := odds.NewSet(p.Wants[i].Need, plans)
			for _, b := range a.Chosen {
				for _, g := range p.Bodies[b].Gives {
					if g.Want == i {
						set.Add(g.Group, g.Pieces)
					}
				}
			}
			if math.Abs(set.Enough()-c.Expected.Chances[part]) > 1e-9 {
				t.Errorf("%s: %s %g, want %g", c.Name, part, set.Enough(), c.Expected.Chances[part])
			}
		}
	}
}

// given is the chance that a set of bodies gives a want, by the definition alone: for
// each choice of bodies that have the part, the product over groups of B(a+m-h,
// b+h)/B(a, b), with gonum's logarithm of the Beta function.
func (s *shared) given(want int, set uint) float64 {
	type one struct {
		group  int
		pieces int64
	}
	var bodies []one
	for b, body := range s.Bodies {
		for _, g := range body.Gives {
			if set&(1<<b) != 0 && g.Want == want {
				bodies = append(bodies, one{g.Group, g.Pieces})
			}
		}
	}
	sum := 0.0
	for choice := range 1 << len(bodies) {
		pieces, possible := int64(0), true
		have, lack := make([]float64, len(s.counts[want])), make([]float64, len(s.counts[want]))
		for i, b := range bodies {
			has := choice>>i&1 == 1
			if has {
				pieces += b.pieces
			}
			switch {
			case b.group < 0:
				possible = possible && has
			case has:
				have[b.group]++
			default:
				lack[b.group]++
			}
		}
		if !possible || pieces < s.Wants[want].Need {
			continue
		}
		p := 0.0
		for g, c := range s.counts[want] {
			a, b := 0.5+float64(c.Missing), 0.5+float64(c.Looked-c.Missing)
			p += mathext.Lbeta(a+lack[g], b+have[g]) - mathext.Lbeta(a, b)
		}
		sum += math.Exp(p)
	}
	return sum
}

// 500 small problems: branch and bound by the sets of package odds, and every set in
// turn by the definition.
func TestCoverByEverySet(t *testing.T) {
	for n := range 500 {
		r := rand.New(rand.NewPCG(uint64(n), 16))
		var s shared
		for range 1 + r.IntN(3) {
			counts := make([]odds.Count, 1+r.IntN(3))
			for i := range counts {
				counts[i].Looked = r.Int64N(7)
				counts[i].Missing = r.Int64N(counts[i].Looked + 1)
			}
			s.want(1+r.Int64N(3), []float64{0.5, 0.7, 0.8, 0.9}[r.IntN(4)], counts...)
		}
		for range 1 + r.IntN(7) {
			b := cover.Body{Price: r.Int64N(8)}
			for i := range s.Wants {
				if r.IntN(3) > 0 {
					b.Gives = append(b.Gives, cover.Gift{Want: i, Pieces: 1 + r.Int64N(3), Group: r.IntN(len(s.counts[i])+1) - 1})
				}
			}
			s.Bodies = append(s.Bodies, b)
		}
		a := cover.Solve(s.Problem)
		all := uint(1)<<len(s.Bodies) - 1
		best := int64(-1)
		for set := range all + 1 {
			ok, cost := true, int64(0)
			for i, w := range s.Wants {
				possible := s.given(i, all) >= w.Target-1e-9
				if possible == slices.Contains(a.Impossible, i) {
					t.Fatalf("case %d: want %d possible %v, impossible %v", n, i, possible, a.Impossible)
				}
				ok = ok && (!possible || s.given(i, set) >= w.Target-1e-9)
			}
			for b := range s.Bodies {
				if set&(1<<b) != 0 {
					cost += s.Bodies[b].Price
				}
			}
			if ok && (best < 0 || cost < best) {
				best = cost
			}
		}
		if a.Cost != best || !a.Proven {
			t.Fatalf("case %d: %d proven %v, every set in turn %d\n%+v", n, a.Cost, a.Proven, best, s)
		}
	}
}

// drawnWorkshop is a workshop at random: bodies of four models and four histories, a part seen in
// one body of eight that holds it, the other bodies by counts of 0 to 8.
func drawnWorkshop(seed uint64, bodies, parts int, percent int, maxNeed int64) cover.Problem {
	r := rand.New(rand.NewPCG(seed, 60))
	var s shared
	kinds := make([]int, bodies)
	for b := range kinds {
		kinds[b] = r.IntN(16)
		s.Bodies = append(s.Bodies, cover.Body{Price: 1500 + r.Int64N(8500)})
	}
	for i := range parts {
		counts := make([]odds.Count, 16)
		for k := range counts {
			counts[k].Looked = r.Int64N(9)
			for range counts[k].Looked {
				if r.IntN(5) == 0 {
					counts[k].Missing++
				}
			}
		}
		need := 1 + r.Int64N(maxNeed)
		s.want(need, 0.9, counts...)
		for b := range s.Bodies {
			if r.IntN(100) < percent {
				group := kinds[b]
				if r.IntN(8) == 0 {
					group = -1
				}
				s.Bodies[b].Gives = append(s.Bodies[b].Gives, cover.Gift{Want: i, Pieces: 1 + r.Int64N(2), Group: group})
			}
		}
	}
	return s.Problem
}

func BenchmarkCover(b *testing.B) {
	for _, size := range []struct {
		bodies, parts, percent int
		need                   int64
	}{{60, 40, 15, 1}, {60, 40, 30, 1}, {60, 40, 30, 2}, {100, 60, 15, 1}, {100, 60, 30, 1}} {
		b.Run(fmt.Sprintf("bodies=%d/parts=%d/percent=%d/need=%d", size.bodies, size.parts, size.percent, size.need), func(b *testing.B) {
			b.ReportAllocs()
			seed, proven, n, longest := uint64(0), 0, 0, time.Duration(0)
			for b.Loop() {
				seed = seed%20 + 1
				n++
				began := time.Now()
				if cover.Solve(drawnWorkshop(seed, size.bodies, size.parts, size.percent, size.need)).Proven {
					proven++
				}
				longest = max(longest, time.Since(began))
			}
			b.ReportMetric(float64(proven)/float64(n), "proven")
			b.ReportMetric(longest.Seconds(), "s-longest")
		})
	}
}
