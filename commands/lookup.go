package commands

import (
	"errors"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/code"
)

// A lookup reads what was typed and what the store has of it. It keeps the first error,
// and what is read after that is empty: the function it is made for has the error.
type lookup struct {
	*call
	*store.Lookup
}

// looks reads the store.
func (c *call) looks(read func(*lookup)) error {
	return c.view(func(v *store.View) error { return c.over(v, read) })
}

// over reads a view, nil where there is no store.
func (c *call) over(v *store.View, read func(*lookup)) error {
	l := &lookup{c, &store.Lookup{View: v}}
	read(l)
	return l.Err
}

// books makes one booking of what is looked up in it.
func (c *call) books(book func(*lookup, *store.Tx)) (store.Result, error) {
	return c.book(false, func(t *store.Tx) error { return c.over(&t.View, func(l *lookup) { book(l, t) }) })
}

// got is what one of the functions of a view or booking has for a key.
func got[K, T any](l *lookup, from func(K) (T, error), key K) T {
	return store.Got(l.Lookup, from, key)
}

// asked is what a question about the store has for a key.
func asked[K, T any](l *lookup, ask func(*store.View, K) (T, error), key K) T {
	return store.Asked(l.Lookup, ask, key)
}

// meant is what a token stands for, :2 a line of the last answer.
func (l *lookup) meant(token string) string { return got(l, l.answerLine, token) }

// thing reads one token as a thing of the given kinds, or as a numbered line of the last
// answer (:2). It refuses a token that names nothing or several.
func (l *lookup) thing(token string, kinds ...string) (ref store.Ref) {
	meant := l.meant(token)
	if l.Err != nil {
		return ref
	}
	ref, l.Err = l.View.Thing(meant, kinds...)
	if e, ok := errors.AsType[*store.UnknownError](l.Err); ok {
		e.Name = token
	}
	return ref
}

// code is the code of the thing that a text names, "" for no text.
func (l *lookup) code(text string, kinds ...string) code.Code {
	if text == "" {
		return ""
	}
	return l.thing(text, kinds...).Code
}

// flag is the code of the thing of a kind that the flag called after it names.
func (l *lookup) flag(kind string) code.Code { return l.code(l.String(kind), kind) }

// codes are those of things of a kind.
func (l *lookup) codes(tokens []string, kind string) []code.Code {
	return tell.Each(tokens, func(token string) code.Code { return l.code(token, kind) })
}

// part reads arguments as one part: its code, a bag that holds it, a line of the last
// answer, or words of its name. What words led to is noted.
func (l *lookup) part(args ...string) (p store.Part) {
	meant := store.Got(l.Lookup, l.answerLines, args)
	if l.Err != nil {
		return p
	}
	p, byWords, err := l.PartCalled(meant...)
	if byWords && err == nil {
		l.Notef("%s %s", p.Code, p.Called())
	}
	l.Err = listed(l.call, l.View, args, err)
	return p
}

// job is the job that --job names, else that in hand, else none. Which one is in hand
// is noted.
func (l *lookup) job(inHand string) (j store.Job) {
	token := l.String("job")
	if token == "" {
		token = inHand
	}
	if token == "" {
		return j
	}
	if j = got(l, l.Job, l.thing(token, "job").Code); l.Err == nil && l.String("job") == "" {
		l.Notef("for %s", j.Words())
	}
	return j
}

// typedCode reads a code of one's own choice, "" for no text.
func typedCode(text string) (code.Code, error) {
	if text == "" {
		return "", nil
	}
	own, err := code.Parse(text)
	return own, line.AsUsage(err)
}

// word is the word of a list that a flag gives, see [flagWord].
func (l *lookup) word(flag string, list []string) (word string) {
	if l.Err == nil {
		word, l.Err = flagWord(l.call, flag, list)
	}
	return word
}
