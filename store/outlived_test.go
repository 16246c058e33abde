package store

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"tinful/store/code"
)

// What stays after a copy a day for 500 days, by the rule as agreed: a week of days, two
// months of weeks, a year of months. The days are counted by hand on a calendar: day0 is
// Monday 2031-09-01, the last copy.
func TestOutlived(t *testing.T) {
	var copies []Copy // the latest first
	for age := 500; age >= 0; age-- {
		day := day0 - code.Day(age)
		copies = append([]Copy{{File: day.String(), Day: day, Bytes: 1000}}, copies...)
		gone, crowded := outlived(copies, day, 1000)
		if len(crowded) > 0 {
			t.Fatal(crowded)
		}
		copies = slices.DeleteFunc(copies, func(c Copy) bool {
			return slices.ContainsFunc(gone, func(g Copy) bool { return g.Day == c.Day })
		})
	}
	want := []string{
		"2031-09-01", "2031-08-31", "2031-08-30", "2031-08-29", "2031-08-28", "2031-08-27", "2031-08-26", // a week
		"2031-08-25", "2031-08-24", "2031-08-17", "2031-08-10", "2031-08-03", "2031-07-27", "2031-07-20", "2031-07-13", "2031-07-06", // Sundays
		"2031-06-29", "2031-05-25", "2031-04-27", "2031-03-30", "2031-02-23", "2031-01-26", "2030-12-29", "2030-11-24", "2030-10-27", "2030-09-29",
	}
	var got []string
	for _, c := range copies {
		got = append(got, c.File)
	}
	if !slices.Equal(got, want) {
		t.Errorf("stay:\n%v\nwant\n%v", got, want)
	}
}

// The oldest go where all together are too much, and the last copy never.
func TestCrowded(t *testing.T) {
	var copies []Copy
	for age := range 4 {
		copies = append(copies, Copy{File: fmt.Sprint(age), Day: day0 - code.Day(age), Bytes: 900 << 20})
	}
	if gone, crowded := outlived(copies, day0, 900<<20); len(gone)+len(crowded) != 0 {
		t.Errorf("ten times the store is room for four: %v %v", gone, crowded)
	}
	if _, crowded := outlived(copies, day0, 100<<20); len(crowded) != 2 || crowded[0].File != "2" {
		t.Errorf("2 GiB is room for two: %v", crowded)
	}
	if _, crowded := outlived([]Copy{{Bytes: 3 << 30}}, day0, 1); len(crowded) != 0 {
		t.Error("the last copy went")
	}
}

// A clock that is wrong once, a year ahead, takes away little.
func TestOutlivedByAWrongClock(t *testing.T) {
	var copies []Copy
	for age := range 12 {
		copies = append(copies, Copy{File: fmt.Sprint(age), Day: day0 - code.Day(30*age)})
	}
	if gone, _ := outlived(append([]Copy{{Day: day0 + 400}}, copies...), day0+400, 1); len(gone) > 2 {
		t.Errorf("%d of 12 went", len(gone))
	}
}

// A day's copy is made once, agrees with the store, and takes what killed programs left
// with it when that is a day old.
func TestCopyDay(t *testing.T) {
	path := made(t)
	old, fresh := path+".new77", filepath.Join(filepath.Dir(path), "backups", "bench-2031-08-31.db.new78")
	if err := makeFolder(fresh); err != nil {
		t.Fatal(err)
	}
	for _, f := range []string{old, fresh} {
		if err := os.WriteFile(f, []byte("half"), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chtimes(old, time.Time{}, time.Now().Add(-25*time.Hour)); err != nil {
		t.Fatal(err)
	}
	k, err := CopyDay(path, day0)
	if err != nil || filepath.Base(k.File) != "bench-2031-09-01.db" {
		t.Fatal(k, err)
	}
	if _, err := os.Stat(old); err == nil {
		t.Error("what is a day old was not swept")
	}
	if _, err := os.Stat(fresh); err != nil {
		t.Error("another program's new file was swept")
	}
	if h, err := Examine(k.File); err != nil || len(h.Problems) > 0 || h.Records < 200 {
		t.Error(h, err)
	}
	for file, mode := range map[string]os.FileMode{k.File: 0o600, filepath.Dir(k.File): 0o700} {
		if info, err := os.Stat(file); err != nil || info.Mode().Perm() != mode {
			t.Errorf("%s: %v %v", file, info.Mode(), err)
		}
	}
	if k, err := CopyDay(path, day0); err != nil || k.File != "" {
		t.Errorf("a second one of the day: %v %v", k, err)
	}
	spoil(t, path)
	if k, err := CopyDay(path, day0+1); err == nil || k.File != "" {
		t.Errorf("of a damaged store: %v %v", k, err)
	}
	if left := CopiesOf(path); len(left) != 1 {
		t.Errorf("%d copies", len(left))
	}
}

// spoil flips a bit of a record.
func spoil(t *testing.T, path string) {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	at := slices.Index(raw, 'd')
	for ; string(raw[at:at+6]) != "drawer"; at++ {
	}
	raw[at] ^= 4
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
}

// A damaged store is not copied unless that is said, and then under another name; a good
// copy that is there stays.
func TestDamageIsNotCopied(t *testing.T) {
	path := made(t)
	file := filepath.Join(t.TempDir(), "stick.db")
	if _, err := Backup(path, file, Writing{}); err != nil {
		t.Fatal(err)
	}
	good, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	spoil(t, path)
	if _, err := Backup(path, file, Writing{Replace: true}); err == nil {
		t.Error("a bad copy took the place of a good one")
	}
	w, err := Backup(path, file, Writing{Replace: true, Anyway: true})
	if err != nil || w.File != file+".damaged" || !w.Damaged {
		t.Errorf("%+v %v", w, err)
	}
	if now, err := os.ReadFile(file); err != nil || !slices.Equal(now, good) {
		t.Error("the good copy is another", err)
	}
	if left, _ := filepath.Glob(file + "*"); len(left) != 2 {
		t.Errorf("%v", left)
	}
}

// While others go on booking a copy is begun anew, and holds the store as it was after
// one of their bookings; they wait for a slice of it and no more.
func TestCopyWhileOthersBook(t *testing.T) {
	path := made(t)
	stop, done := make(chan bool), make(chan error, 1)
	go func() { done <- bookUntil(path, stop) }()
	for round := range 5 {
		out, err := os.Create(filepath.Join(t.TempDir(), "copy.db"))
		if err != nil {
			t.Fatal(err)
		}
		c := &copying{path: path, out: out, bite: 8 << 10} // a dozen slices
		if err := errors.Join(c.whole(), twin(out), out.Close()); err != nil {
			t.Fatal(err)
		}
		if h, err := Examine(out.Name()); err != nil || len(h.Problems) > 0 {
			t.Errorf("round %d: %v %v", round, h.Problems, err)
		}
	}
	close(stop)
	if err := <-done; err != nil {
		t.Error(err)
	}
}

func bookUntil(path string, stop chan bool) error {
	for i := 0; ; i++ {
		select {
		case <-stop:
			return nil
		default:
		}
		s, err := OpenToBook(path)
		if err != nil {
			return err
		}
		_, err = s.Book(head(), func(t *Tx) error { return t.Put(Place{Code: "Y" + codeOf(i), Where: "drawer"}) })
		if err := errors.Join(err, s.Close()); err != nil {
			return err
		}
	}
}
