package store

import (
	"encoding/binary"
	"fmt"
	"iter"
	"reflect"
	"sync"
)

// nearRows is how many rows of a list are kept as they are; a test makes it small.
var nearRows = 256

// A List is a long list of records, as a workbook has them: the last are kept as they
// are, those before them packed, beside a store where they are many. The zero List is
// empty.
type List[T any] struct {
	near    []T
	far     packed
	changed map[int]T // of those that are packed
	row     T         // that was asked for last
	at      int       // its place, from 1
	whole   bool      // all stay as they are
}

// ListOf is a list of records.
func ListOf[T any](all ...T) (l List[T]) {
	for _, x := range all {
		l.Add(x)
	}
	return l
}

// Rows are the rows of a sheet: a [List], or [Moves].
type Rows[T any] interface {
	Len() int
	Add(T)
	At(i int) T
}

// Len is the number of rows.
func (l *List[T]) Len() int { return l.far.n + len(l.near) }

// Add appends a row.
func (l *List[T]) Add(x T) {
	if len(l.near) >= nearRows && !l.whole {
		var b []byte
		for i := range l.near {
			b = packs[T]().pack(b[:0], reflect.ValueOf(&l.near[i]).Elem())
			l.far.add(b)
		}
		clear(l.near)
		l.near = l.near[:0]
	}
	l.near = append(l.near, x)
}

// At is row i.
func (l *List[T]) At(i int) T {
	if i >= l.far.n {
		return l.near[i-l.far.n]
	}
	if x, ok := l.changed[i]; ok {
		return x
	}
	if l.at != i+1 {
		l.row, l.at = unpack[T](l.far.at(i)), i+1
	}
	return l.row
}

// Change changes row i.
func (l *List[T]) Change(i int, fn func(*T)) {
	if i >= l.far.n {
		fn(&l.near[i-l.far.n])
		return
	}
	x := l.At(i)
	fn(&x)
	if l.changed == nil {
		l.changed = map[int]T{}
	}
	l.changed[i] = x
}

// Records are all rows, each a copy.
func (l *List[T]) Records() []T {
	all := make([]T, 0, l.Len())
	for _, x := range l.All() {
		all = append(all, x)
	}
	return all
}

// held are all rows, which stay as they are from now on: for who changes many.
func (l *List[T]) held() []T {
	if !l.whole {
		all := l.Records()
		l.far.close()
		*l = List[T]{near: all, far: l.far, whole: true}
	}
	return l.near
}

// Equal says whether two lists hold the same rows.
func (l List[T]) Equal(o List[T]) bool {
	if l.Len() != o.Len() {
		return false
	}
	for i, x := range l.All() {
		if !reflect.DeepEqual(x, o.At(i)) {
			return false
		}
	}
	return true
}

// Cut takes the last row away, which nobody asked for yet.
func (l *List[T]) Cut() { l.near = l.near[:len(l.near)-1] }

// All goes through the rows in order. Nothing may be added meanwhile.
func (l *List[T]) All() iter.Seq2[int, T] {
	return func(yield func(int, T) bool) {
		var x, zero T
		into := reflect.ValueOf(&x).Elem()
		for r := l.far.each(); r.advance(); {
			if changed, ok := l.changed[r.next-1]; ok {
				x = changed
			} else {
				x = zero
				packs[T]().unpack(string(r.row), into)
			}
			if !yield(r.next-1, x) {
				return
			}
		}
		for i := range l.near {
			if !yield(l.far.n+i, l.near[i]) {
				return
			}
		}
	}
}

// drop lets go of all rows.
func (l *List[T]) drop() {
	l.far.close()
	*l = List[T]{far: l.far}
}

// A packing turns values of a type into bytes and back: of a struct the fields that are
// not zero, by their numbers. Nobody keeps such bytes.
type packing struct {
	pack   func(b []byte, v reflect.Value) []byte
	unpack func(s string, v reflect.Value) string // and returns what is left
}

// packs is the packing of a type.
func packs[T any]() *packing {
	if p, ok := packings.Load(reflect.TypeFor[T]()); ok {
		return p.(*packing)
	}
	p := packingOf(reflect.TypeFor[T]())
	packings.Store(reflect.TypeFor[T](), p)
	return p
}

var packings sync.Map // by type

func unpack[T any](b []byte) (x T) {
	if b != nil {
		packs[T]().unpack(string(b), reflect.ValueOf(&x).Elem()) // its texts are parts of one
	}
	return x
}

func packingOf(t reflect.Type) *packing {
	switch t.Kind() {
	case reflect.String:
		return &packing{
			func(b []byte, v reflect.Value) []byte {
				return append(binary.AppendUvarint(b, uint64(v.Len())), v.String()...)
			},
			func(s string, v reflect.Value) string {
				n, s := number(s)
				v.SetString(s[:n])
				return s[n:]
			}}
	case reflect.Bool:
		return &packing{
			func(b []byte, v reflect.Value) []byte { return append(b, truth(v.Bool())) },
			func(s string, v reflect.Value) string { v.SetBool(s[0] == 1); return s[1:] }}
	case reflect.Int, reflect.Int8, reflect.Int16, reflect.Int32, reflect.Int64:
		return &packing{
			func(b []byte, v reflect.Value) []byte { return binary.AppendVarint(b, v.Int()) },
			func(s string, v reflect.Value) string {
				n, s := number(s)
				v.SetInt(int64(n>>1) ^ -int64(n&1))
				return s
			}}
	case reflect.Uint, reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64:
		return &packing{
			func(b []byte, v reflect.Value) []byte { return binary.AppendUvarint(b, v.Uint()) },
			func(s string, v reflect.Value) string {
				n, s := number(s)
				v.SetUint(n)
				return s
			}}
	case reflect.Pointer:
		in := packingOf(t.Elem())
		return &packing{
			func(b []byte, v reflect.Value) []byte { return in.pack(b, v.Elem()) },
			func(s string, v reflect.Value) string {
				v.Set(reflect.New(t.Elem()))
				return in.unpack(s, v.Elem())
			}}
	case reflect.Slice:
		in := packingOf(t.Elem())
		return &packing{
			func(b []byte, v reflect.Value) []byte {
				b = binary.AppendUvarint(b, uint64(v.Len()))
				for i := range v.Len() {
					b = in.pack(b, v.Index(i))
				}
				return b
			},
			func(s string, v reflect.Value) string {
				n, s := number(s)
				v.Set(reflect.MakeSlice(t, int(n), int(n)))
				for i := range int(n) {
					s = in.unpack(s, v.Index(i))
				}
				return s
			}}
	case reflect.Map:
		key, in := packingOf(t.Key()), packingOf(t.Elem())
		return &packing{
			func(b []byte, v reflect.Value) []byte {
				b = binary.AppendUvarint(b, uint64(v.Len()))
				for at := v.MapRange(); at.Next(); {
					b = in.pack(key.pack(b, at.Key()), at.Value())
				}
				return b
			},
			func(s string, v reflect.Value) string {
				n, s := number(s)
				v.Set(reflect.MakeMapWithSize(t, int(n)))
				for range n {
					k, x := reflect.New(t.Key()).Elem(), reflect.New(t.Elem()).Elem()
					s = in.unpack(key.unpack(s, k), x)
					v.SetMapIndex(k, x)
				}
				return s
			}}
	case reflect.Struct:
		return packingOfStruct(t)
	}
	panic(fmt.Sprintf("%s is packed by nothing", t))
}

// packingOfStruct packs the number of fields from one to the next that is not zero, then
// that field; 0 stands for the end.
func packingOfStruct(t reflect.Type) *packing {
	var fields []*packing
	for i := range t.NumField() {
		fields = append(fields, packingOf(t.Field(i).Type))
	}
	return &packing{
		func(b []byte, v reflect.Value) []byte {
			last := -1
			for i, f := range fields {
				if x := v.Field(i); !x.IsZero() {
					b = f.pack(append(b, byte(i-last)), x)
					last = i
				}
			}
			return append(b, 0)
		},
		func(s string, v reflect.Value) string {
			for i := -1; s[0] != 0; {
				i += int(s[0])
				s = fields[i].unpack(s[1:], v.Field(i))
			}
			return s[1:]
		}}
}

// number reads a number at the start of s, and returns what is left.
func number(s string) (n uint64, rest string) {
	for i := range len(s) {
		if n |= uint64(s[i]&0x7f) << (7 * i); s[i] < 0x80 {
			return n, s[i+1:]
		}
	}
	return n, ""
}
