package store

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"io"
	"slices"
)

// spillAt is how many bytes of rows stay in memory before the longest heap is sorted and
// goes to the disk; a test makes it small.
var spillAt = 24 << 20

// heaps are what buckets will hold, by name, in no order. Where they have a disk, they
// keep together no more than so many bytes in memory.
type heaps struct {
	all  map[string]*heap
	held int
	most int
	disk *scratch // nil: all stays in memory
	free [][]byte // blocks to be filled again
	err  error    // the first that the disk gave
}

// newHeaps makes heaps whose overflow goes beside a store.
func newHeaps(path string) *heaps {
	return &heaps{all: map[string]*heap{}, disk: &scratch{path: path}, most: spillAt}
}

// fewHeaps are heaps beside which there are others, that keep a third in memory.
func fewHeaps(path string) *heaps {
	all := newHeaps(path)
	all.most /= 3
	return all
}

// inMemory makes heaps that know no disk.
func inMemory() *heaps { return &heaps{all: map[string]*heap{}} }

func (all *heaps) of(bucket string) *heap {
	h := all.all[bucket]
	if h == nil {
		h = &heap{in: all}
		all.all[bucket] = h
	}
	return h
}

func (all *heaps) add(bucket string, k, x []byte) { all.of(bucket).add(k, x) }

func (all *heaps) rows(rows []Row) {
	for _, r := range rows {
		sum := folded(shelves()[r.Bucket].sum(r.Key, r.Value))
		all.of(r.Bucket).add(r.Key, r.Value, byte(sum>>8), byte(sum))
	}
}

// record adds a record that booking wrote.
func (all *heaps) record(bucket string, key []byte, booking uint64, rec any) error {
	x, err := encode(bucket, key, booking, rec)
	all.add(bucket, key, x)
	return err
}

// drop lets go of a heap.
func (all *heaps) drop(bucket string) {
	if h := all.all[bucket]; h != nil {
		all.held -= h.held
		delete(all.all, bucket)
	}
}

// hand moves a heap to others of the same disk: whoever adds to these takes no notice of it.
func (all *heaps) hand(bucket string, to *heaps) {
	h := all.all[bucket]
	delete(all.all, bucket)
	all.held, to.held = all.held-h.held, to.held+h.held
	h.in, to.all[bucket] = to, h
}

// close lets go of all heaps and of what is on the disk.
func (all *heaps) close() {
	all.all, all.free = nil, nil
	if all.disk != nil {
		all.disk.close()
	}
}

// spill brings the longest heap to the disk.
func (all *heaps) spill() {
	var longest *heap
	for _, h := range all.all {
		if longest == nil || h.held > longest.held { // one that is streamed has none
			longest = h
		}
	}
	if all.err == nil {
		all.err = longest.spill()
	}
	longest.empty()
}

// A heap holds the rows of one bucket packed one behind the other in blocks: a
// slice a key would cost more than the keys, and one slice that grows would be
// there twice. What is on the disk lies in runs, each in order of keys.
type heap struct {
	in     *heaps
	blocks [][]byte
	off    []uint32 // the block, then the place in it
	held   int      // bytes of rows in memory
	n      int      // rows, in memory and on the disk
	runs   []extent
}

// An extent is a stretch of a file.
type extent struct{ at, end int64 }

const blockBits = 18

// add packs a key and what lies under it, and an end of that which was made apart.
func (h *heap) add(k, x []byte, end ...byte) {
	n := len(h.blocks) - 1
	need := len(k) + len(x) + len(end) + 2*binary.MaxVarintLen32
	if n < 0 || cap(h.blocks[n])-len(h.blocks[n]) < need {
		h.blocks = append(h.blocks, h.in.block(need))
		n++
	}
	b := h.blocks[n]
	h.off = append(h.off, uint32(n)<<blockBits|uint32(len(b)))
	was := len(b)
	b = binary.AppendUvarint(b, uint64(len(k)))
	b = append(b, k...)
	b = binary.AppendUvarint(b, uint64(len(x)+len(end)))
	b = append(append(b, x...), end...)
	h.blocks[n] = b
	took := len(b) - was + 4
	h.n, h.held, h.in.held = h.n+1, h.held+took, h.in.held+took
	if h.in.disk != nil && h.in.held > h.in.most {
		h.in.spill()
	}
}

// block is an empty block with room for so many bytes.
func (all *heaps) block(need int) []byte {
	if n := len(all.free) - 1; n >= 0 && need <= 1<<blockBits {
		b := all.free[n]
		all.free = all.free[:n]
		return b
	}
	return make([]byte, 0, max(1<<blockBits, need))
}

// empty lets go of what is in memory, and keeps its blocks to be filled again.
func (h *heap) empty() {
	for _, b := range h.blocks {
		if cap(b) == 1<<blockBits {
			h.in.free = append(h.in.free, b[:0])
		}
	}
	h.in.held -= h.held
	h.blocks, h.off, h.held = h.blocks[:0], h.off[:0], 0
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

// sort sorts what is in memory, equal keys in the order they came. Keys are compared by
// eight bytes behind what all of them begin with, which most differ in.
func (h *heap) sort() {
	less := func(a, b uint32) int { return cmp.Or(bytes.Compare(h.key(a), h.key(b)), cmp.Compare(a, b)) }
	if slices.IsSortedFunc(h.off, less) {
		return
	}
	first := h.key(h.off[0])
	same := len(first)
	for _, o := range h.off {
		k := h.key(o)
		for same = min(same, len(k)); string(k[:same]) != string(first[:same]); same-- {
		}
	}
	type place struct {
		head uint64
		off  uint32
	}
	all := make([]place, len(h.off))
	for i, o := range h.off {
		var head [8]byte
		copy(head[:], h.key(o)[same:])
		all[i] = place{binary.BigEndian.Uint64(head[:]), o}
	}
	slices.SortFunc(all, func(a, b place) int {
		if a.head != b.head {
			return cmp.Compare(a.head, b.head)
		}
		return less(a.off, b.off)
	})
	for i, x := range all {
		h.off[i] = x.off
	}
}

// spill writes what is in memory to the disk as one run.
func (h *heap) spill() error {
	h.sort()
	var run extent
	buffer := h.in.block(0)
	flush := func() error {
		at, err := h.in.disk.append(buffer)
		if run.end == 0 {
			run.at = at
		}
		run.end, buffer = at+int64(len(buffer)), buffer[:0]
		return err
	}
	for _, o := range h.off {
		k, x := h.at(o)
		if need := len(k) + len(x) + 2*binary.MaxVarintLen32; len(buffer) > 0 && len(buffer)+need > 1<<blockBits {
			if err := flush(); err != nil {
				return err
			}
		}
		buffer = append(binary.AppendUvarint(buffer, uint64(len(k))), k...)
		buffer = append(binary.AppendUvarint(buffer, uint64(len(x))), x...)
	}
	if err := flush(); err != nil {
		return err
	}
	h.in.free = append(h.in.free, buffer)
	h.runs = append(h.runs, run)
	return nil
}

// A stream goes through a heap in order of keys, equal keys in the order they came.
type stream struct {
	sources []*source // of which the first has the least key: a binary heap
	begun   bool
	err     error
}

// mergeRoom is what all runs of a heap together have as buffers.
const mergeRoom = 4 << 20

// stream begins at the first key. Nothing may be added to the heap any more; what is in
// memory of it stays there, whatever is added to others.
func (h *heap) stream() *stream {
	h.sort()
	h.in.held, h.held = h.in.held-h.held, 0
	s := &stream{err: h.in.err}
	for i, r := range h.runs {
		room := max(16<<10, min(256<<10, mergeRoom/len(h.runs)))
		s.sources = append(s.sources, &source{nth: i, from: io.NewSectionReader(h.in.disk.file, r.at, r.end-r.at), buffer: make([]byte, 0, room)})
	}
	if len(h.off) > 0 {
		s.sources = append(s.sources, &source{nth: len(h.runs), memory: h})
	}
	s.sources = slices.DeleteFunc(s.sources, func(x *source) bool { return !s.advance(x) })
	for i := len(s.sources)/2 - 1; i >= 0; i-- {
		s.down(i)
	}
	return s
}

// next returns the next key and what lies under it, nil at the end or where the disk
// gives an error. Both are good until next is called again.
func (s *stream) next() (k, x []byte) {
	if s.begun && len(s.sources) > 0 {
		if !s.advance(s.sources[0]) {
			last := len(s.sources) - 1
			s.sources[0] = s.sources[last]
			s.sources = s.sources[:last]
		}
		s.down(0)
	}
	s.begun = true
	if len(s.sources) == 0 || s.err != nil {
		return nil, nil
	}
	return s.sources[0].k, s.sources[0].x
}

// advance goes on in one source, and says whether there is more.
func (s *stream) advance(x *source) bool {
	more, err := x.advance()
	if err != nil && s.err == nil {
		s.err = unreadable(err)
	}
	return more && err == nil
}

func unreadable(err error) error {
	return fmt.Errorf("what did not fit into memory cannot be read again: %w", err)
}

// down lets source i sink to its place.
func (s *stream) down(i int) {
	for {
		least := i
		for _, c := range [2]int{2*i + 1, 2*i + 2} {
			if c < len(s.sources) && s.sources[c].before(s.sources[least]) {
				least = c
			}
		}
		if least == i {
			return
		}
		s.sources[i], s.sources[least] = s.sources[least], s.sources[i]
		i = least
	}
}

// A source is one run, or what is in memory, at the row it came to.
type source struct {
	nth    int // in the order in which the rows came
	k, x   []byte
	memory *heap
	i      int // rows of it that were passed
	from   io.Reader
	buffer []byte
	used   int
	ended  bool
}

func (s *source) before(o *source) bool {
	c := bytes.Compare(s.k, o.k)
	return c < 0 || c == 0 && s.nth < o.nth
}

func (s *source) advance() (more bool, err error) {
	if s.memory != nil {
		if s.i == len(s.memory.off) {
			return false, nil
		}
		s.k, s.x = s.memory.at(s.memory.off[s.i])
		s.i++
		return true, nil
	}
	for {
		if n := s.row(s.buffer[s.used:]); n > 0 {
			s.used += n
			return true, nil
		}
		if s.ended {
			if s.used < len(s.buffer) {
				return false, io.ErrUnexpectedEOF
			}
			return false, nil
		}
		if err := s.fill(); err != nil {
			return false, err
		}
	}
}

// row takes the row at the start of b and returns its bytes, 0 where it is not whole.
func (s *source) row(b []byte) int {
	n, w := binary.Uvarint(b)
	if w <= 0 || n > uint64(len(b)-w) {
		return 0
	}
	m, v := binary.Uvarint(b[w+int(n):])
	from := w + int(n) + v
	if v <= 0 || m > uint64(len(b)-from) {
		return 0
	}
	s.k, s.x = b[w:w+int(n):w+int(n)], b[from:from+int(m):from+int(m)]
	return from + int(m)
}

// fill reads on behind what is not used yet.
func (s *source) fill() error {
	rest := copy(s.buffer[:cap(s.buffer)], s.buffer[s.used:])
	s.buffer, s.used = s.buffer[:rest], 0
	if rest == cap(s.buffer) {
		s.buffer = slices.Grow(s.buffer, rest)
	}
	n, err := s.from.Read(s.buffer[rest:cap(s.buffer)])
	s.buffer = s.buffer[:rest+n]
	if err == io.EOF {
		s.ended, err = true, nil
	}
	return err
}

// A braid goes through several heaps side by side, in order of keys.
type braid struct {
	in   []*stream
	k, x [][]byte
	key  []byte
}

// braided begins before the first key of some heaps, to which nothing is added meanwhile.
func braided(all ...*heap) *braid {
	j := &braid{k: make([][]byte, len(all)), x: make([][]byte, len(all))}
	for i, h := range all {
		j.in = append(j.in, h.stream())
		j.k[i], j.x[i] = j.in[i].next()
	}
	return j
}

// next goes to the next key that any of them has, nil behind the last. It is good until
// next is called again.
func (j *braid) next() []byte {
	var least []byte
	for i := range j.in {
		for j.k[i] != nil && j.key != nil && bytes.Equal(j.k[i], j.key) {
			j.k[i], j.x[i] = j.in[i].next()
		}
		if k := j.k[i]; k != nil && (least == nil || bytes.Compare(k, least) < 0) {
			least = k
		}
	}
	if least == nil {
		return nil
	}
	j.key = append(j.key[:0:0], least...)
	return j.key
}

// under goes once through what heap i has under the key, each good until the next.
func (j *braid) under(i int) func(yield func([]byte) bool) {
	return func(yield func([]byte) bool) {
		for j.k[i] != nil && bytes.Equal(j.k[i], j.key) {
			if !yield(j.x[i]) {
				return
			}
			j.k[i], j.x[i] = j.in[i].next()
		}
	}
}

// err is the first error that the disk gave.
func (j *braid) err() (err error) {
	for _, s := range j.in {
		err = cmp.Or(err, s.err)
	}
	return err
}
