package store

import (
	"errors"
	"fmt"
	"slices"
	"testing"

	"tinful/store/code"

	"pgregory.net/rapid"
)

// keepPasts lets balances keep the days of books of so many entries while a test runs.
func keepPasts(t *testing.T, from int) {
	was := longBook
	longBook = from
	t.Cleanup(func() { longBook = was })
}

// A balance is what a booking on a day makes of what is free, held and fitted.
type balance struct {
	day                int
	free, held, fitted int64
}

// balances are those of a bag, by day: they know no entries and fold nothing.
type balances []balance

// takes puts one behind those of its day, where no sum runs below zero from there on.
func (all *balances) takes(what What, day int, n int64) bool {
	s := balance{day: day, free: -n}
	switch what {
	case In, Found:
		s.free = n
	case Fitted:
		s.fitted = n
	case Returned:
		s.free, s.fitted = n, -n
	case Held:
		s.held = n
	case Unheld:
		s.free, s.held = n, -n
	}
	at := 0
	for at < len(*all) && (*all)[at].day <= day {
		at++
	}
	with := slices.Insert(slices.Clone(*all), at, s)
	for i := range with {
		if sum := with[:i+1].sum(); min(sum.free, sum.held, sum.fitted) < 0 {
			return false
		}
	}
	*all = with
	return true
}

func (all balances) sum() (sum balance) {
	for _, s := range all {
		sum.free, sum.held, sum.fitted = sum.free+s.free, sum.held+s.held, sum.fitted+s.fitted
	}
	return sum
}

// Entries on any day are taken where nothing runs short on that day or a later one, and
// nowhere else, whether the days that a balance keeps tell or the whole book does.
func TestAnyDayOfALongBook(t *testing.T) {
	for _, from := range []int{3, 9, 1 << 30} {
		t.Run(fmt.Sprint(from), func(t *testing.T) {
			keepPasts(t, from)
			rapid.Check(t, func(rt *rapid.T) { anyDays(t, rt) })
		})
	}
}

func anyDays(t *testing.T, rt *rapid.T) {
	s := newStore(t)
	s.db.NoSync = true
	model := balances{{free: 3}} // as newStore books B1 in
	for range rapid.IntRange(5, 40).Draw(rt, "bookings") {
		what := rapid.SampledFrom([]What{In, Fitted, Returned, Held, Unheld, Lost, Found, Scrapped, Sold}).Draw(rt, "what")
		on, n := rapid.IntRange(0, 12).Draw(rt, "day"), rapid.Int64Range(1, 3).Draw(rt, "n")
		e := Entry{What: what, Bag: "B1", Quantity: n, Day: day0 + code.Day(on)}
		if slices.Contains([]What{Fitted, Returned, Held, Unheld}, what) {
			e.Job = "105"
		}
		_, err := s.Book(head(), func(t *Tx) error { return t.Enter(e) })
		if takes := model.takes(what, on, n); takes && err != nil || !takes && !errors.Is(err, ErrRefused) {
			rt.Fatalf("%s %d on day %d: %v, and the model says %t: %+v", what, n, on, err, takes, model)
		}
		st := state(t, s, "B1")
		if sum := model.sum(); st.Free() != sum.free || st.Held() != sum.held || st.FittedInJob("105") != sum.fitted {
			rt.Fatalf("%s %d on day %d: %+v, and the model says %+v", what, n, on, st, model)
		}
		if (st.Past != nil) != (len(st.Book) >= longBook) {
			rt.Fatalf("the days are kept: %t after %d entries", st.Past != nil, len(st.Book))
		}
	}
	if h, err := s.Check(); err != nil || len(h.Problems) > 0 { // folds the whole book
		rt.Fatal(err, h.Problems)
	}
}
