package store

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"hash/crc32"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestCRC32C(t *testing.T) {
	asc, desc := make([]byte, 32), make([]byte, 32)
	ones := make([]byte, 32)
	for i := range asc {
		asc[i], desc[i], ones[i] = byte(i), byte(31-i), 0xff
	}
	tests := []struct {
		name   string
		in     []byte
		want   uint32
		source string
	}{
		{"32 zeros", make([]byte, 32), 0x8a9136aa, "RFC 3720 B.4: aa 36 91 8a"},
		{"32 ones", ones, 0x62a8ab43, "RFC 3720 B.4: 43 ab a8 62"},
		{"0 to 31", asc, 0x46dd794e, "RFC 3720 B.4: 4e 79 dd 46"},
		{"31 to 0", desc, 0x113fdb5c, "RFC 3720 B.4: 5c db 3f 11"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			quickSums.Store(nil) // from the small table, then from those of the library
			slowly.Store(0)
			for range manyBytes/len(tt.in) + 2 {
				if got := summed(summed(0, tt.in[:5]), tt.in[5:]); got != tt.want {
					t.Fatalf("%08x, want %08x (%s)", got, tt.want, tt.source)
				}
			}
			if quickSums.Load() == nil {
				t.Error("many bytes are summed slowly")
			}
		})
	}
}

// Any bytes have the sum that the standard library finds.
func TestAnySum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		quickSums.Store(nil)
		slowly.Store(0)
		b := rapid.SliceOf(rapid.Byte()).Draw(t, "bytes")
		if got, want := summed(0, b), crc32.Checksum(b, crc32.MakeTable(crc32.Castagnoli)); got != want {
			t.Fatalf("%08x, want %08x", got, want)
		}
	})
}

// What our records are made of: integers, text, true, arrays and maps with
// integer keys.
func TestCBOR(t *testing.T) {
	tests := []struct {
		value any
		want  string // RFC 8949, Appendix A
	}{
		{0, "00"}, {1, "01"}, {10, "0a"}, {23, "17"}, {24, "1818"}, {25, "1819"}, {100, "1864"}, {1000, "1903e8"},
		{1000000, "1a000f4240"}, {1000000000000, "1b000000e8d4a51000"}, {uint64(18446744073709551615), "1bffffffffffffffff"},
		{-1, "20"}, {-10, "29"}, {-100, "3863"}, {-1000, "3903e7"}, {false, "f4"}, {true, "f5"},
		{"", "60"}, {"a", "6161"}, {"IETF", "6449455446"}, {"\"\\", "62225c"}, {"\u00fc", "62c3bc"}, {"\u6c34", "63e6b0b4"}, {"\U00010151", "64f0908591"},
		{[]int{}, "80"}, {[]int{1, 2, 3}, "83010203"}, {map[int]int{}, "a0"}, {map[int]int{1: 2, 3: 4}, "a201020304"},
	}
	for _, tt := range tests {
		got, err := encMode().Marshal(tt.value)
		if err != nil || hex.EncodeToString(got) != tt.want {
			t.Errorf("%v is %x (%v), want %s", tt.value, got, err, tt.want)
		}
	}
}

// The bytes are put together by hand from the doc of this package, and the sums are
// reckoned bit by bit from the polynomial of CRC-32C alone.
func TestRecordBytes(t *testing.T) {
	b, err := encode(bPlace, []byte("K1"), 300, Place{Code: "K1", Where: "drawer"})
	if err != nil {
		t.Fatal(err)
	}
	// Format 2, booking 300 as a uvarint, map of two, 1: "K1", 2: "drawer".
	frame, _ := hex.DecodeString("02ac02a201624b310266647261776572")
	want := binary.BigEndian.AppendUint32(frame, slowCRC([]byte("place\x00K1"+string(frame))))
	if !bytes.Equal(b, want) {
		t.Errorf("record %x, want %x", b, want)
	}
	sum := slowCRC([]byte("class\x00LEV\x00P2"))
	row := shelves()[bClass].sealRow([]byte("LEV\x00P2"), nil)
	if want := []byte{byte(sum>>24) ^ byte(sum>>8), byte(sum>>16) ^ byte(sum)}; !bytes.Equal(row, want) {
		t.Errorf("row %x, want %x", row, want)
	}
}

// slowCRC is CRC-32C as RFC 3720 defines it: the polynomial 0x1EDC6F41, bits reflected,
// all ones before and after.
func slowCRC(b []byte) uint32 {
	r := ^uint32(0)
	for _, c := range b {
		r ^= uint32(c)
		for range 8 {
			r = r>>1 ^ -(r&1)&0x82f63b78
		}
	}
	return ^r
}

// One flipped bit of a record's bytes, its key or the name of its bucket is found.
func TestEveryFlippedBitIsFound(t *testing.T) {
	j := Job{Code: "105", Model: "W1", Owner: "customer 5", Closed: 22000}
	bucket, key := []byte(bJob), []byte("105")
	b, err := encode(bJob, key, 3, j)
	if err != nil {
		t.Fatal(err)
	}
	for _, part := range [][]byte{bucket, key, b} {
		for i := range len(part) * 8 {
			part[i/8] ^= 1 << (i % 8)
			var got Job
			if err := decode(string(bucket), key, b, &got); !errors.Is(err, ErrDamaged) {
				t.Errorf("bit %d of %q flipped: %v", i, part, err)
			}
			part[i/8] ^= 1 << (i % 8)
		}
	}
}

// The folded sum of a row finds every single flipped bit: a CRC is linear, so that the
// sum of what differs in one bit alone decides, wherever it stands before the end. And
// a flipped bit of the sum itself is one.
func TestFoldedSum(t *testing.T) {
	for _, length := range []int{1, 4096} {
		same := summed(0, make([]byte, length))
		for i := range length * 8 {
			x := make([]byte, length)
			x[i/8] = 1 << (i % 8)
			if folded(summed(0, x)^same) == 0 {
				t.Fatalf("bit %d of %d bytes is not found", i, length)
			}
		}
	}
}

// No bytes make decode panic, and what it accepts it encodes again alike.
func FuzzDecode(f *testing.F) {
	b, _ := encode(bPart, []byte("P1"), 1, Part{Code: "P1", Name: "spring"})
	f.Add("P1", b)
	f.Add("", []byte{2, 0xa0})
	f.Fuzz(func(t *testing.T, key string, b []byte) {
		var p Part
		if decode(bPart, []byte(key), b, &p) == nil {
			if _, err := encode(bPart, []byte(key), 1, p); err != nil {
				t.Error(err)
			}
		}
	})
}

// A key that is none of its kind, under a sum that is right, is damage and no panic.
func FuzzKeys(f *testing.F) {
	for _, k := range []string{"", "P1", "P1\x00W1\x00\x00", "105\x00\x00\x00\x00\x00\x00\x00\x00\x01", "\x00\x00\x00\x00\x00\x00\x00\x01part\x00P1"} {
		f.Add([]byte(k))
	}
	f.Fuzz(func(t *testing.T, key []byte) {
		for bucket, rec := range map[string]any{bBag: &Bag{}, bState: &State{}, bGoes: &Goes{}, bSeen: &Seen{}, bOld: &Old{}, bStep: &Step{}, bCount: &Count{},
			bDraft: &Draft{}, bPaper: &Paper{}, bLabel: &Label{}, bNote: &Remark{}, bMonth: &Month{}, bPicture: &Picture{}} {
			err := decode(bucket, key, seal(bucket, key, append(beginFrame(1, 1), 0xa0)), rec)
			if err != nil && !errors.Is(err, ErrDamaged) {
				t.Errorf("%s %q: %v", bucket, key, err)
			}
		}
		if _, _, err := openFormer(key, sealFormer(key, formerNone, nil)); err != nil && !errors.Is(err, ErrDamaged) {
			t.Errorf("former %q: %v", key, err)
		}
		err := unchunk(key, seal(bEntry, key, beginFrame(1, 0)), 0, func(Entry) error { return nil })
		if (err == nil) != (len(key) == 8) {
			t.Errorf("entries at %q: %v", key, err)
		}
	})
}

// Entries of any bytes, under a sum that is right, are read or are damage; an entry that is
// read comes back alike when it is written again.
func FuzzEntries(f *testing.F) {
	key := keySeq(7)
	for _, e := range []Entry{{Seq: 7, Booking: 2, What: Fitted, Bag: "B1", Quantity: -2, Job: "105", Day: 20000}, {Seq: 7, Booking: 2, What: Moved, Bag: "B-07", To: "K2", Why: "tidied"}} {
		c := chunker{put: func(_ uint64, x []byte) error {
			_, body, err := unseal(bEntry, key, x)
			f.Add(body)
			return err
		}}
		if err := cmp.Or(c.add(e), c.flush()); err != nil {
			f.Fatal(err)
		}
	}
	f.Add([]byte{1, 0xa0})
	f.Add([]byte{0xff, 0xff, 0xff, 0xff, 0x0f})
	f.Fuzz(func(t *testing.T, body []byte) {
		var read []Entry
		err := unchunk(key, seal(bEntry, key, append(beginFrame(1, 2), body...)), 0, func(e Entry) error { read = append(read, e); return nil })
		if err != nil {
			if !errors.Is(err, ErrDamaged) {
				t.Error(err)
			}
			return
		}
		var again []Entry
		c := chunker{put: func(first uint64, x []byte) error {
			k := keySeq(first)
			return unchunk(k, x, 0, func(e Entry) error { again = append(again, e); return nil })
		}}
		for _, e := range read {
			if err := c.add(e); err != nil {
				t.Fatal(err)
			}
		}
		if err := c.flush(); err != nil || !slices.Equal(again, read) {
			t.Errorf("%v is read again as %v (%v)", read, again, err)
		}
	})
}
