package commands

import (
	"cmp"
	"errors"
	"io/fs"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/code"
)

// open opens the person's store for questions. It creates nothing.
func (c *call) open() (*store.Store, error) {
	path, err := c.StorePath()
	if err != nil {
		return nil, err
	}
	s, err := opened(c, path, store.Open)
	return s, whatHelps(err)
}

// opened opens a store, and says what there is to say of that.
func opened(c *call, path string, open func(string) (*store.Store, error)) (*store.Store, error) {
	c.env.reader.drop() // to book nobody may read
	c.env.writer.drop()
	c.env.opening()
	s, err := open(path)
	if err != nil {
		return nil, err
	}
	sayNotes(c, s)
	return s, nil
}

func sayNotes(c *call, s *store.Store) {
	for _, n := range s.Notes() {
		c.Notef("%s%s", n.Text, noteHelps[n.Kind])
	}
}

// noteHelps is what to type about what opening a store has to tell.
var noteHelps = map[string]string{
	store.NoteMeta:    "; tinful check --repair mends it",
	store.NotePassing: "; it stays as it is until it can be written",
}

// view asks questions of the person's store. It creates nothing.
func (c *call) view(fn func(*store.View) error) error {
	s, done, err := c.read()
	if err != nil {
		return err
	}
	defer done()
	return whatHelps(s.View(func(v *store.View) error {
		if v.Size() > largeStore {
			giveBackCode()
		}
		c.last = v.LastBooking()
		return fn(v)
	}))
}

// read opens the person's store for questions, or takes it as it is kept open.
func (c *call) read() (s *store.Store, done func(), err error) {
	path, err := c.StorePath()
	if err != nil {
		return nil, nil, err
	}
	c.env.writer.drop()
	if r := c.env.reader; r != nil {
		s, err = r.take(path, func(path string) (*store.Store, error) {
			c.env.opening()
			s, err := store.Open(path)
			if err == nil {
				sayNotes(c, s)
			}
			return s, err
		})
		if err != nil {
			return nil, nil, whatHelps(err)
		}
		if s != nil {
			return s, r.give, nil
		}
	}
	s, err = c.open()
	return s, func() { s.Close() }, err
}

// book runs fn as one booking in the person's store. With create set, a store
// that is not there is made first.
func (c *call) book(create bool, fn func(*store.Tx) error) (store.Result, error) {
	path, err := c.StorePath()
	if err != nil {
		return store.Result{}, err
	}
	return onDay(c, func() (store.Result, error) { return bookAt(c, path, create, fn) })
}

func bookAt(c *call, path string, create bool, fn func(*store.Tx) error) (store.Result, error) {
	s, err := c.env.writer.take(path, func() (*store.Store, error) { return opened(c, path, store.OpenToBook) })
	if create && errors.Is(err, store.ErrNoStore) {
		return bookFirst(c, path, fn)
	}
	if err != nil {
		return store.Result{}, whatHelps(err)
	}
	well := false
	defer func() { c.env.writer.give(s, well) }()
	res, err := c.bookIn(s, fn)
	well = err == nil
	return res, err
}

// keeping runs fn on the person's store outside the book.
func (c *call) keeping(fn func(*store.Store, store.Head) error) error {
	path, err := c.StorePath()
	if err != nil {
		return err
	}
	s, err := opened(c, path, store.OpenToBook)
	if err != nil {
		return whatHelps(err)
	}
	defer s.Close()
	h, err := c.head(s)
	if err == nil {
		err = fn(s, h)
	}
	return err
}

// bookFirst makes a store with its first booking, or nothing. Where another program
// made it at the same moment, it is booked in that.
func bookFirst(c *call, path string, fn func(*store.Tx) error) (store.Result, error) {
	var res store.Result
	var berr error
	err := store.CreateBooked(path, func(s *store.Store) error {
		res, berr = makeBooking(c, s, fn)
		return berr
	})
	if berr == nil && errors.Is(err, fs.ErrExist) {
		return bookAt(c, path, false, fn)
	}
	if err := cmp.Or(berr, err); err != nil {
		return res, whatHelps(err)
	}
	s, err := opened(c, path, store.Open)
	if err != nil {
		return res, err
	}
	defer s.Close()
	sayBooked(c, s, &res)
	return res, nil
}

// bookIn runs fn as one booking in an open store, and says what was booked.
func (c *call) bookIn(s *store.Store, fn func(*store.Tx) error) (store.Result, error) {
	res, err := makeBooking(c, s, fn)
	if err == nil {
		sayBooked(c, s, &res)
	}
	return res, whatHelps(err)
}

func makeBooking(c *call, s *store.Store, fn func(*store.Tx) error) (store.Result, error) {
	h, err := c.head(s)
	if err != nil {
		return store.Result{}, err
	}
	return s.Book(h, func(t *store.Tx) error {
		c.last = t.LastBooking()
		if err := fn(t); err != nil {
			return err
		}
		return unmoved(c, &t.View)
	})
}

func sayBooked(c *call, s *store.Store, res *store.Result) {
	c.last, c.made, c.due = res.Booking.Number, res.Booking.Number, true
	c.Said(*res, false)
	c.sayAhead()
	keepBooking(c, *res)
	sayLow(c, s, res)
}

// sayAhead says that the book is ahead of the clock, once a person and day.
func (c *call) sayAhead() {
	if c.ahead == "" {
		return
	}
	h, err := c.loadHand()
	if err != nil || h.Ahead == c.ahead {
		return
	}
	h.Ahead = c.ahead
	if c.saveHand(h) == nil {
		c.Notef("the book is at %s, ahead of the clock: that day is booked on", c.ahead)
	}
}

// dayNow is the program's day: the clock's, but never earlier than the book's
// last.
func (c *call) dayNow(v *store.View) code.Day {
	return max(code.DayOf(c.env.Now()), v.LastDay())
}

// head is who books, when, and by which command. The program's day is the
// clock's, but never earlier than the last day in the book.
func (c *call) head(s *store.Store) (store.Head, error) {
	now := c.env.Now()
	clock := code.DayOf(now)
	var last code.Day
	if err := s.View(func(v *store.View) error { last = v.LastDay(); return nil }); err != nil {
		return store.Head{}, err
	}
	today := max(clock, last)
	h := store.Head{Day: today, Today: today, Clock: clock, Said: c.sure, At: now.Unix(), By: c.By(), Command: c.line()}
	if at := c.String("at"); at != "" {
		day, err := code.ParseDay(at, today)
		if err != nil {
			return h, line.AsUsage(err)
		}
		if day > today {
			return h, line.Usagef("%s lies beyond the last day of the book and the clock (%s)", day, today)
		}
		h.Day, h.Said = day, true
	} else if last > clock {
		c.ahead = last.String()
	}
	return h, nil
}

// line is the command as it was typed, for the log; a line of the last answer is
// the code it stood for.
func (c *call) line() string {
	words := append([]string{c.Name}, c.Args()...)
	for i, w := range words {
		if token, qty, more := strings.Cut(w, "="); i > 0 && strings.HasPrefix(w, ":") {
			if meant, err := c.answerLine(token); err == nil {
				w = shortRef(meant)
			}
			if words[i] = w; more {
				words[i] += "=" + qty
			}
		}
		if i > 0 && (strings.ContainsAny(w, " \t\"") || w == "") {
			words[i] = strconv.Quote(w)
		}
	}
	return strings.Join(words, " ")
}

// shortRef is a thing as it is typed: bag:B203 is B203, and bag:704 stays, for 704
// alone is a number.
func shortRef(ref string) string {
	if _, c, ok := strings.Cut(ref, ":"); ok && !line.IsNumber(c) {
		return c
	}
	return ref
}
