package ask

import (
	"cmp"
	"errors"
	"iter"

	"tinful/store"
	"tinful/store/code"
)

// A reader reads a view and keeps the first error. What is read after it is empty, so
// an answer is put together without a look at every read: whoever returns it to the
// outside returns err beside it.
type reader struct {
	*store.View
	err      error
	models   map[code.Code]store.Model // see known
	shutters map[code.Code][]witnessed // see shutterOf
	waited   map[code.Code][]missing   // see missed
}

func read(v *store.View) *reader { return &reader{View: v, models: map[code.Code]store.Model{}} }

// known is a model, read once; the zero Model for one that is not recorded.
func (r *reader) known(c code.Code) store.Model {
	m, ok := r.models[c]
	if !ok {
		m, _ = r.Model(c)
		r.models[c] = m
	}
	return m
}

// keep keeps an error unless there is one.
func (r *reader) keep(err error) { r.err = cmp.Or(r.err, err) }

// got is what one of the view's functions has for a key.
func got[K, T any](r *reader, from func(K) (T, error), key K) (x T) {
	if r.err == nil {
		x, r.err = from(key)
	}
	return x
}

// got2 is got of two keys.
func got2[K, L, T any](r *reader, from func(K, L) (T, error), key K, other L) (x T) {
	if r.err == nil {
		x, r.err = from(key, other)
	}
	return x
}

func (r *reader) part(c code.Code) store.Part        { return got(r, r.Part, c) }
func (r *reader) bag(c code.Code) store.Bag          { return got(r, r.Bag, c) }
func (r *reader) state(bag code.Code) store.State    { return got(r, r.State, bag) }
func (r *reader) model(c code.Code) store.Model      { return got(r, r.Model, c) }
func (r *reader) donor(c code.Code) store.Donor      { return got(r, r.Donor, c) }
func (r *reader) job(c code.Code) store.Job          { return got(r, r.Job, c) }
func (r *reader) figure(part code.Code) store.Figure { return got(r, r.Figure, part) }

// errEnough ends a loop over records early.
var errEnough = errors.New("enough")

// each yields the records that one of the view's functions hands on.
func each[T any](r *reader, records func(func(T) error) error) iter.Seq[T] {
	return func(yield func(T) bool) {
		err := r.err
		if err == nil {
			err = records(func(x T) error {
				if !yield(x) || r.err != nil {
					return errEnough
				}
				return nil
			})
		}
		if !errors.Is(err, errEnough) {
			r.keep(err)
		}
	}
}
