package store

import (
	"errors"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/words"
)

// An OldItem is a customer's piece as it was typed: what it is is looked up when it is
// booked.
type OldItem struct {
	Old
	Name     []string // a part, by its code or words of its name; words that are no part are kept
	WordsAre bool     // the words are no part
}

// NotedBefore is the kind of a reason that says which parts of new old pieces are
// among a job's old pieces already, the code being the job's.
const NotedBefore ReasonKind = "noted-before"

// TakeOutAll notes pieces that came out of a job's camera, or that were lost of it,
// all of them or none: see [Tx.TakeOut].
func (t *Tx) TakeOutAll(job code.Code, list []OldItem, anyway bool) ([]Old, error) {
	var noted []Old
	var again []code.Code
	for _, o := range list {
		o.Job = job
		if err := t.nameOld(&o); err != nil {
			return nil, err
		}
		had, err := t.OldOf(job)
		if err != nil {
			return nil, err
		}
		for _, x := range had {
			if o.Part != "" && x.Part == o.Part && x.Settled == 0 && !slices.Contains(again, o.Part) {
				again = append(again, o.Part)
			}
		}
		kept, err := t.TakeOut(o.Old, anyway)
		if err != nil {
			return nil, err
		}
		noted = append(noted, kept)
	}
	if len(again) > 0 {
		t.Say(Say(NotedBefore, "job %s has %s among its old pieces already: if it is the same piece, undo this", job, words.And(again)).Of(job))
	}
	return noted, nil
}

// nameOld finds the part of a customer's piece, or keeps the words. A bag is stock
// and no such piece.
func (t *Tx) nameOld(o *OldItem) error {
	if o.WordsAre {
		return t.keepWords(o)
	}
	if len(o.Name) == 1 && t.isBag(o.Name[0]) {
		return refuse("%s is a bag of stock: name the part of the customer's piece", o.Name[0])
	}
	p, _, err := t.called(o.Name)
	if errors.Is(err, ErrNotFound) && !mayBeCode(o.Name[0]) {
		return t.keepWords(o)
	}
	o.Part = p.Code
	return err
}

func (t *Tx) keepWords(o *OldItem) (err error) {
	if o.Piece, err = CleanText(strings.Join(o.Name, " ")); err != nil {
		return Misread("%v", err)
	}
	return nil
}

// isBag tells whether a token is a bag and no part.
func (v *View) isBag(token string) bool {
	return len(v.Resolve(token, "part")) == 0 && len(v.Resolve(token, "bag")) > 0
}

// OfCamera tells whether what is lost is of a customer's camera: parts, where a job
// is named or in hand. Bags are stock, and so is any bag of a part; it refuses bags
// beside a job that is named or beside parts.
func (v *View) OfCamera(r Request) (bool, error) {
	if r.Job == "" && (r.InHand == "" || r.Any) {
		return false, nil
	}
	var bags []string
	for _, it := range r.Items {
		if v.isBag(it.Token) {
			bags = append(bags, it.Token)
		}
	}
	switch {
	case len(bags) == 0:
		return true, nil
	case len(bags) == len(r.Items) && r.Job == "":
		return false, nil
	}
	return false, refuse("%s is stock, and with a job only pieces of its camera are lost: name the bags in a line of their own, without a job", strings.Join(bags, ", "))
}
