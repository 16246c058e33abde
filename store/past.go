package store

import (
	"cmp"
	"slices"

	"tinful/store/code"
)

// longBook is from how many entries on a balance keeps how its bag stood day by day.
// Tests shorten it.
var longBook = 512

// mostOwing and mostTurns are how much of who had pieces, and of moves, grades and counts that changed something, a
// balance keeps: the latest. Each booking writes all of it. Tests shorten them.
var mostOwing, mostTurns = 512, 512

// A Past is how a bag with a long book stood at the end of each day that the book
// speaks of: what an entry on an earlier day is held against. Where a balance lacks it
// the book is read.
type Past struct {
	Born code.Day `cbor:"1,keyasint"` // when the bag came
	Days []DayEnd `cbor:"2,keyasint"`

	Full    bool     `cbor:"3,keyasint,omitempty"`  // what follows is kept as well
	Since   code.Day `cbor:"4,keyasint,omitempty"`  // at its end Owing begins
	Owing   []Owing  `cbor:"5,keyasint,omitempty"`  // who had more or fewer pieces since, by word and name
	Moves   []Turn   `cbor:"6,keyasint,omitempty"`  // the latest, in order of the book
	Grades  []Turn   `cbor:"7,keyasint,omitempty"`  // likewise
	Settled []Turn   `cbor:"10,keyasint,omitempty"` // what closing counts changed, likewise
	Counted code.Day `cbor:"8,keyasint,omitempty"`  // day of the last reading, or of the last that was taken back
	// Vague is set where an entry does not name who brings back, or what it takes back, or
	// lost its word: more than sums follows from it.
	Vague bool `cbor:"9,keyasint,omitempty"`
}

// A DayEnd is one day of a [Past].
type DayEnd struct {
	Day  code.Day `cbor:"1,keyasint"`
	N    int64    `cbor:"2,keyasint"`           // entries of the day
	Free int64    `cbor:"3,keyasint,omitempty"` // after the last of them
	Low  int64    `cbor:"4,keyasint,omitempty"` // after the one that left fewest
}

// An Owing is what somebody had of a bag by one word, day by day.
type Owing struct {
	What What      `cbor:"1,keyasint"` // Fitted, Held or Lent
	Who  string    `cbor:"2,keyasint,omitempty"`
	Was  int64     `cbor:"3,keyasint,omitempty"` // before the first day
	Days []OwedDay `cbor:"4,keyasint"`           // on which it changed
}

// An OwedDay is one day of an [Owing].
type OwedDay struct {
	Day code.Day `cbor:"1,keyasint"`
	N   int64    `cbor:"2,keyasint,omitempty"` // at its end
	Low int64    `cbor:"3,keyasint,omitempty"` // the least of the day
}

// A Turn is where in the book a bag was moved, graded or put right by a count.
type Turn struct {
	Seq uint64   `cbor:"1,keyasint"`
	Day code.Day `cbor:"2,keyasint"`
}

// ended adds an entry of the last day, or of a later one, which leaves so many free.
func ended(days []DayEnd, day code.Day, free int64) []DayEnd {
	n := len(days) - 1
	if n < 0 || days[n].Day < day {
		return append(days, DayEnd{day, 1, free, free})
	}
	d := &days[n]
	d.N, d.Free, d.Low = d.N+1, free, min(d.Low, free)
	return days
}

// after is the past once e, of the last day or a later one, makes s of q. A bag that is
// booked in anew has none.
func (p *Past) after(e Entry, q, s State) *Past {
	if p == nil || e.First || len(p.Days) > 0 && e.Day < p.Days[len(p.Days)-1].Day {
		return nil
	}
	next := *p
	next.Days = ended(slices.Clone(p.Days), e.Day, s.Free())
	next.note(q, e)
	return &next
}

// note keeps what an entry says beside what is free. No list that p shares is changed.
func (p *Past) note(before State, e Entry) {
	if !p.Full {
		return
	}
	if what, who, n := owing(before, e); what != 0 {
		p.owes(what, who, e.Day, before.with(what, who), n)
	}
	switch e.What {
	case 0:
		p.Vague = true
	case Moved:
		p.Moves = withTurn(p.Moves, e)
	case Graded:
		p.Grades = withTurn(p.Grades, e)
	case Corrected:
		p.Settled = withTurn(p.Settled, e)
	case Counted:
		p.Counted = max(p.Counted, e.Day)
	}
	p.Vague = p.Vague || unnamed(e)
}

// unnamed says that an entry does not name who brings pieces back, or which booking it
// takes back.
func unnamed(e Entry) bool {
	return e.What == Returned && e.Job == "" && e.To == "" || e.Quantity < 0 && e.Undoes == 0 && e.What != Corrected
}

// owing is who has how many pieces more by an entry, and by which word, 0 for nobody.
func owing(before State, e Entry) (what What, who string, n int64) {
	switch e.What {
	case Fitted, Held:
		return e.What, string(e.Job), e.Quantity
	case Unheld:
		return Held, string(e.Job), -e.Quantity
	case Lent:
		return Lent, e.To, e.Quantity
	case Returned:
		if e.Job == "" {
			return Lent, borrower(before, e), -e.Quantity
		}
		return Fitted, string(e.Job), -e.Quantity
	}
	return 0, "", 0
}

// with is what somebody has of the bag, by the words of [Owing].
func (s State) with(what What, who string) int64 {
	switch what {
	case Fitted:
		return owed(s.FittedIn, who)
	case Held:
		return owed(s.HeldFor, who)
	}
	return owed(s.LentTo, who)
}

// owes notes that somebody who has so many has n more from the end of a day on.
func (p *Past) owes(what What, who string, day code.Day, has, n int64) {
	i, ok := p.owingOf(what, who)
	switch {
	case !ok && day <= p.Since:
		return // it stood as it does now
	case ok:
		p.Owing = slices.Clone(p.Owing)
	default:
		p.Owing = slices.Insert(slices.Clone(p.Owing), i, Owing{What: what, Who: who, Was: has})
	}
	o := &p.Owing[i]
	o.Days = slices.Clone(o.Days)
	j, before := 0, &o.Was
	for ; j < len(o.Days) && o.Days[j].Day <= day; j++ {
		before = &o.Days[j].N
	}
	switch {
	case day <= p.Since:
		o.Was += n
	case j > 0 && o.Days[j-1].Day == day:
		*before += n
		o.Days[j-1].Low = min(o.Days[j-1].Low, *before)
	default:
		o.Days = slices.Insert(o.Days, j, OwedDay{day, *before + n, *before + n})
		j++
	}
	for ; j < len(o.Days); j++ {
		o.Days[j].N, o.Days[j].Low = o.Days[j].N+n, o.Days[j].Low+n
	}
	p.shorten()
}

func (p *Past) owingOf(what What, who string) (int, bool) {
	return slices.BinarySearchFunc(p.Owing, Owing{What: what, Who: who}, func(a, b Owing) int {
		return cmp.Or(cmp.Compare(a.What, b.What), cmp.Compare(a.Who, b.Who))
	})
}

// shorten gives up the earliest days of who had pieces while there are too many.
func (p *Past) shorten() {
	for {
		n := 0
		first := p.Owing[0].Days[0].Day
		for _, o := range p.Owing {
			n, first = n+len(o.Days), min(first, o.Days[0].Day)
		}
		if n <= mostOwing {
			return
		}
		p.Since = first
		kept := make([]Owing, 0, len(p.Owing))
		for _, o := range p.Owing {
			if o.Days[0].Day == first {
				o.Was, o.Days = o.Days[0].N, o.Days[1:]
			}
			if len(o.Days) > 0 {
				kept = append(kept, o)
			}
		}
		if p.Owing = kept; len(kept) == 0 {
			p.Owing = nil
			return
		}
	}
}

// least is the fewest that somebody who has so many had from the end of a day on. It is
// false where that is not kept.
func (p *Past) least(what What, who string, day code.Day, has int64) (int64, bool) {
	i, ok := p.owingOf(what, who)
	if !ok {
		return has, day >= p.Since
	}
	n := p.Owing[i].Was
	for j, d := range p.Owing[i].Days {
		if d.Day > day {
			for _, d := range p.Owing[i].Days[j:] {
				n = min(n, d.Low)
			}
			break
		}
		n = d.N
	}
	return n, day >= p.Since
}

// withTurn puts one behind those of its day, and keeps the latest.
func withTurn(all []Turn, e Entry) []Turn {
	at := len(all)
	for at > 0 && all[at-1].Day > e.Day {
		at--
	}
	all = slices.Insert(slices.Clone(all), at, Turn{e.Seq, e.Day})
	return all[max(0, len(all)-mostTurns):]
}

// sure says that all is kept, and that nothing but sums and the latest follows from it.
func (p *Past) sure() bool { return p != nil && p.Full && !p.Vague }

// turns are those of a word, nil for a word of which none are kept.
func (p *Past) turns(what What) []Turn {
	switch what {
	case Moved:
		return p.Moves
	case Graded:
		return p.Grades
	case Corrected:
		return p.Settled
	}
	return nil
}

// datedBack is the state after an entry on a day before the last. It is false where
// what the state keeps does not prove that nothing runs short then or later: the book
// has to be folded. No entry may be later on that day, and of what e takes back none.
func datedBack(s State, e Entry) (State, bool) {
	p := s.Past
	if p == nil || e.Day < p.Born || !p.tells(e) {
		return s, false
	}
	was := s
	s.Past = nil
	now, err := fold(s, e)
	if err != nil {
		return s, false
	}
	what, who, n := owing(s, e)
	if least, known := p.least(what, who, e.Day, s.with(what, who)); p.Full && what != 0 && n < 0 && (!known || least+n < 0) {
		return s, false
	}
	days, at, ok := p.inserted(e.Day, now.Free()-s.Free())
	if !ok {
		return s, false
	}
	next := *p
	next.Days = days
	next.note(was, e)
	now.Past, now.Book = &next, slices.Insert(slices.Clone(s.Book), at, e.Seq)
	switch later := func(all []Turn) bool { return len(all) > 0 && all[len(all)-1].Day > e.Day }; {
	case e.What == Moved && later(p.Moves):
		now.Place = s.Place
	case e.What == Graded && later(p.Grades):
		now.Grade = s.Grade
	case e.What == Counted && p.Counted > e.Day:
		now.Read, now.ReadN, now.ReadAbout, now.ReadBy = s.Read, s.ReadN, s.ReadAbout, s.ReadBy
	}
	return now, true
}

// inserted are the days with an entry at the end of one, after which so many more are
// free, and where in the book it stands. It is false where too few may be free.
func (p *Past) inserted(day code.Day, more int64) (days []DayEnd, at int, ok bool) {
	i := 0
	for ; i < len(p.Days) && p.Days[i].Day <= day; i++ {
		at += int(p.Days[i].N)
	}
	if i == 0 {
		return nil, 0, false
	}
	days = append(ended(slices.Clone(p.Days[:i]), day, p.Days[i-1].Free+more), p.Days[i:]...)
	for j := i - 1; j < len(days); j++ {
		if d := &days[j]; d.Day > day {
			d.Free, d.Low = d.Free+more, d.Low+more
		}
		if more < 0 && days[j].Day >= day && days[j].Low < 0 {
			return nil, 0, false
		}
	}
	return days, at, true
}

// tells says that an entry changes sums alone, on whatever day it is put, or something
// of which only the latest counts. What adds to whoever has pieces needs no look at when
// they were given back.
func (p *Past) tells(e Entry) bool {
	full := p.sure() && !unnamed(e)
	switch e.What {
	case In, Fitted, Held, Lost, Found, Scrapped, Sold, Cut, Split, Joined:
		return !e.About && !e.First && (full || e.Quantity >= 0 && e.Undoes == 0)
	case Returned, Unheld, Lent:
		return full && !e.About
	case Moved, Graded, Counted:
		return full
	}
	return false
}
