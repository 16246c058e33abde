package ask

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/ways"
)

// aYear is how many days may pass before a parts camera that gave nothing is named.
const aYear = 365

// A Shelf is what [Donors] answers: the workshop's own parts cameras that may
// still give something, and those that are stripped.
type Shelf struct {
	List     []Shelved   `json:"list"`
	Stripped []code.Code `json:"stripped"`
	Remarks  []string    `json:"remarks"` // about the stripped
}

// A Shelved is one parts camera that is not stripped.
type Shelved struct {
	Donor   code.Code   `json:"donor"`
	Model   code.Code   `json:"model,omitempty"`
	History string      `json:"history,omitempty"`
	State   string      `json:"state,omitempty"`
	Place   code.Code   `json:"place,omitempty"`
	Cost    code.Cents  `json:"cost_cents"` // price and post
	Worth   *code.Cents `json:"worth_cents,omitempty"`
	Bought  string      `json:"bought,omitempty"`
	Days    *int64      `json:"days,omitempty"` // since it was bought
	Holds   []code.Code `json:"holds"`          // parts that should still be in it
	Seen    []code.Code `json:"seen"`           // those of them that were seen; the others were not looked at
	Remarks []string    `json:"remarks"`
}

// Donors lists the own parts cameras not yet stripped, oldest first, with what
// should still be in them and what speaks against leaving them where they are.
func Donors(view *store.View, today code.Day) (Shelf, error) {
	v := read(view)
	s := Shelf{List: []Shelved{}, Stripped: []code.Code{}, Remarks: []string{}}
	type standing struct {
		code   code.Code
		state  string // of one that is stripped
		bought code.Day
		gave   bool // ever
	}
	in, models := newInsides(newLooking(v)), map[code.Code]bool{}
	var all []standing
	for d := range each(v, v.EachDonor) {
		switch own := d.Owner == store.Own; {
		case own && unstripped(d):
			all = append(all, standing{d.Code, "", d.Bought, false})
			for _, m := range in.models(&d) {
				models[m] = true
			}
		case own:
			all = append(all, standing{d.Code, d.State, d.Bought, false})
		}
	}
	wait := v.Aside(func(view *store.View) error { return in.all(view, models) })
	for i, d := range all { // in order of codes, as the file has them
		if d.state != "" {
			all[i].gave = v.GaveAny(string(d.code))
		}
	}
	slices.SortStableFunc(all, func(a, b standing) int { return cmp.Compare(a.bought, b.bought) })
	var left []store.Donor
	for _, d := range all {
		if d.state == "" {
			left = append(left, v.donor(d.code))
			in.taken(&left[len(left)-1])
			continue
		}
		s.Stripped = append(s.Stripped, d.code)
		if !d.gave {
			s.Remarks = append(s.Remarks, fmt.Sprintf("%s is %s and nothing was ever booked in from it", d.code, d.state))
		}
	}
	v.keep(wait())
	for _, d := range left {
		s.List = append(s.List, shelved(v, d, in, today))
	}
	return s, v.err
}

func shelved(v *reader, d store.Donor, in *insides, today code.Day) Shelved {
	out := Shelved{Donor: d.Code, Model: d.Model, History: d.History, State: d.State, Place: d.Place, Cost: d.Paid(), Worth: d.Worth,
		Bought: d.Bought.String(), Seen: []code.Code{}, Remarks: []string{}}
	if d.Bought != 0 {
		days := int64(max(0, today-d.Bought))
		out.Days = &days
	}
	in.holds = in.holds[:0]
	in.of(&d, func(part code.Code, s source, seen string, taken int64) {
		left, how := s.gives(seen, taken)
		if left <= 0 {
			return
		}
		in.holds = append(in.holds, part)
		if how != ways.NotLooked {
			out.Seen = append(out.Seen, part)
		}
	})
	out.Holds = append(make([]code.Code, 0, len(in.holds)), in.holds...)
	for _, text := range []string{bookedLate(v, d, today), gaveNothing(v, d, today), mendIt(d)} {
		if text != "" {
			out.Remarks = append(out.Remarks, text)
		}
	}
	return out
}

// months is how many whole months lie between two days.
func months(from, to code.Day) int {
	a, b := from.Time(), to.Time()
	n := (b.Year()-a.Year())*12 + int(b.Month()-a.Month())
	last := time.Date(b.Year(), b.Month()+1, 0, 0, 0, 0, 0, time.UTC).Day()
	if b.Day() < a.Day() && b.Day() < last {
		n--
	}
	return n
}

// gaveNothing says that nothing came out of a parts camera for a year.
func gaveNothing(v *reader, d store.Donor, today code.Day) string {
	last := v.CameFrom(string(d.Code))
	switch {
	case last != 0 && today-last >= aYear:
		return fmt.Sprintf("gave nothing since %s, %d days", last, today-last)
	case last == 0 && d.Bought != 0 && today-d.Bought >= aYear:
		return fmt.Sprintf("gave nothing in the %d days since it was bought", today-d.Bought)
	}
	return ""
}

// mendIt says that a parts camera is worth more as it stands than it cost.
func mendIt(d store.Donor) string {
	if d.Worth == nil || d.Price == nil || *d.Worth <= d.Paid() || d.State != "whole" {
		return ""
	}
	return fmt.Sprintf("worth more whole (%s) than it cost (%s): mend it or sell it rather than strip it", *d.Worth, d.Paid())
}

// oneOr is the word for one or for more of something.
func oneOr[N int | int64](n N, one, more string) string {
	if n == 1 {
		return one
	}
	return more
}

// several is a number of things: 1 camera, 2 cameras.
func several(n int, thing string) string {
	return fmt.Sprintf("%d %s%s", n, thing, oneOr(n, "", "s"))
}
