package odds

import (
	_ "embed"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mathext"
	"pgregory.net/rapid"
)

// The cases were computed outside the program, each by two ways its source names:
// Python 3.11 with scipy 1.10.1, mpmath 1.2.1, R 4.2.2.
var (
	//go:embed testdata/shared.json
	sharedCases []byte
	//go:embed testdata/sets.json
	setCases []byte
	//go:embed testdata/lack.json
	lackCases []byte
	//go:embed testdata/common.json
	commonCases []byte
)

func read[T any](t *testing.T, data []byte, least int) (cases []T) {
	t.Helper()
	if err := json.Unmarshal(data, &cases); err != nil || len(cases) < least {
		t.Fatal(len(cases), err)
	}
	return cases
}

// A pair is x of n as the cases have it.
type pair []int64

func (p pair) count() Count {
	if len(p) == 0 {
		return Count{}
	}
	return Count{p[0], p[1]}
}

type counted struct {
	Own, Sisters, Others pair
}

func (c counted) plan() Plan {
	return Planned(Counts{c.Own.count(), c.Sisters.count(), c.Others.count()})
}

func TestSharedRate(t *testing.T) {
	for _, c := range read[struct {
		Name   string
		Inputs struct {
			counted
			K      []int64
			Bodies int64
			Target float64
		}
		Expected struct {
			Alpha, Beta float64
			OneHas      []float64 `json:"one_has"`
			Low, High   []float64
			Mean        float64 `json:"mean_rate_missing"`
			Weights     []float64
			Sum, Chance float64
			Most        float64
		}
	}](t, sharedCases, 10) {
		p, want := c.Inputs.plan(), c.Expected
		if want.Alpha > 0 {
			near(t, c.Name+" alpha", p.alpha, want.Alpha, 1e-8)
			near(t, c.Name+" beta", p.beta, want.Beta, 1e-8)
			near(t, c.Name+" mean", p.Mean(), want.Mean, 1e-8)
		}
		for i, k := range c.Inputs.K {
			got := Of(p, k).Chance(0)
			near(t, fmt.Sprint(c.Name, " one has, of ", k), got.Mid, want.OneHas[i], 1e-8)
			near(t, fmt.Sprint(c.Name, " low, of ", k), got.Low, want.Low[i], 1e-8)
			near(t, fmt.Sprint(c.Name, " high, of ", k), got.High, want.High[i], 1e-8)
		}
		sum, s := 0.0, NewSet(1, []Plan{p})
		for i, w := range want.Weights {
			lack, have := s.Rate(0)
			step := math.Log((lack + have + float64(i)) / (lack + float64(i)))
			near(t, fmt.Sprint(c.Name, " step ", i), step, w, 1e-9)
			sum += step
			s.Add(0, 1)
		}
		if want.Sum > 0 {
			near(t, c.Name+" sum", sum, want.Sum, 1e-9)
			near(t, c.Name+" chance", s.Enough(), want.Chance, 1e-9)
		}
		if want.Most > 0 {
			near(t, c.Name+" most", Of(p, c.Inputs.Bodies).Enough(), want.Most, 1e-9)
		}
	}
}

func TestSets(t *testing.T) {
	for _, c := range read[struct {
		Name   string
		Inputs struct {
			Groups []struct {
				counted
				Pieces []int64
			}
			Need   int64
			Seen   int64 `json:"seen_pieces"`
			Target float64
		}
		Expected struct {
			Chance    float64
			Basis     string
			Met       bool
			Low, High *float64
		}
		Ends float64
	}](t, setCases, 9) {
		var plans []Plan
		for _, g := range c.Inputs.Groups {
			plans = append(plans, g.plan())
		}
		s := NewSet(c.Inputs.Need, plans)
		for i, g := range c.Inputs.Groups {
			for _, n := range g.Pieces {
				s.Add(i, n)
			}
		}
		if c.Inputs.Seen > 0 {
			s.Add(-1, c.Inputs.Seen)
		}
		got, ends := s.Chance(c.Inputs.Target), c.Ends
		if ends == 0 {
			ends = 1e-8
		}
		near(t, c.Name+" chance", got.Mid, c.Expected.Chance, 1e-9)
		if c.Expected.Low != nil {
			near(t, c.Name+" low", got.Low, *c.Expected.Low, ends)
			near(t, c.Name+" high", got.High, *c.Expected.High, ends)
		}
		if met := got.Mid >= c.Inputs.Target-1e-9; met != c.Expected.Met {
			t.Errorf("%s is met: %v", c.Name, met)
		} else if met && got.Basis.String() != c.Expected.Basis {
			t.Errorf("%s rests on %s, want %s", c.Name, got.Basis, c.Expected.Basis)
		}
	}
}

func TestLack(t *testing.T) {
	for _, c := range read[struct {
		Name   string
		Inputs struct {
			Groups []struct {
				counted
				Cameras int64
			}
			Alpha, Beta float64
			House       int64 `json:"in_house"`
			Came        int64
			Years, Wait float64
			Seen        int64 `json:"seen_missing"`
			Free        []int64
		}
		Expected struct {
			Mean float64   `json:"expected"`
			More []float64 `json:"more_than_free"`
		}
	}](t, lackCases, 5) {
		in := c.Inputs
		crowds := []Crowd{{Plan{alpha: in.Alpha, beta: in.Beta}, in.House, in.Came, in.Years, in.Wait}}
		if in.Groups != nil {
			crowds = nil
		}
		for _, g := range in.Groups {
			crowds = append(crowds, Crowd{Plan: g.plan(), House: g.Cameras})
		}
		mean := float64(in.Seen)
		for _, c := range crowds {
			mean += c.Mean()
		}
		// Where the case has none that came its mean leaves the half of the prior out too.
		near(t, c.Name+" mean", mean, c.Expected.Mean, 1e-7)
		for i, free := range in.Free {
			near(t, fmt.Sprint(c.Name, " more than ", free), MoreLack(crowds, in.Seen, free), c.Expected.More[i], 1e-7)
		}
	}
}

func TestCommonly(t *testing.T) {
	for _, c := range read[struct {
		Name   string
		Inputs struct {
			Histories map[string]struct {
				Bodies int64
				Parts  map[string]pair
			}
		}
		Expected struct {
			Overall map[string]float64
			Rate    map[string]float64
			Of      map[string]pair
			By      map[string]map[string][]float64 `json:"by_history"`
			Order   []string
			TooFew  []string `json:"too_few"`
		}
	}](t, commonCases, 6) {
		var lots Lots
		for h, in := range c.Inputs.Histories {
			l := lots.Of(h)
			l.Bodies = in.Bodies
			for part, n := range in.Parts {
				i := slices.Index(lots.Parts, part)
				if i < 0 {
					i, lots.Parts = len(lots.Parts), append(lots.Parts, part)
				}
				l.Add(i, n.count())
			}
			near(t, c.Name+" overall "+h, l.Overall(), c.Expected.Overall[h], 1e-8)
		}
		list, all, never := Commonly(lots, 0)
		if first, of, _ := Commonly(lots, 2); all != len(list) || of != all || !reflect.DeepEqual(first, list[:min(2, all)]) {
			t.Errorf("%s: %d in all, the first of %d are %v, want %v", c.Name, all, of, first, list)
		}
		order, few := []string{}, []string{}
		for _, m := range list {
			order = append(order, m.Part)
			if !m.Enough() {
				few = append(few, m.Part)
			}
			near(t, c.Name+" "+m.Part, m.Rate, c.Expected.Rate[m.Part], 1e-8)
			if m.Count != c.Expected.Of[m.Part].count() {
				t.Errorf("%s %s: %v, want %v", c.Name, m.Part, m.Count, c.Expected.Of[m.Part])
			}
			for h, want := range c.Expected.By[m.Part] {
				got := m.By[h]
				near(t, c.Name+" "+m.Part+" "+h, got.Rate, want[0], 1e-8)
				near(t, c.Name+" "+m.Part+" "+h+" low", got.Low, want[1], 1e-8)
				near(t, c.Name+" "+m.Part+" "+h+" high", got.High, want[2], 1e-8)
			}
		}
		slices.Sort(few)
		if !slices.Equal(order, c.Expected.Order) || !slices.Equal(few, c.Expected.TooFew) || never != len(c.Expected.Rate)-len(order) {
			t.Errorf("%s: %v, too few %v, %d never; want %v, %v", c.Name, order, few, never, c.Expected.Order, c.Expected.TooFew)
		}
	}
}

// A set's chance is the mean over the rates: adding a body never lowers it, taking it
// back leaves what was, and it is what quadrature over the rate of each choice of
// bodies gives (midpoints of 400 cells of equal probability, two groups at most).
func TestSetIsTheMeanOverRates(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		need := rapid.Int64Range(1, 4).Draw(t, "need")
		plans := make([]Plan, rapid.IntRange(1, 2).Draw(t, "groups"))
		for i := range plans {
			n := rapid.Int64Range(0, 6).Draw(t, "looked at")
			plans[i] = Planned(Counts{Own: Count{rapid.Int64Range(0, n).Draw(t, "missing"), n}})
		}
		s, was := NewSet(need, plans), 0.0
		type body struct {
			group  int
			pieces int64
		}
		var bodies []body
		for range rapid.IntRange(0, 5).Draw(t, "bodies") {
			b := body{rapid.IntRange(-1, len(plans)-1).Draw(t, "group"), rapid.Int64Range(1, 4).Draw(t, "pieces")}
			s.Add(b.group, b.pieces)
			now := s.Enough()
			if now < was-1e-12 {
				t.Fatalf("one body more lowers %g to %g", was, now)
			}
			s.Drop()
			if back := s.Enough(); math.Abs(back-was) > 1e-12 {
				t.Fatalf("taken back it is %g, it was %g", back, was)
			}
			s.Add(b.group, b.pieces)
			bodies, was = append(bodies, b), now
		}
		// given is the chance of enough at known rates, by trying each choice of bodies.
		given := func(rates []float64) (sum float64) {
			for choice := range 1 << len(bodies) {
				p, pieces := 1.0, int64(0)
				for i, b := range bodies {
					lacks := 0.0
					if b.group >= 0 {
						lacks = rates[b.group]
					}
					if choice>>i&1 == 1 {
						p, pieces = p*(1-lacks), pieces+b.pieces
					} else {
						p *= lacks
					}
				}
				if pieces >= need {
					sum += p
				}
			}
			return sum
		}
		const cells = 120
		sum, n := 0.0, 0
		for i := range cells {
			rates := []float64{plans[0].point((float64(i) + 0.5) / cells)}
			if len(plans) == 1 {
				sum, n = sum+given(rates), n+1
				continue
			}
			for j := range cells / 10 {
				sum, n = sum+given(append(rates, plans[1].point((float64(j)+0.5)/cells*10))), n+1
			}
		}
		if got := s.Enough(); math.Abs(got-sum/float64(n)) > 0.02 {
			t.Fatalf("%v of %v: %g, by quadrature %g", need, bodies, got, sum/float64(n))
		}
	})
}

// Each law has its sister: the chance that all of k cameras lack a part is the rest
// of the chance that one of them has it.
func TestOneChance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func() Count {
			n := rapid.Int64Range(0, 12).Draw(t, "looked at")
			return Count{rapid.Int64Range(0, n).Draw(t, "missing"), n}
		}
		p := Planned(Counts{draw(), draw(), draw()})
		k := rapid.Int64Range(1, 8).Draw(t, "bodies")
		has := Of(p, k).Chance(0)
		if lack := MoreLack([]Crowd{{Plan: p, House: k}}, 0, k-1); math.Abs(lack-(1-has.Mid)) > 1e-9 {
			t.Fatalf("all %d lack it: %g, one has it: %g", k, lack, has.Mid)
		}
		if i := p.Interval(); k == 1 && (math.Abs(has.Mid-1+p.Mean()) > 1e-12 || math.Abs(has.Low-1+i.High) > 1e-12 || math.Abs(has.High-1+i.Low) > 1e-12) {
			t.Fatalf("one body: %+v, plan %g in %+v", has, p.Mean(), i)
		}
	})
}

// Workshops at random: each part has a rate for each of two histories, drawn from
// Beta(1, 1) or from the prior's Beta(1/2, 1/2); some bodies are looked at, others
// are opened for one to three pieces. The chance that the rates really give lies in
// the stated interval in at least 93 of 100 workshops, and what is claimed comes
// true as often as it is claimed. TINFUL_SOAK tries 6,000 workshops in place of 300.
func TestSetsOfDonorsHoldTheirClaims(t *testing.T) {
	workshops := 300
	if os.Getenv("TINFUL_SOAK") != "" {
		workshops = 6_000
	}
	for _, prior := range []float64{0.5, 1} {
		r := rand.New(rand.NewPCG(16, math.Float64bits(prior)))
		held, claimed, truly := 0, 0.0, 0.0
		for range workshops {
			groups := 1 + r.IntN(2)
			need := 1 + r.Int64N(3)
			plans, rates := make([]Plan, groups), make([]float64, groups)
			for i := range plans {
				rates[i] = mathext.InvRegIncBeta(prior, prior, r.Float64())
				c := Count{Looked: r.Int64N(7)}
				for range c.Looked {
					if r.Float64() < rates[i] {
						c.Missing++
					}
				}
				plans[i] = Planned(Counts{Own: c})
			}
			s, in := NewSet(need, plans), make([]int, groups)
			for range need + r.Int64N(4) {
				in[0]++
				s.Add(0, 1)
				if groups > 1 {
					in[1]++
					s.Add(1, 1)
				}
			}
			got := s.Chance(0.9)
			truth := binomials(in, rates, need)
			if got.Low-1e-9 <= truth && truth <= got.High+1e-9 {
				held++
			}
			claimed, truly = claimed+got.Mid, truly+truth
		}
		n := float64(workshops)
		t.Logf("rates of Beta(%g, %g): the interval held %.3f; claimed %.4f, true %.4f", prior, prior, float64(held)/n, claimed/n, truly/n)
		if float64(held)/n < 0.93 {
			t.Errorf("the truth lay in the interval in %d of %d workshops", held, workshops)
		}
		if math.Abs(claimed-truly)/n > 0.03 {
			t.Errorf("claimed %.4f, true %.4f", claimed/n, truly/n)
		}
	}
}

// binomials is the chance that bodies of known rates of lacking a part, so many of
// each, have as many as are needed.
func binomials(bodies []int, rates []float64, need int64) float64 {
	d := []float64{1} // how many have it
	for i, n := range bodies {
		for range n {
			next := make([]float64, len(d)+1)
			for k, p := range d {
				next[k] += p * rates[i]
				next[k+1] += p * (1 - rates[i])
			}
			d = next
		}
	}
	sum := 0.0
	for k := int(need); k < len(d); k++ {
		sum += d[k]
	}
	return sum
}

func BenchmarkInterval(b *testing.B) {
	plans := []Plan{Planned(Counts{Own: Count{2, 3}}), Planned(Counts{Own: Count{1, 5}}), Planned(Counts{})}
	b.ReportAllocs()
	for b.Loop() {
		s := NewSet(2, plans)
		for i := range plans {
			s.Add(i, 1)
			s.Add(i, 2)
		}
		s.Chance(0.9)
	}
}
