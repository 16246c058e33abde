package dim

import "math"

// The formulas of gears with standard teeth, whose tips stand one module over the
// pitch circle (ISO 53). Lengths and modules are micrometres, halves up.

// GearModule returns the module of a gear from its outside diameter and teeth:
// od / (teeth + 2). The usual mistake is od / teeth.
func GearModule(od, teeth int64) int64 { return divide(od, teeth+2) }

// GearOutside returns the outside diameter of a gear: module x (teeth + 2).
func GearOutside(module, teeth int64) int64 { return module * (teeth + 2) }

// GearPitchCircle returns the diameter of the pitch circle: module x teeth.
func GearPitchCircle(module, teeth int64) int64 { return module * teeth }

// GearCircle returns the diameter of the pitch circle from the outside diameter:
// od x teeth / (teeth + 2).
func GearCircle(od, teeth int64) int64 { return divide(od*teeth, teeth+2) }

// GearShare returns the pitch circle of a mate: circles are to one another as
// their teeth.
func GearShare(circle, teeth, of int64) int64 { return divide(circle*teeth, of) }

// GearPitch returns the pitch, from tooth to tooth along the pitch line of a gear
// or rack: pi x module.
func GearPitch(module float64) int64 { return int64(math.Round(math.Pi * module)) }

// RackModule returns the module of a rack n of whose pitches measure length.
func RackModule(n, length int64) int64 {
	return int64(math.Round(float64(length) / float64(n) / math.Pi))
}

// GearCentres returns the distance of the axes of two gears that mesh: half the
// sum of their pitch circles.
func GearCentres(circle, other int64) int64 { return divide(circle+other, 2) }

// divide divides, halves up; b is above zero and a not below.
func divide(a, b int64) int64 { return (2*a + b) / (2 * b) }
