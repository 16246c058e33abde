package store

import (
	"cmp"
	"errors"
	"fmt"
	"math"

	"tinful/store/code"

	bolt "go.etcd.io/bbolt"
)

// putsPerTx and bytesPerTx bound the dirty pages of one transaction of a bulk load.
const (
	putsPerTx  = 100_000
	bytesPerTx = 8 << 20
)

// loadFill is how full pages are left by a bulk load, whose keys come sorted.
const loadFill = 0.95

// A bulk gathers everything a new store will hold, bucket by bucket.
type bulk struct {
	*heaps
	watched watched
	meter   map[string]uint64

	sums   sums
	seq    uint64
	day    code.Day
	chunks chunker // of entries
}

// newBulk makes a bulk whose overflow goes beside a store.
func newBulk(path string) *bulk {
	b := &bulk{heaps: fewHeaps(path), watched: watched{}, meter: map[string]uint64{}}
	b.chunks.put = func(first uint64, x []byte) error { b.add(bEntry, keySeq(first), x); return nil }
	return b
}

// record adds a catalogue record with its rows.
func (b *bulk) record(bucket string, key []byte, rec any) error {
	b.rows(rows(rec))
	return b.heaps.record(bucket, key, 1, rec)
}

// CreateFrom makes a new store at path from a plan that was made without a
// store, as booking 1. It is written beside its final name, sorted and full,
// and renamed when it is whole. settings are kept as [View.Setting] reads
// them.
func CreateFrom(path string, p *Plan, settings map[string]string, progress func(done, all int)) (Result, error) {
	b, res := p.bulk, Result{}
	defer p.Close()
	if err := p.keepPhotos(path); err != nil {
		return res, err
	}
	err := build(path, func(s *Store) (err error) {
		// What is packed already is written while the book is packed.
		ready := b.take()
		packed := make(chan error, 1)
		go func() {
			var err error
			res, err = b.gather(p)
			packed <- err
		}()
		if err := errors.Join(write(s, ready, progress), <-packed); err != nil {
			return err
		}
		if err := write(s, b.heaps, progress); err != nil {
			return err
		}
		return s.db.Update(func(tx *bolt.Tx) error { return b.meta(tx, settings) })
	})
	return res, err
}

func (b *bulk) meta(tx *bolt.Tx, settings map[string]string) error {
	all := inMemory()
	for name, n := range b.meter {
		all.rows([]Row{{bMeta, []byte(name), keySeq(n)}})
	}
	for name, x := range settings {
		all.rows([]Row{{bMeta, []byte("set/" + name), []byte(x)}})
	}
	_, _, err := putSorted(tx.Bucket([]byte(bMeta)), all.of(bMeta).stream(), math.MaxInt, math.MaxInt)
	return err
}

func (b *bulk) gather(p *Plan) (Result, error) {
	h := p.head
	res := Result{Booking: Booking{Number: 1, Day: h.Day, At: h.At, By: h.By, Command: h.Command, Kind: h.Kind, File: h.File, Hash: h.Hash, Fresh: true}}
	if err := b.book(p); err != nil {
		return res, err
	}
	if b.seq > 0 {
		res.Booking.First, res.Booking.Last = 1, b.seq
	}
	if err := b.record(bBooking, keySeq(1), res.Booking); err != nil {
		return res, err
	}
	b.meter["booking"], b.meter["entry"], b.meter["day"] = 1, b.seq, uint64(uint32(b.day))
	return res, nil
}

func (b *bulk) catalogue(rec any) error {
	if p, ok := rec.(Part); ok {
		b.watched.add(p)
		if p.Same == "" {
			_, n := partWords(p)
			b.meter["parts"]++
			b.meter["words"] += uint64(n)
		}
	}
	for _, k := range kinds {
		if key, mine := k.keyOf(rec); mine {
			return b.record(k.name(), key, rec)
		}
	}
	return fmt.Errorf("%T is no record of the catalogue", rec)
}

// bag packs a bag with its balance.
func (b *bulk) bag(bag Bag, st State) error {
	if err := b.record(bState, keyCode(bag.Code), st); err != nil {
		return err
	}
	b.rows(rowsBalanced(balanced{bag, st}))
	b.sums.add(bag, st)
	return b.record(bBag, keyCode(bag.Code), bag)
}

// enter packs the next entry of the book.
func (b *bulk) enter(e Entry, by string) error {
	b.seq++
	e.Seq, e.Booking, e.By = b.seq, 1, or(e.By, by)
	b.day = max(b.day, e.Day)
	b.rows(rowsEntry(e))
	return b.chunks.add(e)
}

// book packs what is left: bags that are not packed yet, then the movements.
func (b *bulk) book(p *Plan) error {
	by := p.head.By
	enter := func(e Entry) error { return b.enter(e, by) }
	var err error
	if p.packed {
		err = p.eachTurn(enter)
	} else {
		undated := p.firstDays(p.rows)
		for _, bag := range p.bags.All() {
			if err := b.bag(bag, *p.states[bag.Code]); err != nil {
				return err
			}
		}
		err = p.inOrder(undated, enter)
	}
	p.bags.drop()
	p.load.Bags.drop()
	p.load.Moves.drop()
	p.states = nil
	return cmp.Or(err, b.chunks.flush(), b.figures())
}

func (b *bulk) figures() error {
	b.watched.rows(&b.sums, b.rows)
	return b.sums.each(func(part code.Code, f Figure) error { return b.record(bFigure, keyCode(part), f) })
}

// take hands over the heaps of the buckets to which nothing is added any more.
func (b *bulk) take() *heaps {
	ready := &heaps{all: map[string]*heap{}, disk: b.disk, most: b.most, err: b.err}
	for bucket := range b.all {
		switch bucket {
		case bCode, bBag, bState, bBagByPart, bBagByOrigin, bBagByPlace, bBagByGrade, bOut, bEntry, bBagByJob,
			bReading, bOwner:
			// bags that the plan did not pack come yet, and the movements
		default:
			b.hand(bucket, ready)
		}
	}
	return ready
}

// write puts heaps into the buckets of a new store, each in order of its keys, and lets
// go of them.
func write(s *Store, heaps *heaps, progress func(done, all int)) error {
	s.db.NoSync = true // a store that was not finished is made anew
	defer func() { s.db.NoSync = false }()
	all, done := 0, 0
	var list []*heap
	var names []string
	for _, bucket := range buckets {
		if h := heaps.all[bucket]; h != nil {
			list, names, all = append(list, h), append(names, bucket), all+h.n
		}
	}
	sorted := make(chan struct{}, len(list))
	go func() { // one heap is sorted while another is written
		for _, h := range list {
			h.sort()
			sorted <- struct{}{}
		}
	}()
	for i, bucket := range names {
		<-sorted
		in := list[i].stream()
		for more := true; more; {
			n := 0
			err := s.db.Update(func(tx *bolt.Tx) (err error) {
				GiveBack(fileIn(tx))
				n, more, err = putSorted(tx.Bucket([]byte(bucket)), in, putsPerTx, bytesPerTx)
				return err
			})
			if err != nil {
				return err
			}
			if done += n; progress != nil {
				progress(done, all)
			}
		}
		heaps.drop(bucket)
	}
	return s.db.Sync()
}

// putSorted puts up to so many rows, and about so many bytes, of a stream into a bucket.
// It returns how many rows it put, and whether there may be more.
func putSorted(to *bolt.Bucket, in *stream, most, bytes int) (n int, more bool, err error) {
	to.FillPercent = loadFill
	var block []byte // the bucket asks for what lies under a key until the transaction ends
	for ; n < most && bytes > 0; n++ {
		k, x := in.next()
		if k == nil {
			return n, false, in.err
		}
		if cap(block)-len(block) < len(x) {
			block = make([]byte, 0, max(1<<blockBits, len(x)))
		}
		at := len(block)
		block = append(block, x...)
		if err := to.Put(k, block[at:len(block):len(block)]); err != nil {
			return n, false, err
		}
		bytes -= len(k) + len(x)
	}
	return n, true, nil
}
