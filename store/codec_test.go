package store

import (
	"encoding/binary"
	"encoding/hex"
	"errors"
	"hash/crc32"
	"strings"
	"testing"

	"tinful/store/code"
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
			if got := crc32.Checksum(tt.in, castagnoli()); got != tt.want {
				t.Errorf("%08x, want %08x (%s)", got, tt.want, tt.source)
			}
		})
	}
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

func TestRecordBytes(t *testing.T) {
	b, err := encode(Place{Code: "K1", Where: "drawer"})
	if err != nil {
		t.Fatal(err)
	}
	// By hand: format 1, map of two, 1: "K1", 2: "drawer".
	if got, want := hex.EncodeToString(b[:len(b)-4]), "01a201624b310266647261776572"; got != want {
		t.Errorf("record %s, want %s", got, want)
	}
}

func TestEveryFlippedBitIsFound(t *testing.T) {
	b, err := encode(Entry{Seq: 7, Booking: 3, Day: 22000, What: Fitted, Bag: "B201", Quantity: 2, Job: "105"})
	if err != nil {
		t.Fatal(err)
	}
	for i := range len(b) * 8 {
		b[i/8] ^= 1 << (i % 8)
		var e Entry
		if err := decode(b, &e); !errors.Is(err, ErrDamaged) && !errors.Is(err, ErrNewer) {
			t.Errorf("bit %d flipped: %v", i, err)
		}
		b[i/8] ^= 1 << (i % 8)
	}
}

// No bytes make decode panic, and what it accepts it encodes again alike.
func FuzzDecode(f *testing.F) {
	b, _ := encode(Part{Code: "P1", Name: "spring"})
	f.Add(b)
	f.Add([]byte{1, 0xa0})
	f.Fuzz(func(t *testing.T, b []byte) {
		var p Part
		if decode(b, &p) == nil {
			if _, err := encode(p); err != nil {
				t.Error(err)
			}
		}
	})
}

// Where a key is seen without decoding, it is the one that decoding finds; jobs that
// differ in what comes before it, and the bytes of RFC 8949, appendix A.
func TestHasKey(t *testing.T) {
	long := strings.Repeat("Zählwerk 曇り ", 30)
	value := code.Cents(-12345678)
	for _, j := range []Job{
		{Code: "101"}, {Code: "101", Closed: 22000}, {Code: "101", Closed: -1, Note: "later"}, {Code: "101", Note: "open"},
		{Code: "101", Model: "W1-B", Fault: long, Value: &value, Opened: 21000, Closed: 1, Note: long},
		{Code: "101", Model: "W1-B", Fault: long, Value: &value, Opened: 21000, Note: long}, {Code: "101", Opened: 15},
	} {
		b, err := encode(j)
		if err != nil {
			t.Fatal(err)
		}
		if got, err := hasKey(b, keyClosed); got != (j.Closed != 0) || err != nil {
			t.Errorf("%+v: closed is %t (%v)", j, got, err)
		}
		b[len(b)/2] ^= 1
		if _, err := hasKey(b, keyClosed); !errors.Is(err, ErrDamaged) {
			t.Errorf("a flipped bit is not found: %v", err)
		}
	}
	for text, want := range map[string]bool{"a201020304": true, "a2010204ff": false, "a1031903": true, "a0": false, "83010203": false,
		"a2016161036162": true, "a20182010203f5": false, "bf6161019f0203ffff": false, "a1": false, "ff": false} {
		x, err := hex.DecodeString("01" + text)
		if err != nil {
			t.Fatal(err)
		}
		x = binary.BigEndian.AppendUint32(x, crc32.Checksum(x, castagnoli()))
		if len(x) < 6 {
			continue // no record is so short
		}
		if got, err := hasKey(x, 3); got != want || err != nil {
			t.Errorf("%s has the key 3: %t (%v), want %t", text, got, err, want)
		}
	}
}
