package store

import "runtime/debug"

// Aside asks fn of the same store while the question goes on, which goes through much of it;
// wait waits for its error. The question does not end before. A booking, which nothing is
// asked beside, asks at once.
func (v *View) Aside(fn func(*View) error) (wait func() error) {
	v.AtLength()
	if !v.tx.DB().IsReadOnly() {
		err := fn(v)
		return func() error { return err }
	}
	done := make(chan error, 1)
	v.asides.Go(func() { done <- v.aside(fn) })
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
	w := newView(tx, v.memo)
	defer w.asides.Wait()
	w.AtLength()
	return fn(w)
}
