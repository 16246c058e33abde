// Package pages reads the file of a store page by page, without the library that
// writes it and without believing any byte of it.
//
// The file is pages of one size. The first two are meta pages: each says where the
// tree and the list of free pages begin, and has a sum of its own; they are written
// in turns, so that one is always whole. All other pages are branches, leaves, the
// free list, what goes on from the page before (overflow), or free. A leaf holds
// items, key and value, in order of keys; an item may be a bucket, a tree within the
// tree, or inline, a leaf within the value.
//
// The library lays keys and values of a page one behind the other without a gap, and
// that is asked of every page: a bit that is flipped in a number of a page is found,
// be it a flag, a count, a place or a length. Whatever the bytes are, a walk ends, and
// holds no more than a few megabytes.
//
// The layout is that of go.etcd.io/bbolt 1.5, internal/common: page.go, meta.go,
// bucket.go. Numbers are in the order of the machine.
package pages

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

var order = binary.NativeEndian

const (
	headSize    = 16 // of a page: number, flags, count, overflow
	elementSize = 16 // in a branch: place, length of key, page; in a leaf: flags, place, lengths
	bucketSize  = 16 // of a bucket: root page, sequence

	isBranch = 0x01
	isLeaf   = 0x02
	isMeta   = 0x04
	isFree   = 0x10

	noList = ^uint64(0) // in place of the page of the free list: there is none

	// Large enough for the elements of any page. Of a larger page keys and values
	// are read one at a time.
	windowSize = 1<<16*elementSize + headSize

	mostKey   = 32768    // what the library takes for a key
	mostValue = 64 << 20 // no value that is read here is longer
	mostDeep  = 32       // pages from the first to a leaf; a store of a billion items has 6
)

// A File is a file of pages.
type File struct {
	r    io.ReaderAt
	size int64
	page int64 // bytes of a page

	// Metas are the two meta pages, and Now the one that holds; nil where none is whole.
	Metas [2]Meta
	Now   *Meta
}

// Open reads the meta pages of a file of that size. It fails only where it cannot read.
func Open(r io.ReaderAt, size int64) (*File, error) {
	f := &File{r: r, size: size}
	return f, f.readMetas()
}

// PageSize is the size of a page; guessed where no meta page is whole, 0 in vain.
func (f *File) PageSize() int64 { return f.page }

// Size is the size of the file.
func (f *File) Size() int64 { return f.size }

// There is how many whole pages the file has.
func (f *File) There() uint64 {
	if f.page == 0 {
		return 0
	}
	return uint64(f.size / f.page)
}

// Needs is the size that the file must have by its meta page.
func (f *File) Needs() int64 {
	if f.Now == nil || f.Now.End > 1<<62/uint64(f.page) {
		return 1 << 62
	}
	return int64(f.Now.End) * f.page
}

// Bytes reads n bytes of the file from a place on, whatever they are.
func (f *File) Bytes(from, n int64) io.Reader { return io.NewSectionReader(f.r, from, n) }

var errOutside = errors.New("it leads out of its page")

// A page is one page with what goes on from it, or the leaf of an inline bucket.
type page struct {
	f        *File
	number   uint64
	flags    uint16
	count    int
	overflow uint64
	at, size int64  // of its bytes in the file
	window   []byte // its first bytes, mostly all
}

// load reads a page. It believes nothing but that the number lies in the file.
func (f *File) load(number uint64, buffer *[]byte) (*page, error) {
	if number >= f.There() {
		return nil, fmt.Errorf("page %d lies outside the file", number)
	}
	p := &page{f: f, at: int64(number) * f.page, size: f.page}
	if err := p.read(f.page, buffer); err != nil {
		return nil, err
	}
	p.head()
	if p.number != number {
		return nil, fmt.Errorf("page %d calls itself page %d", number, p.number)
	}
	if p.overflow > f.There()-number-1 {
		return nil, fmt.Errorf("page %d goes on over %d pages, more than the file has", number, p.overflow)
	}
	if p.overflow > 0 {
		p.size += int64(p.overflow) * f.page
		return p, p.read(min(p.size, max(windowSize, f.page)), buffer)
	}
	return p, nil
}

func (p *page) read(n int64, buffer *[]byte) error {
	if int64(cap(*buffer)) < n {
		*buffer = make([]byte, n)
	}
	p.window = (*buffer)[:n]
	if _, err := p.f.r.ReadAt(p.window, p.at); err != nil {
		return fmt.Errorf("page %d cannot be read: %w", uint64(p.at/p.f.page), err)
	}
	return nil
}

func (p *page) head() {
	b := p.window
	p.number, p.flags = order.Uint64(b), order.Uint16(b[8:])
	p.count, p.overflow = int(order.Uint16(b[10:])), uint64(order.Uint32(b[12:]))
}

// kind is what a page is, in a word.
func (p *page) kind() string {
	switch p.flags {
	case isBranch:
		return "branch"
	case isLeaf:
		return "leaf"
	case isMeta:
		return "meta page"
	case isFree:
		return "free list"
	}
	return fmt.Sprintf("of no kind (%#x)", p.flags)
}

// bytes are n bytes of a page from a place on. They stand until its buffer is used again.
func (p *page) bytes(place, n int64) ([]byte, error) {
	switch {
	case place < 0 || n < 0 || place > p.size || n > p.size-place:
		return nil, errOutside
	case place+n <= int64(len(p.window)):
		return p.window[place : place+n], nil
	case n > mostValue:
		return nil, fmt.Errorf("a value of %d bytes is more than is read", n)
	}
	b := make([]byte, n)
	_, err := p.f.r.ReadAt(b, p.at+place)
	return b, err
}

// An element of a page says where a key lies, and what is behind it.
type element struct {
	place, key, value int64
	bucket            bool
	child             uint64
}

func (e element) end() int64 { return e.place + e.key + e.value }

// dataFrom is where keys and values begin: behind the elements.
func (p *page) dataFrom() int64 { return headSize + int64(p.count)*elementSize }

// element reads one element; those that do not fit into the page are an error.
func (p *page) element(i int) (element, error) {
	at := headSize + int64(i)*elementSize
	b, err := p.bytes(at, elementSize)
	if err != nil {
		return element{}, errOutside
	}
	var e element
	if p.flags == isBranch {
		e = element{place: at + int64(order.Uint32(b)), key: int64(order.Uint32(b[4:])), child: order.Uint64(b[8:])}
	} else {
		flags := order.Uint32(b)
		e = element{place: at + int64(order.Uint32(b[4:])), key: int64(order.Uint32(b[8:])), value: int64(order.Uint32(b[12:])), bucket: flags == 1}
		if flags > 1 {
			return e, fmt.Errorf("item %d is of no kind (%#x)", i, flags)
		}
	}
	switch {
	case e.key == 0 || e.key > mostKey:
		return e, fmt.Errorf("the key of item %d is %d bytes long", i, e.key)
	case e.place < p.dataFrom() || e.end() > p.size:
		return e, fmt.Errorf("item %d: %w", i, errOutside)
	}
	return e, nil
}

// inline is the leaf in the value of a bucket that has no page of its own.
func (p *page) inline(e element) (*page, error) {
	b, err := p.bytes(e.place+e.key, e.value)
	if err != nil {
		return nil, err
	}
	if len(b) < bucketSize+headSize {
		return nil, errors.New("an inline bucket is cut off")
	}
	in := &page{f: p.f, size: int64(len(b) - bucketSize), window: b[bucketSize:]}
	in.head()
	if in.number != 0 || in.overflow != 0 || in.flags != isLeaf {
		return nil, errors.New("an inline bucket is none")
	}
	in.number = p.number
	return in, nil
}
