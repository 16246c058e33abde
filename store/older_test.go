package store

import (
	"bytes"
	"errors"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// An older store is brought up when it is opened, with a line about it; as it was it is
// kept beside, in what its own program would read.
func TestOlderIsKept(t *testing.T) {
	for way, open := range map[string]func(string) (*Store, error){"asked": Open, "booked": OpenToBook} {
		path := version2(t)
		s, err := open(path)
		if err != nil {
			t.Fatal(way, err)
		}
		kept := path + ".before-v2"
		if n := s.Notes(); len(n) != 1 || n[0].Kind != NoteOlder || !strings.HasSuffix(n[0].Text, "it is kept as "+kept) {
			t.Errorf("%s: %v", way, n)
		}
		if err := s.Close(); err != nil {
			t.Fatal(err)
		}
		if c, err := ContentsOf(kept); err != nil || c.Flaw != "" || c.Version != 2 || c.Bookings != 15 {
			t.Errorf("%s: %+v %v", way, c, err)
		}
		if s, err = open(path); err != nil || len(s.Notes()) > 0 {
			t.Errorf("%s, a second time: %v %v", way, s.Notes(), err)
		}
		s.Close()
		if left, _ := filepath.Glob(path + "*"); len(left) != 2 {
			t.Errorf("%s: %v", way, left)
		}
	}
}

// A question of an older store that cannot be written is answered from a copy, which is
// gone afterwards; nothing is booked in it.
func TestOlderThatCannotBeWritten(t *testing.T) {
	path := readOnly(t, version2(t))
	t.Setenv("TMPDIR", t.TempDir())
	s, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	if n := s.Notes(); len(n) != 1 || n[0].Kind != NotePassing {
		t.Error(n)
	}
	if err := s.View(func(v *View) error { _, err := v.Part("P001"); return err }); err != nil {
		t.Error(err)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	if left, _ := os.ReadDir(os.TempDir()); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
	if s, err := OpenToBook(path); err == nil {
		s.Close()
		t.Error("it was opened to book in")
	}
	if c, err := ContentsOf(path); err != nil || c.Version != 2 {
		t.Errorf("%+v %v", c, err)
	}
}

// readOnly lays a file where it cannot be written: root may write everywhere but on a
// disk that is mounted so.
func readOnly(t *testing.T, file string) string {
	t.Helper()
	if os.Geteuid() != 0 {
		if err := errors.Join(os.Chmod(file, 0o400), os.Chmod(filepath.Dir(file), 0o500)); err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { os.Chmod(filepath.Dir(file), 0o700) })
		return file
	}
	if runtime.GOOS != "linux" {
		t.Skip("root may write everywhere")
	}
	disk := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "none", disk).CombinedOutput(); err != nil {
		t.Skipf("no disk can be mounted here: %s", out)
	}
	t.Cleanup(func() { exec.Command("umount", disk).Run() })
	b, err := os.ReadFile(file)
	path := filepath.Join(disk, "workshop.db")
	if err = errors.Join(err, os.WriteFile(path, b, 0o600)); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("mount", "-o", "remount,ro", disk).CombinedOutput(); err != nil {
		t.Skipf("%s", out)
	}
	return path
}

// A copy of an older store is verified and put back as it is: reading it changes nothing.
func TestOlderCopyStaysAsItIs(t *testing.T) {
	copied := version2(t)
	before, err := os.ReadFile(copied)
	if err != nil {
		t.Fatal(err)
	}
	if h, err := Examine(copied); err != nil || len(h.Problems) > 0 {
		t.Error(h, err)
	}
	path := filepath.Join(t.TempDir(), "workshop.db")
	if _, err := Restore(copied, path, false, "2031-09-01"); err != nil {
		t.Error(err)
	}
	if after, err := os.ReadFile(copied); err != nil || !bytes.Equal(before, after) {
		t.Error("the copy was written", err)
	}
	if h, err := Examine(path); err != nil || len(h.Problems) > 0 {
		t.Error(h, err)
	}
}
