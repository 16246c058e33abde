package store

import (
	"fmt"

	"tinful/store/code"
)

// An Item is one thing of a request, as it was typed.
type Item struct {
	Token string   // a bag or part, or with Check words of a part's name
	Qty   string   // empty where no number is given
	Check []string // words that must be words of the part
	Line  int      // of the list it was read from, 0 for none
}

// A Request is a booking of pieces in stock as a person asks for it.
type Request struct {
	What   What // Fitted, Held, Unheld, Returned, Lent, Lost, Found, Scrapped, Sold, Moved, Graded, Joined or Split
	Items  []Item
	Job    string    // the job, empty for none
	InHand code.Code // where pieces are out with several jobs and none is named, this one comes first
	To     string    // to whom they are lent or sold, from whom they come back, the place, grade or bag
	Why    string
	Amount code.Cents // what all of them were sold for
	Due    code.Day   // when what is lent should be back
	Any    bool       // of several bags the one that can give most, noted as unsure
	Anyway bool       // though a rule is against it
}

// An ItemError says of which item of a request an error speaks. It unwraps to the
// error.
type ItemError struct {
	Nth int // from 0
	Item
	Err error
}

// Unwrap returns the error of that item.
func (e *ItemError) Unwrap() error { return e.Err }

// Error names the line of the list, where the item was read from one.
func (e *ItemError) Error() string {
	if e.Line == 0 {
		return e.Err.Error()
	}
	return fmt.Sprintf("line %d: %v", e.Line, e.Err)
}

// A taking is a request while it is booked.
type taking struct {
	*Tx
	Request
	doing
	job Job
}

// Kinds of what is said beside the result of a request.
const (
	FoundByWords ReasonKind = "by-words"    // which part the words led to
	ForInHand    ReasonKind = "for-in-hand" // which job it is booked for without being named
	ReadAs       ReasonKind = "read-as"     // what was read otherwise than it was written
	RunsLow      ReasonKind = "runs-low"    // which part is likely to run out
)

// Pieces books what a request asks for, all of it or nothing. A code or words that
// name nothing are an [UnknownError], a part of which several bags would do a
// [ChoiceError], both in an [ItemError].
func (t *Tx) Pieces(r Request) error {
	if t.memo == nil {
		t.memo = &memo{brief: true, books: true} // one rule after another asks for the same few
	}
	k := &taking{Tx: t, Request: r, doing: doings()[r.What]}
	if r.What == Sold && len(r.Items) > 1 {
		return Misread("one thing is sold at a time: the amount is for all its pieces")
	}
	if r.Job != "" {
		ref, err := t.Thing(r.Job, "job")
		if err != nil {
			return err
		}
		if k.job, err = t.Job(ref.Code); err != nil {
			return err
		}
	}
	if k.to != "" && r.To != "" {
		ref, err := t.Thing(r.To, k.to)
		if err != nil {
			return err
		}
		k.To = string(ref.Code)
	}
	for i, it := range r.Items {
		if err := k.item(it); err != nil {
			return &ItemError{i, it, err}
		}
	}
	return nil
}

func (t *taking) item(it Item) error {
	k, err := t.choose(it)
	if err != nil {
		return err
	}
	st, err := t.State(k.Bag)
	if err != nil {
		return err
	}
	switch {
	case t.What == Returned && k.To != "" && owed(st.LentTo, k.To) == 0:
		return refuse("%s has nothing lent to %s", k.Bag, k.To)
	case k.Job == "" && t.InHand != "" && t.preferred(st):
		k.Job = t.InHand
		t.sayInHand()
	}
	if err := t.book(t.Tx, k); err != nil {
		return t.meant(k, err)
	}
	if t.into {
		t.doubted(k)
	}
	return nil
}

// preferred tells whether pieces that stand with several jobs are taken from the job
// in hand.
func (t *taking) preferred(st State) bool {
	switch t.What {
	case Returned:
		return t.To == "" && st.Lent() == 0 && st.FittedInJob(t.InHand) > 0
	case Unheld:
		return len(st.HeldFor) > 1 && st.HeldForJob(t.InHand) > 0
	}
	return false
}

// sayInHand says that pieces come from the job in hand.
func (t *taking) sayInHand() {
	if j, err := t.View.Job(t.InHand); err == nil {
		t.Say(Say(ForInHand, "for %s", j.Words()).Of(j.Code))
	}
}
