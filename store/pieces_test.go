package store

import (
	"cmp"
	"errors"
	"slices"
	"testing"

	"tinful/store/code"
)

func ask(t *testing.T, s *Store, r Request) (Result, error) {
	t.Helper()
	return s.Book(head(), func(t *Tx) error { return t.Pieces(r) })
}

func bagsIn(rows []Choice) (out []code.Code) {
	for _, r := range rows {
		out = append(out, r.Code)
	}
	return out
}

// Which bag of a part a booking takes, by hand from the bags of newStore: of P1 job 105
// of customer 5 may have B1 (3 ready), B2 (2 usable) and customer 5's own B5, job 106
// none of those that belong to customer 5; B6 is nobody's to take.
func TestChoiceOfBag(t *testing.T) {
	one := func(what What, job, token, qty string) Request {
		return Request{What: what, Job: job, Items: []Item{{Token: token, Qty: qty}}}
	}
	for _, tt := range []struct {
		name string
		r    Request
		want []code.Code // the bags to choose from, or the one that is taken
	}{
		{"best grade first, then the fullest", one(Fitted, "105", "p1", ""), []code.Code{"B1", "B5", "B2"}},
		{"those that hold enough", one(Fitted, "105", "p1", "2"), []code.Code{"B1", "B2"}},
		{"the only one that does", one(Fitted, "105", "p1", "3"), []code.Code{"B1"}},
		{"held for a job: the workshop's own alone", one(Held, "105", "p1", ""), []code.Code{"B1", "B2"}},
		{"lost: own alone", one(Lost, "", "p1", ""), []code.Code{"B1", "B2"}},
		{"a bag named is taken", one(Fitted, "105", "b2", ""), []code.Code{"B2"}},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := newStore(t)
			res, err := ask(t, s, tt.r)
			if e, ok := errors.AsType[*ChoiceError](err); ok {
				if got := bagsIn(e.Rows); !slices.Equal(got, tt.want) {
					t.Errorf("to choose from %v, want %v", got, tt.want)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			if len(tt.want) != 1 || res.Entries[0].Bag != tt.want[0] {
				t.Errorf("took %s, want %v", res.Entries[0].Bag, tt.want)
			}
		})
	}
}

// What is held for the job comes before all, Any takes the bag that can give most.
func TestHeldFirstAndAny(t *testing.T) {
	s := newStore(t)
	item := []Item{{Token: "P1"}}
	res, err := ask(t, s, Request{What: Fitted, Job: "105", Items: item, Any: true})
	if err != nil || res.Entries[0].Bag != "B1" || !res.Entries[0].Unsure {
		t.Errorf("any: %+v, %v", res.Entries, err)
	}
	mustBook(t, s, func(t *Tx) error { return t.Hold(Take{Bag: "B2", N: 1, Job: "105"}) })
	res, err = ask(t, s, Request{What: Fitted, Job: "105", Items: item})
	if err != nil || res.Entries[0].What != Unheld || res.Entries[1].Bag != "B2" {
		t.Errorf("held first: %+v, %v", res.Entries, err)
	}
}

// All of a request is booked or nothing, and the error says of which item it speaks;
// a later item is chosen with what the earlier ones took in mind.
func TestRequestWhole(t *testing.T) {
	s := newStore(t)
	_, err := ask(t, s, Request{What: Fitted, Job: "105", Items: []Item{{Token: "B1", Qty: "2"}, {Token: "B2", Qty: "3", Line: 7}}})
	e, ok := errors.AsType[*ItemError](err)
	if !ok || e.Nth != 1 || !errors.Is(err, ErrRefused) {
		t.Fatalf("%v, want a refusal of the second item", err)
	}
	if got, want := err.Error(), "line 7: "; got[:len(want)] != want {
		t.Errorf("%q does not begin with %q", got, want)
	}
	if st := state(t, s, "B1"); st.OnHand() != 3 {
		t.Errorf("B1 holds %d, want 3", st.OnHand())
	}
	if _, err := ask(t, s, Request{What: Lost, Items: []Item{{Token: "B1", Qty: "2"}, {Token: "P1", Qty: "2"}}}); err != nil {
		t.Errorf("B1 has 1 left, so B2 is the only bag with 2: %v", err)
	}
}

// May pieces be taken, by hand from the rule: own bags, those of the use's owner, no
// uncollected repair; scrap and pattern only where they will do; no more than is free,
// what is held for the job with it.
func TestMayTake(t *testing.T) {
	s := newStore(t)
	own, theirs, held := Bag{Code: "X", Owner: Own}, Bag{Code: "X", Owner: "customer 5"}, Bag{Code: "X", Owner: OwnerHeld}
	three := State{Bag: "X", BookedIn: 3, Grade: "ready", HeldFor: []Owed{{"105", 2}}}
	scrap := State{Bag: "X", BookedIn: 3, Grade: "scrap"}
	for _, tt := range []struct {
		name string
		b    Bag
		st   State
		use  Use
		may  bool
	}{
		{"own", own, three, Use{N: 1}, true},
		{"more than is free", own, three, Use{N: 2}, false},
		{"held for the job counts", own, three, Use{N: 3, Job: "105"}, true},
		{"held for another does not", own, three, Use{N: 2, Job: "106"}, false},
		{"any number", own, State{Bag: "X"}, Use{}, true},
		{"a customer's", theirs, three, Use{N: 1}, false},
		{"for the same customer", theirs, three, Use{N: 1, Owner: "customer 5"}, true},
		{"for another", theirs, three, Use{N: 1, Owner: "customer 6"}, false},
		{"an uncollected repair", held, three, Use{N: 1, Owner: OwnerHeld}, false},
		{"scrap", own, scrap, Use{N: 1}, false},
		{"scrap that will do", own, scrap, Use{N: 1, Worn: true}, true},
	} {
		t.Run(tt.name, func(t *testing.T) {
			err := s.View(func(v *View) error { return v.MayTake(tt.b, tt.st, tt.use) })
			if (err == nil) != tt.may || err != nil && !errors.Is(err, ErrRefused) {
				t.Errorf("%v", err)
			}
		})
	}
}

// Which bag pieces join, by hand from the rule.
func TestSister(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, func(t *Tx) error {
		b, err := t.Bag("B2")
		b.Number, b.Note = "12", "in the lid"
		return cmp.Or(err, t.Put(b))
	})
	like := Bag{Part: "P1", Origin: "bought", Grade: "ready", Place: "K1", Owner: Own, Unit: "pc"}
	for _, tt := range []struct {
		name   string
		change func(*Bag)
		want   code.Code
	}{
		{"the same", func(*Bag) {}, "B1"},
		{"a customer's", func(b *Bag) { b.Owner = "customer 5" }, "B5"},
		{"another place", func(b *Bag) { b.Place = "K2" }, ""},
		{"another origin", func(b *Bag) { b.Origin = "made" }, ""},
		{"another grade, without its number", func(b *Bag) { b.Grade = "usable" }, ""},
		{"with its number", func(b *Bag) { b.Grade, b.Number = "usable", "12" }, "B2"},
		{"with another note", func(b *Bag) { b.Grade, b.Number, b.Note = "usable", "12", "bent" }, ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			b := like
			tt.change(&b)
			var got Bag
			if err := s.View(func(v *View) (err error) { got, _, err = v.Sister(b); return err }); err != nil {
				t.Fatal(err)
			}
			if got.Code != tt.want {
				t.Errorf("%q, want %q", got.Code, tt.want)
			}
		})
	}
}

// What must be asked comes back as data; what was answered is booked.
func TestQuestions(t *testing.T) {
	s := newStore(t)
	put := func(p Putting) (b Bag, err error) {
		_, err = s.Book(head(), func(t *Tx) (err error) { b, err = t.PutPieces(p); return err })
		return b, err
	}
	_, err := put(Putting{Quantity: "2", Part: []string{"drive", "spring"}, Origin: "unknown", Asks: true})
	q, ok := errors.AsType[*QuestionError](err)
	if !ok || !q.Place || !q.Grade || !q.ByWords || q.Part.Code != "P4" || len(q.Places) > 0 || !errors.Is(err, ErrRefused) {
		t.Fatalf("%+v, %v: want place and grade of P4", q, err)
	}
	b, err := put(Putting{Quantity: "2", Part: []string{"P4"}, Origin: "unknown", Place: "k2", Asks: true, Bag: Bag{Grade: "usable"}})
	if err != nil || b.Place != "K2" || b.Grade != "usable" || b.Owner != Own {
		t.Errorf("%+v, %v", b, err)
	}
	if _, err = put(Putting{Quantity: "5", Part: []string{"P4"}, Origin: "bought", Place: "K1"}); err != nil {
		t.Fatal(err)
	}
	_, err = put(Putting{Quantity: "1", Part: []string{"P4"}, Origin: "bought"})
	if q, ok = errors.AsType[*QuestionError](err); !ok || !slices.Equal(q.Places, []code.Code{"K1", "K2"}) || q.Best != "K1" || q.Grade || !errors.Is(err, ErrSeveral) {
		t.Errorf("%+v, %v: want one of K1, which has 5, and K2, which has 2", q, err)
	}
}

// A name that is nothing says what it is instead, or what is one slip away.
func TestUnknown(t *testing.T) {
	s := newStore(t)
	for _, tt := range []struct {
		name  string
		kinds []string
		other string
		near  []code.Code
	}{
		{"k1", []string{"bag", "part"}, "place:K1", nil},
		{"b7", []string{"bag", "part"}, "", []code.Code{"B6", "B5", "B4"}},
		{"501", []string{"job"}, "", []code.Code{"101"}},
		{"a3", []string{"model"}, "", []code.Code{"A-1", "A-2"}},
		{"nonsense", []string{"part"}, "", nil},
	} {
		t.Run(tt.name, func(t *testing.T) {
			err := s.View(func(v *View) error { _, err := v.Thing(tt.name, tt.kinds...); return err })
			e, ok := errors.AsType[*UnknownError](err)
			if !ok || !errors.Is(err, ErrNotFound) {
				t.Fatal(err)
			}
			if !slices.Equal(e.Near, tt.near) || (len(e.Others) > 0) != (tt.other != "") || tt.other != "" && e.Others[0].String() != tt.other {
				t.Errorf("near %v, instead %v", e.Near, e.Others)
			}
		})
	}
}

// A bag that pieces of another origin go into is of several, its cost the sum.
func TestPutIntoAnotherOrigin(t *testing.T) {
	s := newStore(t)
	cost := code.Cents(150)
	var bag Bag
	for _, p := range []Putting{{Origin: "bought", Place: "K1"}, {Origin: "unknown"}} {
		p.Quantity, p.Part, p.Into, p.Bag.Cost = "1", []string{"P4"}, string(bag.Code), &cost
		mustBook(t, s, func(t *Tx) error {
			b, err := t.PutPieces(p)
			if err != nil {
				return err
			}
			bag, err = t.Bag(b.Code)
			return err
		})
	}
	if bag.Origin != "several" || *bag.Cost != 300 || state(t, s, bag.Code).OnHand() != 2 {
		t.Errorf("%+v: want origin several, 3.00 and 2 pieces", bag)
	}
}
