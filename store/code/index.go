package code

import (
	"hash/maphash"
	"iter"
)

// An Index numbers codes in the order they are added, from 0. A million of them take a
// third of what a map does, and the collector passes them over. The zero Index is empty.
type Index struct {
	bytes []byte
	ends  []uint32
	table []uint32 // number+1 by hash, 0 where nothing is
	seed  maphash.Seed
}

// Len is how many codes there are.
func (x *Index) Len() int { return len(x.ends) }

// Add numbers a code that is new, and returns its number, or the one it has.
func (x *Index) Add(c Code) (n int, fresh bool) {
	if 2*len(x.ends) >= len(x.table) {
		x.grow()
	}
	at, found := x.find(c)
	if found {
		return int(x.table[at]) - 1, false
	}
	x.bytes = append(x.bytes, c...)
	x.ends = append(x.ends, uint32(len(x.bytes)))
	x.table[at] = uint32(len(x.ends))
	return len(x.ends) - 1, true
}

// Number is the number of a code.
func (x *Index) Number(c Code) (n int, ok bool) {
	if x == nil || len(x.table) == 0 {
		return 0, false
	}
	at, found := x.find(c)
	return int(x.table[at]) - 1, found
}

// Has says whether there is such a code.
func (x *Index) Has(c Code) bool { _, ok := x.Number(c); return ok }

// At is the code with a number.
func (x *Index) At(n int) Code { return Code(x.text(n)) }

func (x *Index) text(n int) []byte {
	from := uint32(0)
	if n > 0 {
		from = x.ends[n-1]
	}
	return x.bytes[from:x.ends[n]]
}

// find is the place of a code in the table, or the one where it belongs.
func (x *Index) find(c Code) (at int, found bool) {
	mask := len(x.table) - 1
	for at = int(maphash.String(x.seed, string(c))) & mask; x.table[at] != 0; at = (at + 1) & mask {
		if string(x.text(int(x.table[at])-1)) == string(c) {
			return at, true
		}
	}
	return at, false
}

func (x *Index) grow() {
	if x.table == nil {
		x.seed = maphash.MakeSeed()
	}
	x.table = make([]uint32, max(16, 2*len(x.table)))
	for n := range x.ends {
		at, _ := x.find(x.At(n))
		x.table[at] = uint32(n + 1)
	}
}

// Numbers are a number for each of many codes. The zero Numbers has none.
type Numbers struct {
	codes Index
	of    []int32
}

// Set gives a code its number, in place of the one it has.
func (x *Numbers) Set(c Code, number int) {
	if n, fresh := x.codes.Add(c); fresh {
		x.of = append(x.of, int32(number))
	} else {
		x.of[n] = int32(number)
	}
}

// Get is the number of a code.
func (x *Numbers) Get(c Code) (number int, ok bool) {
	if n, ok := x.codes.Number(c); ok {
		return int(x.of[n]), true
	}
	return 0, false
}

// All goes through the codes in the order in which they came first.
func (x *Numbers) All() iter.Seq2[Code, int] {
	return func(yield func(Code, int) bool) {
		for n, number := range x.of {
			if !yield(x.codes.At(n), int(number)) {
				return
			}
		}
	}
}
