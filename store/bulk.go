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

// add packs a key and what lies under it, and an end of that which was made apart.
func (h *heap) add(k, x []byte, end ...byte) {
	n := len(h.blocks) - 1
	if need := len(k) + len(x) + len(end) + 2*binary.MaxVarintLen32; n < 0 || cap(h.blocks[n])-len(h.blocks[n]) < need {
		h.blocks = append(h.blocks, make([]byte, 0, max(1<<blockBits, need)))
		n++
	}
	b := h.blocks[n]
	h.off = append(h.off, uint32(n)<<blockBits|uint32(len(b)))
	b = binary.AppendUvarint(b, uint64(len(k)))
	b = append(b, k...)
	b = binary.AppendUvarint(b, uint64(len(x)+len(end)))
	h.blocks[n] = append(append(b, x...), end...)
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
	heaps
	parts map[code.Code]Part
	meter map[string]uint64

	figure map[code.Code]Figure
	seq    uint64
	day    code.Day
	chunks chunker // of entries
}

func newBulk() *bulk {
	b := &bulk{heaps: heaps{}, parts: map[code.Code]Part{}, meter: map[string]uint64{}, figure: map[code.Code]Figure{}}
	b.chunks.put = func(first uint64, x []byte) error { b.add(bEntry, keySeq(first), x); return nil }
	return b
}

// heaps are what buckets will hold, by name.
type heaps map[string]*heap

func (all heaps) of(bucket string) *heap {
	h := all[bucket]
	if h == nil {
		h = &heap{}
		all[bucket] = h
	}
	return h
}

func (all heaps) add(bucket string, k, x []byte) { all.of(bucket).add(k, x) }

func (all heaps) rows(rows []Row) {
	for _, r := range rows {
		sum := folded(shelves()[r.Bucket].sum(r.Key, r.Value))
		all.of(r.Bucket).add(r.Key, r.Value, byte(sum>>8), byte(sum))
	}
}

// record adds a record that booking wrote.
func (all heaps) record(bucket string, key []byte, booking uint64, rec any) error {
	x, err := encode(bucket, key, booking, rec)
	all.add(bucket, key, x)
	return err
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
	all := heaps{}
	for name, n := range b.meter {
		all.rows([]Row{{bMeta, []byte(name), keySeq(n)}})
	}
	for name, x := range settings {
		all.rows([]Row{{bMeta, []byte("set/" + name), []byte(x)}})
	}
	h := all.of(bMeta)
	return putSorted(tx.Bucket([]byte(bMeta)), h, h.off)
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
	if err := b.record(bState, keyCode(bag.Code), st); err != nil {
		return err
	}
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
	}
	by := p.head.By
	err := p.inOrder(func(i int) error {
		if p.packed {
			e := p.firsts.At(i)
			e.First = true
			return b.enter(e, by)
		}
		if p.bags[i].Split != "" {
			return nil
		}
		return b.enter(p.firstEntry(p.bags[i], undated), by)
	}, func(i int) error { return b.enter(p.load.Moves.At(i), by) })
	if err != nil {
		return err
	}
	p.bags, p.states, p.load.Bags = nil, nil, nil
	p.load.Moves = Moves{}
	return cmp.Or(b.chunks.flush(), b.figures(b.figure))
}

func (b *bulk) figures(figures map[code.Code]Figure) error {
	for c, f := range figures {
		if f == (Figure{}) {
			continue
		}
		if err := b.record(bFigure, keyCode(c), f); err != nil {
			return err
		}
	}
	for c, p := range b.parts {
		b.rows(rowsShort(figured{p, figures[c]}))
	}
	return nil
}

// take hands over the heaps of the buckets to which nothing is added any more.
func (b *bulk) take() heaps {
	ready := heaps{}
	for bucket, h := range b.heaps {
		switch bucket {
		case bCode, bBag, bState, bBagByPart, bBagByOrigin, bBagByPlace, bBagByGrade, bOut, bEntry, bBagByJob,
			bReading, bOwner:
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
func write(s *Store, heaps heaps, progress func(done, all int)) error {
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
