// Package spring reckons springs: rate, stress, solid length, what they do under
// a load, how two compare, and of which stock wire one can be made.
//
// Measures come in as integers, lengths in micrometres and coils in thousandths
// of a turn; figures go out as numbers in N, mm, N mm, degrees and MPa. The mean
// diameter is that of the wire's middle, outside less wire; the index is mean by
// wire; active coils are those that work.
//
// The one surprising rule: wire enters with its fourth power. A hundredth of a
// millimetre on 0.20 wire is 22 per cent of the rate, so every rate comes with
// the interval that follows from what the tool may be off by.
package spring

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// The classes whose springs can be reckoned.
const (
	Compression = "SPR-CMP"
	Extension   = "SPR-EXT"
	Torsion     = "SPR-TOR"
	Flat        = "SPR-FLAT"
)

// The ends of a compression spring.
const (
	Plain        = "plain"
	PlainGround  = "plain-ground"
	Closed       = "closed"
	ClosedGround = "closed-ground"
)

// The plans of a flat spring, seen from above, clamped at the wide end.
const (
	Straight = "straight"
	Tapered  = "tapered"
	Triangle = "triangle"
)

// Ends returns the ends in the order people are shown them.
func Ends() []string { return []string{Plain, PlainGround, Closed, ClosedGround} }

// Plans returns the plans in the order people are shown them.
func Plans() []string { return []string{Straight, Tapered, Triangle} }

// EndsOf returns the ends of a word, or false: squared is closed, and ground
// alone is closed and ground, as the trade means it.
func EndsOf(word string) (string, bool) {
	switch plain(word) {
	case "plain", "open":
		return Plain, true
	case "plainground", "openground", "plainandground":
		return PlainGround, true
	case "closed", "squared":
		return Closed, true
	case "ground", "closedground", "squaredground", "closedandground", "squaredandground":
		return ClosedGround, true
	}
	return "", false
}

// Spread is what each measure may be off by, either way, in micrometres. Across
// is that of the outside or mean diameter, whichever was measured.
type Spread struct{ Wire, Across, Thick, Width, Length int64 }

// A Spring is the measures of one spring. What is 0 or empty is not known.
type Spring struct {
	Class      string
	Wire       int64
	OD         int64
	Mean       int64 // where 0, OD less Wire
	Coils      int64 // all of them
	Active     int64 // where 0, it follows from Coils and Ends
	Ends       string
	FreeLength int64

	Thick, Width, Length int64  // of a flat spring; Length is free of the clamp
	Plan                 string // where empty, Straight

	Material Material
	Family   string  // of strength tables; where empty, Shigley
	Modulus  float64 // GPa; where 0, the material's
	Start    float64 // N that pull a close-wound extension spring open
	Spread   Spread
}

// ErrMissing is returned when a measure that the rate needs is not known.
var ErrMissing = errors.New("a measure is missing")

// ErrShape is returned when the measures are those of no spring that can be.
var ErrShape = errors.New("no such spring")

// A MissingError names the measures that the rate needs and lacks, as the trade
// calls them. Its Unwrap returns [ErrMissing].
type MissingError struct{ Measures []string }

// Error names what is missing.
func (e *MissingError) Error() string {
	return "the rate needs " + strings.Join(e.Measures, " and ")
}

// Unwrap returns [ErrMissing].
func (e *MissingError) Unwrap() error { return ErrMissing }

// Missing lists the measures that the rate needs and lacks: "wire", "outside or
// mean diameter", "coils", "ends or active coils", "thickness", "width",
// "length".
func (s Spring) Missing() []string {
	var out []string
	need := func(n int64, name string) {
		if n <= 0 {
			out = append(out, name)
		}
	}
	if s.Class == Flat {
		need(s.Thick, "thickness")
		need(s.Width, "width")
		need(s.Length, "length")
		return out
	}
	need(s.Wire, "wire")
	need(max(s.OD, s.Mean), "outside or mean diameter")
	need(max(s.Coils, s.Active), "coils")
	if s.Class == Compression && s.Active <= 0 && s.Coils > 0 && s.Ends == "" {
		out = append(out, "ends or active coils")
	}
	return out
}

// Check returns a [MissingError], or an error that wraps [ErrShape] where the
// measures contradict each other. It refuses nothing that can be wound.
func (s Spring) Check() error {
	switch m := s.Missing(); {
	case s.Class != Compression && s.Class != Extension && s.Class != Torsion && s.Class != Flat:
		return fmt.Errorf("%w: rates are those of compression, extension, torsion and flat springs", ErrShape)
	case len(m) > 0:
		return &MissingError{m}
	case s.Class == Flat:
		return nil
	case s.mean() <= s.wire():
		return fmt.Errorf("%w: an outside of %g mm leaves no room inside wire of %g mm", ErrShape, s.mean()+s.wire(), s.wire())
	case s.ActiveCoils() <= 0:
		return fmt.Errorf("%w: %g coils with %s ends leave none that works", ErrShape, float64(s.Coils)/1000, s.Ends)
	}
	return nil
}

func (s Spring) wire() float64 { return float64(s.Wire) / 1000 }

// mean is the mean diameter in mm.
func (s Spring) mean() float64 {
	if s.Mean > 0 {
		return float64(s.Mean) / 1000
	}
	return float64(s.OD-s.Wire) / 1000
}

// Index returns mean diameter by wire.
func (s Spring) Index() float64 { return s.mean() / s.wire() }

// dead are the coils of the ends that do not work. Source: Shigley, chapter 10
// (plain and ground 1, by its worked solutions; squared 2, from memory).
func dead(ends string) int64 {
	switch ends {
	case PlainGround:
		return 1000
	case Closed, ClosedGround:
		return 2000
	}
	return 0
}

// ActiveCoils returns the coils that work. Those of an extension or torsion
// spring all do.
func (s Spring) ActiveCoils() float64 {
	n := s.Active
	if n <= 0 {
		n = s.Coils
		if s.Class == Compression {
			n -= dead(s.Ends)
		}
	}
	return float64(n) / 1000
}

// ModulusUsed returns the modulus of the rate in GPa: G of compression and
// extension springs, E of the others. It is 0 where none is known.
func (s Spring) ModulusUsed() float64 {
	if s.Modulus > 0 {
		return s.Modulus
	}
	g, e := s.Material.Moduli(s.Wire)
	if s.Class == Compression || s.Class == Extension {
		return g
	}
	return e
}

// Rate returns the rate in N/mm, of a torsion spring in N mm a radian. The spring
// must pass [Spring.Check].
//
// Sources: G d^4 / (8 D^3 N), Shigley eq. 10-9; E d^4 / (64 D N) a radian, the
// theory; E b t^3 / (4 L^3), 3 E I / L^3 of a cantilever with I = b t^3 / 12; the
// tapered and the triangular plan divide by 5.22 and 6 instead of 4, as published
// for flat springs.
func (s Spring) Rate() float64 { return s.rate(0) }

// rate is the rate with every measure off by so many spreads towards the stiffer
// side; the modulus stays that of the wire as measured.
func (s Spring) rate(off float64) float64 {
	m := s.ModulusUsed() * 1000
	by := func(n, spread int64) float64 { return math.Max(float64(n)+off*float64(spread), 0) / 1000 }
	if s.Class == Flat {
		b, t := by(s.Width, s.Spread.Width), by(s.Thick, s.Spread.Thick)
		l := math.Max(by(s.Length, -s.Spread.Length), 0.001)
		return m * b * t * t * t / (plan(s.Plan) * l * l * l)
	}
	d := by(s.Wire, s.Spread.Wire)
	mean := by(s.Mean, -s.Spread.Across)
	if s.Mean <= 0 {
		mean = by(s.OD, -s.Spread.Across) - d
	}
	mean = math.Max(mean, d) // no coil is smaller
	d4 := math.Pow(d, 4)
	if d4 == 0 {
		return 0
	}
	if s.Class == Torsion {
		return m * d4 / (64 * mean * s.ActiveCoils())
	}
	return m * d4 / (8 * mean * mean * mean * s.ActiveCoils())
}

func plan(p string) float64 {
	switch p {
	case Tapered:
		return 5.22
	case Triangle:
		return 6
	}
	return 4
}

// RateRange returns the least and the greatest rate that the spreads leave.
func (s Spring) RateRange() (low, high float64) { return s.rate(-1), s.rate(1) }

// PerTurn returns the rate of a torsion spring in N mm a turn, as spring makers
// reckon it: E d^4 / (10.8 D N), where 10.8 stands for 64/(2 pi) = 10.186 and the
// friction between coils. It is 5.7 per cent below the theory.
func (s Spring) PerTurn() float64 { return s.Rate() * 64 / 10.8 }

// SolidLength returns the length in mm of a compression spring pressed coil to
// coil, and false where coils or ends are not known. Source: Shigley, table 10-1
// (plain and plain ground by worked examples).
func (s Spring) SolidLength() (float64, bool) {
	if s.Class != Compression || s.Ends == "" {
		return 0, false
	}
	n := float64(s.Coils) / 1000
	if s.Coils <= 0 {
		n = s.ActiveCoils() + float64(dead(s.Ends))/1000
	}
	if s.Ends == Plain || s.Ends == Closed {
		n++
	}
	return n * s.wire(), true
}

// BucklingLength returns the free length in mm from which a compression spring
// between two flat plates may bow out: 2.63 D / 0.5. Source: Shigley, chapter 10,
// worked solution of problem 10-3.
func (s Spring) BucklingLength() float64 { return 2.63 * s.mean() / 0.5 }

// Strength returns the tensile strength of the wire in MPa and what
// [Material.Strength] says of it. Strip has none here.
func (s Spring) Strength() (mpa float64, inside, ok bool) {
	if s.Class == Flat {
		return 0, false, false
	}
	family := s.Family
	if family == "" {
		family = Shigley
	}
	return s.Material.Strength(family, s.Wire)
}

// SetStress returns the stress in MPa at which the spring takes a set: in shear,
// in bending for a torsion spring. It returns false where it is not known.
func (s Spring) SetStress() (float64, bool) {
	share := s.Material.shearSet
	if s.Class == Torsion {
		share = s.Material.bendSet
	}
	mpa, _, ok := s.Strength()
	return share * mpa, ok && share > 0
}

// Wahl returns the stress factor (4C-1)/(4C-4) + 0.615/C of index C. Source:
// Shigley eq. 10-4.
func Wahl(c float64) float64 { return (4*c-1)/(4*c-4) + 0.615/c }

// Bergstraesser returns the stress factor (4C+2)/(4C-3) of index C, the same as
// (C+0.5)/(C-0.75) of EN 13906-1. Source: Shigley eq. 10-5.
func Bergstraesser(c float64) float64 { return (4*c + 2) / (4*c - 3) }

// Direct returns the factor of direct shear alone, 1 + 0.5/C.
func Direct(c float64) float64 { return 1 + 0.5/c }

// Inner returns the factor of bending at the inside of a torsion spring's coil,
// (4C^2-C-1)/(4C(C-1)). Source: Shigley, chapter 10.
func Inner(c float64) float64 { return (4*c*c - c - 1) / (4 * c * (c - 1)) }

// Shear returns the stress in MPa of a force in N on a mean diameter and wire in
// mm, before any factor: 8 F D / (pi d^3). Source: Shigley eq. 10-7.
func Shear(force, mean, wire float64) float64 {
	return 8 * force * mean / (math.Pi * wire * wire * wire)
}

// Bending returns the stress in MPa of a torque in N mm in wire of a diameter in
// mm, before any factor: 32 M / (pi d^3), Machinery's Handbook's 10.18 M / d^3.
func Bending(torque, wire float64) float64 { return 32 * torque / (math.Pi * wire * wire * wire) }

// stress is the stress in MPa of a force in N or a torque in N mm: with
// Bergstraesser's factor, that of the coil's inside, or none for strip. Source of
// strip: 6 P L / (b t^2).
func (s Spring) stress(load float64) float64 {
	switch s.Class {
	case Flat:
		b, t, l := float64(s.Width)/1000, float64(s.Thick)/1000, float64(s.Length)/1000
		return 6 * load * l / (b * t * t)
	case Torsion:
		return Inner(s.Index()) * Bending(load, s.wire())
	}
	return Bergstraesser(s.Index()) * Shear(load, s.mean(), s.wire())
}

// SetLoad returns the force in N, of a torsion spring the torque in N mm, at
// which it takes a set, and false where that is not known.
func (s Spring) SetLoad() (float64, bool) {
	limit, ok := s.SetStress()
	if !ok {
		return 0, false
	}
	return limit / s.stress(1), true
}

// Inside returns the inside diameter in mm, of a torsion spring wound up by an
// angle in degrees: N times the free inside by N + F/360. Source: Machinery's
// Handbook 31, p. 334.
func (s Spring) Inside(angle float64) float64 {
	n := s.ActiveCoils()
	return (s.mean() - s.wire()) * n / (n + angle/360)
}

// LegTurns returns the turns that the two legs of a torsion spring are worth,
// lengths in micrometres: (a + b) / (3 pi D). They bend as the coils do and make
// the spring softer; rates here are those of the coils alone. Source: Shigley,
// chapter 10, from memory.
func (s Spring) LegTurns(a, b int64) float64 {
	return float64(a+b) / 1000 / (3 * math.Pi * s.mean())
}
