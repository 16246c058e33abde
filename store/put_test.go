package store

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"tinful/store/code"
	"tinful/store/dim"
)

// Pieces that come into the house: the bag they go into, what is asked, said and
// refused. PC-1 is customer 7's and had no P1 when it was looked at, PC-2 is the
// workshop's; P2 is wanted; of newStore's bags B1 (3 ready) and B2 (2 usable) of P1 lie
// in K1, B4 in K2 has 37 unsorted pieces.
func TestPutPieces(t *testing.T) {
	for _, tt := range []struct {
		name string
		put  Putting
		want string // bag, its pieces, grade, place and owner
		said ReasonKind
		err  error
		text string
	}{
		{"into the bag of its grade", Putting{Quantity: "2", Part: []string{"P1"}, Origin: "bought", Bag: Bag{Grade: "ready"}}, "B1 5 ready K1 own", "", nil, ""},
		{"of another grade: a new bag, where the part lies", Putting{Quantity: "2", Part: []string{"P1"}, Origin: "Bought"}, "B201 2 new K1 own", "", nil, ""},
		{"a code for a new bag", Putting{Quantity: "2", Part: []string{"P1"}, Origin: "bought", Bag: Bag{Code: "B50", Grade: "ready"}}, "B50 2 ready K1 own", "", nil, ""},
		{"into the bag named", Putting{Quantity: "2", Part: []string{"B2"}, Origin: "unknown", Into: "b2"}, "B2 4 usable K1 own", "", nil, ""},
		{"by words, a length", Putting{Quantity: "1m", Part: []string{"yarn"}, Origin: "bought"}, "B3 5000 new K2 own", "", nil, ""},
		{"from a customer's parts camera", Putting{Quantity: "1", Part: []string{"P2"}, Origin: "pc-1", Place: "K2"}, "B201 1 unknown K2 customer 7", TheirOwner, nil, ""},
		{"that was seen missing there", Putting{Quantity: "1", Part: []string{"P1"}, Origin: "PC-1"}, "B201 1 unknown K1 customer 7", SeenMissing, nil, ""},
		{"that was wanted", Putting{Quantity: "1", Part: []string{"P2"}, Origin: "PC-2", Place: "K2"}, "B201 1 unknown K2 own", WasWanted, nil, ""},
		{"made after another part", Putting{Quantity: "1", Part: []string{"P2"}, Origin: "made", Like: "B1", Place: "K2"}, "B201 1 made K2 own", OtherPattern, nil, ""},
		{"sorted out of an unsorted bag", Putting{Quantity: "5", Part: []string{"P1"}, Origin: "B4", Place: "K2", Bag: Bag{Grade: "usable"}}, "B201 5 usable K2 own", "", nil, ""},
		{"no place is known", Putting{Quantity: "1", Part: []string{"P4"}, Origin: "bought"}, "", "", ErrRefused, "no bag of P4 lies anywhere yet: say where this one goes"},
		{"no grade is known", Putting{Quantity: "1", Part: []string{"P1"}, Origin: "PC-2", Asks: true}, "", "", ErrRefused, "the grade of P1 is not said"},
		{"no such origin", Putting{Quantity: "1", Part: []string{"P1"}, Origin: "PC-9"}, "", "", ErrNotFound, ""},
		{"nought", Putting{Quantity: "0", Part: []string{"P1"}, Origin: "bought"}, "", "", ErrRefused, "0 is no number of pieces to book"},
		{"no number", Putting{Quantity: "many", Part: []string{"P1"}, Origin: "bought"}, "", "", ErrUsage, ""},
		{"a bag of another part", Putting{Quantity: "1", Part: []string{"P1"}, Origin: "bought", Into: "B3"}, "", "", ErrRefused, "B3 holds P3, and this is P1: nothing is booked"},
		{"an unsorted bag", Putting{Quantity: "1", Part: []string{"P1"}, Origin: "bought", Into: "B4"}, "", "", ErrRefused, "B4 holds no known part, and this is P1: nothing is booked"},
		{"a customer's bag", Putting{Quantity: "1", Part: []string{"P1"}, Origin: "bought", Into: "B5"}, "", "", ErrRefused, "B5 belongs to customer 5, and this to own"},
		{"a bag of another grade", Putting{Quantity: "1", Part: []string{"P1"}, Origin: "bought", Into: "B1", Bag: Bag{Grade: "scrap"}}, "", "", ErrRefused, "B1 is graded ready, and this is scrap: put it into a bag of its own"},
		{"a bag in another place", Putting{Quantity: "1", Part: []string{"P1"}, Origin: "bought", Into: "B1", Place: "K2"}, "", "", ErrRefused, "B1 lies in K1: leave the place out, or put it into a bag of its own"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s := newStore(t)
			mustBook(t, s, func(x *Tx) error {
				return putAll(x, Donor{Code: "PC-1", Model: "A-1", Owner: "customer 7"}, Donor{Code: "PC-2", Model: "A-1", Owner: Own},
					Seen{Donor: "PC-1", Part: "P1", Seen: "missing", Date: day0}, Want{Date: day0, Part: "P2"})
			})
			var in Bag
			res, err := s.Book(head(), func(x *Tx) (err error) { in, err = x.PutPieces(tt.put); return err })
			if tt.err != nil {
				if !errors.Is(err, tt.err) || !strings.HasPrefix(err.Error(), tt.text) {
					t.Errorf("%v, want %v: %s", err, tt.err, tt.text)
				}
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			st := state(t, s, in.Code)
			var b Bag
			s.View(func(v *View) (err error) { b, err = v.Bag(in.Code); return err })
			if got := fmt.Sprintf("%s %d %s %s %s", in.Code, st.OnHand(), st.Grade, st.Place, b.Owner); got != tt.want {
				t.Errorf("%s, want %s", got, tt.want)
			}
			if tt.said != "" && !slices.Contains(ReasonKinds(res.Said), tt.said) {
				t.Errorf("said %v, want %s", res.Said, tt.said)
			}
			if tt.put.Origin == "B4" && state(t, s, "B4").OnHand() != 32 {
				t.Errorf("B4 has %d, want 37 less 5", state(t, s, "B4").OnHand())
			}
		})
	}
}

// A part of another thread form than the camera's is refused by that alone, and nobody
// turns it into "direct" unsaid. A-1 is Loewenherz, A-2 metric.
func TestThreadOfAnotherForm(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, func(x *Tx) error {
		p := threaded("P9", "M1.4")
		q := threaded("P10", "M1.4")
		q.Seat = "shutter"
		return putAll(x, p, q, Model{Code: "SH-3", Kind: "shutter", Form: "metric"})
	})
	words := func(c code.Code, cam Camera) (text string) {
		if err := s.View(func(v *View) error {
			p, err := v.Part(c)
			all, err2 := v.Verdicts(p, cam)
			for _, d := range all {
				text += d.Words() + "\n"
			}
			return errors.Join(err, err2)
		}); err != nil {
			t.Fatal(err)
		}
		return text
	}
	for _, tt := range []struct {
		part  code.Code
		cam   Camera
		never bool
	}{
		{"P9", Camera{Model: "A-1"}, true}, {"P9", Camera{Model: "A-2"}, false},
		{"P10", Camera{Model: "A-1", Shutter: "SH-3"}, false}, // it sits in the shutter, which is metric
	} {
		got := words(tt.part, tt.cam)
		if strings.Contains(got, "it binds after a few turns and ruins the hole") != tt.never {
			t.Errorf("%s in %+v: %q", tt.part, tt.cam, got)
		}
	}
	for _, m := range []code.Code{"A-1", "A-2"} {
		_, err := s.Book(head(), func(x *Tx) error {
			_, _, err := x.SayGoes(Stating{Goes: Goes{Part: "P9", Model: m, Note: "short"}, HasNote: true})
			return err
		})
		r, ok := errors.AsType[*Refusal](err)
		if never := m == "A-1"; never != ok || never && r.Kind != NeverFollows || !never && err != nil {
			t.Errorf("%s: %v", m, err)
		}
	}
}

func threaded(c code.Code, thread string) Part {
	return Part{Code: c, Name: "cheese screw", Class: "SCR-CHS", Marks: map[dim.Field]string{dim.Thread: thread}}
}
