package store

import (
	"errors"
	"slices"
	"testing"

	"tinful/store/code"
	"tinful/store/dim"
)

// What done asks: of each fitted piece what became of it, then in one question how
// those went in of which nobody has stated it. Of P1 in A-1 it is stated that it goes,
// of P2 nothing is (newStore).
func TestDoneAsks(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, fit("B1", 1, "105"))
	asks := func() (out []Question) {
		if err := s.View(func(v *View) (err error) { out, err = v.DoneAsks("105"); return err }); err != nil {
			t.Fatal(err)
		}
		return out
	}
	if got := asks(); len(got) != 1 || got[0].What != AskTested || got[0].Pieces[0].Bag.Code != "B1" || got[0].Pieces[0].Name == "" {
		t.Errorf("what is stated is asked for: %+v", got)
	}
	mustBook(t, s, func(x *Tx) error {
		return x.Put(Goes{Part: "P1", Model: "A-1", Degrees: []string{"unproven"}, Evidence: "photo"})
	})
	got := asks()
	if len(got) != 2 || got[1].What != AskWent || len(got[1].Pieces) != 1 || !slices.Equal(got[1].Words, WentWords) {
		t.Errorf("what is unproven is not asked for: %+v", got)
	}
}

// An arrival that is refused asks nothing; a number is given back while nothing in the
// book names it, and only then.
func TestArrivalNumbers(t *testing.T) {
	s := newStore(t)
	arrive := func(j Job, anyway bool) (Result, code.Code) {
		var out Arrived
		j.Model, j.Owner = "A-1", "E.B."
		res := mustBook(t, s, func(x *Tx) (err error) {
			out, err = x.Arrive(Arrival{Job: j, NoTray: true, Anyway: anyway})
			return err
		})
		return res, out.Job.Code
	}
	undo := func(r Result) {
		if _, err := s.Undo(head(), r.Booking.Number); err != nil {
			t.Fatal(err)
		}
	}
	res, first := arrive(Job{BodyNo: "901"}, false)
	err := s.View(func(v *View) error {
		_, err := v.ArrivalAsks(Arrival{Job: Job{Model: "A-1", BodyNo: "901", Owner: "E.B."}})
		return err
	})
	if r, ok := errors.AsType[*Refusal](err); !ok || r.Kind != HereAlready || r.Codes[0] != first {
		t.Errorf("the camera is here: %v", err)
	}
	undo(res)
	res, again := arrive(Job{BodyNo: "902"}, false)
	if again != first {
		t.Errorf("the next arrival is %s, want %s again", again, first)
	}
	fitted := mustBook(t, s, fit("B1", 1, again))
	undo(fitted)
	undo(res)
	if _, third := arrive(Job{BodyNo: "903"}, false); third == first {
		t.Errorf("%s is given away though the book names it", third)
	}
	if res, own := arrive(Job{Code: "200", BodyNo: "904"}, false); own != "200" {
		t.Errorf("the number asked for is 200, got %s", own)
	} else {
		undo(res)
	}
	if _, next := arrive(Job{BodyNo: "905"}, false); next == "200" || next == "201" {
		t.Errorf("%s follows a number that was taken back", next)
	}
}

// A statement keeps what is not said now; never is not turned into direct unsaid.
func TestSayGoes(t *testing.T) {
	s := newStore(t)
	say := func(in Stating) (now Goes, err error) {
		in.Part, in.Model = "P1", "A-1"
		_, err = s.Book(head(), func(x *Tx) (err error) { _, now, err = x.SayGoes(in); return err })
		return now, err
	}
	rework := Stating{Goes: Goes{Degrees: []string{"rework"}, Operation: "file the end", Evidence: "tried"}, HasDegree: true, HasOperation: true, HasEvidence: true}
	if now, err := say(rework); err != nil || now.Operation != "file the end" || now.Evidence != "tried" {
		t.Fatalf("%+v, %v", now, err)
	}
	if now, err := say(Stating{Goes: Goes{Note: "slow"}, HasNote: true}); err != nil || now.Operation != "file the end" || now.Evidence != "tried" || now.Note != "slow" {
		t.Errorf("a note changes more than the note: %+v, %v", now, err)
	}
	if now, err := say(Stating{Goes: Goes{Degrees: []string{"no"}}, HasDegree: true}); err != nil || now.Operation != "" || now.Evidence != "compared" {
		t.Errorf("another degree has evidence of its own: %+v, %v", now, err)
	}
	_, err := say(Stating{Goes: Goes{Evidence: "run"}, HasEvidence: true})
	if r, ok := errors.AsType[*Refusal](err); !ok || r.Kind != NeverStated {
		t.Errorf("never became direct unsaid: %v", err)
	}
}

// A purchase names the camera that it fails on, and books none: the shares are by hand,
// 10.00 less 4.00 in two, 6.00 / 2.
func TestPurchase(t *testing.T) {
	s := newStore(t)
	own := code.Cents(400)
	in := Purchase{Lot: true, Price: 1000, Post: 1, Cameras: []Purchased{{Donor: Donor{Model: "A-1", BodyNo: "1"}}, {Donor: Donor{Model: "A-1", BodyNo: "2"}, Price: &own}, {Donor: Donor{Model: "A-1", BodyNo: "3"}}}}
	mustBook(t, s, func(x *Tx) error {
		out, err := x.Purchase(in)
		if len(out) != 3 || *out[0].Price != 300 || *out[1].Price != 400 || *out[2].Price != 300 || *out[0].Post != 1 || out[0].Lot == "" || out[2].Lot != out[0].Lot {
			t.Errorf("%+v", out)
		}
		return err
	})
	in.Cameras[1].Donor.Model = "ZZ-9"
	_, err := s.Book(head(), func(x *Tx) error { _, err := x.Purchase(in); return err })
	if e, ok := errors.AsType[*PurchaseError](err); !ok || e.Nth != 1 || !errors.Is(err, ErrNotFound) {
		t.Errorf("a model that is not there: %v", err)
	}
}

// A look says what is new and what it was; a reading of a bag is held against its part.
func TestLookAndMeasure(t *testing.T) {
	s := newStore(t)
	look := func(word string) (n LookNews) {
		mustBook(t, s, func(x *Tx) (err error) {
			n, err = x.Look(Looking{On: Ref{"job", "105"}, Seen: []Seen{{Part: "P1", Seen: word}}, Note: "at arrival"})
			return err
		})
		return n
	}
	if n := look("present"); len(n.Now) != 1 || n.Now[0].Note != "at arrival" || n.Before[0].Seen != "" {
		t.Errorf("%+v", n)
	}
	if n := look("damaged"); len(n.Now) != 1 || n.Before[0].Seen != "present" {
		t.Errorf("%+v", n)
	}
	read := func(ref Ref, microns int64) (out Reasons) {
		mustBook(t, s, func(x *Tx) (err error) {
			out, err = x.Measure(ref, map[dim.Field]Reading{dim.OD: {Value: microns, Tool: "micrometer"}})
			return err
		})
		return out
	}
	read(Ref{"part", "P1"}, 3000)
	if out := read(Ref{"bag", "B1"}, 3000); len(out) != 0 {
		t.Errorf("the same measure: %+v", out)
	}
	if out := read(Ref{"bag", "B1"}, 5000); len(out) != 1 || out[0].Kind != NotThePart || !slices.Equal(out[0].Codes, []code.Code{"B1", "P1"}) {
		t.Errorf("5 mm for 3 mm: %+v", out)
	}
}
