package store

import (
	"bytes"
	"fmt"

	"tinful/store/code"

	bolt "go.etcd.io/bbolt"
)

// All that is read of the file is read here. A bucket that an older store lacks is
// empty, and a row that does not agree with its sum ends the question.

// A damage unwinds a question about an index, which has no error to return: [Store.View]
// and [Store.Book] return it as [ErrDamaged], like a page that leads nowhere.
type damage struct{ error }

// spoilt ends a question: a row is not what was written.
func spoilt(bucket string, key []byte) {
	panic(damage{&FlawError{Text: fmt.Sprintf("the index %s does not agree with its checksum at %s", bucket, readable(key)), Index: true}})
}

func (v *View) bucket(name string) *bolt.Bucket { return v.open(name).bucket }

// A branch is a bucket, nil where there is none, and how it is read. bbolt looks for a
// bucket of a reading transaction each time it is asked for one, and makes a cursor for
// every key.
type branch struct {
	bucket *bolt.Bucket
	shelf  shelf
	keys   *bolt.Cursor // for single keys, nil where what is written is not told to the view
	spare  *bolt.Cursor // of a scan that is over
}

func (v *View) open(name string) *branch {
	o, ok := v.opened[name]
	if ok {
		return o
	}
	o = &branch{bucket: v.tx.Bucket([]byte(name)), shelf: shelves()[name]}
	if v.books || !v.tx.Writable() {
		if v.opened == nil {
			v.opened = map[string]*branch{}
		}
		v.opened[name] = o
		if o.bucket != nil {
			o.keys = o.bucket.Cursor()
		}
	}
	return o
}

// get is what lies under a key, nil for nothing.
func (o *branch) get(key []byte) []byte {
	if o.keys == nil {
		return o.bucket.Get(key)
	}
	if k, x := o.keys.Seek(key); bytes.Equal(k, key) {
		return x
	}
	return nil
}

// at is what lies under a key, the value of a row or the bytes of a record, nil for
// nothing.
func (v *View) at(bucket string, key []byte) []byte {
	o := v.open(bucket)
	if o.bucket == nil {
		return nil
	}
	x := o.get(key)
	v.mapped.read(x)
	if x != nil && o.shelf.rows {
		var ok bool
		if x, ok = o.shelf.openRow(key, x); !ok {
			spoilt(bucket, key)
		}
	}
	return x
}

// A cursor goes through a bucket in order of its keys. It yields nil behind the last.
type cursor struct {
	at     *bolt.Cursor // nil in a bucket that is not there
	of     *branch
	bucket string
	shelf  shelf
	mapped *mapped
	key    []byte // where onto came to
}

func (v *View) cursor(bucket string) *cursor {
	o := v.open(bucket)
	c := &cursor{of: o, bucket: bucket, shelf: o.shelf, mapped: v.mapped}
	switch {
	case o.spare != nil:
		c.at, o.spare = o.spare, nil
	case o.bucket != nil:
		c.at = o.bucket.Cursor()
	}
	return c
}

// done leaves the cursor to the next scan of the bucket.
func (c *cursor) done() { c.at, c.of.spare = nil, c.at }

// open opens the row that the cursor came to.
func (c *cursor) open(k, x []byte) ([]byte, []byte) {
	c.mapped.read(k)
	if k == nil || !c.shelf.rows {
		return k, x
	}
	x, ok := c.shelf.openRow(k, x)
	if !ok {
		spoilt(c.bucket, k)
	}
	return k, x
}

func (c *cursor) first() (k, x []byte) {
	if c.at == nil {
		return nil, nil
	}
	return c.open(c.at.First())
}

func (c *cursor) last() (k, x []byte) {
	if c.at == nil {
		return nil, nil
	}
	return c.open(c.at.Last())
}

func (c *cursor) next() (k, x []byte) {
	if c.at == nil {
		return nil, nil
	}
	return c.open(c.at.Next())
}

func (c *cursor) prev() (k, x []byte) {
	if c.at == nil {
		return nil, nil
	}
	return c.open(c.at.Prev())
}

// seek goes to a key, or to the first behind it.
func (c *cursor) seek(key []byte) (k, x []byte) {
	if c.at == nil {
		return nil, nil
	}
	return c.open(c.at.Seek(key))
}

// onto goes on to a key, or to the first behind it, and looks at a few keys on the way
// before it seeks: for keys that are asked for in order and lie near to each other.
func (c *cursor) onto(key []byte) (k, x []byte) {
	const near = 8
	if c.at == nil {
		return nil, nil
	}
	if c.key != nil && bytes.Compare(c.key, key) < 0 {
		for range near {
			if c.key, x = c.at.Next(); c.key == nil || bytes.Compare(c.key, key) >= 0 {
				return c.open(c.key, x)
			}
		}
	}
	c.key, x = c.at.Seek(key)
	return c.open(c.key, x)
}

// before goes to the last key below one.
func (c *cursor) before(key []byte) (k, x []byte) {
	if k, _ := c.seek(key); k == nil {
		return c.last()
	}
	return c.prev()
}

// scan calls fn for every key that starts with pre, in order, with what
// follows the prefix.
func (v *View) scan(bucket string, pre []byte, fn func(rest, value []byte) error) error {
	c := v.cursor(bucket)
	for k, x := c.seek(pre); k != nil && bytes.HasPrefix(k, pre); k, x = c.next() {
		if err := fn(k[len(pre):], x); err != nil {
			return err
		}
	}
	c.done()
	return nil
}

// any says whether a bucket has a key that starts so.
func (v *View) any(bucket string, pre []byte) bool {
	c := v.cursor(bucket)
	k, _ := c.seek(pre)
	c.done()
	return k != nil && bytes.HasPrefix(k, pre)
}

// torn returns [ErrDamaged] where a record that is not there is still named: by its
// balance, or by an index from which nothing else takes its rows away.
func (v *View) torn(bucket string, key []byte) error {
	c, by := code.Code(key), ""
	switch bucket {
	case bPart, bDonor, bModel:
		if v.at(bCode, keyCodeIndex(bucket, c)) != nil {
			by = "the index " + bCode
		}
	case bBag:
		var st State
		if x := v.at(bState, key); x != nil && (decode(bState, key, x, &st) != nil || !st.Gone) {
			by = "its balance"
		}
	case bPlace:
		if v.any(bBagByPlace, prefix(c)) {
			by = "the index " + bBagByPlace
		}
	case bJob:
		if v.any(bWantByJob, prefix(c)) || v.any(bOldOpen, prefix(c)) {
			by = "an index"
		}
	}
	if by == "" {
		return nil
	}
	return &FlawError{Text: fmt.Sprintf("%s %s is not there, and %s names it", bucket, key, by)}
}

// lacking returns [ErrDamaged] for what must be there and is not.
func lacking(what string, name any) error {
	return &FlawError{Text: fmt.Sprintf("%s %v is not there, though the book says so", what, name)}
}
