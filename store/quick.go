package store

import (
	"unicode/utf8"

	"tinful/store/code"
	"tinful/store/dim"
)

// A quick record is of one of the kinds that are read most: it reads itself from its CBOR,
// in a fraction of the time that decoding takes. It says false where it meets a field that
// it does not list or what is malformed: then decoding decides. TestQuickReadsAgree
// compares the two.
type quick interface{ quick(p peeked) bool }

func (f *Figure) quick(p peeked) bool {
	return p.into([]any{1: &f.BookedIn, &f.Fitted, &f.Returned, &f.Scrapped, &f.Sold, &f.Lost, &f.Found, &f.Corrected, &f.Shifted, &f.Held, &f.Lent, &f.Cut})
}

func (s *State) quick(p peeked) bool {
	return p.into([]any{2: &s.BookedIn, &s.Fitted, &s.Returned, &s.Scrapped, &s.Sold, &s.Lost, &s.Found, &s.Corrected, &s.Shifted,
		&s.HeldFor, &s.LentTo, &s.FittedIn, &s.About, &s.Place, &s.Grade, &s.LastDay, &s.Read, &s.ReadN, &s.ReadAbout, &s.ReadBy,
		&s.Unsettled, &s.Book, &s.LastIn, &s.Gone, &s.Cut, &s.Past})
}

// quick leaves measures, and what was made here, to decoding.
func (b *Bag) quick(p peeked) bool {
	return p.into([]any{2: &b.Part, &b.Origin, &b.Quantity, &b.Unit, &b.About, &b.Grade, &b.Looks, &b.Place, &b.Owner, &b.Number,
		&b.GoesWith, &b.Cost, &b.Booked, &b.Note, &b.Split})
}

func (d *Donor) quick(p peeked) bool {
	return p.into([]any{1: &d.Code, &d.Model, &d.Bought, &d.From, &d.Lot, &d.Price, &d.Post, &d.BodyNo, &d.Shutter, &d.ShutterNo,
		&d.Lens, &d.LensNo, &d.History, &d.State, &d.Owner, &d.Place, &d.Worth, &d.Booked, &d.Note, &d.Frozen, &d.Carcass,
		23: &d.Signs, &d.Why})
}

// quick leaves the lines of an estimate to decoding.
func (j *Job) quick(p peeked) bool {
	return p.into([]any{1: &j.Code, &j.Model, &j.BodyNo, &j.Shutter, &j.Lens, &j.Owner, &j.Fault, &j.Accessories, &j.State, &j.Tray,
		&j.Agreed, &j.Promised, &j.Value, &j.Opened, &j.Closed, &j.Note, 20: &j.History})
}

func (s *Seen) quick(p peeked) bool { return p.into([]any{3: &s.Seen, &s.Date, &s.Note}) }

func (l *Place) quick(p peeked) bool { return p.into([]any{1: &l.Code, &l.Where, &l.For}) }

func (m *Model) quick(p peeked) bool {
	return p.into([]any{1: &m.Code, &m.Kind, &m.Maker, &m.Name, &m.Family, &m.Aliases, &m.Years, &m.Numbers, &m.Carries, &m.Scale,
		&m.Form, &m.ToldBy, &m.Tools, &m.Note, &m.Hazard})
}

func (g *Goes) quick(p peeked) bool {
	return p.into([]any{3: &g.Degrees, &g.PerBody, &g.Where, &g.From, &g.To, &g.Operation, &g.Evidence, &g.By, &g.Date, &g.Note})
}

// quick leaves readings, and what a panel has, to decoding.
func (part *Part) quick(p peeked) bool {
	return p.into([]any{1: &part.Code, &part.Name, &part.Class, &part.Seat, &part.Aliases, &part.MakerNos, &part.Dims, &part.Marks,
		&part.Keep, &part.Weeks, &part.Value, &part.Twin, &part.Holds, &part.Hazard, &part.Note, &part.Same})
}

func (w *Want) quick(p peeked) bool {
	return p.into([]any{1: &w.Date, &w.Part, &w.Model, &w.Job, &w.Nth, &w.Met, &w.Note, &w.Instead})
}

func (e *Entry) quick(p peeked) bool {
	return p.into([]any{3: &e.Day, &e.What, &e.Bag, &e.Quantity, &e.About, &e.Job, &e.To, &e.Why, &e.Amount, &e.By, &e.First, &e.Undoes,
		&e.Unsure, &e.Count, &e.Due, &e.Model})
}

func (b *Booking) quick(p peeked) bool {
	return p.into([]any{1: &b.Number, &b.Day, &b.At, &b.By, &b.Command, &b.First, &b.Last, &b.Kind, &b.Undoes, &b.Undone, &b.File, &b.Hash, &b.Fresh})
}

// A reading reads a record from its CBOR. All of its texts are parts of one string.
type reading struct {
	body []byte
	all  string // body, once a text was met
}

// into reads every field of a record to where a list of pointers has its number. It
// says false where the record has others, or where one does not suit.
func (p peeked) into(to []any) bool {
	r := reading{body: p}
	return r.record(p, to)
}

func (r *reading) record(x []byte, to []any) bool {
	return peeked(x).all(func(field uint64, x []byte) bool {
		return field < uint64(len(to)) && r.item(to[field], x)
	})
}

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

func (r *reading) item(to any, x []byte) bool {
	switch to := to.(type) {
	case *string:
		return textTo(r, to, x)
	case *code.Code:
		return textTo(r, to, x)
	case *code.Day:
		return numberTo(to, x)
	case *int64:
		return numberTo(to, x)
	case *uint64:
		return countTo(to, x)
	case *code.Cents:
		return numberTo(to, x)
	case *What:
		return numberTo(to, x)
	case *bool:
		*to = len(x) == 1 && x[0] == 0xf5
		return *to
	case **int64:
		*to = new(int64)
		return numberTo(*to, x)
	case **code.Cents:
		*to = new(code.Cents)
		return numberTo(*to, x)
	case **Past:
		*to = new(Past)
		p := *to
		return r.record(x, []any{1: &p.Born, &p.Days, &p.Full, &p.Since, &p.Owing, &p.Moves, &p.Grades, &p.Counted, &p.Vague, &p.Settled})
	case *[]string:
		return listTo(to, x, func(s *string, x []byte) bool { return textTo(r, s, x) })
	case *[]code.Code:
		return listTo(to, x, func(c *code.Code, x []byte) bool { return textTo(r, c, x) })
	case *[]uint64:
		return listTo(to, x, countTo)
	case *[]Owed:
		return listTo(to, x, func(o *Owed, x []byte) bool { return r.record(x, []any{1: &o.Who, &o.N}) })
	case *[]DayEnd:
		return listTo(to, x, func(d *DayEnd, x []byte) bool { return r.record(x, []any{1: &d.Day, &d.N, &d.Free, &d.Low}) })
	case *[]Owing:
		return listTo(to, x, func(o *Owing, x []byte) bool { return r.record(x, []any{1: &o.What, &o.Who, &o.Was, &o.Days}) })
	case *[]OwedDay:
		return listTo(to, x, func(d *OwedDay, x []byte) bool { return r.record(x, []any{1: &d.Day, &d.N, &d.Low}) })
	case *[]Turn:
		return listTo(to, x, func(t *Turn, x []byte) bool { return r.record(x, []any{1: &t.Seq, &t.Day}) })
	case *map[dim.Field]int64:
		*to = map[dim.Field]int64{}
		return peeked(x).all(func(f uint64, x []byte) bool {
			var n int64
			ok := f < 256 && numberTo(&n, x)
			(*to)[dim.Field(f)] = n
			return ok
		})
	case *map[dim.Field]string:
		*to = map[dim.Field]string{}
		return peeked(x).all(func(f uint64, x []byte) bool {
			var s string
			ok := f < 256 && textTo(r, &s, x)
			(*to)[dim.Field(f)] = s
			return ok
		})
	}
	return false // no field has this number
}

func textTo[T ~string](r *reading, to *T, x []byte) bool {
	kind, n, size := itemHead(x)
	if kind != cborText || size == 0 || uint64(len(x)-size) != n || !utf8.Valid(x[size:]) {
		return false
	}
	if r.all == "" {
		r.all = string(r.body)
	}
	end := cap(r.body) - cap(x) + len(x) // x was cut from body, whose capacity both go up to
	*to = T(r.all[end-int(n) : end])
	return true
}

func numberTo[T ~int64 | ~int32 | ~uint8](to *T, x []byte) bool {
	kind, n, size := itemHead(x)
	if size == 0 || size != len(x) || kind > cborNint || n > 1<<63-1 {
		return false
	}
	whole := int64(n)
	if kind == cborNint {
		whole = -1 - whole
	}
	*to = T(whole)
	return int64(*to) == whole
}

func countTo(to *uint64, x []byte) bool {
	kind, n, size := itemHead(x)
	*to = n
	return kind == cborUint && size > 0 && size == len(x)
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
