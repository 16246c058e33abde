package store

import (
	"errors"
	"strings"
	"testing"
)

// Months are handed over in their order and when they are over, and stay as they were
// given until that is taken back. Today is 2031-09-01.
func TestHandOver(t *testing.T) {
	s := newStore(t)
	var july uint64
	for _, tt := range []struct{ name, sheet, text string }{
		{"2031-09", "{}", "2031-09 is not over: it ends on 2031-09-30"},
		{"2031-13", "{}", `"2031-13" is no month: write it like 2031-08`},
		{"2031-08", "", "the sheet of 2031-08 says nothing"},
		{"2031-06", "june", ""},
		{"2031-07", "july", ""},
		{"2031-07", "july anew", "2031-07 was handed over on 2031-09-01: the sheet stays as it was given"},
		{"2031-05", "may", "2031-07 was handed over already: a month before it would come too late"},
	} {
		res, err := s.Book(head(), func(x *Tx) error { return x.HandOver(tt.name, []byte(tt.sheet)) })
		if tt.text == "" && err != nil || tt.text != "" && (err == nil || !strings.Contains(err.Error(), tt.text)) {
			t.Errorf("%s: %v, want %q", tt.name, err, tt.text)
		}
		if err == nil {
			july = res.Booking.Number
		}
	}
	if first, last, err := MonthDays("2032-02"); err != nil || last-first != 28 || MonthName(last) != "2032-02" || MonthName(last+1) != "2032-03" {
		t.Errorf("February of a leap year: %s to %s, %v", first, last, err)
	}
	given := func(name, want, before string) {
		t.Helper()
		if err := s.View(func(v *View) error {
			m, err := v.HandedOver(name)
			b, err2 := v.HandedBefore(name)
			if string(m.Sheet) != want || b.Name != before || want != "" && (m.Last != v.LastEntry() || m.By != "R") {
				t.Errorf("%s: %+v after %+v, want %q after %q", name, m, b, want, before)
			}
			return errors.Join(err, err2)
		}); err != nil {
			t.Error(err)
		}
	}
	given("2031-07", "july", "2031-06")
	given("2031-06", "june", "")
	given("2031-08", "", "2031-07")
	if _, err := s.Undo(head(), july); err != nil {
		t.Fatal(err)
	}
	given("2031-07", "", "2031-06")
}
