package commands_test

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"testing"
)

// booked makes some bookings, and returns the store before the first and behind each, with
// what it answers.
func (b bench) booked(t *testing.T) (stores [][]byte, answers []string) {
	t.Helper()
	keep := func() {
		text, _ := b.answers(t)
		stores, answers = append(stores, b.bytes(t)), append(answers, text)
	}
	keep()
	for _, l := range strings.Split("fit b283 1 --job 105\nput 5 P066 from bought --place R5 --grade new\nedit p003 --note stiff\nadd place Z9\nmove b203 Z9\n"+
		"arrived W1-B 22418 customer-1 stuck\nlook pc11 missing p9\nundo\nnote 105 rang the owner\ncount enter b283=7\nedit p003 --note soft\nstrip pc11 ../testdata/strip/pc-11.txt", "\n") {
		b.must(t, strings.Fields(l)...)
		keep()
	}
	return stores, answers
}

// tears are the pages that a booking wrote: those of data, and the first page that makes
// them the store.
func tears(before, after []byte) (data []int, meta int) {
	size := os.Getpagesize()
	for n := range len(after) / size {
		at := n * size
		if at+size <= len(before) && bytes.Equal(before[at:at+size], after[at:at+size]) {
			continue
		}
		if n < 2 {
			meta = n
		} else {
			data = append(data, n)
		}
	}
	return data, meta
}

// A booking of which not all pages came to the disk. In order (bbolt waits for the data
// before it writes the first page) the store is the one before it. Where the disk said
// done and was not, the first page is there and others are not: check says so, or
// nothing is missing.
func TestTornPages(t *testing.T) {
	b := newBench(t)
	stores, answers := b.booked(t)
	size, sector := os.Getpagesize(), 512
	for i := range stores[1:] {
		before, after, r := stores[i], stores[i+1], rand.New(rand.NewPCG(uint64(i), 3))
		data, meta := tears(before, after)
		put := func(raw []byte, page, n int) { copy(raw[page*size:][:n], after[page*size:][:n]) }
		for range rounds(2, 30) {
			raw := append(bytes.Clone(before), make([]byte, max(0, len(after)-len(before)))...)
			last := r.IntN(len(data) + 1)
			for _, n := range data[:last] {
				put(raw, n, size)
			}
			if last < len(data) {
				put(raw, data[last], sector*r.IntN(size/sector))
			} else {
				put(raw, meta, 16+r.IntN(64))
			}
			b.lay(t, raw)
			came, about := b.judge(t, answers[i], answers[i+1])
			if came == said && last < len(data) {
				t.Errorf("booking %d, %d pages of %d: %s", i, last, len(data), about)
			}
			injured(t, "torn pages, in order", came, about)

			raw = append(bytes.Clone(before), make([]byte, max(0, len(after)-len(before)))...)
			put(raw, meta, size)
			gone := data[r.IntN(len(data))]
			for _, n := range data {
				if n != gone && r.IntN(3) > 0 {
					put(raw, n, size)
				}
			}
			b.lay(t, raw)
			came, about = b.judge(t, answers[i], answers[i+1])
			injured(t, "torn pages, out of order", came, fmt.Sprintf("booking %d, page %d is not there: %s", i, gone, about))
		}
	}
}

// Injuries of a store that was booked in for a while: what lies on a page that is in use is
// named, or answers are what they were.
func TestInjuries(t *testing.T) {
	b := newBench(t)
	stores, answers := b.booked(t)
	whole, right, size := stores[len(stores)-1], answers[len(answers)-1], os.Getpagesize()
	pages := len(whole) / size
	r := rand.New(rand.NewPCG(7, 7))
	page := func(raw []byte, n int) []byte { return raw[n*size:][:size] }
	kinds := []struct {
		name   string
		injure func(raw []byte) []byte
	}{
		{"a bit", func(raw []byte) []byte { raw[r.IntN(len(raw))] ^= 1 << r.IntN(8); return raw }},
		{"a bit in a key", func(raw []byte) []byte { flipKey(raw, r); return raw }},
		{"a bit in the numbers of a page", func(raw []byte) []byte { raw[r.IntN(pages)*size+r.IntN(64)] ^= 1 << r.IntN(8); return raw }},
		{"a page of zeros", func(raw []byte) []byte { clear(page(raw, r.IntN(pages))); return raw }},
		{"a sector of noise", func(raw []byte) []byte {
			at := 512 * r.IntN(len(raw)/512)
			for i := range 512 {
				raw[at+i] = byte(r.Uint32())
			}
			return raw
		}},
		{"two pages swapped", func(raw []byte) []byte {
			x, y := page(raw, r.IntN(pages)), page(raw, r.IntN(pages))
			old := bytes.Clone(x)
			copy(x, y)
			copy(y, old)
			return raw
		}},
		{"a page from an earlier day", func(raw []byte) []byte {
			old := stores[r.IntN(len(stores)-1)]
			n := 2 + r.IntN(len(old)/size-2) // a first page of a day is the store of that day, whole
			copy(page(raw, n), page(old, n))
			return raw
		}},
		{"a file cut off", func(raw []byte) []byte { return raw[:r.IntN(len(raw))] }},
	}
	for _, kind := range kinds {
		for range rounds(12, 200) {
			b.lay(t, kind.injure(bytes.Clone(whole)))
			came, about := b.judge(t, right)
			injured(t, kind.name, came, about)
		}
	}
}

// flipKey flips a bit in a key of a leaf, by bbolt's layout (internal/common/page.go).
func flipKey(raw []byte, r *rand.Rand) {
	size := os.Getpagesize()
	for {
		p := raw[size*(2+r.IntN(len(raw)/size-2)):]
		n := int(binary.NativeEndian.Uint16(p[10:]))
		if binary.NativeEndian.Uint16(p[8:]) != 2 || n == 0 || 16+16*n > size {
			continue
		}
		at := 16 + 16*r.IntN(n)
		from, long := at+int(binary.NativeEndian.Uint32(p[at+4:])), int(binary.NativeEndian.Uint32(p[at+8:]))
		if long > 0 && from+long <= min(size, len(p)) {
			p[from+r.IntN(long)] ^= 1 << r.IntN(8)
			return
		}
	}
}
