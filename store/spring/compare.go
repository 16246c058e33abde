package spring

import (
	"errors"
	"fmt"
	"math"
)

// ErrUnlike is returned when two springs of different classes are compared.
var ErrUnlike = errors.New("springs of two kinds")

// A Share is what one measure does to the rate, in per cent: the rate with the
// second spring's measure and all others of the first.
type Share struct {
	Measure string  `json:"measure"`
	Percent float64 `json:"percent"`
}

// A Difference says how the second of two springs differs from the first.
type Difference struct {
	Percent float64 `json:"percent"` // of the rate; 0 for equal springs
	// Sure is false where the intervals of the two rates meet: what the tool may be
	// off by can be all the difference.
	Sure   bool    `json:"sure"`
	Shares []Share `json:"shares,omitempty"` // of measures that differ
}

// Compare returns by how much the rate of b is greater than that of a. It returns
// an error that wraps [ErrUnlike], or what [Reckon] refuses.
func Compare(a, b Spring) (Difference, error) {
	for _, s := range []Spring{a, b} {
		if _, err := Reckon(s, Load{}); err != nil {
			return Difference{}, err
		}
	}
	if a.Class != b.Class {
		return Difference{}, fmt.Errorf("%w cannot be compared: one is %s %s spring, the other %s %s spring", ErrUnlike, a.article(), a.kind(), b.article(), b.kind())
	}
	d := Difference{Percent: percent(b.Rate(), a.Rate())}
	for _, m := range a.measures(b) {
		if p := percent(m.factor, 1); p != 0 {
			d.Shares = append(d.Shares, Share{m.name, p})
		}
	}
	alow, ahigh := a.RateRange()
	blow, bhigh := b.RateRange()
	d.Sure = alow > bhigh || blow > ahigh
	return d, nil
}

// article stands before the kind.
func (s Spring) article() string {
	if s.Class == Extension {
		return "an"
	}
	return "a"
}

// percent is by how much a is more than b, in per cent with six digits.
func percent(a, b float64) float64 { return six((a/b - 1) * 100) }

type factor struct {
	name   string
	factor float64
}

// measures are the factors that lead from the rate of s to that of b. Their
// product is the quotient of the rates.
func (s Spring) measures(b Spring) []factor {
	if s.Class == Flat {
		of := func(n, m int64, power float64) float64 { return math.Pow(float64(n)/float64(m), power) }
		return []factor{{"thickness", of(b.Thick, s.Thick, 3)}, {"width", of(b.Width, s.Width, 1)},
			{"length", of(b.Length, s.Length, -3)}, {"plan", plan(s.Plan) / plan(b.Plan)}, {"modulus", b.ModulusUsed() / s.ModulusUsed()}}
	}
	power := -3.0
	if s.Class == Torsion {
		power = -1
	}
	return []factor{{"wire", math.Pow(b.wire()/s.wire(), 4)}, {"mean diameter", math.Pow(b.mean()/s.mean(), power)},
		{"coils", s.ActiveCoils() / b.ActiveCoils()}, {"modulus", b.ModulusUsed() / s.ModulusUsed()}}
}
