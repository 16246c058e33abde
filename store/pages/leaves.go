package pages

// Leaves calls fn for every item of every page that looks like a leaf, whether or not
// a tree leads to it, in the order of pages, until fn returns an error. Of a page that
// is damaged it takes the items that can be; whether an item is what it says is for
// its own sum to tell. It works without any meta page.
func (f *File) Leaves(fn func(Item) error) error {
	w := f.walker()
	if f.Now != nil {
		w.owner = make([]uint16, f.There())
		w.whole()
	}
	w.item = fn
	for number := uint64(2); number < f.There() && w.failed == nil; number++ {
		p, err := f.load(number, &w.buffers[0])
		if err != nil || p.flags != isLeaf {
			continue // what is not a page of its own, or no longer one
		}
		w.loose(p, w.bucketOf(number), w.stateOf(number))
	}
	return w.failed
}

func (w *walker) bucketOf(number uint64) string {
	if w.owner == nil {
		return ""
	}
	return w.names[w.owner[number]]
}

func (w *walker) stateOf(number uint64) State {
	switch {
	case w.seen.has(number):
		return Live
	case w.free.has(number):
		return Freed
	}
	return Stray
}

// loose hands over the items of a leaf that can be read. Where they overlap, no more
// is handed over than the page holds.
func (w *walker) loose(p *page, bucket string, s State) {
	left := p.size
	for i := range p.count {
		e, err := p.element(i)
		if err != nil {
			continue
		}
		if left -= elementSize + e.key + e.value; left < 0 || w.failed != nil {
			return
		}
		key, err := p.bytes(e.place, e.key)
		switch {
		case err != nil:
		case !e.bucket:
			_ = w.hand(p, e, key, bucket, s) // what is too long to be read is left out
		case p.at > 0: // no bucket lies in an inline one
			w.looseBucket(p, e, joined(bucket, key), s)
		}
	}
}

func (w *walker) looseBucket(p *page, e element, name string, s State) {
	if root, err := p.root(e); err != nil || root != 0 {
		return
	}
	if in, err := p.inline(e); err == nil {
		w.loose(in, name, s)
	}
}
