package commands

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"tinful/store"
	"tinful/store/code"
)

// open opens the person's store for questions. It creates nothing.
func (c *call) open() (*store.Store, error) {
	path, err := c.StorePath()
	if err != nil {
		return nil, err
	}
	s, err := store.Open(path)
	if err != nil {
		return nil, whereToStart(err)
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
	return s.View(fn)
}

// whereToStart adds to "no store" how to get one.
func whereToStart(err error) error {
	if errors.Is(err, store.ErrNoStore) {
		return fmt.Errorf("%w; tinful demo makes an invented workshop to try, tinful import FILE takes your own list in", err)
	}
	return err
}

// book runs fn as one booking in the person's store. With create set, a store
// that is not there is made first.
func (c *call) book(create bool, fn func(*store.Tx) error) (store.Result, error) {
	path, err := c.StorePath()
	if err != nil {
		return store.Result{}, err
	}
	if create {
		if err := c.createStore(path); err != nil {
			return store.Result{}, err
		}
	}
	s, err := store.OpenToBook(path)
	if err != nil {
		return store.Result{}, whereToStart(err)
	}
	defer s.Close()
	h, err := c.head(s)
	if err != nil {
		return store.Result{}, err
	}
	res, err := s.Book(h, fn)
	if err == nil {
		c.sayAhead()
	}
	return res, err
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
		c.notef("the book is at %s, ahead of the clock: that day is booked on", c.ahead)
	}
}

func (c *call) createStore(path string) error {
	s, err := store.Open(path)
	if errors.Is(err, store.ErrNoStore) {
		return store.Create(path)
	}
	if err == nil {
		s.Close()
	}
	return nil // any other error comes again when the store is opened to book
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
	if at := c.At(); at != "" {
		day, err := code.ParseDay(at, today)
		if err != nil {
			return h, usageError{err}
		}
		if day > today {
			return h, usagef("%s lies beyond the last day of the book and the clock (%s)", day, today)
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
	words := append([]string{commandName(c.c.Command)}, c.Args()...)
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
	if _, c, ok := strings.Cut(ref, ":"); ok && !isNumber(c) {
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
		return store.Ref{}, fmt.Errorf("no %s is called %q here: %w", orWords(kindsOr(kinds)), asked, store.ErrNotFound)
	}
	var names []string
	for _, r := range refs {
		names = append(names, r.String())
	}
	return store.Ref{}, fmt.Errorf("%w: %q is %s; write one of these", store.ErrSeveral, asked, strings.Join(names, " and "))
}

// orWords joins words: bag, part or place.
func orWords(list []string) string {
	if n := len(list); n > 1 {
		return strings.Join(list[:n-1], ", ") + " or " + list[n-1]
	}
	return strings.Join(list, "")
}

func kindsOr(kinds []string) []string {
	if len(kinds) == 0 {
		return store.KindsOfCode
	}
	return kinds
}
