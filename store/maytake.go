package store

import "tinful/store/code"

// A Use is what pieces of a bag are wanted for.
type Use struct {
	What  What      // Fitted or Held, for the sentence that refuses a grade
	Owner string    // whose pieces will do beside the workshop's own, empty for nobody's
	Job   code.Code // what is held for this job may be taken as well
	N     int64     // how many, 0 for any number
	Worn  bool      // bags graded scrap or pattern will do
}

// Free is how many pieces of a bag may be taken for the use.
func (u Use) Free(st State) int64 { return st.Free() + st.HeldForJob(u.Job) }

// MayTake refuses pieces that may not be taken for a use: they belong to somebody
// else than its owner or to an uncollected repair, are graded scrap or pattern, or
// fewer are free, those held for other jobs not among them. It is the one place
// where that is decided.
func (v *View) MayTake(b Bag, st State, use Use) error {
	if err := untouched(b.Code, "belongs to", b.Owner); err != nil {
		return err
	}
	switch {
	case !MayHave(b.Owner, use.Owner):
		return refuse("%s belongs to %s: only for a job of the same owner", b.Code, b.Owner)
	case !use.Worn && Worn(st.Grade):
		return refuseAs(WornGrade, "%s is graded %s and is not %s", b.Code, st.Grade, use.What)
	}
	return v.enough(use.N, b, st, use.Free(st))
}

// untouched refuses what is or belongs to an uncollected repair: a bag for [View.MayTake],
// a parts camera for [Donor.Gives], which a strip-down and a put ask. A count takes
// nothing: what it corrects is how things are, whoever owns them.
func untouched(thing code.Code, is, owner string) error {
	return unless(owner != OwnerHeld, "%s %s an uncollected repair whose notice runs: nothing may be taken from it", thing, is)
}

// MayHave tells whether what belongs to somebody may be taken for an owner: what is the
// workshop's, and the owner's own; nothing of an uncollected repair.
func MayHave(of, owner string) bool {
	return of == Own || of == "" || of != OwnerHeld && of == owner
}

// Free is how many pieces of a bag are free: none where its part is not known, for
// nobody can ask for them.
func (b Bag) Free(st State) int64 {
	if b.Part == "" {
		return 0
	}
	return st.Free()
}

// Ours tells whether a bag is the workshop's own.
func (b Bag) Ours() bool { return b.Owner == Own || b.Owner == "" }

// Worn tells whether pieces of a grade are kept for other ends than to be fitted.
func Worn(grade string) bool { return grade == "scrap" || grade == "pattern" }
