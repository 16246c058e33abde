package spring

import (
	"errors"
	"fmt"
	"math"
)

// ErrLoad is returned when a load cannot be put on the spring as it is known.
var ErrLoad = errors.New("no load for this spring")

// A Load is what a spring is to do; one of them is given at most. A force in N
// and a deflection or a length in mm are for springs that are pressed, drawn or
// bent, a torque in N mm and an angle in degrees for those that are turned. To is
// the length a compression spring is pressed to, or an extension spring drawn to.
type Load struct{ Force, Deflection, To, Torque, Angle *float64 }

// A work is how a spring moves under a load: in mm, or in radians, where it is
// turned.
type work func(x exact) float64

const (
	against = "that is against the way it works"
	degree  = math.Pi / 180
)

// load fills in what the spring does under a load.
func (s Spring) load(f *Figures, l Load) error {
	turned := Turned(s.Class)
	switch {
	case turned && (l.Force != nil || l.Deflection != nil || l.To != nil):
		return fmt.Errorf("%w: a %s spring takes a torque or an angle", ErrLoad, s.kind())
	case !turned && (l.Torque != nil || l.Angle != nil):
		return fmt.Errorf("%w: %s %s spring takes a force or a deflection", ErrLoad, s.article(), s.kind())
	case turned:
		return s.wind(f, l)
	case l.To != nil && s.Class == Flat:
		return fmt.Errorf("%w: a flat spring is bent by a deflection, not to a length", ErrLoad)
	case l.To != nil && s.FreeLength <= 0:
		return fmt.Errorf("%w: to be pressed or drawn to a length it needs its free length", ErrLoad)
	}
	switch move := moved(s.Class, l); {
	case move != nil:
		return s.move(f, move, l.Force)
	case f.SolidAt != nil:
		f.AtSolid = true
		return s.move(f, s.toSolid, nil)
	}
	return nil
}

// moved is how a spring moves that is pressed, drawn or bent; nil without a load.
func moved(class string, l Load) work {
	switch {
	case l.Deflection != nil:
		return func(exact) float64 { return *l.Deflection }
	case l.To != nil && class == Extension:
		return func(x exact) float64 { return *l.To - x.free }
	case l.To != nil:
		return func(x exact) float64 { return x.free - *l.To }
	case l.Force != nil && class == Extension: // it does not open before
		return func(x exact) float64 { return max(*l.Force-x.start, 0) / x.rate() }
	case l.Force != nil:
		return func(x exact) float64 { return *l.Force / x.rate() }
	}
	return nil
}

// move fills in a movement in mm and what follows from it, under a force where that
// was given.
func (s Spring) move(f *Figures, move work, given *float64) error {
	mid := s.middle()
	y := move(mid)
	if f.SolidAt != nil && six(y) > six(s.toSolid(mid)) {
		f.Remarks = append(f.Remarks, fmt.Sprintf("it cannot be pressed that far: coil lies on coil at %g, with %.3g N on it", *f.Solid, *f.SolidAt))
		f.AtSolid, y, move, given = true, s.toSolid(mid), s.toSolid, nil
	}
	if err := s.lengthUnder(f, mid.free, y); err != nil {
		return err
	}
	force := func(x exact) float64 {
		if given != nil {
			return *given
		}
		return x.start + x.rate()*move(x)
	}
	switch {
	case y < 0:
		f.Remarks = append(f.Remarks, against)
	case given != nil && *given < mid.start:
		f.Remarks = append(f.Remarks, fmt.Sprintf("it does not open before %g N", mid.start))
	}
	s.span(move).into(&f.Deflection, &f.DeflectionLow, &f.DeflectionHigh)
	s.span(force).into(&f.Force, &f.ForceLow, &f.ForceHigh)
	s.strain(f, force)
	return nil
}

// lengthUnder fills in the length of a spring that moves by y, where its free
// length is known.
func (s Spring) lengthUnder(f *Figures, free, y float64) error {
	if s.Class == Extension {
		y = -y
	}
	switch {
	case free <= 0:
		return nil
	case free <= y:
		return fmt.Errorf("%w: of a free length of %g nothing would be left", ErrLoad, free)
	}
	f.Length = ptr(free - y)
	return nil
}

// wind fills in a load that turns the spring.
func (s Spring) wind(f *Figures, l Load) error {
	mid := s.middle()
	if s.Class == Torsion {
		f.Inside = ptr(mid.inside(0))
	}
	torque := func(x exact) float64 { return *l.Torque }
	turn := func(x exact) float64 { return *l.Torque / x.rate() }
	switch {
	case l.Angle != nil:
		turn = func(exact) float64 { return *l.Angle * degree }
		torque = func(x exact) float64 { return turn(x) * x.rate() }
	case l.Torque == nil:
		return nil
	}
	if s.Class == Torsion {
		if err := s.windInside(f, mid, turn(mid)); err != nil {
			return err
		}
	}
	if turn(mid) < 0 {
		f.Remarks = append(f.Remarks, against)
	}
	s.span(torque).into(&f.Torque, &f.TorqueLow, &f.TorqueHigh)
	s.span(func(x exact) float64 { return turn(x) / degree }).into(&f.Angle, &f.AngleLow, &f.AngleHigh)
	s.strain(f, torque)
	return nil
}

// windInside fills in what is left inside a torsion spring.
func (s Spring) windInside(f *Figures, mid exact, rad float64) error {
	inside := mid.inside(rad)
	switch {
	case mid.active()+rad/(2*math.Pi) <= 0:
		return fmt.Errorf("%w: it is unwound by more turns than it has", ErrLoad)
	case inside <= 0:
		return fmt.Errorf("%w: wound up so far nothing would be left inside it", ErrLoad)
	}
	f.Inside = ptr(inside)
	return nil
}

// strain fills in the stress of a force or a torque, and says whether the spring
// takes a set.
func (s Spring) strain(f *Figures, load work) {
	s.span(func(x exact) float64 { return math.Abs(x.stress(load(x))) }).into(&f.Stress, &f.StressLow, &f.StressHigh)
	mid := s.middle()
	if s.Class == Extension {
		f.HookBending = ptr(math.Abs(mid.hookBending(load(mid))))
		if s.HookBend > 0 {
			f.HookTwist = ptr(math.Abs(mid.hookTwist(load(mid))))
		}
	}
	if f.Set == nil {
		return
	}
	share := s.span(func(x exact) float64 { return x.share(load(x)) })
	share.into(&f.Share, &f.ShareLow, &f.ShareHigh)
	if s.Class == Extension && share.mid > *f.Stress / *f.Set {
		f.Remarks = append(f.Remarks, "the hook is stressed most")
	}
	under := "under this load"
	if f.AtSolid {
		under = "when it is pressed coil to coil"
	}
	switch {
	case share.low > 1:
		f.Remarks = append(f.Remarks, "it takes a set "+under)
	case share.high > 1:
		f.Remarks = append(f.Remarks, "it may take a set "+under)
	}
}
