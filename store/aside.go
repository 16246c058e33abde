package store

import "runtime/debug"

// Aside asks fn of the same store while the question goes on; wait waits for its error. A
// booking, which nothing is asked beside, asks at once.
func (v *View) Aside(fn func(*View) error) (wait func() error) {
	if !v.tx.DB().IsReadOnly() {
		err := fn(v)
		return func() error { return err }
	}
	done := make(chan error, 1)
	go func() { done <- v.aside(fn) }()
	return func() error { return <-done }
}

func (v *View) aside(fn func(*View) error) (err error) {
	defer debug.SetPanicOnFault(debug.SetPanicOnFault(true))
	defer lost(&err)
	tx, err := v.tx.DB().Begin(false)
	if err != nil {
		return err
	}
	defer tx.Rollback()
	return fn(&View{tx: tx, memo: v.memo, mapped: newMapped(tx, mostMapped)})
}
