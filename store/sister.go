package store

import "maps"

// Sister finds the bag that pieces like b's join: one of the same part, origin,
// grade, place, owner, unit, number, pair, material, pattern and size of its own, cut from one
// covering if any, whose looks and note
// are b's where b has any. Of several it is the fullest. It is the one place where
// that is decided.
func (v *View) Sister(b Bag) (sister Bag, found bool, err error) {
	lines, err := v.LinesOf(b.Part)
	if err != nil {
		return Bag{}, false, err
	}
	most := int64(-1)
	for _, l := range lines {
		if l.Origin != b.Origin || l.Grade != b.Grade || l.Place != b.Place || l.Owner != b.Owner || l.Unit != b.Unit || l.OnHand <= most {
			continue
		}
		s, err := v.Bag(l.Bag)
		if err != nil {
			return Bag{}, false, err
		}
		if s.Number == b.Number && s.GoesWith == b.GoesWith && s.Material == b.Material && s.Pattern == b.Pattern && s.Cut == b.Cut && maps.Equal(s.Dims, b.Dims) &&
			(b.Looks == "" || b.Looks == s.Looks) && (b.Note == "" || b.Note == s.Note) {
			sister, found, most = s, true, l.OnHand
		}
	}
	return sister, found, nil
}
