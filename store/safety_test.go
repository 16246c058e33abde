package store

import (
	"errors"
	"path/filepath"
	"testing"
)

// When a store was last copied is told by what lies in its folder and was noted down: a
// copy that is gone from the same disk is none.
func TestSafety(t *testing.T) {
	path := made(t)
	if s := SafetyOf(path); s != (Safety{}) {
		t.Errorf("never copied: %+v", s)
	}
	asked := filepath.Join(t.TempDir(), "asked.db")
	w, err := Backup(path, asked, Writing{Day: day0})
	if s := SafetyOf(path); err != nil || !s.Known || s.Day != day0 || s.File != asked || s.Away == w.SameDisk {
		t.Errorf("%+v, %v; want %s of %s", s, err, asked, day0)
	}
	s, err := OpenToBook(path)
	if err != nil {
		t.Fatal(err)
	}
	var kept, second Kept
	err = s.View(func(v *View) (err error) {
		kept, err = s.CopyBefore(v, "import", day0+1)
		again, err2 := s.CopyBefore(v, "import", day0+1)
		second = again
		return errors.Join(err, err2)
	})
	if err := errors.Join(err, s.Close()); err != nil {
		t.Fatal(err)
	}
	if kept.File == "" || second.File == "" || kept.File == second.File {
		t.Errorf("copies before two imports of a day: %+v and %+v", kept, second)
	}
	if s := SafetyOf(path); s.Day != day0+1 || s.File != kept.File && s.File != second.File {
		t.Errorf("%+v, want a copy of %s", s, day0+1)
	}
	for _, c := range CopiesOf(path) {
		if c.Why != "import" || c.Day != day0+1 {
			t.Errorf("%+v, want what was made before an import", c)
		}
	}
	here, err := ContentsOf(path)
	there, err2 := ContentsOf(kept.File)
	if err := errors.Join(err, err2); err != nil || here.Bookings != there.Bookings {
		t.Errorf("%+v was copied as %+v, %v", here, there, err)
	}
}
