package store

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store/code"
)

// A Tray is a place for the pieces of a job, and who has it.
type Tray struct {
	Place Place
	Job   code.Code // the job whose camera is in it
	Done  code.Code // else the last closed job that names it: its camera may lie there still
	Full  bool      // pieces of the workshop's own lie in it
}

// Trays lists the places that are job trays, told by Where and For, in order of
// codes.
func (v *View) Trays() ([]Tray, error) {
	var out []Tray
	err := v.EachPlace(func(p Place) error {
		if IsTray(p) {
			out = append(out, Tray{Place: p})
		}
		return nil
	})
	for i := range out {
		v.scan(bJobByTray, prefix(out[i].Place.Code), func(job, stands []byte) error {
			if stands[0] == jobGone {
				out[i].Done = code.Code(job)
			} else {
				out[i].Job = code.Code(job)
			}
			return nil
		})
	}
	for i := range out {
		if err == nil {
			out[i].Full, err = v.holdsOwn(out[i].Place.Code)
		}
	}
	return out, err
}

func (v *View) holdsOwn(place code.Code) (bool, error) {
	for _, c := range v.BagsAt(place) {
		b, st, err := v.BagState(c)
		if err != nil || b.Owner == Own && st.OnHand() > 0 {
			return err == nil, err
		}
	}
	return false, nil
}

// FreeTray picks the tray for a new job: one in which no camera is, an empty one
// that no closed job names before the others. It is false where there is none.
func FreeTray(trays []Tray) (Tray, bool) {
	best, found, least := Tray{}, false, 3
	for _, t := range trays {
		inWay := 0
		if t.Done != "" {
			inWay++
		}
		if t.Full {
			inWay++
		}
		if t.Job == "" && inWay < least {
			best, found, least = t, true, inWay
		}
	}
	return best, found
}

// Words are the job with its model and owner: job 105 (W1-B, customer 5).
func (j Job) Words() string {
	about := slices.DeleteFunc([]string{string(j.Model), j.Owner}, func(s string) bool { return s == "" })
	if len(about) == 0 {
		return fmt.Sprintf("job %s", j.Code)
	}
	return fmt.Sprintf("job %s (%s)", j.Code, strings.Join(about, ", "))
}

// InHouse tells whether its camera is here: the job is open, or closed and the camera
// was not fetched.
func (j Job) InHouse() bool { return j.Closed == 0 || j.State == "ready" || j.State == "uncollected" }

// TakesPieces refuses a job that is closed.
func (j Job) TakesPieces() error {
	if j.Closed == 0 {
		return nil
	}
	return refuseAs(JobClosed, "job %s was closed on %s (%s)", j.Code, j.Closed, j.State).of(j.Code)
}

// Reopened takes the day it was closed off a job whose state is that of an open one,
// unless the day is another than before.
func Reopened(was Job, now *Job) {
	if now.Closed == was.Closed && !slices.Contains(ClosedStates, now.State) {
		now.Closed = 0
	}
}

// SameBody tells whether two body numbers are one number. No number, or a word
// without a digit such as "none", is equal to nothing.
func SameBody(a, b string) bool {
	return strings.ContainsAny(a, "0123456789") && code.Loose(a) == code.Loose(b)
}

// A Piece is what one job has of one bag.
type Piece struct {
	Bag  Bag
	Name string // of its part, as lines show it
	N    int64
	Held bool // set aside for it, else fitted in it
}

// PiecesOf lists what is fitted in a job's camera and what is held for it, less
// what came back, in the order it was first booked.
func (v *View) PiecesOf(job code.Code) ([]Piece, error) {
	entries, err := v.EntriesFor(job)
	if err != nil {
		return nil, err
	}
	var out []Piece
	done := map[code.Code]bool{}
	for _, e := range entries {
		if done[e.Bag] || !v.has(bBag, e.Bag) {
			continue // its booking in was taken back
		}
		done[e.Bag] = true
		b, st, err := v.BagState(e.Bag)
		if err != nil {
			return nil, err
		}
		p, _ := v.Part(b.Part) // without one the piece has no name
		if n := st.FittedInJob(job); n != 0 {
			out = append(out, Piece{b, p.Called(), n, false})
		}
		if n := st.HeldForJob(job); n != 0 {
			out = append(out, Piece{b, p.Called(), n, true})
		}
	}
	return out, nil
}

// TakeOut notes a piece that came out of a customer's camera, or that was lost of
// it: it is the customer's and never stock. It gets the next number of its job.
// Returned and refused are settled at once.
func (t *Tx) TakeOut(o Old, anyway bool) (Old, error) {
	if _, err := t.jobFor(Take{Job: o.Job, Anyway: anyway}); err != nil {
		return o, err
	}
	had, err := t.OldOf(o.Job)
	if err != nil {
		return o, err
	}
	o.Nth = 1
	if n := len(had); n > 0 {
		o.Nth = had[n-1].Nth + 1
	}
	o.Day, o.By = t.head.Day, or(o.By, t.head.By)
	o.Settled = settledOn(o.Fate, t.head.Day)
	return o, cmp.Or(t.Put(o), t.Sound())
}

// settledOn is the day a piece is settled by what becomes of it, 0 while it lies
// here in an envelope or is lost and not made good.
func settledOn(fate string, day code.Day) code.Day {
	if fate == "returned" || fate == "refused" {
		return day
	}
	return 0
}

// Settle says what becomes of a customer's old piece: a Fate with its envelope, or
// an empty fate that settles it as it is. A piece that is settled stays so.
func (t *Tx) Settle(job code.Code, nth uint64, fate, where, note string) (Old, error) {
	o, err := get[Old](&t.View, bOld, keyOld(Old{Job: job, Nth: nth}), fmt.Sprintf("%s/%d", job, nth))
	if err != nil {
		return o, err
	}
	if o.Settled != 0 {
		return o, refuse("piece %d of job %s was settled on %s (%s) already", nth, job, o.Settled, or(o.Fate, "as it is"))
	}
	was := o.Fate
	if fate != "" {
		o.Fate = fate
	}
	o.Where, o.Note = or(where, o.Where), or(note, o.Note)
	if o.Settled = settledOn(o.Fate, t.head.Day); fate == "" {
		o.Settled = t.head.Day
	}
	if was == "lost" && fate != "" {
		o.Note = strings.TrimPrefix(o.Note+"; found again", "; ")
	}
	return o, cmp.Or(t.Put(o), t.Sound())
}

// Open tells whether a customer's piece is still to be handed back or made good.
func (o Old) Open() bool { return o.Settled == 0 }
