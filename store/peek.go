package store

import (
	"bytes"
	"fmt"

	"tinful/store/code"
)

// A peeked record is the CBOR of one that agrees with its sum, of which single fields are
// read where decoding all of it would cost more than the answer. A question that goes
// through most of a store peeks.
type peeked []byte

// peek opens a record.
func peek(bucket string, key, frame []byte) (peeked, error) {
	_, body, err := unseal(bucket, key, frame)
	return body, err
}

// Kinds of items of CBOR (RFC 8949, 3.1).
const (
	cborUint  = 0
	cborNint  = 1
	cborBytes = 2
	cborText  = 3
	cborArray = 4
	cborMap   = 5
	cborTag   = 6
)

// itemHead reads the head of an item: its kind, its number, and how many bytes the head has;
// none where the item breaks off or has no length.
func itemHead(b []byte) (kind byte, n uint64, size int) {
	if len(b) == 0 {
		return 0, 0, 0
	}
	kind, short := b[0]>>5, b[0]&31
	if short < 24 {
		return kind, uint64(short), 1
	}
	size = 1 + 1<<(short-24)
	if short > 27 || len(b) < size {
		return 0, 0, 0
	}
	for _, x := range b[1:size] {
		n = n<<8 | uint64(x)
	}
	return kind, n, size
}

// item is how many bytes the item has that b begins with, 0 where it breaks off.
func item(b []byte) int {
	at := 0
	for open := uint64(1); open > 0; open-- {
		kind, n, size := itemHead(b[at:])
		if size == 0 {
			return 0
		}
		at += size
		switch kind {
		case cborBytes, cborText:
			if n > uint64(len(b)-at) {
				return 0
			}
			at += int(n)
		case cborArray, cborMap, cborTag:
			if kind == cborTag {
				n = 1
			}
			if n > uint64(len(b)) {
				return 0
			}
			open += n
			if kind == cborMap {
				open += n
			}
		}
	}
	return at
}

// field is the item of a field, nil where the record leaves it out. Fields are in order.
func (p peeked) field(want uint64) []byte {
	kind, n, size := itemHead(p)
	if kind != cborMap {
		return nil
	}
	for p = p[size:]; n > 0; n-- {
		kind, key, size := itemHead(p)
		if kind != cborUint || size == 0 || key > want {
			return nil
		}
		x := p[size:]
		end := item(x)
		if end == 0 {
			return nil
		}
		if key == want {
			return x[:end]
		}
		p = x[end:]
	}
	return nil
}

// text is the text of a field; it dies with the transaction.
func (p peeked) text(field uint64) []byte {
	x := p.field(field)
	if kind, n, size := itemHead(x); kind == cborText && uint64(len(x)-size) == n {
		return x[size:]
	}
	return nil
}

// number is the number of a field, 0 where the record leaves it out.
func (p peeked) number(field uint64) int64 {
	switch kind, n, size := itemHead(p.field(field)); {
	case size == 0:
	case kind == cborUint:
		return int64(n)
	case kind == cborNint:
		return -1 - int64(n)
	}
	return 0
}

// texts calls fn for the texts of a list.
func (p peeked) texts(field uint64, fn func(text []byte)) {
	x := p.field(field)
	kind, n, size := itemHead(x)
	if kind != cborArray {
		return
	}
	for x = x[size:]; n > 0; n-- {
		kind, length, size := itemHead(x)
		if kind != cborText || length > uint64(len(x)-size) {
			return
		}
		fn(x[size : size+int(length)])
		x = x[size+int(length):]
	}
}

// A Statement is what a list of what is in a camera asks of a [Goes] that belongs there.
type Statement struct {
	Part, Model code.Code
	From, To    string
	PerBody     int64 // 1 where nobody said
}

// EachBelonging calls fn for every statement that means that the part sits in the model
// ([Goes.Belongs]), in order of part and model.
func (v *View) EachBelonging(fn func(Statement)) error {
	var part code.Code
	models := map[string]code.Code{}
	return v.scan(bGoes, nil, func(k, x []byte) error {
		p, err := peek(bGoes, k, x)
		if err != nil {
			return err
		}
		n, all := 0, true
		p.texts(3, func(degree []byte) { n, all = n+1, all && belongs(string(degree)) })
		f := bytes.SplitN(k, []byte{0}, 4)
		if len(f) != 4 {
			return fmt.Errorf("%w: a record lies under a key that is none of its kind", ErrDamaged)
		}
		if n == 0 || !all {
			return nil
		}
		if string(f[0]) != string(part) {
			part = code.Code(f[0])
		}
		s := Statement{Part: part, Model: models[string(f[1])], From: string(f[2]), To: string(f[3]), PerBody: 1}
		if s.Model == "" {
			s.Model = code.Code(f[1])
			models[string(f[1])] = s.Model
		}
		if p.field(4) != nil {
			s.PerBody = p.number(4)
		}
		fn(s)
		return nil
	})
}

// IsRecorded says whether a part is recorded under this code and is no second name.
func (v *View) IsRecorded(c code.Code) (bool, error) {
	x := v.at(bPart, keyCode(c))
	if x == nil {
		return false, nil
	}
	p, err := peek(bPart, keyCode(c), x)
	same := p.text(16)
	return err == nil && (len(same) == 0 || string(same) == string(c)), err
}

// A Drawn is what was booked in of a bag from its origin.
type Drawn struct {
	Bag, Part code.Code
	Pieces    int64
	Unit      string
}

// DrawnFrom lists what was booked in from an origin, in order of bags, without what was
// taken back and what is unsorted.
func (v *View) DrawnFrom(origin string) ([]Drawn, error) {
	var out []Drawn
	err := v.scan(bBagByOrigin, prefix(origin), func(bag, _ []byte) error {
		b, err := v.peekAt(bBag, bag)
		if err != nil {
			return err
		}
		st, err := v.peekAt(bState, bag)
		if n := st.number(2); err == nil && n > 0 && len(b.text(2)) > 0 {
			out = append(out, Drawn{code.Code(bag), code.Code(b.text(2)), n, string(b.text(5))})
		}
		return err
	})
	return out, err
}

// peekAt peeks at a record that an index names.
func (v *View) peekAt(bucket string, key []byte) (peeked, error) {
	x := v.at(bucket, key)
	if x == nil {
		return nil, lacking(bucket, string(key))
	}
	return peek(bucket, key, x)
}

// EachHeldIn calls fn for every part that a unit contains, and the unit.
func (v *View) EachHeldIn(fn func(part, unit code.Code)) {
	v.scan(bHeldIn, nil, func(k, _ []byte) error {
		part, unit, _ := bytes.Cut(k, []byte{0})
		fn(code.Code(part), code.Code(unit))
		return nil
	})
}
