package pages

import "fmt"

// freeList reads which pages are free: in order, none twice, none that is in use.
func (w *walker) freeList() {
	p, err := w.load(w.Now.Freelist, &w.buffers[0])
	if err == nil {
		err = w.claim(p, 0)
	}
	if err != nil {
		w.bad(w.Now.Freelist, "the list of free pages: %v", err)
		return
	}
	w.List = 1 + int(p.overflow)
	err = w.eachFree(p, func(n uint64) error {
		if w.seen.has(n) {
			return fmt.Errorf("page %d is in use and free", n)
		}
		w.free.add(n)
		w.Free++
		return nil
	})
	if err != nil {
		w.bad(p.number, "the list of free pages on page %d: %v", p.number, err)
	}
}

// eachFree hands over the numbers of free pages, in order.
func (f *File) eachFree(p *page, fn func(uint64) error) error {
	if p.flags != isFree {
		return fmt.Errorf("it is a %s", p.kind())
	}
	at, n, err := p.listed()
	if err != nil {
		return err
	}
	last := uint64(1)
	for ; n > 0; n, at = n-1, at+8 {
		b, err := p.bytes(at, 8)
		if err != nil {
			return err
		}
		number := order.Uint64(b)
		if number <= last || number >= f.Now.End {
			return fmt.Errorf("page %d stands in it where it cannot", number)
		}
		last = number
		if err := fn(number); err != nil {
			return err
		}
	}
	return nil
}

// listed is where the numbers of a list begin, and how many there are. From 65535 on
// the number is the first of them.
func (p *page) listed() (at int64, n uint64, err error) {
	at, n = headSize, uint64(p.count)
	if p.count == 1<<16-1 {
		b, err := p.bytes(at, 8)
		if err != nil {
			return 0, 0, err
		}
		at, n = at+8, order.Uint64(b)
	}
	if n > uint64(p.size-at)/8 {
		return 0, 0, fmt.Errorf("it is too small for %d pages", n)
	}
	return at, n, nil
}

// FreeFlaw says what is wrong with the list of free pages alone, by which whoever
// writes would overwrite what is in use.
func (f *File) FreeFlaw() error {
	if f.Now == nil || f.Now.Freelist == noList {
		return nil
	}
	var buffer []byte
	p, err := f.load(f.Now.Freelist, &buffer)
	if err != nil {
		return err
	}
	return f.eachFree(p, func(uint64) error { return nil })
}
