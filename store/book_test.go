package store

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"tinful/store/code"

	"pgregory.net/rapid"
)

func fit(bag code.Code, n int64, job code.Code) func(*Tx) error {
	return func(t *Tx) error { return t.Fit(Take{Bag: bag, N: n, Job: job}) }
}

func TestFitAndUndo(t *testing.T) {
	s := newStore(t)
	before := state(t, s, "B1")
	res := mustBook(t, s, fit("B1", 2, "105"))
	if got := state(t, s, "B1").OnHand(); got != 1 {
		t.Errorf("on hand %d, want 1", got)
	}
	if f := figure(t, s, "P1"); f.Free() != 3 || f.Fitted != 2 || f.BookedIn != 5 {
		t.Errorf("figures %+v: want 5 in, 2 fitted, 3 free (customers' bags left out)", f)
	}
	undone, err := s.Undo(head(), res.Booking.Number)
	if err != nil {
		t.Fatal(err)
	}
	if e := undone.Entries[0]; e.What != Fitted || e.Quantity != -2 || e.Why != "undo 3" {
		t.Errorf("counter-entry %+v", e)
	}
	if got := state(t, s, "B1"); got.OnHand() != before.OnHand() || got.Fitted != 0 {
		t.Errorf("after undo %+v", got)
	}
	if _, err := s.Undo(head(), res.Booking.Number); !errors.Is(err, ErrRefused) {
		t.Errorf("a second undo: %v", err)
	}
}

func TestHeldIsUnheldFirst(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, func(t *Tx) error { return t.Hold(Take{Bag: "B2", N: 1, Job: "105"}) })
	if got := figure(t, s, "P1"); got.Held != 1 || got.Free() != 4 {
		t.Errorf("held 1: %+v", got)
	}
	res := mustBook(t, s, fit("B2", 2, "105"))
	if len(res.Entries) != 2 || res.Entries[0].What != Unheld || res.Entries[0].Quantity != 1 || res.Entries[1].Quantity != 2 {
		t.Errorf("entries %+v", res.Entries)
	}
	refused(t, s, fit("B2", 1, "105"))
	if _, err := s.Undo(head(), res.Booking.Number); err != nil {
		t.Fatal(err)
	}
	if st := state(t, s, "B2"); st.HeldForJob("105") != 1 || st.OnHand() != 2 {
		t.Errorf("undo gives the hold back: %+v", st)
	}
}

func TestRules(t *testing.T) {
	s := newStore(t)
	tests := []struct {
		name string
		fn   func(*Tx) error
		says string
	}{
		{"more than is free", fit("B1", 4, "105"), "B1 holds 3 free, 4 asked for"},
		{"the twin", func(t *Tx) error {
			if _, err := t.PutIn(Bag{Code: "B9", Part: "P2", Origin: "made", Quantity: 1, Grade: "made", Place: "K1"}); err != nil {
				return err
			}
			return t.Fit(Take{Bag: "B9", N: 1, Job: "105"})
		}, "its twin P1 goes in there"},
		{"a closed job", fit("B1", 1, "101"), "closed"},
		{"no part", fit("B4", 1, "105"), "has no part"},
		{"another customer's", fit("B5", 1, "106"), "belongs to customer 5"},
		{"an uncollected repair", fit("B6", 1, "105"), "uncollected"},
		{"the wrong word", func(t *Tx) error { return t.Fit(Take{Bag: "B1", N: 1, Job: "105", Check: []string{"cheese"}}) }, `not "cheese"`},
		{"holding a customer's", func(t *Tx) error { return t.Hold(Take{Bag: "B5", N: 1, Job: "105"}) }, "held for none"},
		{"scrapping without a reason", func(t *Tx) error { return t.Away(Scrapped, Take{Bag: "B1", N: 1}) }, "reason"},
		{"nothing", fit("B1", 0, "105"), "no number"},
		{"join of other parts", func(t *Tx) error { return t.JoinBags(Take{Bag: "B1", To: "B3"}) }, "other parts"},
		{"unholding nothing", func(t *Tx) error { return t.Unhold(Take{Bag: "B1"}) }, "nothing of B1 is held"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if err := refused(t, s, tt.fn); !strings.Contains(err.Error(), tt.says) {
				t.Errorf("%q does not say %q", err, tt.says)
			}
		})
	}
	if err := refused(t, s, fit("B2", 3, "105")); !strings.Contains(err.Error(), "B1 (3 free, ready, in K1)") {
		t.Errorf("%q names no other bag", err)
	}
	mustBook(t, s, fit("B5", 1, "105")) // the same owner's
}

func TestBackdated(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, fit("B1", 3, "105"))
	h := head()
	h.Day = day0 - 1
	if _, err := s.Book(h, fit("B1", 1, "105")); !errors.Is(err, ErrRefused) {
		t.Errorf("before the bag came in: %v", err)
	}
	next := head()
	next.Day, next.Today = day0+5, day0+5
	if _, err := s.Book(next, func(t *Tx) error { return t.Move(Take{Bag: "B2", To: "K2"}) }); err != nil {
		t.Fatal(err)
	}
	h.Day = day0 + 2
	if _, err := s.Book(h, func(t *Tx) error { return t.Move(Take{Bag: "B2", To: "J1"}) }); err != nil {
		t.Fatal(err)
	}
	if st := state(t, s, "B2"); st.Place != "K2" {
		t.Errorf("the later move keeps its say: in %s", st.Place)
	}
	if _, err := s.Book(h, fit("B2", 2, "105")); err != nil {
		t.Fatal(err)
	}
}

func TestSplitJoinMoveGrade(t *testing.T) {
	s := newStore(t)
	var to code.Code
	split := mustBook(t, s, func(t *Tx) (err error) { to, err = t.SplitBag(Take{Bag: "B1", N: 1}, "K2"); return err })
	if a, b := state(t, s, "B1"), state(t, s, to); a.OnHand() != 2 || b.OnHand() != 1 || b.BookedIn != 0 || b.Grade != "ready" {
		t.Errorf("split: %+v and %+v", a, b)
	}
	mustBook(t, s, fit(to, 1, "105"))
	if _, err := s.Undo(head(), split.Booking.Number); !errors.Is(err, ErrRefused) || !strings.Contains(err.Error(), "booking 4 stands on it") {
		t.Errorf("undo of a split that was used: %v", err)
	}
	if _, err := s.Undo(head(), 4); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Undo(head(), split.Booking.Number); err != nil {
		t.Fatal(err)
	}
	moved := mustBook(t, s, func(t *Tx) error { return t.Move(Take{Bag: "B1", To: "K2"}) })
	mustBook(t, s, func(t *Tx) error { return t.Regrade(Take{Bag: "B1", To: "usable", Why: "bent"}) })
	mustBook(t, s, func(t *Tx) error { return t.Move(Take{Bag: "B1", To: "J1"}) })
	if _, err := s.Undo(head(), moved.Booking.Number); !errors.Is(err, ErrRefused) {
		t.Errorf("undo of a move with a later move: %v", err)
	}
	mustBook(t, s, func(t *Tx) error { return t.JoinBags(Take{Bag: "B2", To: "B1"}) })
	if st := state(t, s, "B1"); st.OnHand() != 5 {
		t.Errorf("joined: %d on hand, want 5", st.OnHand())
	}
}

func TestLendLoseSell(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, func(t *Tx) error { return t.Lend(Take{Bag: "B1", N: 1, To: "another bench"}) })
	if f := figure(t, s, "P1"); f.OnHand() != 5 || f.Free() != 4 || f.Lent != 1 {
		t.Errorf("lent pieces are owned and not free: %+v", f)
	}
	mustBook(t, s, func(t *Tx) error { return t.Return(Take{Bag: "B1"}) })
	mustBook(t, s, func(t *Tx) error { return t.Away(Lost, Take{Bag: "B1", N: 1}) })
	mustBook(t, s, func(t *Tx) error { return t.Back(Take{Bag: "B1", N: 1}) })
	mustBook(t, s, func(t *Tx) error { return t.Away(Sold, Take{Bag: "B1", N: 1, Amount: 100, To: "x"}) })
	mustBook(t, s, func(t *Tx) error { return t.Away(Scrapped, Take{Bag: "B1", N: 1, Why: "rust"}) })
	res := mustBook(t, s, fit("B3", 400, "105"))
	mustBook(t, s, func(t *Tx) error { return t.Return(Take{Bag: "B3", Job: "105"}) })
	if st := state(t, s, "B3"); st.OnHand() != 4000 || st.Fitted != 400 || st.Returned != 400 {
		t.Errorf("yarn: %+v", st)
	}
	if _, err := s.Undo(head(), res.Booking.Number); !errors.Is(err, ErrRefused) {
		t.Errorf("what came back cannot be taken back: %v", err)
	}
	if f := figure(t, s, "P1"); f.Lost != 1 || f.Found != 1 || f.Sold != 1 || f.Scrapped != 1 || f.OnHand() != 3 {
		t.Errorf("figures %+v", f)
	}
}

func TestVerdictOfAShutter(t *testing.T) {
	s := newStore(t)
	err := s.View(func(v *View) error {
		p, err := v.Part("P4")
		if err != nil {
			return err
		}
		either, err := v.Verdicts(p, Camera{Model: "A-1"})
		if err != nil || len(either) != 2 || either[0].If != "SH-1" || !either[0].Usable() || either[1].Usable() {
			t.Errorf("A-1 carries one of two: %+v %v", either, err)
		}
		sure, err := v.Verdicts(p, Camera{Model: "A-2"})
		if err != nil || len(sure) != 1 || sure[0].If != "" || !sure[0].Usable() {
			t.Errorf("A-2 carries one: %+v %v", sure, err)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// What is no text is not stored: it could not be read again, or not on one line.
func TestTextOfABooking(t *testing.T) {
	s := newStore(t)
	lend := func(to string) func(*Tx) error {
		return func(t *Tx) error { return t.Lend(Take{Bag: "B1", N: 1, To: to}) }
	}
	for _, bad := range []string{"a\xffb", "a\nb", "\x1b[31m"} {
		h := head()
		if _, err := s.Book(h, lend(bad)); !errors.Is(err, ErrUsage) {
			t.Errorf("lent to %q: %v", bad, err)
		}
		h.By = bad
		if _, err := s.Book(h, lend("H")); !errors.Is(err, ErrUsage) {
			t.Errorf("booked by %q: %v", bad, err)
		}
		h = head()
		h.Command = "import " + bad
		res, err := s.Book(h, lend("H"))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.View(func(v *View) error { _, err := v.BookingNo(res.Booking.Number); return err }); err != nil {
			t.Errorf("the line %q: %v", h.Command, err)
		}
		if _, err := s.Undo(head(), res.Booking.Number); err != nil {
			t.Fatal(err)
		}
	}
}

// What is said of the shutter goes before what is said of the lens, every time.
func TestVerdictOfShutterThenLens(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, func(t *Tx) error {
		return errors.Join(t.Put(Model{Code: "LN-1", Name: "lens one", Kind: "lens"}),
			t.Put(Model{Code: "A-3", Name: "camera three", Kind: "camera", Carries: []code.Code{"SH-1", "LN-1"}}),
			t.Put(Goes{Part: "P4", Model: "LN-1", Degrees: []string{"no"}, Evidence: "tried"}))
	})
	err := s.View(func(v *View) error {
		p, err := v.Part("P4")
		for range 40 { // maps are gone through in any order
			d, verr := v.Verdicts(p, Camera{Model: "A-3"})
			if verr != nil || len(d) != 1 || d[0].Via != "SH-1" || !d[0].Usable() {
				t.Fatalf("%+v %v", d, verr)
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

func TestUndoOfTheCatalogue(t *testing.T) {
	s := newStore(t)
	add := mustBook(t, s, func(t *Tx) error { return t.Put(Part{Code: "P9", Name: "cam"}) })
	mustBook(t, s, func(t *Tx) error { return t.Put(Part{Code: "P9", Name: "cam, brass"}) })
	if _, err := s.Undo(head(), add.Booking.Number); !errors.Is(err, ErrRefused) || !strings.Contains(err.Error(), "booking 4") {
		t.Errorf("a later change stands on it: %v", err)
	}
	if _, err := s.Undo(head(), 4); err != nil {
		t.Fatal(err)
	}
	goes := mustBook(t, s, func(t *Tx) error { return t.Put(Goes{Part: "P9", Model: "A-1", Degrees: []string{"direct"}}) })
	if _, err := s.Undo(head(), add.Booking.Number); !errors.Is(err, ErrRefused) {
		t.Errorf("a statement names it: %v", err)
	}
	for _, n := range []uint64{goes.Booking.Number, add.Booking.Number} {
		if _, err := s.Undo(head(), n); err != nil {
			t.Fatal(err)
		}
	}
	s.View(func(v *View) error {
		if _, err := v.Part("P9"); !errors.Is(err, ErrNotFound) {
			t.Errorf("the part is there still: %v", err)
		}
		return nil
	})
}

// Whatever is booked and taken back, what check recomputes agrees, and on hand
// is never below zero.
func TestAnyBookingsCheck(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := newStore(t)
		for range rapid.IntRange(1, 25).Draw(rt, "bookings") {
			bag := rapid.SampledFrom([]code.Code{"B1", "B2", "B3", "B4", "B5"}).Draw(rt, "bag")
			k := Take{Bag: bag, N: rapid.Int64Range(1, 3).Draw(rt, "n"), Job: rapid.SampledFrom([]code.Code{"105", "106"}).Draw(rt, "job"), To: "K2", Why: "w"}
			h := head()
			h.Day += code.Day(rapid.IntRange(0, 3).Draw(rt, "day"))
			op := rapid.IntRange(0, 13).Draw(rt, "op")
			_, err := s.Book(h, func(t *Tx) error { return anyOp(t, op, k) })
			if op == 10 {
				_, err = s.Undo(h, uint64(rapid.IntRange(1, 12).Draw(rt, "undo")))
			}
			if err != nil && !errors.Is(err, ErrRefused) && !errors.Is(err, ErrNotFound) && !errors.Is(err, ErrSeveral) {
				rt.Fatalf("op %d: %v", op, err)
			}
			if st := mustState(s, bag); st.Free() < 0 {
				rt.Fatalf("%s: %+v", bag, st)
			}
		}
		if h, err := s.Check(); err != nil || len(h.Problems) > 0 {
			rt.Fatalf("check: %v %v", h.Problems, err)
		}
		if err := s.View(rowsAgree); err != nil {
			rt.Fatal(err)
		}
	})
}

// rowsAgree compares the number of records of every sheet with a walk through them.
func rowsAgree(v *View) error {
	n := map[string]int{}
	err := errors.Join(
		v.EachModel(func(Model) error { n["Models"]++; return nil }),
		v.EachPlace(func(Place) error { n["Places"]++; return nil }),
		v.EachPart(func(Part) error { n["Parts"]++; return nil }),
		v.EachGoes(func(Goes) error { n["Goes"]++; return nil }),
		v.EachDonor(func(Donor) error { n["Donors"]++; return nil }),
		v.EachLook(func(Seen) error { n["Seen"]++; return nil }),
		v.EachBag(func(Bag) error { n["Bags"]++; return nil }),
		v.EachJob(func(Job) error { n["Jobs"]++; return nil }),
		v.EachMove(func(Entry) error { n["Moves"]++; return nil }),
		v.EachWant(func(Want) error { n["Wants"]++; return nil }),
		v.EachNote(func(Remark) error { n["Notes"]++; return nil }),
		v.EachStepRow(func(Step) error { n["Steps"]++; return nil }),
		v.EachSign(func(SignRow) error { n["Signs"]++; return nil }),
		v.EachOld(func(Old) error { n["Old"]++; return nil }),
		v.EachCountRow(func(Count) error { n["Counts"]++; return nil }),
		v.EachMeasured(func(MeasuredRow) error { n["Measured"]++; return nil }),
		v.EachMaking(func(MakingRow) error { n["Made"]++; return nil }),
		v.EachPaperRow(func(PaperRow) error { n["Papers"]++; return nil }),
		v.EachPictureRow(func(PictureRow) error { n["Pictures"]++; return nil }))
	for _, sheet := range Sheets {
		got, e := v.Rows(sheet)
		if err = errors.Join(err, e); got != n[sheet] {
			err = errors.Join(err, fmt.Errorf("sheet %s has %d rows and says %d", sheet, n[sheet], got))
		}
	}
	return err
}

func mustState(s *Store, bag code.Code) (st State) {
	s.View(func(v *View) (err error) { st, err = v.State(bag); return err })
	return st
}

func anyOp(t *Tx, op int, k Take) error {
	switch op {
	case 0:
		return t.Fit(k)
	case 1:
		return t.Return(k)
	case 2:
		return t.Hold(k)
	case 3:
		return t.Unhold(k)
	case 4:
		return t.Lend(k)
	case 5:
		return t.Away(Lost, k)
	case 6:
		return t.Back(k)
	case 7:
		return t.Move(k)
	case 8:
		_, err := t.SplitBag(k, "")
		return err
	case 9:
		return t.PutMore(k.Bag, code.Qty{N: k.N}, "")
	case 11:
		_, err := t.ReadAll([]Given{{Bag: k.Bag, Qty: code.Qty{N: k.N - 1, About: k.N == 3}}, {Part: "P1", Qty: code.Qty{N: k.N}, Seen: "K2"}}, 0)
		return err
	case 12:
		var id CountID
		err := t.EachCount(func(c Count) error {
			if c.Closed == 0 {
				id.Number = c.Number
			}
			return nil
		})
		if err != nil || id.Number == 0 {
			return err
		}
		_, err = t.CloseCount(id, func(CountLine) (string, bool) { return "w", k.N > 1 }, func(Loose) bool { return k.N > 2 })
		return err
	case 13:
		_, err := t.SortOut("B4", Bag{Part: "P1", Quantity: k.N, Grade: "unknown", Place: "K1"}, "")
		return err
	}
	return refuse("nothing")
}

// What is no text is refused before it is booked: a record of it could not be read
// again. A command line is only told of, and is kept as far as it is text.
func TestNoTextIsBooked(t *testing.T) {
	s := newStore(t)
	for name, fn := range map[string]func(*Tx) error{
		"why":  func(t *Tx) error { return t.Enter(Entry{What: Scrapped, Bag: "B1", Quantity: 1, Why: "a\xffb"}) },
		"to":   func(t *Tx) error { return t.Enter(Entry{What: Lent, Bag: "B1", Quantity: 1, To: "a\tb"}) },
		"note": func(t *Tx) error { _, err := t.PutIn(Bag{Part: "P1", Quantity: 1, Note: "a\xff"}); return err },
	} {
		if _, err := s.Book(head(), fn); !errors.Is(err, ErrUsage) {
			t.Errorf("%s: %v, want it refused", name, err)
		}
	}
	scrap := func(t *Tx) error { return t.Enter(Entry{What: Scrapped, Bag: "B1", Quantity: 1, Why: "bent"}) }
	h := head()
	h.By = "R\xff"
	if _, err := s.Book(h, scrap); !errors.Is(err, ErrUsage) {
		t.Errorf("who books: %v, want it refused", err)
	}
	if _, err := PlanLoad(nil, &Load{}, h); !errors.Is(err, ErrUsage) {
		t.Errorf("who takes a list in: %v, want it refused", err)
	}
	h.By, h.Command, h.File = "R", "scrap B1 1 --why \xff\t", "\xff.csv"
	res, err := s.Book(h, scrap)
	if b := res.Booking; err != nil || b.Command != "scrap B1 1 --why \ufffd\ufffd" || b.File != "\ufffd.csv" {
		t.Errorf("%v; it is told of as %q, %q", err, b.Command, b.File)
	}
}
