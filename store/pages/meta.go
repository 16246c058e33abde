package pages

import (
	"errors"
	"fmt"
	"hash/fnv"
	"io"
)

// A Meta is a meta page. What follows Flaw is only good where that is nil.
type Meta struct {
	Flaw     error  // why it cannot be used
	Size     int64  // of a page, in bytes
	Root     uint64 // page of the tree of buckets
	Freelist uint64 // page of the list of free pages
	End      uint64 // the first page that is not used
	Tx       uint64 // number of the transaction that wrote it
}

// ErrForeign is the flaw of a page that was never a meta page.
var ErrForeign = errors.New("it does not begin as one")

const (
	magic   = 0xED0CDAED
	version = 2

	metaSize = 64 // after the head of the page
	metaSum  = 56 // bytes that its sum is of

	leastPage, mostPage = 1 << 10, 1 << 16 // what systems have: 4, 16 or 64 KiB
)

// parseMeta reads a meta page, the head of the page with it.
func parseMeta(b []byte) Meta {
	m := Meta{}
	if len(b) < headSize+metaSize {
		m.Flaw = ErrForeign
		return m
	}
	body := b[headSize : headSize+metaSize]
	sum := fnv.New64a()
	sum.Write(body[:metaSum])
	m.Size, m.Root = int64(order.Uint32(body[8:])), order.Uint64(body[16:])
	m.Freelist, m.End, m.Tx = order.Uint64(body[32:]), order.Uint64(body[40:]), order.Uint64(body[48:])
	switch {
	case order.Uint32(body) != magic:
		m.Flaw = ErrForeign
	case order.Uint32(body[4:]) != version:
		m.Flaw = fmt.Errorf("it is of version %d, not %d", order.Uint32(body[4:]), version)
	case order.Uint64(body[metaSum:]) != sum.Sum64():
		m.Flaw = errors.New("its sum is wrong")
	case m.Size < leastPage || m.Size > mostPage || m.Size&(m.Size-1) != 0:
		m.Flaw = fmt.Errorf("it speaks of pages of %d bytes", m.Size)
	case m.Root < 2 || m.Root >= m.End || m.Freelist != noList && (m.Freelist < 2 || m.Freelist >= m.End):
		m.Flaw = errors.New("it leads out of the file")
	}
	return m
}

// headFlaw says that the head of a meta page, which the library does not read, is
// not that of one.
func (f *File) headFlaw(number uint64) error {
	var buffer []byte
	p, err := f.load(number, &buffer)
	if err != nil || p.flags != isMeta || p.count != 0 || p.overflow != 0 {
		return errors.New("its head is wrong")
	}
	return nil
}

// readMetas finds the size of a page by the first meta page, else by the second, and
// which of the two holds: the later one, as the library has it.
func (f *File) readMetas() error {
	first, err := f.metaAt(0)
	if err != nil {
		return err
	}
	f.Metas = [2]Meta{first, {Flaw: ErrForeign}}
	if first.Flaw == nil {
		f.page = first.Size
		f.Metas[1], err = f.metaAt(first.Size)
	} else {
		err = f.findSecond()
	}
	a, b := &f.Metas[0], &f.Metas[1]
	if b.Flaw == nil && b.Size != f.page {
		b.Flaw = errors.New("it speaks of pages of another size")
	}
	switch {
	case a.Flaw == nil && (b.Flaw != nil || a.Tx > b.Tx):
		f.Now = a
	case b.Flaw == nil:
		f.Now = b
	default:
		f.page = f.guessSize()
	}
	return err
}

// findSecond looks for the second meta page where it is with pages of each size.
func (f *File) findSecond() error {
	for size := int64(leastPage); size <= mostPage; size *= 2 {
		m, err := f.metaAt(size)
		if err != nil {
			return err
		}
		if m.Flaw == nil && m.Size == size {
			f.Metas[1], f.page = m, size
			return nil
		}
	}
	return nil
}

func (f *File) metaAt(at int64) (Meta, error) {
	b := make([]byte, headSize+metaSize)
	n, err := f.r.ReadAt(b, at)
	if errors.Is(err, io.EOF) {
		err = nil
	}
	return parseMeta(b[:n]), err
}

// guessSize is the size by which most pages call themselves what they are, 0 where
// none does.
func (f *File) guessSize() int64 {
	most, best := 0, int64(0)
	b := make([]byte, 8)
	for size := int64(leastPage); size <= mostPage; size *= 2 {
		hits := 0
		for number := int64(2); number < 1000 && (number+1)*size <= f.size; number++ {
			if _, err := f.r.ReadAt(b, number*size); err == nil && order.Uint64(b) == uint64(number) {
				hits++
			}
		}
		if hits > most {
			most, best = hits, size
		}
	}
	return best
}

// MetaFlaw is what is wrong with one of the two meta pages where the other holds, nil
// for nothing.
func (f *File) MetaFlaw() *Finding {
	for i := range uint64(2) {
		flaw := f.Metas[i].Flaw
		if flaw == nil {
			flaw = f.headFlaw(i)
		}
		if flaw != nil {
			return &Finding{i, fmt.Sprintf("page %d, one of the two first, is damaged: %v", i, flaw)}
		}
	}
	return nil
}

// MendedMeta is the page to write in place of the meta page that is damaged, made
// from the one that holds, and its number. It is nil where nothing is to be mended, or
// nothing is there to mend it by.
func (f *File) MendedMeta() (mended []byte, number uint64, err error) {
	flaw := f.MetaFlaw()
	if f.Now == nil || flaw == nil {
		return nil, 0, nil
	}
	mended, err = f.metaFor(flaw.Page)
	return mended, flaw.Page, err
}

// Twin is the page to write in place of the meta page that does not hold, and its
// number, so that both lead to all that is in the file.
func (f *File) Twin() (twin []byte, number uint64, err error) {
	if f.Now == &f.Metas[0] {
		number = 1
	}
	twin, err = f.metaFor(number)
	return twin, number, err
}

// metaFor is a meta page for that place: the one that holds, and in the place of the
// other the same of a transaction earlier, as the library writes them in a copy.
func (f *File) metaFor(number uint64) ([]byte, error) {
	now, b := uint64(0), make([]byte, f.page)
	if f.Now == &f.Metas[1] {
		now = 1
	}
	if _, err := f.r.ReadAt(b, int64(now)*f.page); err != nil {
		return nil, err
	}
	order.PutUint64(b, number)
	order.PutUint16(b[8:], isMeta)
	order.PutUint16(b[10:], 0)
	order.PutUint32(b[12:], 0)
	body := b[headSize : headSize+metaSize]
	if number != now && f.Now.Tx > 0 {
		order.PutUint64(body[48:], f.Now.Tx-1)
	}
	sum := fnv.New64a()
	sum.Write(body[:metaSum])
	order.PutUint64(body[metaSum:], sum.Sum64())
	return b, nil
}
