package spring

import (
	"fmt"
	"math"
)

// A Made is a spring of the same rate in other wire.
type Made struct {
	Spring Spring  // with its coils to the quarter
	Coils  float64 // that keep the rate exactly, those of the ends among them
	Off    float64 // per cent of the rate by which coils to the quarter miss it
	Stress float64 // per cent more stress under the same load
}

// InWire returns the spring made anew of wire in micrometres and a material,
// with the coils that keep its rate. A torsion spring keeps its legs and its inside,
// as it goes over its post; the others keep their outside, as they lie in a hole or
// beside something. It returns what [Reckon] refuses, and an error that wraps
// [ErrShape] where less than one coil would be left or the class is made of strip.
func (s Spring) InWire(wire int64, m Material) (Made, error) {
	if err := s.ready(); err != nil {
		return Made{}, err
	}
	if !Wound(s.Class) {
		return Made{}, fmt.Errorf("%w: a %s spring is cut from strip of its own thickness, no wire replaces it", ErrShape, s.kind())
	}
	old := s.middle()
	n := s.legged()
	n.Wire, n.Material, n.Modulus = wire, m, 0
	n.Mean, n.OD = 0, int64(math.Round(old.across()*1000))+s.Wire
	if s.Class == Torsion {
		n.OD += 2 * (wire - s.Wire)
	}
	body, err := n.bodyFor(old.rate())
	if err != nil {
		return Made{}, err
	}
	return s.wound(n, body), nil
}

// legged is the spring with legs as long as they are reckoned.
func (s Spring) legged() Spring {
	if s.Class != Torsion {
		return s
	}
	x := s.middle()
	for i, leg := range []**int64{&s.LegA, &s.LegB} {
		if *leg == nil {
			n := int64(math.Round(x.legs[i] * 1000))
			*leg = &n
		}
	}
	return s
}

// WithRate returns the spring with as many working coils as give it a rate, in
// N/mm, of a torsion spring N mm a radian. It returns what [Reckon] refuses, and an
// error that wraps [ErrShape] where that is less than one coil, or more than can
// be wound, or the class is made of strip.
func (s Spring) WithRate(rate float64) (Spring, error) {
	if !Wound(s.Class) {
		return s, fmt.Errorf("%w: a %s spring is not wound of wire", ErrShape, s.kind())
	}
	s.Coils = 0
	body, err := s.bodyFor(rate)
	if err == nil {
		s.Active = int64(math.Round(body * 1000))
	}
	return s, err
}

// mostCoils is more than anybody winds.
const mostCoils = 10_000

// bodyFor is how many coils of the body make a rate, its legs and hooks being what
// they are: of a torsion spring (E d^4 / (64 k) - (a + b) / (3 pi)) / D.
func (s Spring) bodyFor(rate float64) (float64, error) {
	s.Active, s.Coils = 1000, 0
	if err := s.ready(); err != nil {
		return 0, err
	}
	x := s.middle()
	one := x.bare().rate() // of one coil
	ends := x.legTurns() + x.hooks
	switch body := one/rate - ends; {
	case !(body <= mostCoils):
		return 0, fmt.Errorf("%w: the rate wanted takes %.4g coils", ErrShape, body)
	case body >= 1:
		return body, nil
	case ends > 0 && one/ends <= rate:
		return 0, fmt.Errorf("%w: legs and hooks alone make %.3g %s, less than the rate wanted", ErrShape, one/ends, s.rateUnit())
	}
	return 0, fmt.Errorf("%w: one coil of %g mm wire makes %.3g %s, the rate wanted takes less than one", ErrShape, x.wire, one/(1+ends), s.rateUnit())
}

// wound gives a spring its coils, to the quarter.
func (s Spring) wound(n Spring, body float64) Made {
	idle := s.idle()
	quarter := max(math.Round((body+idle)*4)/4, idle+0.25)
	n.Coils, n.Active = int64(quarter*1000), int64(math.Round((quarter-idle)*1000))
	was, is := s.middle(), n.middle()
	return Made{Spring: n, Coils: six(body + idle), Off: percent(is.rate(), was.rate()), Stress: percent(is.stress(1), was.stress(1))}
}
