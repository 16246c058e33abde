package store

import (
	"unicode/utf8"

	"tinful/store/code"
	"tinful/store/dim"
)

// A quick record of the kinds that are read most reads itself from its CBOR, in a fraction
// of the time that decoding takes. It says false where it meets what it does not know or
// what is malformed: then decoding decides. TestQuickReadsAgree compares the two.
type quick interface{ quick(p peeked) bool }

// all calls fn for every field of a record that is one map of ascending keys and nothing
// else, until fn says false.
func (p peeked) all(fn func(field uint64, x []byte) bool) bool {
	kind, n, size := itemHead(p)
	if kind != cborMap || size == 0 {
		return false
	}
	p = p[size:]
	for last := int64(-1); n > 0; n-- {
		kind, key, size := itemHead(p)
		if kind != cborUint || size == 0 || key > 1000 || int64(key) <= last {
			return false
		}
		last = int64(key)
		x := p[size:]
		end := item(x)
		if end == 0 || !fn(key, x[:end]) {
			return false
		}
		p = x[end:]
	}
	return len(p) == 0
}

func textTo[T ~string](to *T, x []byte) bool {
	kind, n, size := itemHead(x)
	if kind != cborText || size == 0 || uint64(len(x)-size) != n || !utf8.Valid(x[size:]) {
		return false
	}
	*to = T(x[size:])
	return true
}

func numberTo[T ~int64 | ~int32](to *T, x []byte) bool {
	kind, n, size := itemHead(x)
	if size == 0 || size != len(x) || n >= 1<<31 || kind > cborNint {
		return false // a large one is left to decoding
	}
	*to = T(n)
	if kind == cborNint {
		*to = -1 - T(n)
	}
	return true
}

func truthTo(to *bool, x []byte) bool {
	*to = len(x) == 1 && x[0] == 0xf5
	return *to
}

func centsTo(to **code.Cents, x []byte) bool {
	var c code.Cents
	*to = &c
	return numberTo(&c, x)
}

// listTo reads a list of at least one item.
func listTo[T any](to *[]T, x []byte, one func(*T, []byte) bool) bool {
	kind, n, size := itemHead(x)
	if kind != cborArray || size == 0 || n == 0 || n > uint64(len(x)) {
		return false
	}
	list := make([]T, n)
	x = x[size:]
	for i := range list {
		end := item(x)
		if end == 0 || !one(&list[i], x[:end]) {
			return false
		}
		x = x[end:]
	}
	*to = list
	return len(x) == 0
}

func owingTo(o *Owed, x []byte) bool {
	return peeked(x).all(func(field uint64, x []byte) bool {
		switch field {
		case 1:
			return textTo(&o.Who, x)
		case 2:
			return numberTo(&o.N, x)
		}
		return false
	})
}

func seqTo(to *uint64, x []byte) bool {
	kind, n, size := itemHead(x)
	*to = n
	return kind == cborUint && size > 0 && size == len(x)
}

func (f *Figure) quick(p peeked) bool {
	sums := [...]*int64{&f.BookedIn, &f.Fitted, &f.Returned, &f.Scrapped, &f.Sold, &f.Lost, &f.Found, &f.Corrected, &f.Shifted, &f.Held, &f.Lent, &f.Cut}
	return p.all(func(field uint64, x []byte) bool {
		return field >= 1 && field <= uint64(len(sums)) && numberTo(sums[field-1], x)
	})
}

func (s *State) quick(p peeked) bool {
	sums := [...]*int64{&s.BookedIn, &s.Fitted, &s.Returned, &s.Scrapped, &s.Sold, &s.Lost, &s.Found, &s.Corrected, &s.Shifted}
	return p.all(func(field uint64, x []byte) bool {
		switch field {
		case 2, 3, 4, 5, 6, 7, 8, 9, 10:
			return numberTo(sums[field-2], x)
		case 11:
			return listTo(&s.HeldFor, x, owingTo)
		case 12:
			return listTo(&s.LentTo, x, owingTo)
		case 13:
			return listTo(&s.FittedIn, x, owingTo)
		case 14:
			return truthTo(&s.About, x)
		case 15:
			return textTo(&s.Place, x)
		case 16:
			s.Grade = oneOfThe(Grades, textItem(x))
			return textTo(&s.Grade, x)
		case 17:
			return numberTo(&s.LastDay, x)
		case 18:
			return numberTo(&s.Read, x)
		case 19:
			return numberTo(&s.ReadN, x)
		case 20:
			return truthTo(&s.ReadAbout, x)
		case 21:
			return textTo(&s.ReadBy, x)
		case 22:
			return numberTo(&s.Unsettled, x)
		case 23:
			return listTo(&s.Book, x, seqTo)
		case 24:
			return numberTo(&s.LastIn, x)
		case 25:
			return truthTo(&s.Gone, x)
		case 26:
			return numberTo(&s.Cut, x)
		case 27:
			s.Past = new(Past)
			return s.Past.quick(peeked(x))
		}
		return false
	})
}

func (p *Past) quick(x peeked) bool {
	return x.all(func(field uint64, x []byte) bool {
		switch field {
		case 1:
			return numberTo(&p.Born, x)
		case 2:
			return listTo(&p.Days, x, (*DayEnd).quick)
		}
		return false
	})
}

func (d *DayEnd) quick(x []byte) bool {
	return peeked(x).all(func(field uint64, x []byte) bool {
		switch field {
		case 1:
			return numberTo(&d.Day, x)
		case 2:
			return numberTo(&d.N, x)
		case 3:
			return numberTo(&d.Free, x)
		case 4:
			return numberTo(&d.Low, x)
		}
		return false
	})
}

func (b *Bag) quick(p peeked) bool {
	return p.all(func(field uint64, x []byte) bool {
		switch field {
		case 2:
			return textTo(&b.Part, x)
		case 3:
			return textTo(&b.Origin, x)
		case 4:
			return numberTo(&b.Quantity, x)
		case 5:
			return textTo(&b.Unit, x)
		case 6:
			return truthTo(&b.About, x)
		case 7:
			return textTo(&b.Grade, x)
		case 8:
			return textTo(&b.Looks, x)
		case 9:
			return textTo(&b.Place, x)
		case 10:
			return textTo(&b.Owner, x)
		case 11:
			return textTo(&b.Number, x)
		case 12:
			return textTo(&b.GoesWith, x)
		case 13:
			return centsTo(&b.Cost, x)
		case 14:
			return numberTo(&b.Booked, x)
		case 15:
			return textTo(&b.Note, x)
		case 16:
			return textTo(&b.Split, x)
		}
		return false // measures, and what was made here
	})
}

func (d *Donor) quick(p peeked) bool {
	return p.all(func(field uint64, x []byte) bool {
		switch field {
		case 1:
			return textTo(&d.Code, x)
		case 2:
			return textTo(&d.Model, x)
		case 3:
			return numberTo(&d.Bought, x)
		case 4:
			return textTo(&d.From, x)
		case 5:
			return textTo(&d.Lot, x)
		case 6:
			return centsTo(&d.Price, x)
		case 7:
			return centsTo(&d.Post, x)
		case 8:
			return textTo(&d.BodyNo, x)
		case 9:
			return textTo(&d.Shutter, x)
		case 10:
			return textTo(&d.ShutterNo, x)
		case 11:
			return textTo(&d.Lens, x)
		case 12:
			return textTo(&d.LensNo, x)
		case 13:
			return textTo(&d.History, x)
		case 14:
			return textTo(&d.State, x)
		case 15:
			return textTo(&d.Owner, x)
		case 16:
			return textTo(&d.Place, x)
		case 17:
			return centsTo(&d.Worth, x)
		case 18:
			return numberTo(&d.Booked, x)
		case 19:
			return textTo(&d.Note, x)
		case 20:
			return numberTo(&d.Frozen, x)
		case 21:
			return centsTo(&d.Carcass, x)
		case 23:
			return listTo(&d.Signs, x, textTo[string])
		case 24:
			return textTo(&d.Why, x)
		}
		return false
	})
}

func (s *Seen) quick(p peeked) bool {
	return p.all(func(field uint64, x []byte) bool {
		switch field {
		case 3:
			return textTo(&s.Seen, x)
		case 4:
			return numberTo(&s.Date, x)
		case 5:
			return textTo(&s.Note, x)
		}
		return false
	})
}

func (l *Place) quick(p peeked) bool {
	return p.all(func(field uint64, x []byte) bool {
		switch field {
		case 1:
			return textTo(&l.Code, x)
		case 2:
			return textTo(&l.Where, x)
		case 3:
			return textTo(&l.For, x)
		}
		return false
	})
}

func (m *Model) quick(p peeked) bool {
	*m = readModel(p)
	return p.all(func(field uint64, _ []byte) bool { return field <= 15 })
}

func (g *Goes) quick(p peeked) bool {
	return p.all(func(field uint64, x []byte) bool {
		switch field {
		case 3:
			return listTo(&g.Degrees, x, textTo[string])
		case 4:
			g.PerBody = new(int64)
			return numberTo(g.PerBody, x)
		case 5:
			return textTo(&g.Where, x)
		case 6:
			return textTo(&g.From, x)
		case 7:
			return textTo(&g.To, x)
		case 8:
			return textTo(&g.Operation, x)
		case 9:
			return textTo(&g.Evidence, x)
		case 10:
			return textTo(&g.By, x)
		case 11:
			return numberTo(&g.Date, x)
		case 12:
			return textTo(&g.Note, x)
		}
		return false
	})
}

func (part *Part) quick(p peeked) bool {
	return p.all(func(field uint64, x []byte) bool {
		switch field {
		case 1:
			return textTo(&part.Code, x)
		case 2:
			return textTo(&part.Name, x)
		case 3:
			return textTo(&part.Class, x)
		case 4:
			return textTo(&part.Seat, x)
		case 5:
			return listTo(&part.Aliases, x, textTo[string])
		case 6:
			return listTo(&part.MakerNos, x, textTo[string])
		case 7:
			part.Dims = map[dim.Field]int64{}
			return peeked(x).all(func(f uint64, x []byte) bool {
				var n int64
				ok := f < 256 && numberTo(&n, x)
				part.Dims[dim.Field(f)] = n
				return ok
			})
		case 8:
			part.Marks = map[dim.Field]string{}
			return peeked(x).all(func(f uint64, x []byte) bool {
				var s string
				ok := f < 256 && textTo(&s, x)
				part.Marks[dim.Field(f)] = s
				return ok
			})
		case 9:
			part.Keep = new(int64)
			return numberTo(part.Keep, x)
		case 10:
			return numberTo(&part.Weeks, x)
		case 11:
			return centsTo(&part.Value, x)
		case 12:
			return textTo(&part.Twin, x)
		case 13:
			return listTo(&part.Holds, x, textTo[code.Code])
		case 14:
			return textTo(&part.Hazard, x)
		case 15:
			return textTo(&part.Note, x)
		case 16:
			return textTo(&part.Same, x)
		}
		return false // readings, and what a panel has
	})
}
