package store

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"

	"tinful/store/code"
)

// A Replacement is what putting a copy in the place of a store would do to the book.
type Replacement struct {
	There    bool    // a store is
	Unread   error   // why it cannot be compared with the copy
	Bookings uint64  // in the copy
	Lost     []OfDay // bookings of the store that the copy lacks, the latest day first
	Gained   uint64  // bookings of the copy that the store lacks
}

// OfDay is how many bookings were made on a day.
type OfDay struct {
	Day code.Day `json:"day"`
	N   int      `json:"bookings"`
}

// LostBookings is how many there are in all.
func (c Replacement) LostBookings() int {
	n := 0
	for _, d := range c.Lost {
		n += d.N
	}
	return n
}

// ReplacementBy compares a copy with the store at path.
func ReplacementBy(backup, path string) (Replacement, error) {
	if err := probe(backup); err != nil {
		return Replacement{}, err
	}
	if held, err := ContentsOf(backup); err != nil || held.Flaw != "" {
		return Replacement{}, cmp.Or(err, fmt.Errorf("%w: %s: %s", ErrDamaged, backup, held.Flaw))
	}
	c, err := openUnchanged(backup)
	if err != nil {
		return Replacement{}, err
	}
	defer c.Close()
	var ch Replacement
	err = c.View(func(copied *View) error {
		ch.Bookings = copied.LastBooking()
		s, err := openUnchanged(path)
		if errors.Is(err, ErrNoStore) || errors.Is(err, ErrBusy) {
			return err
		}
		if ch.There = true; err != nil {
			ch.Unread = err
			return nil
		}
		defer s.Close()
		ch.Unread = s.View(func(now *View) error { return ch.compare(copied, now) })
		return nil
	})
	if errors.Is(err, ErrNoStore) {
		err = nil
	}
	return ch, err
}

// compare looks for the last booking that both have, and counts what came after.
func (c *Replacement) compare(copied, now *View) error {
	both, err := lastOfBoth(copied, now)
	if err != nil {
		return err
	}
	c.Gained = copied.LastBooking() - both
	for n := now.LastBooking(); n > both; n-- {
		b, err := now.BookingNo(n)
		if err != nil {
			return err
		}
		i := slices.IndexFunc(c.Lost, func(d OfDay) bool { return d.Day == b.Day })
		if i < 0 {
			i, c.Lost = len(c.Lost), append(c.Lost, OfDay{Day: b.Day})
		}
		c.Lost[i].N++
	}
	slices.SortFunc(c.Lost, func(a, b OfDay) int { return cmp.Compare(b.Day, a.Day) })
	return nil
}

func lastOfBoth(a, b *View) (uint64, error) {
	n := min(a.LastBooking(), b.LastBooking())
	for ; n > 0; n-- {
		x, err := a.BookingNo(n)
		if err != nil {
			return 0, err
		}
		y, err := b.BookingNo(n)
		if err != nil {
			return 0, err
		}
		if x.Day == y.Day && x.At == y.At && x.By == y.By && x.Command == y.Command {
			break
		}
	}
	return n, nil
}

// Restore puts a copy of the store at backup to path. A store that is at path is
// refused unless replace is set; it is then kept beside it with day in its name,
// and kept is that name. The backup must pass [Examine]. The pictures that lie beside it
// come along.
func Restore(backup, path string, replace bool, day string) (kept string, err error) {
	if err := whole(backup); err != nil {
		return "", err
	}
	there, err := besideOthers(backup, path, replace)
	if err != nil {
		return "", err
	}
	if there {
		path, err = filepath.EvalSymlinks(path) // the link stays
	} else {
		err = makeFolder(path)
	}
	if err != nil {
		return "", err
	}
	tmp, _, err := copyTo(backup, path, false)
	if err != nil {
		return "", err
	}
	defer os.Remove(tmp)
	if _, err := copyPhotos(tmp, photoFolders(backup), PhotoFolder(path)); err != nil {
		return "", err
	}
	if !there {
		return "", named(tmp, path)
	}
	if err := likeMode(tmp, path); err != nil {
		return "", err
	}
	kept = freeName(path+".before-"+day, "")
	return kept, giveWay(path, kept, tmp)
}

// giveWay keeps the store under another name and puts a file in its place, while nobody
// works on it. Where there are links there is a store at every moment.
func giveWay(path, kept, tmp string) error {
	free, err := alone(path)
	if err != nil {
		return err
	}
	defer free()
	return swap(path, kept, tmp, free)
}

// swap is giveWay of who keeps others out until free is called.
func swap(path, kept, tmp string, free func()) error {
	if runtime.GOOS == "windows" {
		free() // no file that is open is renamed there
	}
	if err := os.Link(path, kept); err != nil {
		if err := os.Rename(path, kept); err != nil {
			return err
		}
	}
	if err := os.Rename(tmp, path); err != nil {
		return errors.Join(err, os.Rename(kept, path))
	}
	return syncFolder(filepath.Dir(path))
}

// alone waits until nobody works on a store, and keeps others out until free is called.
// One that is damaged is nobody's.
func alone(path string) (free func(), err error) {
	db, err := openLocked(path, false)
	switch {
	case err == nil:
		return func() { _ = db.Close() }, nil
	case errors.Is(openError(path, err), ErrBusy):
		return nil, openError(path, err)
	}
	return func() {}, nil
}

// likeMode gives a file the permissions of another.
func likeMode(file, other string) error {
	info, err := os.Stat(other)
	if err != nil {
		return err
	}
	return os.Chmod(file, info.Mode().Perm())
}

// whole refuses a copy that contradicts itself.
func whole(path string) error {
	h, err := Examine(path)
	if err == nil && len(h.Problems) > 0 {
		err = fmt.Errorf("%w: %s has %d problems, the first: %s", ErrDamaged, path, len(h.Problems), h.Problems[0])
	}
	return err
}

// besideOthers says whether a store is at path, and refuses where it must not be
// replaced: without replace, where it is the backup itself.
func besideOthers(backup, path string, replace bool) (there bool, err error) {
	old, err := os.Stat(path)
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	from, err := os.Stat(backup)
	switch {
	case err != nil:
		return false, err
	case os.SameFile(old, from):
		return false, refuse("%s is the store itself", backup)
	case !replace:
		return false, refuseAs(StandsThere, "a store is at %s", path)
	}
	if err := probe(path); errors.Is(err, ErrNotStore) { // it is no file
		return false, err
	}
	return true, nil // be it damaged: that is what a backup is for
}
