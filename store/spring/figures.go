package spring

import (
	"errors"
	"fmt"
	"math"
	"strconv"
)

// ErrLoad is returned when a load cannot be put on the spring as it is known.
var ErrLoad = errors.New("no load for this spring")

// A Load is what a spring is to do; one of them is given at most. A force in N
// and a deflection or a length in mm are for springs that are pressed, drawn or
// bent, a torque in N mm and an angle in degrees for torsion springs. To is the
// length a compression spring is pressed to, or an extension spring drawn to.
type Load struct{ Force, Deflection, To, Torque, Angle *float64 }

// Figures are what is known of a spring. Their JSON names are for scripts; what
// is not known is nil. Numbers have six digits.
type Figures struct {
	Class     string   `json:"class"`
	Wire      *float64 `json:"wire,omitempty"`  // mm
	Mean      *float64 `json:"mean,omitempty"`  // mm
	Index     *float64 `json:"index,omitempty"` // mean by wire
	Active    *float64 `json:"active,omitempty"`
	Rate      float64  `json:"rate"`
	RateLow   float64  `json:"rate_low"`
	RateHigh  float64  `json:"rate_high"`
	RateUnit  string   `json:"rate_unit"`               // N/mm or N mm/rad
	PerTurn   *float64 `json:"rate_per_turn,omitempty"` // N mm a turn, with the friction of coils
	Modulus   float64  `json:"modulus_gpa"`
	Material  string   `json:"material,omitempty"`
	Solid     *float64 `json:"solid_length,omitempty"`    // mm
	SolidAt   *float64 `json:"solid_force,omitempty"`     // N that press it coil to coil
	Buckling  *float64 `json:"buckling_length,omitempty"` // mm
	Strength  *float64 `json:"strength_mpa,omitempty"`
	Set       *float64 `json:"set_mpa,omitempty"`
	SetForce  *float64 `json:"set_force,omitempty"`        // N
	SetTorque *float64 `json:"set_torque,omitempty"`       // N mm
	Safe      *float64 `json:"safe_free_length,omitempty"` // mm: a longer one takes a set when pressed coil to coil
	Family    string   `json:"family,omitempty"`
	// The load: the one asked for, or AtSolid where none was and the spring can be
	// pressed coil to coil.
	Force      *float64 `json:"force,omitempty"`      // N
	Deflection *float64 `json:"deflection,omitempty"` // mm
	Length     *float64 `json:"length,omitempty"`     // mm under the load
	Torque     *float64 `json:"torque,omitempty"`     // N mm
	Angle      *float64 `json:"angle,omitempty"`      // degrees
	Inside     *float64 `json:"inside,omitempty"`     // mm, of a torsion spring under the load or free
	Stress     *float64 `json:"stress_mpa,omitempty"`
	AtSolid    bool     `json:"at_solid"`
	Remarks    []string `json:"remarks,omitempty"`
}

// Reckon works out what is known of a spring under a load, which may be none. It
// returns a [MissingError], or an error that wraps [ErrShape] or [ErrLoad].
func Reckon(s Spring, l Load) (Figures, error) {
	if err := s.Check(); err != nil {
		return Figures{}, err
	}
	if s.ModulusUsed() <= 0 {
		return Figures{}, s.noModulus()
	}
	f := Figures{Class: s.Class, Modulus: six(s.ModulusUsed()), Material: s.Material.Key, RateUnit: s.rateUnit(), Rate: six(s.Rate())}
	low, high := s.RateRange()
	f.RateLow, f.RateHigh = six(low), six(high)
	if s.Class != Flat {
		f.Wire, f.Mean, f.Index, f.Active = ptr(s.wire()), ptr(s.mean()), ptr(s.Index()), ptr(s.ActiveCoils())
	}
	if s.Class == Torsion {
		f.PerTurn = ptr(s.PerTurn())
	}
	s.limits(&f)
	s.pressed(&f)
	if err := s.load(&f, l); err != nil {
		return f, err
	}
	f.Remarks = append(s.odd(), f.Remarks...)
	return f, nil
}

func (s Spring) noModulus() error {
	if s.Material.Key == "" {
		return &MissingError{[]string{"a material or a modulus"}}
	}
	return fmt.Errorf("%w: no modulus of %s is known for a %s spring, give one", ErrShape, s.Material.Name, s.kind())
}

// rateUnit is the unit of the rate.
func (s Spring) rateUnit() string {
	if s.Class == Torsion {
		return "N mm/rad"
	}
	return "N/mm"
}

// kind is the class in the trade's words.
func (s Spring) kind() string {
	return map[string]string{Compression: "compression", Extension: "extension", Torsion: "torsion", Flat: "flat"}[s.Class]
}

func ptr(f float64) *float64 {
	f = six(f)
	return &f
}

// six rounds to six digits: no measure of a spring has more.
func six(f float64) float64 {
	r, _ := strconv.ParseFloat(strconv.FormatFloat(f, 'g', 6, 64), 64)
	return r
}

// limits fills in strength and set.
func (s Spring) limits(f *Figures) {
	mpa, inside, ok := s.Strength()
	if !ok {
		return
	}
	f.Strength, f.Family = ptr(mpa), FamilyName(s.Family)
	if s.Family == "" {
		f.Family = FamilyName(Shigley)
	}
	if !inside {
		f.Remarks = append(f.Remarks, fmt.Sprintf("the strength of %s %s is for other sizes than %g mm: the nearest line is drawn out", s.Material.Key, s.Material.Name, s.wire()))
	}
	if set, ok := s.SetStress(); ok {
		f.Set = ptr(set)
	}
	switch n, ok := s.SetLoad(); {
	case !ok:
	case s.Class == Torsion:
		f.SetTorque = ptr(n)
	default:
		f.SetForce = ptr(n)
	}
}

// pressed fills in what a compression spring is coil to coil, and when it bows.
func (s Spring) pressed(f *Figures) {
	if s.Class != Compression {
		return
	}
	f.Buckling = ptr(s.BucklingLength())
	free := float64(s.FreeLength) / 1000
	if free >= s.BucklingLength() {
		f.Remarks = append(f.Remarks, "it may bow out between two plates: guide it inside or outside")
	}
	solid, ok := s.SolidLength()
	if !ok {
		return
	}
	f.Solid = ptr(solid)
	if n, ok := s.SetLoad(); ok {
		f.Safe = ptr(solid + n/s.Rate())
	}
	if free > 0 && free <= solid {
		f.Remarks = append(f.Remarks, fmt.Sprintf("a free length of %g is no more than its coils take lying on each other, %g: look at the measures again", free, six(solid)))
	} else if free > 0 {
		f.SolidAt = ptr(s.Rate() * (free - solid))
	}
}

// load fills in what the spring does under a load.
func (s Spring) load(f *Figures, l Load) error {
	switch {
	case s.Class == Torsion && (l.Force != nil || l.Deflection != nil || l.To != nil):
		return fmt.Errorf("%w: a torsion spring takes a torque or an angle", ErrLoad)
	case s.Class != Torsion && (l.Torque != nil || l.Angle != nil):
		return fmt.Errorf("%w: a %s spring takes a force or a deflection", ErrLoad, s.kind())
	case s.Class == Torsion:
		return s.wind(f, l)
	case l.To != nil:
		return s.workTo(f, *l.To)
	case l.Deflection != nil:
		s.move(f, *l.Deflection)
	case l.Force != nil && s.Class == Extension && *l.Force < s.Start:
		f.Force, f.Deflection = ptr(*l.Force), ptr(0)
		f.Remarks = append(f.Remarks, fmt.Sprintf("it does not open before %g N", s.Start))
		s.strain(f, *l.Force)
	case l.Force != nil:
		s.move(f, (*l.Force-s.Start)/s.Rate())
	case f.SolidAt != nil:
		f.AtSolid = true
		s.move(f, *f.SolidAt/s.Rate())
	}
	return nil
}

// wind fills in a torsion spring's load.
func (s Spring) wind(f *Figures, l Load) error {
	f.Inside = ptr(s.Inside(0))
	var rad float64
	switch {
	case l.Torque != nil:
		rad = *l.Torque / s.Rate()
	case l.Angle != nil:
		rad = *l.Angle * math.Pi / 180
	default:
		return nil
	}
	angle := rad * 180 / math.Pi
	if s.ActiveCoils()+angle/360 <= 0 {
		return fmt.Errorf("%w: it is unwound by more turns than it has", ErrLoad)
	}
	f.Torque, f.Angle, f.Inside = ptr(rad*s.Rate()), ptr(angle), ptr(s.Inside(angle))
	if angle < 0 {
		f.Remarks = append(f.Remarks, against)
	}
	s.strain(f, rad*s.Rate())
	return nil
}

// workTo fills in the load at a length.
func (s Spring) workTo(f *Figures, to float64) error {
	free := float64(s.FreeLength) / 1000
	switch {
	case s.Class == Flat:
		return fmt.Errorf("%w: a flat spring is bent by a deflection, not to a length", ErrLoad)
	case free <= 0:
		return fmt.Errorf("%w: to be pressed or drawn to a length it needs its free length", ErrLoad)
	case s.Class == Extension:
		s.move(f, to-free)
	default:
		s.move(f, free-to)
	}
	return nil
}

const against = "that is against the way it works"

// move fills in a deflection in mm and what follows from it.
func (s Spring) move(f *Figures, y float64) {
	force := s.Start + s.Rate()*y
	f.Force, f.Deflection = ptr(force), ptr(y)
	if free := float64(s.FreeLength) / 1000; free > 0 {
		length := free - y
		if s.Class == Extension {
			length = free + y
		}
		f.Length = ptr(length)
		if f.Solid != nil && six(length) < *f.Solid {
			f.Remarks = append(f.Remarks, fmt.Sprintf("it cannot be pressed that far: coil lies on coil at %g, with %.4g N on it", *f.Solid, s.Rate()*(free-*f.Solid)))
		}
	}
	if y < 0 {
		f.Remarks = append(f.Remarks, against)
	}
	s.strain(f, force)
}

// strain fills in the stress of a force or torque, and says whether the spring
// takes a set.
func (s Spring) strain(f *Figures, load float64) {
	f.Stress = ptr(math.Abs(s.stress(load)))
	if f.Set == nil || *f.Stress <= *f.Set {
		return
	}
	text := "it takes a set under this load"
	if f.AtSolid {
		text = "it takes a set when it is pressed coil to coil"
	}
	f.Remarks = append(f.Remarks, text)
}

// odd are remarks on measures that are unusual. The index of 4 to 12 is common
// practice, no source.
func (s Spring) odd() []string {
	var out []string
	c := s.Index()
	switch {
	case s.Class == Flat:
		if s.Thick > s.Width {
			out = append(out, "it is thicker than wide: look at the measures again")
		}
		return append(out, "what strip bears is not in the tables here: at which stress it takes a set is not said")
	case c < 4:
		out = append(out, fmt.Sprintf("an index of %.1f is tight: such a coil is hard to wind and its inside is stressed most", c))
	case c > 12:
		out = append(out, fmt.Sprintf("an index of %.1f is slack: such a coil tangles and its diameter is hard to hold", c))
	}
	if s.Class == Extension && s.Start == 0 {
		out = append(out, "the force that pulls it open is not known: forces are those beyond it")
	}
	return out
}
