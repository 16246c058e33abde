package store

import "cmp"

// A Lookup reads a view and keeps the first error: what is looked up after it is empty,
// so that several things are read without a look at each. Whoever hands on what was
// looked up hands on Err beside it.
type Lookup struct {
	*View
	Err error
}

// Keep keeps an error unless there is one.
func (l *Lookup) Keep(err error) { l.Err = cmp.Or(l.Err, err) }

// Got is what one of the functions of a view, or of a booking, has for a key.
func Got[K, T any](l *Lookup, from func(K) (T, error), key K) (x T) {
	if l.Err == nil {
		x, l.Err = from(key)
	}
	return x
}

// Asked is what a question about a view has for a key.
func Asked[K, T any](l *Lookup, ask func(*View, K) (T, error), key K) (x T) {
	if l.Err == nil {
		x, l.Err = ask(l.View, key)
	}
	return x
}
