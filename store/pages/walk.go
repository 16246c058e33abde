package pages

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
)

// A Finding is one thing that is wrong with a file, and the page it is about; 0 for
// the file as a whole.
type Finding struct {
	Page uint64
	Text string
}

const (
	mostFindings = 50   // are told; the others are counted
	mostBuckets  = 1000 // a store has less than a hundred
	longestName  = 1000 // of buckets within buckets
)

// A Report is what a walk over all pages found and counted.
type Report struct {
	Findings []Finding
	More     int      // findings beyond those
	Torn     bool     // a tree is damaged, so that it does not lead to all that is in it
	Meta     *Finding // a meta page that is damaged beside one that is whole: nothing is lost but it

	BranchPages, LeafPages int            // of trees
	Overflow               int            // pages that go on from those
	Free, List             int            // free pages, and those of the list of them
	Inline                 int            // buckets without a page of their own
	Keys                   map[string]int // by bucket, without the buckets in it
}

// An Item is a key with its value. Key and Value stand until the function that it was
// handed to returns.
type Item struct {
	Bucket     string // names from the outermost, with / between; empty where not known
	Page       uint64
	Key, Value []byte
	State      State
}

// A State says how a page was come by.
type State int

const (
	Live  State = iota // the tree leads to it
	Stray              // it looks like a leaf, and nothing says what it is
	Freed              // it looks like a leaf, and the list says that it is free
)

// Walk goes through every page that is in use, from the meta page on.
func (f *File) Walk() Report {
	w := f.walker()
	w.whole()
	return w.Report
}

// Trees is a walk over branches alone, some hundredth of the pages: it finds what
// would lead a reader round in circles, and no more. A leaf is known by its head. In haste
// the head is not read of a page that lies beside a leaf, that nothing else leads to and
// that is not free: it is a branch in its own place, which the walk comes by, or none. So
// whatever one spoilt page leads to is found in haste as well; what two do, perhaps not.
func (f *File) Trees(haste bool) Report {
	w := f.walker()
	w.branchesOnly = true
	if f.Now != nil {
		w.haste = haste && w.knowFree()
		w.tree(f.Now.Root, span{}, place{})
	}
	return w.Report
}

// knowFree reads which pages are free, and says whether the list of them tells.
func (w *walker) knowFree() bool {
	if w.Now.Freelist == noList {
		return false
	}
	p, err := w.load(w.Now.Freelist, &w.buffers[0])
	if err == nil {
		err = w.eachFree(p, func(n uint64) error { w.free.add(n); return nil })
	}
	return err == nil
}

// Items calls fn for every item that the tree leads to, in the order of buckets and
// keys, until it returns an error. What is damaged is left out, and reported.
func (f *File) Items(fn func(Item) error) (Report, error) {
	w := f.walker()
	w.item = fn
	w.whole()
	return w.Report, w.failed
}

type walker struct {
	*File
	Report
	seen, free   bits
	owner        []uint16 // of each page, a place in names; nil where nobody asks
	names        []string // of buckets; the first is that around all
	item         func(Item) error
	failed       error // of item
	branchesOnly bool
	haste        bool // see Trees
	buffers      [mostDeep][]byte
}

func (f *File) walker() *walker {
	w := &walker{File: f, Report: Report{Keys: map[string]int{}}, names: []string{""}}
	if f.Now != nil {
		w.seen = make(bits, f.There()/64+1)
		w.free = make(bits, f.There()/64+1)
	}
	return w
}

func (w *walker) bad(page uint64, format string, args ...any) {
	if len(w.Findings) == mostFindings {
		w.More++
		return
	}
	w.Findings = append(w.Findings, Finding{page, fmt.Sprintf(format, args...)})
}

// whole walks over the meta pages, the tree and the free list, and looks whether a
// page is left that is in neither.
func (w *walker) whole() {
	if w.Now == nil {
		w.bad(0, "neither of the two first pages is whole: %v", w.Metas[0].Flaw)
		w.Torn = true
		return
	}
	w.seen.add(0)
	w.seen.add(1)
	w.Meta = w.MetaFlaw()
	if w.Now.End > w.There() {
		w.bad(0, "it is cut off: %d pages of %d are there", w.There(), w.Now.End)
	}
	w.tree(w.Now.Root, span{}, place{})
	w.Torn = len(w.Findings) > 0
	if w.Now.Freelist != noList && w.failed == nil {
		w.freeList()
		w.rest()
	}
}

// rest looks for pages that nothing leads to. After other damage those are what lay
// behind it.
func (w *walker) rest() {
	lost, first := 0, uint64(0)
	for n := uint64(2); n < min(w.Now.End, w.There()); n++ {
		if !w.seen.has(n) && !w.free.has(n) {
			if lost++; lost == 1 {
				first = n
			}
		}
	}
	if lost > 0 {
		w.bad(first, "%d pages are in no tree and not free, page %d the first", lost, first)
	}
}

// A span is where the keys of a page must lie: from the first on, below the second; nil
// for no bound.
type span struct{ from, below []byte }

// A place is where in the tree a page lies.
type place struct {
	bucket int  // a place in names
	deep   int  // pages above it, in all trees
	inTree int  // pages above it, in its own
	beside bool // it lies beside a leaf
}

func (w *walker) tree(number uint64, s span, at place) {
	if at.deep == mostDeep {
		w.bad(number, "page %d lies deeper than any tree", number)
		return
	}
	if w.branchesOnly && at.bucket > 0 && !w.seen.has(number) && (at.beside && !w.free.has(number) || w.isLeaf(number)) {
		w.seen.add(number)
		return
	}
	p, err := w.load(number, &w.buffers[at.deep])
	if err == nil {
		err = w.claim(p, at.bucket)
	}
	if err != nil {
		w.bad(number, "%v", err)
		return
	}
	switch p.flags {
	case isBranch:
		w.BranchPages++
		err = w.branch(p, s, at)
	case isLeaf:
		w.LeafPages++
		err = w.leaf(p, s, at)
	default:
		err = errors.New("it is no page of a tree")
	}
	if err != nil {
		w.bad(number, "page %d (%s): %v", number, p.kind(), err)
	}
}

// isLeaf looks at the head of a page alone.
func (w *walker) isLeaf(number uint64) bool {
	if number >= w.There() {
		return false
	}
	var head [headSize]byte
	_, err := w.r.ReadAt(head[:], int64(number)*w.page)
	return err == nil && order.Uint64(head[:]) == number && order.Uint16(head[8:]) == isLeaf
}

// claim takes the pages of p for a bucket; nobody may have taken them.
func (w *walker) claim(p *page, bucket int) error {
	if w.owner != nil {
		w.owner[p.number] = uint16(bucket)
	}
	for n := p.number; n <= p.number+p.overflow; n++ {
		switch {
		case n < 2 || n >= w.Now.End:
			return fmt.Errorf("page %d is none that is in use", n)
		case w.seen.has(n):
			return fmt.Errorf("page %d is come by twice", n)
		}
		w.seen.add(n)
	}
	if p.flags == isBranch || p.flags == isLeaf {
		w.Overflow += int(p.overflow)
	}
	return nil
}

var errOrder = errors.New("its keys are not in order")

// fits says whether keys and values of a page lie one behind the other, the keys in
// order and within the span, and hands each to fn.
func (w *walker) fits(p *page, s span, fn func(i int, e element, key []byte) error) error {
	next := p.dataFrom()
	if next > p.size {
		return fmt.Errorf("it is too small for %d items", p.count)
	}
	var last []byte
	for i := range p.count {
		e, err := p.element(i)
		if err != nil {
			return err
		}
		if e.place != next {
			return fmt.Errorf("item %d does not lie behind the one before", i)
		}
		next = e.end()
		key, err := p.bytes(e.place, e.key)
		switch {
		case err != nil:
			return err
		case i > 0 && bytes.Compare(last, key) >= 0, i == 0 && bytes.Compare(key, s.from) < 0:
			return errOrder
		case i == p.count-1 && s.below != nil && bytes.Compare(key, s.below) >= 0:
			return errOrder
		}
		last = key
		if err := fn(i, e, key); err != nil {
			return err
		}
	}
	switch {
	case p.at == 0 && next != p.size:
		return errors.New("an inline bucket is longer than what is in it")
	case p.overflow > 0 && next <= p.size-w.page:
		return fmt.Errorf("it goes on over %d pages and does not need them", p.overflow)
	}
	return nil
}

// branch walks a branch's children once all of the branch fits.
func (w *walker) branch(p *page, s span, at place) error {
	if p.count == 0 {
		return errors.New("it leads to no page")
	}
	keys := make([][]byte, 0, p.count+1)
	children := make([]uint64, 0, p.count)
	if err := w.fits(p, s, func(_ int, e element, key []byte) error {
		keys, children = append(keys, key), append(children, e.child)
		return nil
	}); err != nil {
		return err
	}
	at.deep, at.inTree, at.beside = at.deep+1, at.inTree+1, w.haste && w.isLeaf(children[0])
	keys = append(keys, s.below)
	for i, child := range children {
		if w.failed != nil {
			return nil
		}
		w.tree(child, span{keys[i], keys[i+1]}, at)
	}
	return nil
}

func (w *walker) leaf(p *page, s span, at place) error {
	if p.count == 0 && at.inTree > 0 {
		return errors.New("it is empty")
	}
	if err := w.fits(p, s, func(int, element, []byte) error { return nil }); err != nil {
		return err // none of a page that does not fit is believed
	}
	name, n := w.names[at.bucket], 0
	defer func() {
		if n > 0 {
			w.Keys[name] += n
		}
	}()
	for i := 0; i < p.count && w.failed == nil; i++ {
		e, err := p.element(i)
		key, kerr := p.bytes(e.place, e.key)
		switch {
		case cmp.Or(err, kerr) != nil:
			return cmp.Or(err, kerr)
		case e.bucket:
			if err := w.bucket(p, e, key, at); err != nil {
				w.bad(p.number, "page %d: the bucket %.40q: %v", p.number, key, err)
			}
			continue
		case at.bucket == 0:
			return errors.New("outside of all buckets it holds what is none")
		}
		n++
		if err := w.hand(p, e, key, name, Live); err != nil {
			return err
		}
	}
	return nil
}

// hand gives an item to whoever asked for items.
func (w *walker) hand(p *page, e element, key []byte, bucket string, s State) error {
	if w.item == nil {
		return nil
	}
	value, err := p.bytes(e.place+e.key, e.value)
	if err != nil {
		return err
	}
	w.failed = w.item(Item{bucket, p.number, key, value, s})
	return nil
}

// bucket walks a bucket in a leaf.
func (w *walker) bucket(p *page, e element, key []byte, at place) error {
	name := joined(w.names[at.bucket], key)
	if len(w.names) > mostBuckets || len(name) > longestName {
		return errors.New("there are more buckets, or longer names, than a store has")
	}
	w.names = append(w.names, name)
	w.Keys[name] += 0
	root, err := p.root(e)
	in := place{bucket: len(w.names) - 1, deep: at.deep + 1}
	switch {
	case err != nil:
		return err
	case root == 0:
		return w.inlined(p, e, in)
	}
	w.tree(root, span{}, in)
	return nil
}

func (w *walker) inlined(p *page, e element, at place) error {
	in, err := p.inline(e)
	if err != nil {
		return err
	}
	w.Inline++
	return w.leaf(in, span{}, at)
}

// root is the first page of a bucket, 0 for one that lies in the value.
func (p *page) root(e element) (uint64, error) {
	if e.value < bucketSize {
		return 0, errors.New("it is cut off")
	}
	b, err := p.bytes(e.place+e.key, bucketSize)
	if err != nil {
		return 0, err
	}
	root := order.Uint64(b)
	if root != 0 && e.value != bucketSize {
		return 0, errors.New("it is longer than a bucket is")
	}
	return root, nil
}

func joined(bucket string, key []byte) string {
	if bucket == "" {
		return string(key)
	}
	return bucket + "/" + string(key)
}

// bits is a set of page numbers.
type bits []uint64

func (b bits) has(n uint64) bool { return n/64 < uint64(len(b)) && b[n/64]&(1<<(n%64)) != 0 }

func (b bits) add(n uint64) {
	if n/64 < uint64(len(b)) {
		b[n/64] |= 1 << (n % 64)
	}
}
