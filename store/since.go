package store

import "slices"

// BookedSince is the first booking after booking number that touched a bag, a bag of a
// part, or a job, leaving out those in except; the zero Booking for none. A booking that
// was taken back, and the one that took it back, count: what they left may be as before,
// but somebody else had it in hand.
func (v *View) BookedSince(ref Ref, number uint64, except []uint64) (first Booking, err error) {
	touches := func(e Entry) bool {
		switch ref.Kind {
		case "bag":
			return e.Bag == ref.Code || slices.Contains(e.Into(), ref.Code)
		case "part":
			b, _ := v.Bag(e.Bag) // gone when its booking in was taken back
			return b.Part == ref.Code
		}
		return ref.Kind == "job" && e.Job == ref.Code
	}
	for n := number + 1; n <= v.LastBooking(); n++ {
		if slices.Contains(except, n) {
			continue
		}
		b, err := v.BookingNo(n)
		if err != nil {
			return b, err
		}
		entries, err := v.EntriesIn(b)
		if err != nil || slices.ContainsFunc(entries, touches) {
			return b, err
		}
	}
	return Booking{}, nil
}
