package spring

import (
	"fmt"
	"math"
	"strconv"
)

// Figures are what is known of a spring. Their JSON names are for scripts; what
// is not known is nil. Numbers have six digits. A figure with Low and High beside
// it may be anything between them.
type Figures struct {
	Class         string   `json:"class"`
	Wire          *float64 `json:"wire,omitempty"`         // mm
	Mean          *float64 `json:"mean,omitempty"`         // mm
	Index         *float64 `json:"index,omitempty"`        // mean by wire
	Active        *float64 `json:"active,omitempty"`       // coils that work, legs and hooks among them
	LegTurns      *float64 `json:"leg_turns,omitempty"`    // that the legs count as
	HookCoils     *float64 `json:"hook_coils,omitempty"`   // that the hooks count as
	Strip         *float64 `json:"strip_length,omitempty"` // mm, of a spiral
	Rate          float64  `json:"rate"`
	RateLow       float64  `json:"rate_low"`
	RateHigh      float64  `json:"rate_high"`
	CoilRate      *float64 `json:"coil_rate,omitempty"`     // of the coils alone
	RateUnit      string   `json:"rate_unit"`               // N/mm or N mm/rad
	PerTurn       *float64 `json:"rate_per_turn,omitempty"` // N mm a turn, with the friction of coils
	Modulus       float64  `json:"modulus_gpa"`
	Material      string   `json:"material,omitempty"`
	Solid         *float64 `json:"solid_length,omitempty"` // mm
	SolidAt       *float64 `json:"solid_force,omitempty"`  // N that press it coil to coil
	SolidAtLow    *float64 `json:"solid_force_low,omitempty"`
	SolidAtHigh   *float64 `json:"solid_force_high,omitempty"`
	Buckling      *float64 `json:"buckling_length,omitempty"` // mm
	Strength      *float64 `json:"strength_mpa,omitempty"`
	Set           *float64 `json:"set_mpa,omitempty"`
	SetForce      *float64 `json:"set_force,omitempty"` // N
	SetForceLow   *float64 `json:"set_force_low,omitempty"`
	SetForceHigh  *float64 `json:"set_force_high,omitempty"`
	SetTorque     *float64 `json:"set_torque,omitempty"` // N mm
	SetTorqueLow  *float64 `json:"set_torque_low,omitempty"`
	SetTorqueHigh *float64 `json:"set_torque_high,omitempty"`
	Safe          *float64 `json:"safe_free_length,omitempty"` // mm: a longer one takes a set when pressed coil to coil
	Family        string   `json:"family,omitempty"`           // the source of the strength
	// The load: the one asked for, or AtSolid where none was and the spring can be
	// pressed coil to coil, or where it cannot be pressed as far as was asked.
	Force          *float64 `json:"force,omitempty"` // N
	ForceLow       *float64 `json:"force_low,omitempty"`
	ForceHigh      *float64 `json:"force_high,omitempty"`
	Deflection     *float64 `json:"deflection,omitempty"` // mm
	DeflectionLow  *float64 `json:"deflection_low,omitempty"`
	DeflectionHigh *float64 `json:"deflection_high,omitempty"`
	Length         *float64 `json:"length,omitempty"` // mm under the load
	Torque         *float64 `json:"torque,omitempty"` // N mm
	TorqueLow      *float64 `json:"torque_low,omitempty"`
	TorqueHigh     *float64 `json:"torque_high,omitempty"`
	Angle          *float64 `json:"angle,omitempty"` // degrees
	AngleLow       *float64 `json:"angle_low,omitempty"`
	AngleHigh      *float64 `json:"angle_high,omitempty"`
	Inside         *float64 `json:"inside,omitempty"`     // mm, of a torsion spring under the load or free
	Stress         *float64 `json:"stress_mpa,omitempty"` // of the coil or the strip
	StressLow      *float64 `json:"stress_low,omitempty"`
	StressHigh     *float64 `json:"stress_high,omitempty"`
	HookBending    *float64 `json:"hook_bending_mpa,omitempty"`
	HookTwist      *float64 `json:"hook_twist_mpa,omitempty"` // where the hook's bend was measured
	Share          *float64 `json:"set_share,omitempty"`      // of what makes it take a set: 1 is that
	ShareLow       *float64 `json:"set_share_low,omitempty"`
	ShareHigh      *float64 `json:"set_share_high,omitempty"`
	AtSolid        bool     `json:"at_solid"`
	Remarks        []string `json:"remarks,omitempty"`
}

// Reckon works out what is known of a spring under a load, which may be none. It
// returns a [MissingError], or an error that wraps [ErrShape] or [ErrLoad].
func Reckon(s Spring, l Load) (Figures, error) {
	if err := s.ready(); err != nil {
		return Figures{}, err
	}
	f := Figures{Class: s.Class, Modulus: six(s.modulusUsed()), Material: s.Material.Key, RateUnit: s.rateUnit()}
	rate := s.span(exact.rate)
	f.Rate, f.RateLow, f.RateHigh = six(rate.mid), six(rate.low), six(rate.high)
	s.coil(&f)
	s.limits(&f)
	s.pressed(&f)
	if err := s.load(&f, l); err != nil {
		return f, err
	}
	f.Remarks = append(s.odd(), f.Remarks...)
	return f, nil
}

// ready is [Spring.Check] for what needs the modulus too.
func (s Spring) ready() error {
	switch err := s.Check(); {
	case err != nil:
		return err
	case s.modulusUsed() > 0:
		return nil
	case s.Material.Key == "":
		return &MissingError{[]string{"a material or a modulus"}}
	}
	return fmt.Errorf("%w: no modulus of %s is known for %s %s spring, give one", ErrShape, s.Material.Name, s.article(), s.kind())
}

// ptr is a figure with six digits, nil for none and for one without a bound.
func ptr(f float64) *float64 {
	if math.IsNaN(f) || math.IsInf(f, 0) {
		return nil
	}
	f = six(f)
	return &f
}

// six rounds to six digits: no measure of a spring has more.
func six(f float64) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(f, 'g', 6, 64), 64)
	return r
}

// coil fills in what is wound, or how long the strip of a spiral is.
func (s Spring) coil(f *Figures) {
	x := s.middle()
	if !Wound(s.Class) {
		if s.Class != Flat {
			f.Strip = ptr(x.length())
		}
		return
	}
	f.Wire, f.Mean, f.Index, f.Active = ptr(x.wire), ptr(x.across()), ptr(x.index()), ptr(x.active())
	f.CoilRate = ptr(x.bare().rate())
	switch s.Class {
	case Torsion:
		f.LegTurns, f.PerTurn = ptr(x.legTurns()), ptr(x.rate()*smooth/makers)
	case Extension:
		f.HookCoils = ptr(x.hooks)
	}
}

// makers is what spring makers divide E d^4 by, a turn: 10.8 in place of the
// theory's 64/(2 pi) = 10.186, by tests with coils that rub. Source: Shigley eq.
// 10-51.
const makers = 10.8

// limits fills in strength and set.
func (s Spring) limits(f *Figures) {
	line, inside, ok := s.strength()
	if !ok {
		return
	}
	mpa := line.at(mm(s.Wire))
	f.Strength, f.Family = ptr(mpa), familyName(s.family())
	if !inside {
		f.Remarks = append(f.Remarks, fmt.Sprintf("the strength of %s %s is for other sizes than %g mm: the nearest line is drawn out", s.Material.Key, s.Material.Name, mm(s.Wire)))
	}
	set := s.span(exact.setLoad)
	if s.Class == Torsion {
		f.Set = ptr(mpa * s.Material.bendSet)
		set.into(&f.SetTorque, &f.SetTorqueLow, &f.SetTorqueHigh)
		return
	}
	f.Set = ptr(mpa * s.Material.shearSet)
	set.into(&f.SetForce, &f.SetForceLow, &f.SetForceHigh)
}

// setLoad is the force in N or the torque in N mm at which the spring takes a set.
func (x exact) setLoad() float64 { return 1 / x.share(1) }

// pressed fills in what a compression spring is coil to coil, and when it bows:
// between two flat plates from 2.63 D / 0.5 on (Shigley, worked solution of problem
// 10-3).
func (s Spring) pressed(f *Figures) {
	if s.Class != Compression {
		return
	}
	x := s.middle()
	bows := 2.63 * x.across() / 0.5
	f.Buckling = ptr(bows)
	if x.free >= bows {
		f.Remarks = append(f.Remarks, "it may bow out between two plates: guide it inside or outside")
	}
	if s.Ends == "" {
		return
	}
	solid := x.solid(s.Ends)
	f.Solid, f.Safe = ptr(solid), ptr(solid+x.setLoad()/x.rate())
	switch {
	case x.free > 0 && x.free <= solid:
		f.Remarks = append(f.Remarks, fmt.Sprintf("a free length of %g is no more than its coils take lying on each other, %g: look at the measures again", x.free, six(solid)))
	case x.free > 0:
		s.span(func(x exact) float64 { return x.rate() * s.toSolid(x) }).into(&f.SolidAt, &f.SolidAtLow, &f.SolidAtHigh)
	}
}

// toSolid is by how much a compression spring can be pressed.
func (s Spring) toSolid(x exact) float64 { return max(x.free-x.solid(s.Ends), 0) }
