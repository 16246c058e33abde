package commands

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/store"
	"tinful/store/code"
)

// mostSlips is how many bags one slip away are named.
const mostSlips = 3

// meant adds to the refusal of a bag that does not go into the job's camera the bags
// one slip of the finger away that would.
func meant(t *store.Tx, k store.Take, refusal error) error {
	if !errors.Is(refusal, store.ErrRefused) || k.Job == "" || k.Anyway {
		return refusal
	}
	j, err := t.Job(k.Job)
	if err != nil || j.TakesPieces() != nil { // a closed job takes none of them
		return refusal
	}
	if goes, never := wouldGo(&t.View, k.Bag, j); goes || !never {
		return refusal
	}
	if names := slipsAway(&t.View, k, j, false); names != "" {
		return fmt.Errorf("%w\n%s was typed; one slip away and would go: %s", refusal, k.Bag, names)
	}
	return refusal
}

// missed adds to the error of a code that is nothing the bags one slip away that go
// into the job's camera.
func missed(v *store.View, p line.Pair, w wish, err error) error {
	own, perr := code.Parse(p.Token)
	if !errors.Is(err, store.ErrNotFound) || perr != nil || w.job.Code == "" {
		return err
	}
	if names := slipsAway(v, store.Take{Bag: own, N: 1, Check: p.Check}, w.job, false); names != "" {
		return fmt.Errorf("%w\none slip away and would go: %s", err, names)
	}
	return err
}

// doubted says that nothing is recorded of a bag's part in the job's camera while a
// bag one slip away is known to go in; empty where there is nothing to say.
func doubted(v *store.View, k store.Take) string {
	j, err := v.Job(k.Job)
	if err != nil {
		return ""
	}
	if goes, never := wouldGo(v, k.Bag, j); goes || never {
		return ""
	}
	names := slipsAway(v, k, j, true)
	if names == "" {
		return ""
	}
	return fmt.Sprintf("nothing is recorded of %s in %s; one slip away and known to go in: %s", k.Bag, j.Model, names)
}

// slipsAway names the bags one slip away from the code typed that hold what was asked
// for free, have the check words and go into a job's camera, at most mostSlips: two
// digits swapped first, then those of the same kind of part. With near set others are
// left out.
func slipsAway(v *store.View, typed store.Take, j store.Job, near bool) string {
	kind, first := kindOfBag(v, typed.Bag), []string{}
	var like, unlike []string
	for i, c := range slips(typed.Bag) {
		name := wouldDo(v, c, typed, j)
		switch {
		case name == "":
		case i < len(swapped(typed.Bag)):
			first = append(first, name)
		case kind != "" && kind == kindOfBag(v, c):
			like = append(like, name)
		case !near:
			unlike = append(unlike, name)
		}
	}
	names := slices.Concat(first, like, unlike)
	return strings.Join(names[:min(len(names), mostSlips)], ", ")
}

// kindOfBag is the first word of the class of a bag's part: SCR of SCR-CHS.
func kindOfBag(v *store.View, bag code.Code) string {
	b, err := v.Bag(bag)
	if err != nil {
		return ""
	}
	p, _ := v.Part(b.Part) // one without a part has no class
	kind, _, _ := strings.Cut(p.Class, "-")
	return kind
}

// wouldDo names a bag that has what was asked for free and goes into the job's
// camera, empty for one that does not.
func wouldDo(v *store.View, bag code.Code, typed store.Take, j store.Job) string {
	b, err := v.Bag(bag)
	if err != nil || b.Owner != store.Own {
		return ""
	}
	st, err := v.State(bag)
	if err != nil || st.Free() < max(typed.N, 1) || st.Grade == "scrap" || st.Grade == "pattern" {
		return ""
	}
	if goes, _ := wouldGo(v, bag, j); !goes {
		return ""
	}
	p, err := v.Part(b.Part)
	if err != nil || store.CheckWords(bag, p, typed.Check) != nil {
		return ""
	}
	return string(bag) + " " + p.Name
}

// wouldGo tells whether it is recorded that a bag's part goes into a job's camera,
// and whether it never does.
func wouldGo(v *store.View, bag code.Code, j store.Job) (goes, never bool) {
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
	goes = slices.ContainsFunc(verdicts, store.Verdict.Usable)
	return goes, !slices.ContainsFunc(verdicts, func(d store.Verdict) bool { return !d.Never() })
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
