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
// with the coils that keep its rate. A torsion spring keeps its inside, as it
// goes over its post; the others keep their outside, as they lie in a hole or
// beside something. It returns what [Reckon] refuses, and an error that wraps
// [ErrShape] where less than one coil would be left or the class is flat.
func (s Spring) InWire(wire int64, m Material) (Made, error) {
	if _, err := Reckon(s, Load{}); err != nil {
		return Made{}, err
	}
	if s.Class == Flat {
		return Made{}, fmt.Errorf("%w: a flat spring is cut from strip of its own thickness, no wire replaces it", ErrShape)
	}
	mean := int64(math.Round(s.mean() * 1000))
	n := s
	n.Wire, n.Material, n.Modulus = wire, m, 0
	n.Mean, n.OD = 0, mean+s.Wire
	if s.Class == Torsion {
		n.OD = mean - s.Wire + 2*wire
	}
	n.Active, n.Coils = 1000, 0
	if _, err := Reckon(n, Load{}); err != nil {
		return Made{}, err
	}
	active := n.Rate() / s.Rate() // the rate of one coil by that of all
	if active < 1 {
		return Made{}, fmt.Errorf("%w: wire of %g mm is too stiff, it would take less than one coil", ErrShape, float64(wire)/1000)
	}
	return s.wound(n, active), nil
}

// WithRate returns the spring with as many working coils as give it a rate, in
// N/mm, of a torsion spring N mm a radian. It returns what [Reckon] refuses, and an
// error that wraps [ErrShape] where that is less than one coil, or more than can
// be wound, or the class is flat.
func (s Spring) WithRate(rate float64) (Spring, error) {
	if s.Class == Flat {
		return s, fmt.Errorf("%w: a flat spring has no coils", ErrShape)
	}
	s.Active, s.Coils = 1000, 0
	if _, err := Reckon(s, Load{}); err != nil {
		return s, err
	}
	active := s.Rate() / rate // the rate of one coil by that of all
	switch {
	case active < 1:
		return s, fmt.Errorf("%w: one coil of this wire makes %.4g %s, the rate wanted takes less than one", ErrShape, s.Rate(), s.rateUnit())
	case !(active <= mostCoils):
		return s, fmt.Errorf("%w: the rate wanted takes %.4g coils", ErrShape, active)
	}
	s.Active = int64(math.Round(active * 1000))
	return s, nil
}

// mostCoils is more than anybody winds.
const mostCoils = 10_000

// wound gives a spring its coils, to the quarter.
func (s Spring) wound(n Spring, active float64) Made {
	idle := float64(s.Coils)/1000 - s.ActiveCoils()
	if s.Coils <= 0 {
		idle = 0
		if s.Class == Compression {
			idle = float64(dead(s.Ends)) / 1000
		}
	}
	quarter := math.Max(math.Round((active+idle)*4)/4, idle+0.25)
	n.Coils, n.Active = int64(quarter*1000), int64(math.Round((quarter-idle)*1000))
	return Made{Spring: n, Coils: six(active + idle), Off: percent(n.Rate(), s.Rate()), Stress: percent(n.stress(1), s.stress(1))}
}
