package commands

import (
	"errors"
	"fmt"
	"slices"
	"strings"

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
	if err != nil {
		return refusal
	}
	if goes, never := wouldGo(&t.View, k.Bag, j); goes || !never {
		return refusal
	}
	var names []string
	for _, c := range slips(k.Bag) {
		if name := wouldDo(&t.View, c, k, j); name != "" && len(names) < mostSlips {
			names = append(names, name)
		}
	}
	if len(names) == 0 {
		return refusal
	}
	return fmt.Errorf("%w\none slip away and would go: %s", refusal, strings.Join(names, ", "))
}

// wouldDo names a bag that could give what was asked for and goes into the job's
// camera, empty for one that does not.
func wouldDo(v *store.View, bag code.Code, k store.Take, j store.Job) string {
	b, err := v.Bag(bag)
	if err != nil || b.Owner != store.Own {
		return ""
	}
	st, err := v.State(bag)
	if err != nil || st.Free()+st.HeldForJob(j.Code) < k.N || st.Grade == "scrap" || st.Grade == "pattern" {
		return ""
	}
	if goes, _ := wouldGo(v, bag, j); !goes {
		return ""
	}
	p, err := v.Part(b.Part)
	if err != nil {
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
	var out []code.Code
	b := []byte(c)
	isDigit := func(x byte) bool { return x >= '0' && x <= '9' }
	for i := 0; i+1 < len(b); i++ {
		if isDigit(b[i]) && isDigit(b[i+1]) && b[i] != b[i+1] {
			s := slices.Clone(b)
			s[i], s[i+1] = s[i+1], s[i]
			out = append(out, code.Code(s))
		}
	}
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
