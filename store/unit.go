package store

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tinful/store/code"
)

// A Gone is a part of a unit that came out of the same camera by itself: the unit
// is not complete.
type Gone struct {
	Part code.Code
	Bags []code.Code // that it was booked in as
}

// UnitLacks lists what the unit in a bag lacks: parts it contains of which its parts
// camera gave so many by themselves that not all of them can be in it. Nothing is
// known of a unit that came from elsewhere, and nothing of a bag that holds no unit.
func (v *View) UnitLacks(b Bag) ([]Gone, error) {
	u, err := v.Part(b.Part)
	if err != nil || len(u.Holds) == 0 {
		return nil, nil
	}
	d, err := v.Donor(code.Code(b.Origin))
	if err != nil {
		return nil, nil // bought, made or unknown
	}
	whole, _, err := v.Drawn(u.Code, d.Code)
	if err != nil {
		return nil, err
	}
	var out []Gone
	for _, held := range u.Holds {
		room, err := v.PerCamera(held, d.Camera())
		if err != nil {
			return nil, err
		}
		n, bags, err := v.Drawn(held, d.Code)
		if err != nil {
			return nil, err
		}
		if n > 0 && n+whole > max(room, 1) {
			out = append(out, Gone{held, bags})
		}
	}
	return out, nil
}

// UnitDoubt says what the unit in a bag lacks, or that nothing is known of one that came
// from outside.
func (v *View) UnitDoubt(b Bag) (Reasons, error) {
	gone, err := v.UnitLacks(b)
	if err == nil && len(gone) == 0 && (b.Origin == "bought" || b.Origin == "unknown") {
		if u, uerr := v.Part(b.Part); uerr == nil && len(u.Holds) > 0 {
			return Reasons{Say(FromOutside, "from outside: nothing is known of what it lacks").Of(b.Code)}, nil
		}
	}
	if err != nil || len(gone) == 0 {
		return nil, err
	}
	return Reasons{Say(Incomplete, "not complete: without %s", GoneWords(gone)).Of(b.Code)}, nil
}

// Drawn is how many pieces of a part were booked in from a parts camera, and in
// which bags.
func (v *View) Drawn(part, donor code.Code) (n int64, bags []code.Code, err error) {
	lines, err := v.LinesOf(part)
	for _, l := range lines {
		if l.Origin != string(donor) || err != nil {
			continue
		}
		var st State
		if st, err = v.State(l.Bag); st.BookedIn > 0 {
			n, bags = n+st.BookedIn, append(bags, l.Bag)
		}
	}
	return n, bags, err
}

// PerCamera is how many pieces of a part one camera holds, its shutter and lens with
// it; 0 where nobody said.
func (v *View) PerCamera(part code.Code, cam Camera) (int64, error) {
	in, err := v.Within(cam)
	if errors.Is(err, ErrNotFound) {
		return 0, nil // a camera of a model that is not recorded
	}
	var sum int64
	for _, m := range in {
		said, err := v.BelongingOn(part, m)
		if err != nil {
			return 0, err
		}
		sum += PerModel(said)
	}
	return sum, err
}

// PerModel is how many pieces one model holds by the statements that a part sits there; 0
// where nobody said.
func PerModel(said []Statement) int64 {
	if i := slices.IndexFunc(said, func(s Statement) bool { return s.Counted }); i >= 0 {
		return said[i].PerBody
	}
	return 0
}

// Within lists the model of a camera and what it carries or may carry.
func (v *View) Within(cam Camera) ([]code.Code, error) {
	m, err := v.Model(cam.Model)
	if err != nil {
		return nil, err
	}
	out := []code.Code{m.Code}
	for _, k := range []struct {
		kind  string
		known code.Code
	}{{"shutter", cam.Shutter}, {"lens", cam.Lens}} {
		if k.known != "" {
			out = append(out, k.known)
			continue
		}
		may, err := v.Carried(m, k.kind)
		if err != nil {
			return nil, err
		}
		out = append(out, may...)
	}
	return out, nil
}

// Belongs says whether a statement means that the part sits in that model.
func (g Goes) Belongs() bool {
	return len(g.Degrees) > 0 && !slices.ContainsFunc(g.Degrees, func(d string) bool { return !belongs(d) })
}

func belongs(degree string) bool {
	return degree == "direct" || degree == "matched" || degree == "unit"
}

// Kinds of a reason that says that a unit lacks pieces, or that nobody knows.
const (
	Incomplete  ReasonKind = "incomplete"
	FromOutside ReasonKind = "from-outside"
)

// complete refuses to sell a unit as complete that is not, unless it is said why all
// the same.
func (t *Tx) complete(k Take, b Bag) error {
	gone, err := t.UnitLacks(b)
	switch {
	case err != nil || len(gone) == 0:
		return err
	case !k.Anyway:
		return refuseAs(Incomplete, "%s in %s is not complete: %s gave %s as well", b.Part, b.Code, b.Origin, GoneWords(gone))
	case k.Why == "":
		return refuseAs(NoWhy, "%s is not complete: selling it needs a reason", b.Code)
	}
	return nil
}

// GoneWords name what came out of a unit: P011 (B226) and P012 (B227).
func GoneWords(list []Gone) string {
	var out []string
	for _, g := range list {
		var bags []string
		for _, b := range g.Bags {
			bags = append(bags, string(b))
		}
		out = append(out, fmt.Sprintf("%s (%s)", g.Part, strings.Join(bags, ", ")))
	}
	return strings.Join(out, " and ")
}
