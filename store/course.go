package store

import (
	"slices"

	"tinful/store/code"
)

// EachMove calls fn for every entry that is a row of Moves, by day and then
// number. Entries of bags whose booking in was taken back are left out, also when
// the code was booked in anew, and entries that were taken back and name a job, a
// model or a place that was taken back since.
func (v *View) EachMove(fn func(Entry) error) error {
	c, err := v.course()
	if err != nil {
		return err
	}
	var later []Entry
	rank, err := v.ranksOf(c)
	if err != nil {
		return err
	}
	err = v.EachEntry(func(e Entry) error {
		if e.First || c.passes(e) {
			return nil
		}
		if e.Seq = rank(e.Seq); c.inOrder {
			return fn(e)
		}
		later = append(later, e)
		return nil
	})
	slices.SortStableFunc(later, func(a, b Entry) int { return int(a.Day) - int(b.Day) })
	for _, e := range later {
		if err := fn(e); err != nil {
			return err
		}
	}
	return err
}

// passes says that an entry is no movement of a workbook, nor books a bag of it in.
func (c *course) passes(e Entry) bool {
	return e.Seq <= c.gone[e.Bag] || c.nowhere[e.Bag] || c.voided[e.Seq]
}

// ranks counts the entries that a workbook has up to a number: what was taken back with
// its bag leaves no hole in the numbers that it tells.
func (v *View) ranks() (func(uint64) uint64, error) {
	c, err := v.course()
	if err != nil {
		return nil, err
	}
	return v.ranksOf(c)
}

func (v *View) ranksOf(c *course) (_ func(uint64) uint64, err error) {
	if len(c.gone)+len(c.nowhere)+len(c.voided) == 0 {
		return func(seq uint64) uint64 { return seq }, err
	}
	if c.passed == nil {
		err = v.EachEntry(func(e Entry) error {
			if c.passes(e) {
				c.passed = append(c.passed, e.Seq)
			}
			return nil
		})
	}
	return func(seq uint64) uint64 {
		n, _ := slices.BinarySearch(c.passed, seq+1)
		return seq - uint64(n)
	}, err
}

// A course is how the movements of a book run.
type course struct {
	n       int  // movements
	inOrder bool // none of them is dated back
	// gone has, for every bag whose booking in was taken back, the number of the
	// entry that did: what was booked of that code before it cancels.
	gone    map[code.Code]uint64
	nowhere map[code.Code]bool // bags that entries name and that have no record
	voided  map[uint64]bool    // entries that were taken back and name what is not there
	entered map[code.Code]entered
	passed  []uint64 // numbers of entries that no workbook has, once they were asked for
}

// An entered is the entry that booked a bag in, and who did.
type entered struct {
	seq uint64
	by  string
}

// course goes through the whole book for what its movements have to be gone
// through with. A reading transaction does that once.
func (v *View) course() (*course, error) {
	if v.run != nil {
		return v.run, nil
	}
	c := &course{inOrder: true, gone: map[code.Code]uint64{}, nowhere: map[code.Code]bool{}, voided: map[uint64]bool{}, entered: map[code.Code]entered{}}
	undone := map[uint64]bool{}
	moves := map[code.Code]int{}
	var last code.Day
	err := v.scan(bEntry, nil, func(k, chunk []byte) error {
		return unpacked(k, chunk, func(_, seq uint64, x []byte) error {
			var e Entry
			if err := unentry(seq, x, &e); err != nil {
				return err
			}
			switch {
			case !e.First:
				c.inOrder = c.inOrder && e.Day >= last
				last = max(last, e.Day)
				moves[e.Bag]++
				if e.Undoes != 0 {
					undone[e.Undoes] = true
				}
			case e.Undoes != 0:
				c.gone[e.Bag] = seq
				delete(moves, e.Bag)
			default:
				c.entered[e.Bag] = entered{seq, e.By}
			}
			return nil
		})
	})
	if err != nil {
		return nil, err
	}
	for bag, n := range moves {
		if !v.has(bBag, bag) {
			c.nowhere[bag] = true
		} else {
			c.n += n
		}
	}
	if err := v.voids(c, undone); err != nil {
		return nil, err
	}
	if !v.tx.Writable() {
		v.run = c
	}
	return c, nil
}

// voids finds the entries of bookings that were taken back, and those that took them
// back, which name what is not there.
func (v *View) voids(c *course, undone map[uint64]bool) error {
	for number := range undone {
		b, err := v.BookingNo(number)
		if err != nil {
			return err
		}
		by, err := v.BookingNo(b.Undone)
		if err != nil {
			return err
		}
		for _, one := range []Booking{b, by} {
			entries, err := v.EntriesIn(one)
			if err != nil {
				return err
			}
			for _, e := range entries {
				if !c.voided[e.Seq] && !e.First && e.Seq > c.gone[e.Bag] && !c.nowhere[e.Bag] && v.namesNothing(e) {
					c.voided[e.Seq] = true
					c.n--
				}
			}
		}
	}
	return nil
}

// namesNothing says that an entry names a job, a model or a place that is not there.
func (v *View) namesNothing(e Entry) bool {
	return e.Job != "" && !v.has(bJob, e.Job) || e.Model != "" && !v.has(bModel, e.Model) ||
		e.What == Moved && e.To != "" && !v.has(bPlace, code.Code(e.To))
}

// Rows is how many records a sheet has: how often its Each calls.
func (v *View) Rows(sheet string) (int, error) {
	switch sheet {
	case "Moves":
		c, err := v.course()
		if err != nil {
			return 0, err
		}
		return c.n, nil
	case "Signs":
		return counted(v.EachSign)
	case "Steps":
		return counted(v.EachStepRow)
	case "Counts":
		return counted(v.EachCountRow)
	case "Measured":
		return counted(v.EachMeasured)
	case "Made":
		return counted(v.EachMaking)
	case "Papers":
		return counted(v.EachPaperRow)
	}
	return v.keys(map[string]string{"Models": bModel, "Places": bPlace, "Parts": bPart, "Goes": bGoes, "Donors": bDonor,
		"Seen": bSeen, "Bags": bBag, "Jobs": bJob, "Wants": bWant, "Old": bOld, "Notes": bNote, "Pictures": bPicture}[sheet], ""), nil
}

func counted[T any](each func(func(T) error) error) (n int, err error) {
	err = each(func(T) error { n++; return nil })
	return n, err
}

// keys counts the keys that start with pre.
func (v *View) keys(bucket, pre string) (n int) {
	v.scan(bucket, []byte(pre), func(_, _ []byte) error { n++; return nil })
	return n
}
