package store

import "tinful/store/code"

// How long copies are kept, in days, and what they may come to together: ten times the
// store or 2 GiB, whichever is more.
const (
	keepDays   = 7   // all of them
	keepWeeks  = 61  // the last of a week
	keepMonths = 366 // the last of a month
	copiesRoom = 2 << 30
	copiesMany = 10
)

// outlived are the copies, the latest first, that give way on a day to those that
// stay: a week of all, two months of the last of each week, a year of the last of each
// month. Crowded are the oldest of those that are too much together. The latest stays
// always. Ages run on by no more than a month from one copy to the next, so that a
// clock that is wrong once takes little away.
func outlived(copies []Copy, day code.Day, store int64) (gone, crowded []Copy) {
	if len(copies) > 1 {
		day = min(day, copies[1].Day+31)
	}
	room := max(copiesRoom, copiesMany*store)
	taken := map[[3]int]bool{}
	for i, c := range copies {
		span, kept := spanOf(c.Day, int(day-c.Day))
		if i > 0 && (!kept || taken[span]) {
			gone = append(gone, c)
			continue
		}
		taken[span] = span != [3]int{}
		if room -= c.Bytes; i > 0 && room < 0 {
			crowded = append(crowded, c)
		}
	}
	return gone, crowded
}

// spanOf is the week or month of which one copy of that age is kept, zero where all
// are.
func spanOf(d code.Day, age int) (span [3]int, kept bool) {
	switch {
	case age < keepDays:
		return span, true
	case age < keepWeeks:
		monday := d - code.Day((d.Weekday()+6)%7)
		return [3]int{1, int(monday)}, true
	case age < keepMonths:
		t := d.Time()
		return [3]int{2, t.Year(), int(t.Month())}, true
	}
	return span, false
}
