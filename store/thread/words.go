package thread

import (
	"fmt"
	"slices"
	"strings"
)

// why says what new pieces measure and by whose limits, what use makes of them, and
// where the size is from.
func (t Thread) why(how string, m made) string {
	what, less, more := "a new one measures", "less", "more"
	if m.inside {
		what, less, more = "the hole of a new one measures", more, less
	}
	text := fmt.Sprintf("%s %s mm", what, m.fresh)
	if !m.known {
		text = fmt.Sprintf("no limits are published of it; %s mm is taken for one", m.fresh)
	}
	switch how {
	case Worn:
		text += ", a worn one a little " + less
	case Plated:
		text += ", a plated one a little " + more
	}
	list := t.Screws()
	if m.inside {
		list = t.Holes()
	}
	if len(list) > 0 {
		text += " (" + sources(list) + ")"
	}
	return text + t.origin()
}

// origin is what follows the limits of a size: where it is from.
func (t Thread) origin() string {
	switch l := t.listing(); {
	case l.in && len(l.series) == 0:
		return ""
	case l.in:
		return "; " + strings.Join(l.series, "; ")
	case len(t.Screws()) == 0:
		return "; in no list"
	}
	return "; in no list: reckoned by the formulas of its form"
}

// Measures says what a new screw of a thread measures outside and its hole inside,
// their effective diameters, and whose limits these are.
func (t Thread) Measures() string {
	s, screw := t.screw()
	h, hole := t.hole()
	side := func(b, effective Band) string {
		if effective == (Band{}) {
			return b.String() + " mm"
		}
		return fmt.Sprintf("%s mm, effective %s", b, effective)
	}
	text := "a new screw measures " + side(s.Major, s.Effective)
	switch source := sources(slices.Concat(t.Screws(), t.Holes())); {
	case !screw:
		text = fmt.Sprintf("no limits are published of it; a screw of %s mm is taken for one, and a hole of %s", s.Major, h.Minor)
	case !hole:
		text += fmt.Sprintf(" (%s); of its hole no limits are published", source)
	default:
		text += fmt.Sprintf("; its hole %s (%s)", side(h.Minor, h.Effective), source)
	}
	if !t.listing().in {
		text += t.origin()
	}
	return text
}

// Outside says what a new screw measures: "a new one measures 1.596 to 1.7".
func (t Thread) Outside() string {
	l, published := t.screw()
	if !published {
		return fmt.Sprintf("no limits are published of it; %s is taken for one", l.Major)
	}
	return "a new one measures " + l.Major.String()
}

// String is a band as people read it, in millimetres: "1.596 to 1.7".
func (b Band) String() string { return Micro(b.Min) + " to " + Micro(b.Max) }

// Micro prints nanometres as millimetres to a micrometre, without zeros at the
// end.
func Micro(nm int64) string { return decimal((nm + 500) / 1000 * 1000) }

// ten is what ten threads measure, in millimetres to a hundredth.
func ten(pitch int64) string { return decimal(nearest(10*pitch, 10_000)) }

// and joins names as a sentence does: a, b and c.
func and(names []string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
