package store

import (
	"bytes"
	"testing"

	"tinful/store/code"
	"tinful/store/dim"
)

// The expected bytes are written out by hand from the table in doc.go.
func TestKeys(t *testing.T) {
	w := Want{Date: 1, Part: "P1", Model: "W1", Job: "7", Nth: 2}
	e := Entry{Seq: 0x0102, Day: 2, Bag: "B1", Job: "7"}
	tests := []struct {
		row  string
		got  []byte
		want string
	}{
		{"part, bag, model, donor, place, job, state, figure, short, out, worth", keyCode("B201"), "B201"},
		{"goes", keyGoes(Goes{Part: "P1", Model: "W1", From: "10", To: "20"}), "P1\x00W1\x0010\x0020"},
		{"goes without numbers", keyGoes(Goes{Part: "P1", Model: "W1"}), "P1\x00W1\x00\x00"},
		{"seen", keySeen(Seen{Donor: "PC-1", Part: "P1"}), "PC-1\x00P1"},
		{"seen", keySeen(Seen{Job: "105", Part: "P1"}), "job:105\x00P1"},
		{"want", keyWant(w), "\x80\x00\x00\x01P1\x00W1\x007\x00\x00\x02"},
		{"old", keyOld(Old{Job: "105", Nth: 2}), "105\x00\x00\x00\x00\x00\x00\x00\x00\x02"},
		{"step", keyStep(Step{Kind: "donor", Camera: "PC-1", Nth: 258}), "donor\x00PC-1\x00\x00\x00\x00\x00\x00\x00\x01\x02"},
		{"draft", keyDraft(Draft{Kind: "donor", Camera: "PC-1"}), "donor\x00PC-1"},
		{"count", keyCount(Count{Number: 3}), "\x00\x00\x00\x00\x00\x00\x00\x03"},
		{"paper", []byte(Paper{Name: "drawer"}.Name), "drawer"},
		{"month", []byte(Month{Name: "2031-08"}.Name), "2031-08"},
		{"label", keyLabel(Label{Kind: "bag", Code: "B1"}), "bag\x00B1"},
		{"note", keyNote(Remark{Kind: "job", Code: "105", Nth: 258}), "job\x00105\x00\x00\x00\x00\x00\x00\x00\x01\x02"},
		{"picture", keyPicture(Picture{Kind: "donor", Code: "PC-1", Nth: 258}), "donor\x00PC-1\x00\x00\x00\x00\x00\x00\x00\x01\x02"},
		{"reading", keyReading(Entry{Count: 3, Day: 1, Seq: 258, Bag: "B1"}), "\x01\x03\x80\x00\x00\x01\x00\x00\x00\x00\x00\x00\x01\x02"},
		{"day before 1970", keyDay(-1), "\x7f\xff\xff\xff"},
		{"entry, booking, booking_by_undo", keySeq(258), "\x00\x00\x00\x00\x00\x00\x01\x02"},
		{"former", keyFormer(1, "part", []byte("P1")), "\x00\x00\x00\x00\x00\x00\x00\x01part\x00P1"},
		{"code", keyCodeIndex("donor", "PC-03"), "PC3\x00donor\x00PC-03"},
		{"name", keyName("part", "pawl spring", "P3"), "part\x00pawl spring\x00P3"},
		{"word", keyWord("pawl", "P3"), "pawl\x00P3"},
		{"class", keyClass("SPR-TOR", "P3"), "SPR-TOR\x00P3"},
		{"dim", keyDim(dim.Wire, 200, "P3"), "\x01\x80\x00\x00\x00\x00\x00\x00\xc8P3"},
		{"goes_by_model", keyGoesByModel(Goes{Part: "P1", Model: "W1"}), "W1\x00P1\x00\x00"},
		{"twin, held_in, carried, family, donor_by_model, donor_by_lot, bag_by_*", join[code.Code]("P1", "P2"), "P1\x00P2"},
		{"job_by_tray, without a tray", join[code.Code]("", "105"), "\x00105"},
		{"old_open", keyOld(Old{Job: "105", Nth: 2}), "105\x00\x00\x00\x00\x00\x00\x00\x00\x02"},
		{"owner", join("customer 5", "bag", "B1"), "customer 5\x00bag\x00B1"},
		{"seen_by_part", keySeenByPart(Seen{Donor: "PC-1", Part: "P1"}), "P1\x00PC-1"},
		{"seen_by_part", keySeenByPart(Seen{Job: "105", Part: "P1"}), "P1\x00job:105"},
		{"want_by_part", keyWantByPart(w), "P1\x00\x80\x00\x00\x01P1\x00W1\x007\x00\x00\x02"},
		{"want_by_job", keyWantByJob(w), "7\x00\x80\x00\x00\x01P1\x00W1\x007\x00\x00\x02"},
		{"bag_by_job", keyBagByJob(e), "7\x00B1"},
		{"booking_by_who", keyBookingByWho(Booking{By: "R", Number: 258}), "R\x00\x00\x00\x00\x00\x00\x00\x01\x02"},
	}
	for _, tt := range tests {
		t.Run(tt.row, func(t *testing.T) {
			if string(tt.got) != tt.want {
				t.Errorf("key %q, want %q", tt.got, tt.want)
			}
		})
	}
}

// Keys sort as their fields do.
func FuzzKeyOrder(f *testing.F) {
	f.Add(int32(1), int32(2), "B1", "B10")
	f.Add(int32(-5), int32(5), "B1", "B1")
	f.Fuzz(func(t *testing.T, a, b int32, x, y string) {
		if (a < b) != (bytes.Compare(keyDay(code.Day(a)), keyDay(code.Day(b))) < 0) {
			t.Errorf("days %d and %d do not sort as their keys", a, b)
		}
		cx, errX := code.Parse(x)
		cy, errY := code.Parse(y)
		if errX != nil || errY != nil {
			return
		}
		if got := fields(join(cx, cy)); got[0] != string(cx) || got[1] != string(cy) {
			t.Errorf("%q and %q come back as %q", cx, cy, got)
		}
		if cx != cy && bytes.HasPrefix(join(cx, cy), prefix(cy)) {
			t.Errorf("a scan for %q meets %q", cy, cx)
		}
	})
}

func TestSplitFormer(t *testing.T) {
	n, bucket, key := splitFormer(keyFormer(57, "goes", []byte("P1\x00W1\x00\x00")))
	if n != 57 || bucket != "goes" || string(key) != "P1\x00W1\x00\x00" {
		t.Errorf("splits into %d %q %q", n, bucket, key)
	}
}

// The expected values are written out by hand from the table in doc.go: a
// varint is zigzag, so that 7 is 0e, and 22523 is 45046 in base 128, f6 df 02.
func TestValuesOfCounting(t *testing.T) {
	worth := code.Cents(600)
	tests := []struct {
		name string
		rec  any
		want Row
	}{
		{"reading", Entry{Seq: 2, Day: 1, What: Counted, Bag: "B1", Quantity: 7, About: true},
			Row{bReading, []byte("\x00\x80\x00\x00\x01\x00\x00\x00\x00\x00\x00\x00\x02"), []byte("\x0e\x01B1")}},
		{"worth", Part{Code: "P1", Value: &worth, CountFirst: true}, Row{bWorth, []byte("P1"), []byte("\xb0\x09\x01")}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			for _, r := range rows(tt.rec) {
				if r.Bucket != tt.want.Bucket {
					continue
				}
				if !bytes.Equal(r.Key, tt.want.Key) || !bytes.Equal(r.Value, tt.want.Value) {
					t.Errorf("%q holds %q, want %q and %q", r.Key, r.Value, tt.want.Key, tt.want.Value)
				}
				return
			}
			t.Errorf("no row in %s", tt.want.Bucket)
		})
	}
}
