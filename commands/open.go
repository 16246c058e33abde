package commands

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// open opens the person's store for questions. It creates nothing.
func (c *call) open() (*store.Store, error) {
	path, err := c.StorePath()
	if err != nil {
		return nil, err
	}
	s, err := store.Open(path)
	if err != nil {
		return nil, whatHelps(err)
	}
	return s, nil
}

// view asks questions of the person's store. It creates nothing.
func (c *call) view(fn func(*store.View) error) error {
	s, err := c.open()
	if err != nil {
		return err
	}
	defer s.Close()
	return whatHelps(s.View(func(v *store.View) error {
		c.last = v.LastBooking()
		return fn(v)
	}))
}

// whatHelps adds to "no store" how to get one, and to "damaged" how to go on.
func whatHelps(err error) error {
	switch {
	case errors.Is(err, store.ErrNoStore):
		return fmt.Errorf("%w; tinful demo makes an invented workshop to try, tinful import FILE takes your own list in", err)
	case errors.Is(err, store.ErrDamaged):
		return fmt.Errorf("%w; %s", err, afterDamage)
	}
	return err
}

// afterDamage is what helps where a store is damaged.
const afterDamage = "tinful restore FILE --replace puts a backup in its place and keeps this one beside it, --store names another store"

// book runs fn as one booking in the person's store. With create set, a store
// that is not there is made first.
func (c *call) book(create bool, fn func(*store.Tx) error) (store.Result, error) {
	path, err := c.StorePath()
	if err != nil {
		return store.Result{}, err
	}
	s, err := store.OpenToBook(path)
	if create && errors.Is(err, store.ErrNoStore) {
		return c.bookFirst(path, fn)
	}
	if err != nil {
		return store.Result{}, whatHelps(err)
	}
	defer s.Close()
	return c.bookIn(s, fn)
}

// bookFirst makes a store with its first booking, or nothing.
func (c *call) bookFirst(path string, fn func(*store.Tx) error) (store.Result, error) {
	var res store.Result
	var berr error
	err := store.CreateBooked(path, func(s *store.Store) error {
		res, berr = c.bookIn(s, fn)
		return berr
	})
	return res, cmp.Or(berr, err)
}

// bookIn runs fn as one booking in an open store.
func (c *call) bookIn(s *store.Store, fn func(*store.Tx) error) (store.Result, error) {
	h, err := c.head(s)
	if err != nil {
		return store.Result{}, err
	}
	res, err := s.Book(h, func(t *store.Tx) error {
		c.last = t.LastBooking()
		if err := fn(t); err != nil {
			return err
		}
		return unmoved(c, &t.View)
	})
	if err == nil {
		c.last = res.Booking.Number
		for _, text := range res.Said {
			c.Notef("%s", text)
		}
		c.sayAhead()
		keepBooking(c, res.Booking.Number)
	}
	return res, whatHelps(err)
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
	h := store.Head{Day: today, Today: today, At: now.Unix(), By: c.By(), Command: c.line()}
	if at := c.String("at"); at != "" {
		day, err := code.ParseDay(at, today)
		if err != nil {
			return h, line.UsageError{Err: err}
		}
		if day > today {
			return h, line.Usagef("%s lies beyond the last day of the book and the clock (%s)", day, today)
		}
		h.Day = day
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

// thing reads one token as a thing of the given kinds, or as a numbered line
// of the last answer (:2). It refuses a token that names nothing or several.
func (c *call) thing(v *store.View, token string, kinds ...string) (store.Ref, error) {
	asked := token
	if strings.HasPrefix(token, ":") {
		var err error
		if token, err = c.answerLine(token); err != nil {
			return store.Ref{}, err
		}
	}
	refs := v.Resolve(token, kinds...)
	switch len(refs) {
	case 1:
		return refs[0], nil
	case 0:
		return store.Ref{}, absent(v, token, asked, kindsOr(kinds))
	}
	var names []string
	for _, r := range refs {
		names = append(names, r.String())
	}
	return store.Ref{}, fmt.Errorf("%w: %q is %s; write one of these", store.ErrSeveral, asked, strings.Join(names, " and "))
}

// makes says what makes a thing of a kind, for those that were looked for in vain.
var makes = map[string]string{
	"part":  "tinful find comes near, tinful add part makes one",
	"place": "tinful add place makes one", "model": "tinful add model makes one",
	"donor": "tinful bought takes one in", "job": "tinful arrived opens one",
}

// absent says that a token is none of the kinds: what it is instead, or what makes one
// or looks further.
func absent(v *store.View, token, asked string, kinds []string) error {
	meant := tell.Or(kinds)
	var others []string
	for _, r := range v.Resolve(token) {
		others = append(others, "the "+r.Kind+" "+string(r.Code))
	}
	if len(others) > 0 {
		return store.Absent("%s is %s, and this takes a %s", asked, strings.Join(others, " and "), meant)
	}
	how := ""
	switch near := modelsNear(v, token); {
	case len(kinds) == 1 && kinds[0] == "model" && len(near) > 0:
		how = ": did you mean " + tell.Or(near) + "?"
	case len(kinds) == 1 && makes[kinds[0]] != "":
		how = "; " + makes[kinds[0]]
	case slices.Contains(kinds, "part") || slices.Contains(kinds, "bag"):
		how = "; tinful find looks by words"
	}
	return store.Absent("no %s is called %q here%s", meant, asked, how)
}

// modelsNear lists the models of a family, or those whose codes begin as typed.
func modelsNear(v *store.View, typed string) []string {
	begin, family := code.Loose(typed), words.Fold(typed)
	var out []string
	_ = v.EachModel(func(m store.Model) error {
		if begin != "" && strings.HasPrefix(code.Loose(string(m.Code)), begin) || family != "" && words.Fold(m.Family) == family {
			out = append(out, string(m.Code))
		}
		return nil
	})
	return out
}

func kindsOr(kinds []string) []string {
	if len(kinds) == 0 {
		return store.KindsOfCode
	}
	return kinds
}
