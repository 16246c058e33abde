package store

import (
	"testing"

	"pgregory.net/rapid"

	"tinful/store/code"
)

// The bytes are written out by hand from the row bag_by_part of doc.go; a
// varint is twice the number, one less where it is negative.
func TestLineBytes(t *testing.T) {
	tests := []struct {
		name string
		line Line
		want string
	}{
		{"own pieces", Line{OnHand: 3, Held: 1, Unit: "pc", Grade: "ready", Place: "K1", Origin: "PC-1", Owner: Own}, "\x00\x06\x02\x00\x00\x00\x01K1\x00PC-1\x00"},
		{"about, by length, noted, a customer's", Line{OnHand: 5, Lent: 2, Unit: "mm", About: true, Noted: true, Owner: "customer 5", Read: 22523, Used: 2}, "\x0f\x0a\x00\x04\xf6\xdf\x02\x04\x00\x00\x00customer 5\x00"},
		{"below zero", Line{OnHand: -1, Owner: Own}, "\x00\x01\x00\x00\x00\x00\x00\x00\x00"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if got := string(tt.line.pack()); got != tt.want {
				t.Errorf("bytes %q, want %q", got, tt.want)
			}
		})
	}
}

// A line reads back as it was, and one that breaks off is damaged.
func TestLineReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Int64Range(-1<<40, 1<<40)
		word := rapid.StringMatching(`[A-Za-z0-9-]{0,9}`)
		l := Line{Bag: "B1", OnHand: n.Draw(t, "on hand"), Held: n.Draw(t, "held"), Lent: n.Draw(t, "lent"),
			Unit: rapid.SampledFrom(Units).Draw(t, "unit"), Grade: word.Draw(t, "grade"), Place: code.Code(word.Draw(t, "place")),
			Origin: word.Draw(t, "origin"), Owner: rapid.SampledFrom([]string{Own, OwnerHeld, "customer 5"}).Draw(t, "owner"),
			About: rapid.Bool().Draw(t, "about"), Noted: rapid.Bool().Draw(t, "noted"),
			Read: code.Day(rapid.Int32().Draw(t, "read")), Used: n.Draw(t, "used")}
		b := l.pack()
		if got, err := unpackLine("B1", b); err != nil || got != l {
			t.Fatalf("%+v reads back as %+v, %v", l, got, err)
		}
		if got, err := unpackLine("B1", b[:rapid.IntRange(0, len(b)-1).Draw(t, "cut")]); err == nil {
			t.Fatalf("cut off it reads as %+v", got)
		}
	})
}
