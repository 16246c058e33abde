package store

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tinful/store/code"
)

// mostSlips is how many bags one slip away are named.
const mostSlips = 3

// A SlipError is a refusal, or a code that is nothing, with the bags one slip of the
// finger away that would have gone into the job's camera. It unwraps to the refusal.
type SlipError struct {
	Err   error
	Typed code.Code // the bag that was typed, empty for one that is not there
	Slips []string  // bag and part: B203 film stop pawl spring
}

// Unwrap returns the error that what was typed met.
func (e *SlipError) Unwrap() error { return e.Err }

// Error names the slips on a line of their own.
func (e *SlipError) Error() string {
	typed := ""
	if e.Typed != "" {
		typed = string(e.Typed) + " was typed; "
	}
	return fmt.Sprintf("%v\n%sone slip away and would go: %s", e.Err, typed, strings.Join(e.Slips, ", "))
}

// meant adds to the refusal of a bag that does not go into the job's camera the bags
// one slip of the finger away that would.
func (t *taking) meant(k Take, refusal error) error {
	if !errors.Is(refusal, ErrRefused) || !t.into || k.Anyway || t.job.TakesPieces() != nil { // a closed job takes none of them
		return refusal
	}
	if goes, never := t.wouldGo(k.Bag, t.job); goes || !never {
		return refusal
	}
	return slipped(k.Bag, refusal, t.slipsAway(k, t.job, false))
}

// missed adds to the error of a code that is nothing the bags one slip away that go
// into the job's camera.
func (t *taking) missed(it Item, err error) error {
	own, perr := code.Parse(it.Token)
	if !errors.Is(err, ErrNotFound) || perr != nil || t.job.Code == "" {
		return err
	}
	return slipped("", err, t.slipsAway(Take{Bag: own, N: 1, Check: it.Check}, t.job, false))
}

func slipped(typed code.Code, err error, slips []string) error {
	if len(slips) == 0 {
		return err
	}
	if e, ok := errors.AsType[*UnknownError](err); ok {
		e.Near = nil // the slips say it better
	}
	return &SlipError{err, typed, slips}
}

// SlipAway is the kind of a reason that says that nothing is recorded of a bag in the
// job's camera while a bag one slip away is known to go in.
const SlipAway ReasonKind = "slip-away"

// doubted says what is not known of pieces that go into the job's camera: where
// nothing is recorded of them, which bag one slip away is known to go in.
func (t *taking) doubted(k Take) {
	b, st, err := t.BagState(k.Bag)
	if err != nil {
		return
	}
	doubts, _ := t.Doubts(b, st.Grade, t.job.Camera()) // what cannot be read was said before
	for _, r := range doubts {
		if r.Kind == NothingRecorded {
			if names := t.slipsAway(k, t.job, true); len(names) > 0 {
				r = Say(SlipAway, "nothing is recorded of %s in %s; one slip away and known to go in: %s", k.Bag, t.job.Model, strings.Join(names, ", ")).Of(k.Bag)
			}
		}
		t.Say(r)
	}
	if gone, err := t.UnitLacks(b); err == nil && len(gone) > 0 {
		t.Say(Say(Incomplete, "%s is not complete: without %s", k.Bag, GoneWords(gone)).Of(k.Bag))
	}
}

// slipsAway names the bags one slip away from the code typed that hold what was asked
// for free, have the check words and go into a job's camera, at most mostSlips: two
// digits swapped first, then those of the same kind of part. With near set others are
// left out.
func (v *View) slipsAway(typed Take, j Job, near bool) []string {
	_, kind := v.partIn(typed.Bag)
	swaps := len(swapped(typed.Bag))
	var first, like, unlike []string
	for i, c := range slips(typed.Bag) {
		if i >= swaps && len(first)+len(like) >= mostSlips {
			break
		}
		part, of := v.partIn(c)
		alike := kind != "" && of == kind
		if part == "" || near && i >= swaps && !alike || !v.statedToGo(part, j) {
			continue // nearly all, before more is read of them
		}
		name := v.wouldDo(c, typed, j)
		switch {
		case name == "":
		case i < swaps:
			first = append(first, name)
		case alike:
			like = append(like, name)
		default:
			unlike = append(unlike, name)
		}
	}
	names := slices.Concat(first, like, unlike)
	return names[:min(len(names), mostSlips)]
}

// partIn peeks at the part in a bag and at the first word of its class, SCR of SCR-CHS:
// nothing where there is none.
func (v *View) partIn(bag code.Code) (part code.Code, kind string) {
	x := v.at(bBag, keyCode(bag))
	if x == nil {
		return "", ""
	}
	b, err := peek(bBag, keyCode(bag), x)
	if c := code.Code(b.text(2)); err == nil && c != "" {
		p, _ := v.PartSketch(c) // one that cannot be read is none
		part, kind = p.Code, p.Class
	}
	kind, _, _ = strings.Cut(kind, "-")
	return part, kind
}

// statedToGo tells by the index of statements whether a part goes into a job's camera: of
// what follows from twin or thread nothing lets it.
func (v *View) statedToGo(part code.Code, j Job) bool {
	said, err := v.Stated(part, j.Camera())
	return err == nil && slices.ContainsFunc(said, Verdict.Usable)
}

// wouldDo names a bag that has what was asked for free and goes into the job's
// camera, empty for one that does not.
func (v *View) wouldDo(bag code.Code, typed Take, j Job) string {
	b, st, err := v.BagState(bag)
	if err != nil || v.MayTake(b, st, Use{N: max(typed.N, 1)}) != nil {
		return ""
	}
	if goes, _ := v.wouldGo(bag, j); !goes || v.IsPart(b, typed.Check) != nil {
		return ""
	}
	p, err := v.Part(b.Part)
	if err != nil {
		return ""
	}
	return string(bag) + " " + p.Called()
}

// wouldGo tells whether it is recorded that a bag's part goes into a job's camera,
// and whether it never does.
func (v *View) wouldGo(bag code.Code, j Job) (goes, never bool) {
	b, err := v.Bag(bag)
	if err != nil {
		return false, false
	}
	p, err := v.Part(b.Part)
	if err != nil {
		return false, false
	}
	verdicts, err := v.Verdicts(p, j.Camera())
	if err != nil || len(verdicts) == 0 {
		return false, false
	}
	return slices.ContainsFunc(verdicts, Verdict.Usable), !slices.ContainsFunc(verdicts, func(d Verdict) bool { return !d.Never() })
}

// slips are the codes with two digits swapped or one digit another, the likeliest
// first: swapped, then by how far the digit is.
func slips(c code.Code) []code.Code {
	out := swapped(c)
	b := []byte(c)
	for far := 1; far <= 9; far++ {
		for i := len(b) - 1; i >= 0; i-- {
			for _, d := range []int{far, -far} {
				x := int(b[i]) + d
				if isDigit(b[i]) && x >= '0' && x <= '9' {
					s := slices.Clone(b)
					s[i] = byte(x)
					out = append(out, code.Code(s))
				}
			}
		}
	}
	return out
}

// swapped are the codes with two digits side by side swapped.
func swapped(c code.Code) []code.Code {
	var out []code.Code
	b := []byte(c)
	for i := 0; i+1 < len(b); i++ {
		if isDigit(b[i]) && isDigit(b[i+1]) && b[i] != b[i+1] {
			s := slices.Clone(b)
			s[i], s[i+1] = s[i+1], s[i]
			out = append(out, code.Code(s))
		}
	}
	return out
}

func isDigit(x byte) bool { return x >= '0' && x <= '9' }
