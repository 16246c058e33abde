package store

import (
	"runtime/debug"

	bolt "go.etcd.io/bbolt"
)

// Aside asks fn of the same store while the question goes on, which goes through much of it;
// wait waits for its error. A booking, which nothing is asked beside, asks at once.
func (v *View) Aside(fn func(*View) error) (wait func() error) {
	v.AtLength()
	db := v.tx.DB() // the question may end, on a spoilt store, before what is asked aside begins
	if !db.IsReadOnly() {
		err := fn(v)
		return func() error { return err }
	}
	done := make(chan error, 1)
	go func() { done <- v.aside(db, fn) }()
	return func() error { return <-done }
}

func (v *View) aside(db *bolt.DB, fn func(*View) error) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer lost(&err)
	tx, err := db.Begin(false)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	w := newView(tx, v.memo)
	w.AtLength()
	return fn(w)
}
