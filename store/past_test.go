package store

import (
	"errors"
	"fmt"
	"reflect"
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

// What a balance makes of an entry is what its whole book comes to with it, on whatever day
// and by whichever word: what somebody has at a job or at home, where the bag lies, its
// grade and its last reading, and what a booking that is taken back leaves. The model is
// the plain fold of all entries.
func TestLongBookAgreesWithItsFold(t *testing.T) {
	wasOwing, wasTurns := mostOwing, mostTurns
	defer func() { mostOwing, mostTurns = wasOwing, wasTurns }()
	proven := 0
	for _, most := range []int{2, 5, 512} {
		mostOwing, mostTurns = most, most
		t.Run(fmt.Sprint(most), func(t *testing.T) {
			keepPasts(t, 3)
			rapid.Check(t, func(rt *rapid.T) { proven += foldedBeside(rt) })
		})
	}
	if proven < 100 { // in a short run too
		t.Errorf("%d entries on an earlier day were proven by what a balance keeps", proven)
	}
}

// foldedBeside puts entries on days in any order, and returns how many on an earlier day
// needed no fold of the book.
func foldedBeside(rt *rapid.T) (proven int) {
	bag := Bag{Code: "B1", Place: "K1", Grade: "ready"}
	book := []Entry{{Seq: 1, Booking: 1, What: In, Bag: "B1", Quantity: 9, Day: day0, First: true}}
	st, err := foldBook(bag, book)
	if err != nil {
		rt.Fatal(err)
	}
	undone := map[uint64]bool{1: true}
	nameless := rapid.IntRange(0, 4).Draw(rt, "nameless") * 25 // of a hundred that bring back
	for range rapid.IntRange(5, 60).Draw(rt, "entries") {
		e := drawnEntry(rt, book, undone, nameless)
		e.Seq = uint64(len(book) + 1)
		want, werr := foldBook(bag, append(slices.Clone(book), e))
		got, err := st, error(nil)
		moved := slices.ContainsFunc(book, func(x Entry) bool { return e.Undoes != 0 && x.Booking == e.Undoes && x.Day > e.Day })
		back, ok := datedBack(st, e)
		switch {
		case e.Day >= st.LastDay:
			if got, err = fold(st, e); err == nil && len(got.Book) == longBook {
				got.Past = want.Past
			}
		case ok && !moved:
			got = back
			proven++
		default:
			got, err = want, werr
		}
		if (err == nil) != (werr == nil) || err == nil && !reflect.DeepEqual(sameLists(got), sameLists(want)) {
			rt.Fatalf("%+v\nbalance %+v %+v %v\nbook    %+v %+v %v", e, got, got.Past, err, want, want.Past, werr)
		}
		if werr == nil {
			st, book = got, append(book, e)
			undone[e.Undoes] = true
		}
	}
	return proven
}

// sameLists gives a list without anything the form in which it is read again.
func sameLists(s State) State {
	x, err := encMode().Marshal(s)
	var out State
	if err = errors.Join(err, decMode().Unmarshal(x, &out)); err != nil {
		panic(err)
	}
	return out
}

// drawnEntry is an entry of any word and day, or one that takes back another.
func drawnEntry(rt *rapid.T, book []Entry, undone map[uint64]bool, nameless int) Entry {
	e := Entry{Bag: "B1", Booking: uint64(len(book) + 1), Day: day0 + code.Day(rapid.IntRange(0, 9).Draw(rt, "day"))}
	if of := rapid.SampledFrom(book).Draw(rt, "of"); rapid.IntRange(0, 3).Draw(rt, "undo") == 0 && of.Undoes == 0 && !undone[of.Booking] {
		e.What, e.Quantity, e.Job, e.To, e.About, e.Undoes = of.What, -of.Quantity, of.Job, of.To, of.About, of.Booking
		return e
	}
	e.What = rapid.SampledFrom([]What{In, Fitted, Fitted, Returned, Returned, Held, Held, Unheld, Unheld, Lent, Lent, Lost, Found, Moved, Graded, Counted, Corrected, Split}).Draw(rt, "what")
	e.Quantity = rapid.Int64Range(1, 3).Draw(rt, "n")
	switch e.What {
	case Fitted, Held, Unheld:
		e.Job = rapid.SampledFrom([]code.Code{"105", "106", "107"}).Draw(rt, "job")
	case Returned:
		e.Job = rapid.SampledFrom([]code.Code{"105", "106", "107", ""}).Draw(rt, "job")
		if e.Job == "" && rapid.IntRange(1, 100).Draw(rt, "nobody") > nameless {
			e.To = rapid.SampledFrom([]string{"A", "H"}).Draw(rt, "who")
		}
	case Lent:
		e.To = rapid.SampledFrom([]string{"A", "H"}).Draw(rt, "who")
	case Moved:
		e.To, e.Quantity = rapid.SampledFrom([]string{"K1", "N2", "D3"}).Draw(rt, "place"), 0
	case Graded:
		e.To, e.Quantity = rapid.SampledFrom([]string{"ready", "loose"}).Draw(rt, "grade"), 0
	case Split:
		e.To = "B2"
	case Counted:
		e.About = rapid.Bool().Draw(rt, "about")
	}
	return e
}

// Two stores are asked the same in the same order. One keeps days from a few entries on,
// the other never: both book, refuse and take back alike, in the same words.
func TestLongBookBooksAlike(t *testing.T) {
	wasOwing, wasTurns := mostOwing, mostTurns
	defer func() { mostOwing, mostTurns = wasOwing, wasTurns }()
	for _, most := range []int{3, 512} {
		mostOwing, mostTurns = most, most
		t.Run(fmt.Sprint(most), func(t *testing.T) {
			keepPasts(t, 3)
			rapid.Check(t, func(rt *rapid.T) { bookedAlike(t, rt) })
		})
	}
}

// bookedAlike leaves alone the two bookings that make the store.
func bookedAlike(t *testing.T, rt *rapid.T) {
	stores, froms := []*Store{newStore(t), newStore(t)}, []int{longBook, 1 << 30}
	defer func() { longBook = froms[0] }()
	for range rapid.IntRange(5, 40).Draw(rt, "bookings") {
		h := head()
		h.Day += code.Day(rapid.IntRange(0, 9).Draw(rt, "day"))
		h.Today = day0 + 9
		n := rapid.Uint64Range(3, 20).Draw(rt, "number")
		undo := rapid.IntRange(0, 2).Draw(rt, "undo") == 0
		e := drawnEntry(rt, []Entry{{Booking: 1}}, map[uint64]bool{1: true}, 10)
		if e.What == Split || e.What == Corrected {
			e.What = Counted
		}
		if e.Day = 0; e.Job != "" {
			e.Job = "105"
		}
		if e.What == Moved {
			e.To = rapid.SampledFrom([]string{"K1", "N2"}).Draw(rt, "place")
		}
		var said [2]string
		var left [2]State
		for i, s := range stores {
			s.db.NoSync = true
			longBook = froms[i]
			var err error
			if undo {
				_, err = s.Undo(h, n)
			} else {
				_, err = s.Book(h, func(t *Tx) error { return t.Enter(e) })
			}
			said[i], left[i] = fmt.Sprint(err), state(t, s, "B1")
			left[i].Past = nil
		}
		if said[0] != said[1] || !reflect.DeepEqual(left[0], left[1]) {
			rt.Fatalf("undo %t %d, %+v on %s:\n%s\n%s\n%+v\n%+v", undo, n, e, h.Day, said[0], said[1], left[0], left[1])
		}
	}
	longBook = froms[0]
	if h, err := stores[0].Check(); err != nil || len(h.Problems) > 0 {
		rt.Fatal(err, h.Problems)
	}
}
