package commands

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/words"
)

// ask asks one question on the terminal and returns the answer, blanks around it
// taken off.
func (c *call) ask(text string) (string, error) {
	if c.env.Ask != nil {
		answer, err := c.env.Ask(text)
		return plainly(answer), err
	}
	tell.Prompt(c.Err, c.ErrWide, text)
	answer, _, err := c.readLine()
	return answer, err
}

// askLine is ask, with io.EOF where the input has ended.
func askLine(c *call, text string) (string, error) {
	tell.Prompt(c.Err, c.ErrWide, text)
	answer, ended, err := c.readLine()
	if answer = strings.TrimSpace(strings.ReplaceAll(answer, "\x04", "")); ended && answer == "" && err == nil {
		err = io.EOF
	}
	return answer, err
}

// onDay books, and once more where the clock is said on the terminal to be right
// though it is far ahead of the last booking.
func onDay[T any](c *call, book func() (T, error)) (T, error) {
	done, err := book()
	e, far := errors.AsType[*store.ClockError](err)
	switch {
	case !far:
		return done, err
	case !c.env.Terminal || c.JSON():
		return done, whatHelps(e)
	}
	q, word := e.Question(), ""
	_, aerr := askFor(c, fmt.Sprintf("%v: is that right? (%s) [%s]", e, words.Or(q.Words), q.Known), func(answer string) (err error) {
		word, err = words.OneOf("an answer", q.Words, answer)
		return err
	})
	if c.sure = word == "yes"; !c.sure {
		return done, cmp.Or(aerr, whatHelps(e))
	}
	return book()
}

// mostAsked is how often a wrong answer is asked for again.
const mostAsked = 3

// askFor asks until an answer can be read, an empty one leaving it open, and tells
// whether there was one: after mostAsked wrong ones it is left open as well, and said.
func askFor(c *call, question string, read func(string) error) (answered bool, err error) {
	return askBy(c, c.ask, question, read)
}

// askBy is askFor where the question is asked otherwise.
func askBy(c *call, ask func(string) (string, error), question string, read func(string) error) (answered bool, err error) {
	for range mostAsked {
		answer, err := ask(question)
		if err != nil || answer == "" {
			return false, err
		}
		if err = read(answer); err == nil {
			return true, nil
		}
		c.Warnf("%v", err)
	}
	c.Warnf("that is left open")
	return false, nil
}

// bookAsked books what a line says. Where it asks, the line is read and what it leaves
// open is asked before the store is opened to book; elsewhere it is read there.
func bookAsked(c *call, asks bool, read func(*lookup), ask func() error, fn func(*store.Tx) error) (store.Result, error) {
	if asks {
		if err := c.looks(read); err != nil {
			return store.Result{}, err
		}
		if err := ask(); err != nil {
			return store.Result{}, err
		}
	}
	return c.books(func(l *lookup, t *store.Tx) {
		if !asks {
			read(l)
		}
		if l.Err == nil {
			l.Err = fn(t)
		}
	})
}
