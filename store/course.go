package store

import (
	"cmp"
	"encoding/binary"
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
	rank, err := v.ranksOf(c)
	if err != nil {
		return err
	}
	move := func(e Entry) error {
		if e.First || c.passes(e) {
			return nil
		}
		e.Seq = rank(e.Seq)
		return fn(e)
	}
	if c.inOrder {
		return v.EachEntry(move)
	}
	return v.eachByDay(move)
}

// eachByDay calls fn for every entry of the book, by day and then number. They are sorted
// on the disk where they are many.
func (v *View) eachByDay(fn func(Entry) error) error {
	all := newHeaps(v.tx.DB().Path())
	defer all.close()
	var key []byte
	err := v.scan(bEntry, nil, func(k, chunk []byte) error {
		return unpacked(k, chunk, func(booking, seq uint64, x []byte) error {
			key = binary.BigEndian.AppendUint32(key[:0], uint32(peeked(x).number(3))^1<<31)
			key = binary.BigEndian.AppendUint64(binary.BigEndian.AppendUint64(key, seq), booking)
			all.add(bEntry, key, x)
			return nil
		})
	})
	if err != nil {
		return err
	}
	in := all.of(bEntry).stream()
	for k, x := in.next(); k != nil; k, x = in.next() {
		e := Entry{Seq: binary.BigEndian.Uint64(k[4:]), Booking: binary.BigEndian.Uint64(k[12:])}
		if err := cmp.Or(unentry(e.Seq, x, &e), fn(e)); err != nil {
			return err
		}
	}
	return in.err
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
	passed  []uint64           // numbers of entries that no workbook has, once they were asked for
	bags    code.Index         // all that entries name
	of      []bagCourse        // by their numbers
	hands   []string           // who booked bags in
	numbers map[string]int32   // of hands
}

// A bagCourse is what a course keeps of a bag.
type bagCourse struct {
	entry uint32 // that booked it in, 0 for none
	by    int32  // whose hand that was, by number
	moves uint32
}

// bag is what is kept of a bag, good until the next is asked for.
func (c *course) bag(bag code.Code) *bagCourse {
	n, fresh := c.bags.Add(bag)
	if fresh {
		c.of = append(c.of, bagCourse{})
	}
	return &c.of[n]
}

// hand is the number of a hand.
func (c *course) hand(by string) int32 {
	n, ok := c.numbers[by]
	if !ok {
		n = int32(len(c.hands))
		c.hands, c.numbers[by] = append(c.hands, by), n
	}
	return n
}

// entered is the entry that booked a bag in, and who did; 0 for none.
func (c *course) entered(bag code.Code) (seq uint64, by string) {
	if n, ok := c.bags.Number(bag); ok && c.of[n].entry != 0 {
		return uint64(c.of[n].entry), c.hands[c.of[n].by]
	}
	return 0, ""
}

// course goes through the whole book for what its movements have to be gone
// through with. A reading transaction does that once.
func (v *View) course() (*course, error) {
	if v.run != nil {
		return v.run, nil
	}
	c := &course{inOrder: true, gone: map[code.Code]uint64{}, nowhere: map[code.Code]bool{}, voided: map[uint64]bool{}, numbers: map[string]int32{}}
	undone := map[uint64]bool{}
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
				c.bag(e.Bag).moves++
				if e.Undoes != 0 {
					undone[e.Undoes] = true
				}
			case e.Undoes != 0:
				c.gone[e.Bag] = seq
				c.bag(e.Bag).moves = 0
			default:
				x := c.bag(e.Bag)
				x.entry, x.by = uint32(seq), c.hand(e.By)
			}
			return nil
		})
	})
	if err != nil {
		return nil, err
	}
	for i, x := range c.of {
		if bag := c.bags.At(i); x.moves == 0 {
		} else if !v.has(bBag, bag) {
			c.nowhere[bag] = true
		} else {
			c.n += int(x.moves)
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
