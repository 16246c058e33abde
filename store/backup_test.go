package store

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"tinful/store/code"
)

// The rule, as agreed: a backup replaces nothing, and a restore
// keeps what it replaces.
func TestBackupAndRestore(t *testing.T) {
	dir := t.TempDir()
	path, copied := filepath.Join(dir, "s.db"), filepath.Join(dir, "copy.db")
	if err := create(path); err != nil {
		t.Fatal(err)
	}
	s, err := OpenToBook(path)
	if err != nil {
		t.Fatal(err)
	}
	bookAll(t, s, func(x *Tx) error { return x.Put(Place{Code: "K1"}) })
	if _, err := Backup(path, copied, Writing{}); !errors.Is(err, ErrBusy) {
		t.Errorf("while it is booked in: %v, want %v", err, ErrBusy)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := Backup(path, copied, Writing{}); err != nil {
		t.Fatal(err)
	}
	if _, err := Backup(path, copied, Writing{}); !errors.Is(err, ErrRefused) {
		t.Errorf("a second backup: %v, want it refused", err)
	}
	if s, err = OpenToBook(path); err != nil {
		t.Fatal(err)
	}
	bookAll(t, s, func(x *Tx) error { return x.Put(Place{Code: "K2"}) })
	if _, err := Restore(copied, path, true, "2031-09-01"); !errors.Is(err, ErrBusy) {
		t.Errorf("over an open store: %v, want %v", err, ErrBusy)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if _, err := Restore(copied, path, false, "2031-09-01"); !errors.Is(err, ErrRefused) {
		t.Errorf("without replace: %v, want it refused", err)
	}
	kept, err := Restore(copied, path, true, "2031-09-01")
	if err != nil || kept != path+".before-2031-09-01" {
		t.Fatalf("kept %q, %v", kept, err)
	}
	for file, want := range map[string]int{path: 1, kept: 2} {
		s, err := Open(file)
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		if err := s.View(func(v *View) error { return v.EachPlace(func(Place) error { n++; return nil }) }); err != nil || n != want {
			t.Errorf("%s has %d places, %v, want %d", file, n, err, want)
		}
		s.Close()
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*.new*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	if err := os.WriteFile(copied, []byte("torn"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Restore(copied, path, true, "2031-09-01"); !errors.Is(err, ErrDamaged) {
		t.Errorf("a damaged backup: %v, want %v", err, ErrDamaged)
	}
}

// A file that was opened just before a copy was put in its place is not the store: who
// books in it would book in what is kept.
func TestOpenedBeforeItGaveWay(t *testing.T) {
	path, copied := made(t), made(t)
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if !stillAt(path, f) {
		t.Error("the store is not the store")
	}
	if err := giveWay(path, path+".kept", copied); err != nil {
		t.Fatal(err)
	}
	if stillAt(path, f) || !stillAt(path+".kept", f) {
		t.Error("the file that gave way is taken for the store")
	}
}

// What a cell can hold is the limit of the workbook's file format: 32767
// characters of XML 1.0, whose production 2 leaves out U+FFFE and U+FFFF.
func TestCleanText(t *testing.T) {
	for in, want := range map[string]string{" u\u0308ber ": "\u00fcber", "": "", strings.Repeat("x", 32767): strings.Repeat("x", 32767)} {
		if got, err := CleanText(in); got != want || err != nil {
			t.Errorf("CleanText(%.20q) = %.20q, %v", in, got, err)
		}
	}
	for _, in := range []string{"a\tb", "a\nb", "\xff", "a\ufffe", "\uffffb", strings.Repeat("x", 32768), strings.Repeat("\U0001F600", 16384)} {
		_, err := CleanText(in)
		if !errors.Is(err, ErrUsage) || !strings.HasPrefix(err.Error(), "the text ") {
			t.Errorf("CleanText(%.20q): %v, want it refused", in, err)
		}
	}
}

// What a copy would do to the book is told before it replaces the store: which bookings
// are lost, by their days, and which come back.
func TestReplacementBy(t *testing.T) {
	dir := t.TempDir()
	path, copied := filepath.Join(dir, "s.db"), filepath.Join(dir, "copy.db")
	if err := create(path); err != nil {
		t.Fatal(err)
	}
	at := int64(0)
	book := func(file string, days ...code.Day) {
		t.Helper()
		s, err := OpenToBook(file)
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		for _, d := range days {
			at++
			if _, err := s.Book(Head{Day: d, Today: d, At: at, By: "R", Command: "place"}, func(x *Tx) error { return x.Put(Place{Code: "K1", Where: fmt.Sprint(at)}) }); err != nil {
				t.Fatal(err)
			}
		}
	}
	says := func(over string, there bool, bookings, gained uint64, lost ...OfDay) {
		t.Helper()
		r, err := ReplacementBy(copied, over)
		n := 0
		for _, d := range lost {
			n += d.N
		}
		if err != nil || r.There != there || r.Unread != nil || r.Bookings != bookings || r.Gained != gained || !slices.Equal(r.Lost, lost) || r.LostBookings() != n {
			t.Errorf("%+v, %v; want %t %d %d %v", r, err, there, bookings, gained, lost)
		}
	}
	book(path, day0, day0)
	if _, err := Backup(path, copied, Writing{}); err != nil {
		t.Fatal(err)
	}
	says(path, true, 2, 0)
	says(filepath.Join(dir, "none.db"), false, 2, 0)
	book(path, day0+1, day0+2, day0+2)
	says(path, true, 2, 0, OfDay{day0 + 2, 2}, OfDay{day0 + 1, 1})
	book(copied, day0+1)
	says(path, true, 3, 1, OfDay{day0 + 2, 2}, OfDay{day0 + 1, 1})
	s, err := OpenToBook(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := ReplacementBy(copied, path); !errors.Is(err, ErrBusy) {
		t.Errorf("while it is booked in: %v, want %v", err, ErrBusy)
	}
	s.Close()
	if err := os.WriteFile(path, make([]byte, 9000), 0o644); err != nil {
		t.Fatal(err)
	}
	if r, err := ReplacementBy(copied, path); err != nil || !r.There || r.Unread == nil || r.Bookings != 3 {
		t.Errorf("over a damaged store: %+v, %v; want that it cannot be compared", r, err)
	}
	if _, err := ReplacementBy(path, copied); err == nil {
		t.Error("a damaged file is taken for a copy")
	}
}

// A copy that goes down a pipe is the store, whole; of a damaged one nothing comes.
func TestBackupTo(t *testing.T) {
	path := made(t)
	var out bytes.Buffer
	held, err := BackupTo(path, &out)
	if err != nil {
		t.Fatal(err)
	}
	copied := path + ".piped"
	if err := os.WriteFile(copied, out.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	h, err := Examine(copied)
	here, err2 := ContentsOf(path)
	there, err3 := ContentsOf(copied)
	here.Bytes, there.Bytes, held.Bytes = 0, 0, 0 // a copy is packed
	if err := errors.Join(err, err2, err3); err != nil || len(h.Problems) > 0 || !reflect.DeepEqual(here, there) || held != there {
		t.Errorf("%v, %v; %+v came as %+v", err, h.Problems, here, there)
	}
	if err := os.WriteFile(path, []byte("torn"), 0o644); err != nil {
		t.Fatal(err)
	}
	out.Reset()
	if _, err := BackupTo(path, &out); err == nil || out.Len() > 0 {
		t.Errorf("of a damaged store %d bytes came", out.Len())
	}
}
