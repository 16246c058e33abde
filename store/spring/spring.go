// Package spring reckons springs: rate, stress, solid length, what they do under
// a load, how two compare, and of which stock wire one can be made.
//
// Measures come in as integers, lengths in micrometres and coils in thousandths
// of a turn; figures go out as numbers in N, mm, N mm, degrees and MPa. The mean
// diameter is that of the wire's middle, outside less wire; the index is mean by
// wire. The rate is that of the whole spring: legs of a torsion spring and hooks of
// an extension spring bend too and count as coils that work.
//
// The one surprising rule: no figure stands alone. Wire enters with its fourth
// power, a hundredth of a millimetre on 0.20 wire is 22 per cent of the rate, so
// each comes with the least and the greatest that readings, coils, modulus,
// friction and what was not measured leave (see span).
package spring

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
)

// The classes whose springs can be reckoned.
const (
	Compression = "SPR-CMP"
	Extension   = "SPR-EXT"
	Torsion     = "SPR-TOR"
	Flat        = "SPR-FLAT"
	Spiral      = "SPR-SPI" // of a clockwork
	Hair        = "SPR-HAIR"
)

// Classes returns the classes whose springs can be reckoned, in the order people
// are shown them. The slice is the caller's.
func Classes() []string { return []string{Compression, Extension, Torsion, Flat, Spiral, Hair} }

// Turned tells whether springs of a class take a torque and an angle, not a force
// and a deflection. The hand of such a spring matters.
func Turned(class string) bool { return class == Torsion || class == Spiral || class == Hair }

// Wound tells whether springs of a class are wound of wire, not made of strip.
func Wound(class string) bool {
	return class == Compression || class == Extension || class == Torsion
}

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

// Spread is what each measure may be off by, either way: lengths in micrometres,
// Coils in thousandths of a turn, Modulus as a share. Across is that of the outside,
// inside or mean diameter, whichever was measured; a leg is off by where it leaves
// the coil too.
type Spread struct {
	Wire, Across, Free, Leg, Coils int64
	Thick, Width, Length           int64
	Modulus                        float64
}

// A Spring is the measures of one spring. What is 0, empty or nil is not known.
type Spring struct {
	Class      string
	Wire       int64
	OD         int64
	ID         int64 // of a spiral spring whose strip was not measured
	Mean       int64 // where 0, OD less Wire
	Coils      int64 // all of them
	Active     int64 // of the body, that work; where 0, it follows from Coils and Ends
	Ends       string
	FreeLength int64

	// Of a torsion spring, from where a leg leaves the coil to where it is loaded;
	// 0 for a leg without a load.
	LegA, LegB *int64

	// Of an extension spring: the coils that both hooks count as, the radius of the
	// hook and of the bend where it leaves the body, to the wire's middle.
	Hooks                *float64
	HookRadius, HookBend int64

	Thick, Width, Length int64  // of strip; Length of a flat spring is free of the clamp
	Plan                 string // of a flat spring; where empty, Straight

	Material Material
	Family   string  // of strength tables; where empty, Newer
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
// mean diameter", "coils", "ends or active coils", "thickness", "width", "length",
// "length of the strip, or coils with inside and outside".
func (s Spring) Missing() []string {
	var out []string
	need := func(known bool, name string) {
		if !known {
			out = append(out, name)
		}
	}
	if Wound(s.Class) {
		need(s.Wire > 0, "wire")
		need(max(s.OD, s.Mean) > 0, "outside or mean diameter")
		need(max(s.Coils, s.Active) > 0, "coils")
		need(s.Class != Compression || s.Active > 0 || s.Coils <= 0 || s.Ends != "", "ends or active coils")
		return out
	}
	need(s.Thick > 0, "thickness")
	need(s.Width > 0, "width")
	if s.Class == Flat {
		need(s.Length > 0, "length")
	} else {
		need(s.Length > 0 || s.Coils > 0 && s.OD > 0 && s.ID > 0, "length of the strip, or coils with inside and outside")
	}
	return out
}

// Check returns a [MissingError], or an error that wraps [ErrShape] where the
// measures contradict each other. It refuses nothing that can be wound.
func (s Spring) Check() error {
	switch m := s.Missing(); {
	case !slices.Contains(Classes(), s.Class):
		return fmt.Errorf("%w: rates are those of compression, extension, torsion, flat and spiral springs", ErrShape)
	case len(m) > 0:
		return &MissingError{m}
	case Turned(s.Class) && s.Class != Torsion && s.Length <= 0 && s.ID >= s.OD:
		return fmt.Errorf("%w: an inside of %g mm is no less than its outside of %g mm", ErrShape, mm(s.ID), mm(s.OD))
	case !Wound(s.Class):
		return nil
	case s.outside() <= 2*mm(s.Wire):
		return fmt.Errorf("%w: an outside of %g mm leaves no room inside wire of %g mm", ErrShape, s.outside(), mm(s.Wire))
	case s.coils() <= 0:
		return fmt.Errorf("%w: %g coils with %s ends leave none that works", ErrShape, mm(s.Coils), s.Ends)
	}
	return nil
}

// outside is the outside diameter in mm of a spring that is wound of wire.
func (s Spring) outside() float64 {
	if s.Mean > 0 {
		return mm(s.Mean + s.Wire)
	}
	return mm(s.OD)
}

// mm is a length in mm, or coils in turns.
func mm(n int64) float64 { return float64(n) / 1000 }

// kind is the class in the trade's words.
func (s Spring) kind() string {
	switch s.Class {
	case Compression:
		return "compression"
	case Extension:
		return "extension"
	case Torsion:
		return "torsion"
	case Flat:
		return "flat"
	}
	return "spiral"
}

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

// coils are the coils of the body that work. Those of an extension or torsion
// spring all do.
func (s Spring) coils() float64 {
	switch {
	case s.Active > 0:
		return mm(s.Active)
	case s.Class == Compression:
		return mm(s.Coils - dead(s.Ends))
	}
	return mm(s.Coils)
}

// idle are the coils that do not work.
func (s Spring) idle() float64 {
	switch {
	case s.Coils > 0:
		return mm(s.Coils) - s.coils()
	case s.Class == Compression:
		return mm(dead(s.Ends))
	}
	return 0
}

// modulusUsed returns the modulus of the rate in GPa: G of compression and
// extension springs, E of the others. It is 0 where none is known.
func (s Spring) modulusUsed() float64 {
	if s.Modulus > 0 {
		return s.Modulus
	}
	g, e := s.Material.moduli(s.Wire)
	if s.Class == Compression || s.Class == Extension {
		return g
	}
	return e
}

// usualHooks is G by E of spring wire, where the modulus is typed.
const usualHooks = 0.4

// hookCoils are the coils that the hooks of an extension spring count as: of two
// twisted loops G by E. Source: Shigley eq. 10-40.
func (s Spring) hookCoils() float64 {
	g, e := s.Material.moduli(s.Wire)
	if s.Modulus > 0 {
		g = s.Modulus
	}
	switch {
	case s.Class != Extension:
		return 0
	case s.Hooks != nil:
		return *s.Hooks
	case g <= 0 || e <= 0:
		return usualHooks
	}
	return g / e
}

// rateUnit is the unit of the rate.
func (s Spring) rateUnit() string {
	if Turned(s.Class) {
		return "N mm/rad"
	}
	return "N/mm"
}

// strength is the line of the tables for the spring's wire; strip has none here.
func (s Spring) strength() (line strength, inside, ok bool) {
	if !Wound(s.Class) {
		return strength{}, false, false
	}
	return s.Material.strength(s.family(), s.Wire)
}

func (s Spring) family() string { return cmp.Or(s.Family, Newer) }
