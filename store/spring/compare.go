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

// A Difference says how the second of two springs differs from the first, in per
// cent of the rate: 0 for equal springs. It may be anything between Low and High.
type Difference struct {
	Percent float64 `json:"percent"`
	Low     float64 `json:"low"`
	High    float64 `json:"high"`
	// Sure is false where Low and High are on two sides of 0: what is open in the two
	// can be all the difference.
	Sure   bool    `json:"sure"`
	Shares []Share `json:"shares,omitempty"` // of measures that differ
}

// Compare returns by how much the rate of b is greater than that of a. What both
// have alike cancels: friction, the modulus of one material and wire, hooks of one
// form. It returns an error that wraps [ErrUnlike], or what [Reckon] refuses.
func Compare(a, b Spring) (Difference, error) {
	for _, s := range []Spring{a, b} {
		if err := s.ready(); err != nil {
			return Difference{}, err
		}
	}
	if a.Class != b.Class {
		return Difference{}, fmt.Errorf("%w cannot be compared: one is %s %s spring, the other %s %s spring", ErrUnlike, a.article(), a.kind(), b.article(), b.kind())
	}
	d := Difference{Percent: percent(b.middle().rate(), a.middle().rate())}
	d.Low, d.High = apart(a, b)
	d.Sure = d.Low > 0 || d.High < 0
	d.Shares = shares(a, b)
	return d, nil
}

// Words says it in whole per cent, as nothing here is known closer: "8 % stiffer,
// between -15 and +37 %".
func (d Difference) Words() string {
	text := "equally stiff"
	switch whole := math.Round(d.Percent); {
	case whole > 0:
		text = fmt.Sprintf("%.0f %% stiffer", whole)
	case whole < 0:
		text = fmt.Sprintf("%.0f %% softer", -whole)
	}
	return fmt.Sprintf("%s, between %+.0f and %+.0f %%", text, d.Low, d.High)
}

// apart is by how much per cent the rate of b may be greater than that of a, at
// least and at most.
func apart(a, b Spring) (low, high float64) {
	except := []string{byFriction}
	if a.Material == b.Material && a.modulusUsed() == b.modulusUsed() {
		except = append(except, byModulus)
	}
	between := func(a, b Spring) (low, high float64) {
		x, y := a.span(exact.rate, except...), b.span(exact.rate, except...)
		return percent(y.low, x.high), percent(y.high, x.low)
	}
	if a.Class != Extension || a.Hooks != nil || b.Hooks != nil || a.Ends == "" || a.Ends != b.Ends {
		return between(a, b)
	}
	none, one := 0.0, 1.0 // of both alike
	a.Hooks, b.Hooks = &none, &none
	low, high = between(a, b)
	a.Hooks, b.Hooks = &one, &one
	l, h := between(a, b)
	return min(low, l), max(high, h)
}

// percent is by how much a is more than b, in per cent with six digits.
func percent(a, b float64) float64 { return six((a/b - 1) * 100) }

// shares are what the measures of b alone do to the rate of a.
func shares(a, b Spring) []Share {
	from, to := a.middle().resolved(), b.middle().resolved()
	var out []Share
	for _, m := range measures(a.Class) {
		x := from
		m.take(&x, to)
		if p := percent(x.rate(), from.rate()); p != 0 {
			out = append(out, Share{m.name, p})
		}
	}
	return out
}

// resolved is the spring with a mean diameter and a strip of their own, so that each
// can be exchanged alone.
func (x exact) resolved() exact {
	if x.class == Spiral || x.class == Hair {
		x.strip = x.length()
	}
	x.od, x.mean = 0, x.across()
	return x
}

type measure struct {
	name string
	take func(x *exact, of exact)
}

// measures are what the rate of a class follows from.
func measures(class string) []measure {
	stiff := measure{"modulus", func(x *exact, of exact) { x.modulus = of.modulus }}
	if !Wound(class) {
		return []measure{{"thickness", func(x *exact, of exact) { x.thick = of.thick }}, {"width", func(x *exact, of exact) { x.width = of.width }},
			{"length", func(x *exact, of exact) { x.strip = of.strip }}, {"plan", func(x *exact, of exact) { x.plan = of.plan }}, stiff}
	}
	return []measure{{"wire", func(x *exact, of exact) { x.wire = of.wire }}, {"mean diameter", func(x *exact, of exact) { x.mean = of.mean }},
		{"coils", func(x *exact, of exact) { x.coils = of.coils }}, {"legs", func(x *exact, of exact) { x.legs = of.legs }},
		{"hooks", func(x *exact, of exact) { x.hooks = of.hooks }}, stiff}
}
