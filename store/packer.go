package store

// parcels is how many records, or bags, go to the packer together.
const parcels = 128

// A parcel is a new bag with its balance and the entry that books it in, the zero Entry
// where that is entered later.
type parcel struct {
	bag   Bag
	state State
	in    Entry
}

// A batch is what goes to the packer together, in its order.
type batch struct {
	recs []any
	bags []parcel
}

// A packer turns the records of a new store into bytes and rows while others
// are still looked through. It is the only one that touches its bulk until
// stop has returned.
type packer struct {
	to     chan *batch
	back   chan *batch // batches to be filled again
	done   chan error
	filled *batch
}

// newPacker starts packing into b. By books what has no other hand.
func newPacker(b *bulk, by string) *packer {
	p := &packer{to: make(chan *batch, 4), back: make(chan *batch, 6), done: make(chan error, 1), filled: new(batch)}
	go func() {
		var err error
		for x := range p.to {
			if err == nil {
				err = b.unload(x, by)
			}
			clear(x.recs)
			clear(x.bags)
			x.recs, x.bags = x.recs[:0], x.bags[:0]
			select {
			case p.back <- x:
			default:
			}
		}
		p.done <- err
	}()
	return p
}

// unload packs one batch.
func (b *bulk) unload(x *batch, by string) error {
	for _, rec := range x.recs {
		if err := b.catalogue(rec); err != nil {
			return err
		}
	}
	for i := range x.bags {
		k := &x.bags[i]
		err := b.bag(k.bag, k.state)
		if err == nil && k.in.What != 0 {
			err = b.enter(k.in, by)
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// record hands a catalogue record over.
func (p *packer) record(rec any) {
	p.filled.recs = append(p.filled.recs, rec)
	if len(p.filled.recs) == parcels {
		p.send()
	}
}

// bag hands a new bag over.
func (p *packer) bag(b Bag, s State, in Entry) {
	p.filled.bags = append(p.filled.bags, parcel{b, s, in})
	if len(p.filled.bags) == parcels {
		p.send()
	}
}

func (p *packer) send() {
	p.to <- p.filled
	select {
	case p.filled = <-p.back:
	default:
		p.filled = new(batch)
	}
}

// stop waits until everything is packed and returns the first error.
func (p *packer) stop() error {
	p.send()
	close(p.to)
	return <-p.done
}
