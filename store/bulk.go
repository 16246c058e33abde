package store

import (
	"bytes"
	"encoding/binary"
	"errors"
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
}

func newBulk() *bulk {
	return &bulk{heaps: map[string]*heap{}, parts: map[code.Code]Part{}, meter: map[string]uint64{}}
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
	b := p.bulk
	res, err := b.gather(p)
	if err != nil {
		return res, err
	}
	return res, build(path, func(s *Store) error {
		if err := b.write(s, progress); err != nil {
			return err
		}
		return s.db.Update(func(tx *bolt.Tx) error { return b.meta(tx, settings) })
	})
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
	seq, day, err := b.book(p, h)
	if err != nil {
		return res, err
	}
	if seq > 0 {
		res.Booking.First, res.Booking.Last = 1, seq
	}
	x, err := encode(res.Booking)
	if err != nil {
		return res, err
	}
	b.add(bBooking, keySeq(1), x)
	b.rows(rows(res.Booking))
	b.meter["booking"], b.meter["entry"], b.meter["day"] = 1, seq, uint64(uint32(day))
	return res, nil
}

func (b *bulk) catalogue(rec any) error {
	switch r := rec.(type) {
	case Part:
		b.parts[r.Code] = r
		if r.Same == "" {
			_, n := partWords(r)
			b.meter["parts"]++
			b.meter["words"] += uint64(n)
		}
		return b.record(bPart, keyCode(r.Code), r)
	case Model:
		return b.record(bModel, keyCode(r.Code), r)
	case Goes:
		return b.record(bGoes, keyGoes(r), r)
	case Donor:
		return b.record(bDonor, keyCode(r.Code), r)
	case Seen:
		return b.record(bSeen, keySeen(r), r)
	case Place:
		return b.record(bPlace, keyCode(r.Code), r)
	case Job:
		return b.record(bJob, keyCode(r.Code), r)
	}
	return b.record(bWant, keyWant(rec.(Want)), rec)
}

// book adds bags, entries, balances, figures and shortages.
func (b *bulk) book(p *Plan, h Head) (seq uint64, day code.Day, err error) {
	undated := p.firstDays(p.rows)
	var block []Entry
	flush := func() error {
		if len(block) == 0 {
			return nil
		}
		x, err := chunk(block)
		b.add(bEntry, keySeq(block[0].Seq), x)
		block = block[:0]
		return err
	}
	enter := func(e Entry) error {
		seq++
		e.Seq, e.Booking, e.By = seq, 1, or(e.By, h.By)
		day = max(day, e.Day)
		b.rows(rows(e))
		if block = append(block, e); len(block) == chunkSize {
			return flush()
		}
		return nil
	}
	figures := map[code.Code]Figure{}
	for _, bag := range p.bags {
		if err := b.record(bBag, keyCode(bag.Code), bag); err != nil {
			return seq, day, err
		}
		st := *p.states[bag.Code]
		x, err := encode(st)
		if err != nil {
			return seq, day, err
		}
		b.add(bState, keyCode(bag.Code), x)
		b.rows(rows(st))
		if isStock(bag) {
			figures[bag.Part] = figures[bag.Part].add(st, 1)
		}
		if bag.Split == "" {
			if err := enter(p.firstEntry(bag, undated)); err != nil {
				return seq, day, err
			}
		}
	}
	p.bags, p.states, p.load.Bags = nil, nil, nil
	for _, i := range p.rows {
		if err := enter(p.load.Moves[i]); err != nil {
			return seq, day, err
		}
	}
	p.load.Moves = nil
	if err := flush(); err != nil {
		return seq, day, err
	}
	return seq, day, b.figures(figures)
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

// write puts every bucket in order of its keys.
func (b *bulk) write(s *Store, progress func(done, all int)) error {
	all, done := 0, 0
	for _, h := range b.heaps {
		all += len(h.off)
	}
	s.db.NoSync = true // a load that was cut off is started again
	for _, bucket := range buckets {
		h := b.heaps[bucket]
		if h == nil {
			continue
		}
		h.sort()
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
		delete(b.heaps, bucket)
	}
	s.db.NoSync = false
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
