package store

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"

	"tinful/store/picture"
)

// shotOf is a picture of some bytes. What they show nobody looks at here.
func shotOf(text string, step uint64) Shot {
	return Shot{Photo: Photo{Clean: picture.Clean{Bytes: []byte(text), Format: "jpg"}, Name: "a.jpg"}, Step: step}
}

func photograph(tb testing.TB, s *Store, r Ref, shot Shot) (p Picture, res Result) {
	tb.Helper()
	res = mustBook(tb, s, func(t *Tx) (err error) {
		p, _, err = t.Photograph(r, shot)
		return err
	})
	return p, res
}

// photoFiles are the files in the folder of pictures of a store.
func photoFiles(tb testing.TB, path string) (names []string) {
	tb.Helper()
	files, err := os.ReadDir(PhotoFolder(path))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		tb.Fatal(err)
	}
	for _, f := range files {
		names = append(names, f.Name())
	}
	return names
}

// The file is kept once, whoever names it, and is its owner's alone. Taking back a picture
// leaves it. The name is what `printf 'a lever' | sha256sum` says.
func TestPhotograph(t *testing.T) {
	const name = "f7203884bca9e74c4248b60caf771eca0fb74e6564318d2a6468008cb1a18599.jpg"
	s := newStore(t)
	one, _ := photograph(t, s, Ref{"bag", "B1"}, shotOf("a lever", 0))
	two, res := photograph(t, s, Ref{"job", "105"}, shotOf("a lever", 0))
	if one.Nth != 1 || two.Nth != 1 || one.Hash != two.Hash || one.Day != day0 || one.Name != "a.jpg" {
		t.Errorf("%+v, %+v", one, two)
	}
	if got := photoFiles(t, s.Path()); len(got) != 1 || got[0] != one.File() {
		t.Errorf("%v, want %s alone", got, one.File())
	}
	if one.File() != name {
		t.Errorf("%s, want %s", one.File(), name)
	}
	for file, mode := range map[string]fs.FileMode{PhotoFolder(s.Path()): 0o700, filepath.Join(PhotoFolder(s.Path()), one.File()): 0o600} {
		if info, err := os.Stat(file); err != nil || runtime.GOOS != "windows" && info.Mode().Perm() != mode {
			t.Errorf("%s: %v, %v", file, info.Mode(), err)
		}
	}
	if _, err := s.Undo(head(), res.Booking.Number); err != nil {
		t.Fatal(err)
	}
	s.View(func(v *View) error {
		if all, err := v.PicturesOf(Ref{"job", "105"}); err != nil || len(all) != 0 {
			t.Errorf("%v, %v", all, err)
		}
		return nil
	})
	if len(photoFiles(t, s.Path())) != 1 {
		t.Error("the file went with the booking")
	}
}

// The same picture of the same thing again books nothing but a new caption, and puts a file
// back that was lost.
func TestPhotographAgain(t *testing.T) {
	s := newStore(t)
	on := Ref{"bag", "B1"}
	p, _ := photograph(t, s, on, shotOf("a lever", 0))
	file := filepath.Join(PhotoFolder(s.Path()), p.File())
	if err := os.Remove(file); err != nil {
		t.Fatal(err)
	}
	again := func(caption string) (made bool) {
		s.Book(head(), func(x *Tx) (err error) {
			shot := shotOf("a lever", 0)
			shot.Caption = caption
			if p, made, err = x.Photograph(on, shot); err == nil && !made {
				err = errBack
			}
			return err
		})
		return made
	}
	if again("") {
		t.Error("it is booked twice")
	}
	if b, err := os.ReadFile(file); err != nil || string(b) != "a lever" {
		t.Errorf("the lost file is not back: %v", err)
	}
	if !again("worn") || p.Nth != 1 || p.Caption != "worn" {
		t.Errorf("%+v", p)
	}
}

func TestPhotographRefused(t *testing.T) {
	s := newStore(t)
	mustBook(t, s, func(t *Tx) error { return t.Put(Step{Kind: "job", Camera: "105", Nth: 3, Seat: "wind"}) })
	for _, tt := range []struct {
		on   Ref
		step uint64
		text string
	}{
		{Ref{"job", "105"}, 4, "105 has no step 4: its steps end with 3"},
		{Ref{"job", "106"}, 1, "106 has no step 1: no step of its strip-down is kept"},
		{Ref{"bag", "B1"}, 1, "a bag has no steps"},
		{Ref{"bag", "B999"}, 0, "there is no bag B999"},
	} {
		_, err := s.Book(head(), func(x *Tx) error { _, _, err := x.Photograph(tt.on, shotOf("x", tt.step)); return err })
		if err == nil || !strings.Contains(err.Error(), tt.text) {
			t.Errorf("%v step %d: %v, want %q", tt.on, tt.step, err, tt.text)
		}
	}
}

// A file that is gone, or is not what its name says, is a problem; one that nothing names
// is told, and left.
func TestPhotosOf(t *testing.T) {
	s := newStore(t)
	whole, _ := photograph(t, s, Ref{"bag", "B1"}, shotOf("whole", 0))
	gone, _ := photograph(t, s, Ref{"bag", "B1"}, shotOf("gone", 0))
	spoilt, _ := photograph(t, s, Ref{"job", "105"}, shotOf("spoilt", 0))
	_, res := photograph(t, s, Ref{"job", "105"}, shotOf("taken back", 0))
	if _, err := s.Undo(head(), res.Booking.Number); err != nil {
		t.Fatal(err)
	}
	folder := PhotoFolder(s.Path())
	if err := errors.Join(os.Remove(filepath.Join(folder, gone.File())), os.WriteFile(filepath.Join(folder, spoilt.File()), []byte("spoiled"), 0o600)); err != nil {
		t.Fatal(err)
	}
	path := stopped(t, s)
	got, err := PhotosOf(path)
	if err != nil {
		t.Fatal(err)
	}
	if got.Named != 3 || len(got.Problems) != 2 || len(got.Unnamed) != 1 {
		t.Fatalf("%+v", got)
	}
	all := strings.Join(got.Problems, "\n")
	for _, want := range []string{"picture 2 of B1 (a.jpg) is missing: " + gone.File(), "picture 1 of 105 (a.jpg) is not what it was: "} {
		if !strings.Contains(all, want) {
			t.Errorf("%s\nlacks %q", all, want)
		}
	}
	if strings.Contains(all, whole.File()) {
		t.Errorf("%s is whole", whole.File())
	}
	if lacks, named, err := PhotosLacking(path); err != nil || named != 3 || len(lacks) != 1 || lacks[0].File() != gone.File() {
		t.Errorf("%v of %d, %v", lacks, named, err)
	}
}

// stopped is a copy of a store, with its pictures, that nobody has open.
func stopped(tb testing.TB, s *Store) string {
	tb.Helper()
	path := filepath.Join(filepath.Dir(s.Path()), "stopped.db")
	f, err := os.Create(path)
	if err != nil {
		tb.Fatal(err)
	}
	err = s.View(func(v *View) error { _, err := v.tx.WriteTo(f); return err })
	err = errors.Join(err, f.Close(), os.Rename(PhotoFolder(s.Path()), PhotoFolder(path)))
	if err != nil {
		tb.Fatal(err)
	}
	return path
}

// Some that keep one picture at the same moment keep it once, whole, and none takes away
// what another is just writing.
func TestOnePictureAtOnce(t *testing.T) {
	s := newStore(t)
	for n := range 20 {
		p := shotOf(strings.Repeat("lever", 1<<10+n), 0).Photo
		var wg sync.WaitGroup
		for range 8 {
			wg.Go(func() {
				if err := KeepPhoto(s.Path(), p); err != nil {
					t.Error(err)
				}
			})
		}
		wg.Wait()
		if got := photoFiles(t, s.Path()); len(got) != n+1 {
			t.Fatalf("%v", got)
		}
	}
}

// A backup has the pictures beside it, each copied once; from there they come back, and into
// a salvaged store.
func TestPicturesAreCopied(t *testing.T) {
	s := newStore(t)
	p, _ := photograph(t, s, Ref{"bag", "B1"}, shotOf("a lever", 0))
	lost, _ := photograph(t, s, Ref{"bag", "B2"}, shotOf("lost", 0))
	path := stopped(t, s)
	if err := os.Remove(filepath.Join(PhotoFolder(path), lost.File())); err != nil {
		t.Fatal(err)
	}
	stick := t.TempDir()
	first := filepath.Join(stick, "monday.db")
	w, err := Backup(path, first, Writing{Day: day0})
	if err != nil || w.Pictures != 2 || w.Lacks != 1 {
		t.Fatalf("%+v, %v", w, err)
	}
	copied := filepath.Join(stick, "stopped.photos", p.File())
	old := day0.Time()
	if err := os.Chtimes(copied, old, old); err != nil {
		t.Fatal(err)
	}
	if _, err := Backup(path, filepath.Join(stick, "tuesday.db"), Writing{Day: day0 + 1}); err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(copied); err != nil || !info.ModTime().Equal(old) {
		t.Errorf("it is copied anew: %v", err)
	}
	if got, err := PhotosOf(first); err != nil || len(got.Problems) != 1 || got.Named != 2 {
		t.Errorf("%+v, %v", got, err)
	}
	at := filepath.Join(t.TempDir(), "w.db")
	if _, err := Restore(first, at, false, "2031-09-01"); err != nil {
		t.Fatal(err)
	}
	fresh := filepath.Join(t.TempDir(), "new.db")
	got, err := Salvage(path, fresh, day0)
	if err != nil || !strings.Contains(strings.Join(got.Lost, "\n"), "picture 1 of B2 (a.jpg): its file is missing or spoilt") {
		t.Errorf("%+v, %v", got, err)
	}
	for _, store := range []string{at, fresh} {
		if b, err := os.ReadFile(filepath.Join(PhotoFolder(store), p.File())); err != nil || !bytes.Equal(b, []byte("a lever")) {
			t.Errorf("%s: %v", store, err)
		}
	}
	if n := len(photoFiles(t, at)); n != 1 {
		t.Errorf("%d files came back", n)
	}
	// The copy of a day lies deeper, and its pictures where the store has them.
	if k, err := CopyDay(path, day0); err != nil || k.File == "" {
		t.Fatal(k, err)
	} else if lacks, named, err := PhotosLacking(k.File); err != nil || named != 2 || len(lacks) != 1 {
		t.Errorf("%v of %d, %v", lacks, named, err)
	}
}

// On a disk that is full nothing is left of a picture, and one sentence says so.
func TestFullDiskWhileAPictureIsKept(t *testing.T) {
	if runtime.GOOS != "linux" || os.Geteuid() != 0 {
		t.Skip("a small disk is mounted, which takes the rights of root")
	}
	disk := t.TempDir()
	if out, err := exec.Command("mount", "-t", "tmpfs", "-o", "size=64k", "none", disk).CombinedOutput(); err != nil {
		t.Skipf("no disk can be mounted here: %s", out)
	}
	defer exec.Command("umount", disk).Run()
	path := filepath.Join(disk, "w.db")
	err := KeepPhoto(path, shotOf(strings.Repeat("lever", 1<<16), 0).Photo)
	if err == nil || !strings.HasSuffix(err.Error(), "is full: the picture is not kept") {
		t.Errorf("%v", err)
	}
	if got := photoFiles(t, path); len(got) != 0 {
		t.Errorf("left: %v", got)
	}
	if err := KeepPhoto(path, shotOf("a small one", 0).Photo); err != nil {
		t.Error(err)
	}
}

// What the last booking was about, by who booked it.
func TestLastThing(t *testing.T) {
	s := newStore(t)
	booked := func(fn func(*Tx) error) uint64 { return mustBook(t, s, fn).Booking.Number }
	is := func(want Ref, step uint64) {
		t.Helper()
		s.View(func(v *View) error {
			if r, n, err := v.LastThing(head().By); err != nil || r != want || n != step {
				t.Errorf("%v step %d, %v; want %v step %d", r, n, err, want, step)
			}
			return nil
		})
	}
	booked(func(t *Tx) error { return t.Put(Part{Code: "P9", Name: "knob"}) })
	is(Ref{"part", "P9"}, 0)
	booked(func(t *Tx) error { return t.Enter(Entry{What: Graded, Bag: "B1", To: "usable"}) })
	is(Ref{"bag", "B1"}, 0)
	booked(func(t *Tx) error { return t.Fit(Take{Bag: "B1", N: 1, Job: "105"}) })
	is(Ref{"job", "105"}, 0)
	booked(func(t *Tx) error {
		return putAll(t, Step{Kind: "job", Camera: "106", Nth: 1, Seat: "wind"}, Step{Kind: "job", Camera: "106", Nth: 2, Seat: "top"})
	})
	is(Ref{"job", "106"}, 2)
	_, res := photograph(t, s, Ref{"job", "106"}, shotOf("a lever", 1))
	is(Ref{"job", "106"}, 1)
	if _, err := s.Undo(head(), res.Booking.Number); err != nil {
		t.Fatal(err)
	}
	is(Ref{"job", "106"}, 2)
	booked(func(t *Tx) error { return t.Put(Label{Kind: "bag", Code: "B1", Text: "x"}) })
	is(Ref{"job", "106"}, 2)
	booked(func(t *Tx) error {
		return errors.Join(t.Enter(Entry{What: Graded, Bag: "B1", To: "ready"}), t.Enter(Entry{What: Graded, Bag: "B2", To: "ready"}))
	})
	s.View(func(v *View) error {
		if _, _, err := v.LastThing(head().By); !errors.Is(err, ErrRefused) || !strings.Contains(err.Error(), "was about B1 and B2: say which") {
			t.Errorf("%v", err)
		}
		if _, _, err := v.LastThing("nobody"); !errors.Is(err, ErrNotFound) {
			t.Errorf("%v", err)
		}
		return nil
	})
}
