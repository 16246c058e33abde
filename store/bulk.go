package store

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"slices"

	"tinful/store/code"

	bolt "go.etcd.io/bbolt"
)

// putsPerTx bounds the dirty pages of one transaction of a bulk load.
const putsPerTx = 100_000

// loadFill is how full pages are left by a bulk load, whose keys come sorted.
const loadFill = 0.95

// A heap holds the rows of one bucket packed one behind the other in blocks: a
// slice a key would cost more than the keys, and one slice that grows would be
// there twice.
type heap struct {
	blocks [][]byte
	off    []uint32 // the block, then the place in it
}

const blockBits = 18

func (h *heap) add(k, x []byte) {
	n := len(h.blocks) - 1
	if need := len(k) + len(x) + 2*binary.MaxVarintLen32; n < 0 || cap(h.blocks[n])-len(h.blocks[n]) < need {
		h.blocks = append(h.blocks, make([]byte, 0, max(1<<blockBits, need)))
		n++
	}
	b := h.blocks[n]
	h.off = append(h.off, uint32(n)<<blockBits|uint32(len(b)))
	b = binary.AppendUvarint(b, uint64(len(k)))
	b = append(b, k...)
	b = binary.AppendUvarint(b, uint64(len(x)))
	h.blocks[n] = append(b, x...)
}

func cut(b []byte) (field, rest []byte) {
	n, w := binary.Uvarint(b)
	return b[w : w+int(n)], b[w+int(n):]
}

// at returns the key and value at a place.
func (h *heap) at(off uint32) (k, x []byte) {
	k, rest := cut(h.blocks[off>>blockBits][off&(1<<blockBits-1):])
	x, _ = cut(rest)
	return k, x
}

func (h *heap) key(off uint32) []byte {
	k, _ := cut(h.blocks[off>>blockBits][off&(1<<blockBits-1):])
	return k
}

func (h *heap) sort() {
	less := func(a, b uint32) int { return bytes.Compare(h.key(a), h.key(b)) }
	if !slices.IsSortedFunc(h.off, less) {
		slices.SortFunc(h.off, less)
	}
}

// A bulk gathers everything a new store will hold, bucket by bucket.
type bulk struct {
	heaps map[string]*heap
	parts map[code.Code]Part
	meter map[string]uint64

	figure map[code.Code]Figure
	seq    uint64
	day    code.Day
	chunks chunker // of entries
}

func newBulk() *bulk {
	b := &bulk{heaps: map[string]*heap{}, parts: map[code.Code]Part{}, meter: map[string]uint64{}, figure: map[code.Code]Figure{}}
	b.chunks.put = func(first uint64, x []byte) error { b.add(bEntry, keySeq(first), x); return nil }
	return b
}

func (b *bulk) add(bucket string, k, x []byte) {
	h := b.heaps[bucket]
	if h == nil {
		h = &heap{}
		b.heaps[bucket] = h
	}
	h.add(k, x)
}

func (b *bulk) rows(rows []Row) {
	for _, r := range rows {
		b.add(r.Bucket, r.Key, r.Value)
	}
}

// record adds a catalogue record with its rows.
func (b *bulk) record(bucket string, key []byte, rec any) error {
	x, err := encode(rec)
	if err != nil {
		return err
	}
	b.add(bucket, key, x)
	b.rows(rows(rec))
	return nil
}

// CreateFrom makes a new store at path from a plan that was made without a
// store, as booking 1. It is written beside its final name, sorted and full,
// and renamed when it is whole. settings are kept as [View.Setting] reads
// them.
func CreateFrom(path string, p *Plan, settings map[string]string, progress func(done, all int)) (Result, error) {
	b, res := p.bulk, Result{}
	err := build(path, func(s *Store) (err error) {
		s.db.NoSync = true // a load that was cut off is started again
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
		s.db.NoSync = false
		return s.db.Update(func(tx *bolt.Tx) error { return b.meta(tx, settings) })
	})
	return res, err
}

func (b *bulk) meta(tx *bolt.Tx, settings map[string]string) error {
	m := tx.Bucket([]byte(bMeta))
	var errs []error
	for name, n := range b.meter {
		errs = append(errs, m.Put([]byte(name), keySeq(n)))
	}
	for name, x := range settings {
		errs = append(errs, m.Put([]byte("set/"+name), []byte(x)))
	}
	return errors.Join(errs...)
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
	x, err := encode(res.Booking)
	if err != nil {
		return res, err
	}
	b.add(bBooking, keySeq(1), x)
	b.rows(rows(res.Booking))
	b.meter["booking"], b.meter["entry"], b.meter["day"] = 1, b.seq, uint64(uint32(b.day))
	return res, nil
}

func (b *bulk) catalogue(rec any) error {
	if p, ok := rec.(Part); ok {
		b.parts[p.Code] = p
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
	x, err := encode(st)
	if err != nil {
		return err
	}
	b.add(bState, keyCode(bag.Code), x)
	b.rows(rowsState(st))
	b.rows(rowsBalanced(balanced{bag, st}))
	if isStock(bag) {
		b.figure[bag.Part] = b.figure[bag.Part].add(st, 1)
	}
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
	undated := p.firstDays(p.rows)
	for _, bag := range p.bags {
		if err := b.bag(bag, *p.states[bag.Code]); err != nil {
			return err
		}
		if bag.Split == "" {
			if err := b.enter(p.firstEntry(bag, undated), p.head.By); err != nil {
				return err
			}
		}
	}
	p.bags, p.states, p.load.Bags = nil, nil, nil
	for _, i := range p.rows {
		if err := b.enter(p.load.Moves.At(int(i)), p.head.By); err != nil {
			return err
		}
	}
	p.load.Moves = Moves{}
	return cmp.Or(b.chunks.flush(), b.figures(b.figure))
}

func (b *bulk) figures(figures map[code.Code]Figure) error {
	for c, f := range figures {
		if f == (Figure{}) {
			continue
		}
		x, err := encode(f)
		if err != nil {
			return err
		}
		b.add(bFigure, keyCode(c), x)
	}
	for c, p := range b.parts {
		b.rows(rowsShort(figured{p, figures[c]}))
	}
	return nil
}

// take hands over the heaps of the buckets to which nothing is added any more.
func (b *bulk) take() map[string]*heap {
	ready := map[string]*heap{}
	for bucket, h := range b.heaps {
		switch bucket {
		case bCode, bBag, bState, bBagByPart, bBagByOrigin, bBagByPlace, bBagByGrade, bOut, bEntry, bBagByJob,
			bReading:
			// bags that the plan did not pack come yet, and the movements
		default:
			ready[bucket] = h
			delete(b.heaps, bucket)
		}
	}
	return ready
}

// write puts heaps into their buckets, each in order of its keys, and lets go
// of them.
func write(s *Store, heaps map[string]*heap, progress func(done, all int)) error {
	all, done := 0, 0
	for _, h := range heaps {
		all += len(h.off)
	}
	var list []string
	for _, bucket := range buckets {
		if heaps[bucket] != nil {
			list = append(list, bucket)
		}
	}
	sorted := make(chan struct{}, len(list))
	go func() { // one heap is sorted while another is written
		for _, bucket := range list {
			heaps[bucket].sort()
			sorted <- struct{}{}
		}
	}()
	for _, bucket := range list {
		<-sorted
		h := heaps[bucket]
		for len(h.off) > 0 {
			n := min(putsPerTx, len(h.off))
			if err := s.db.Update(func(tx *bolt.Tx) error { return putSorted(tx.Bucket([]byte(bucket)), h, h.off[:n]) }); err != nil {
				return err
			}
			h.off = h.off[n:]
			if done += n; progress != nil {
				progress(done, all)
			}
		}
		h.blocks, h.off = nil, nil
	}
	return s.db.Sync()
}

func putSorted(to *bolt.Bucket, h *heap, offs []uint32) error {
	to.FillPercent = loadFill
	for _, o := range offs {
		k, x := h.at(o)
		if err := to.Put(k, x); err != nil {
			return err
		}
	}
	return nil
}
