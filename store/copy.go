package store

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"tinful/store/pages"
)

// copySlice is what is copied under the lock at a time: some ten milliseconds.
const copySlice = 16 << 20

// errMoved is returned when the store was booked in while it was copied.
var errMoved = errors.New("the store was booked in meanwhile")

// A copying is a copy in the making: the bytes of a store as they stand after one
// booking. Between slices it lets go of the store, so that who waits to book goes first.
type copying struct {
	path string
	held bool // by whoever copies: nobody else books
	out  *os.File
	tx   uint64
	at   int64
	bite int64 // what is copied at a time
}

// copyTo writes a copy of the store at path under a temporary name beside name, and
// looks that it is whole: synced, read again, walked, its sums and counts compared. Of
// a store that is not whole it returns [ErrDamaged].
func copyTo(path, name string, held bool) (tmp string, h Contents, err error) {
	out, err := beside(name)
	if err != nil {
		return "", h, err
	}
	c := &copying{path: path, held: held, out: out, bite: copySlice}
	err = c.whole()
	if err == nil {
		err = twin(out)
	}
	if err = errors.Join(err, out.Sync(), out.Close()); err == nil {
		h, err = ContentsOf(out.Name())
	}
	if err == nil && h.Flaw != "" {
		err = fmt.Errorf("%w: %s", ErrDamaged, h.Flaw)
	}
	if errors.Is(err, syscall.ENOSPC) {
		err = fmt.Errorf("the disk of %s is full", filepath.Dir(name))
	}
	if err != nil {
		os.Remove(out.Name())
	}
	return out.Name(), h, err
}

// copyTries is how often a copy is begun anew when others book.
const copyTries = 4

// whole copies slice by slice; where others go on booking, the last time in one go.
func (c *copying) whole() error {
	for try := range copyTries {
		c.tx, c.at = 0, 0
		if _, err := c.out.Seek(0, io.SeekStart); err != nil {
			return err
		}
		if err := c.slices(try == copyTries-1); !errors.Is(err, errMoved) {
			return err
		}
	}
	return errMoved
}

func (c *copying) slices(atOnce bool) error {
	for done := false; !done; {
		err := c.locked(func(f *pages.File) (err error) {
			for done, err = c.slice(f); atOnce && !done && err == nil; {
				done, err = c.slice(f)
			}
			return err
		})
		if err != nil {
			return err
		}
		if !done && !c.held {
			time.Sleep(2 * lockLook) // whoever waits has looked by then
		}
	}
	return nil
}

// locked hands over the pages of the store while nobody books.
func (c *copying) locked(fn func(*pages.File) error) (err error) {
	if !c.held {
		db, err := openLocked(c.path, true)
		if err != nil {
			return openError(c.path, err)
		}
		defer func() { err = errors.Join(err, db.Close()) }()
	}
	return withPages(c.path, fn)
}

func (c *copying) slice(f *pages.File) (done bool, err error) {
	switch {
	case f.Now == nil || f.Size() < f.Needs():
		return false, fmt.Errorf("%w: %s is cut off", ErrDamaged, c.path)
	case c.at > 0 && f.Now.Tx != c.tx:
		return false, errMoved
	}
	c.tx = f.Now.Tx
	n, err := io.Copy(c.out, f.Bytes(c.at, min(c.bite, f.Needs()-c.at)))
	c.at += n
	return c.at == f.Needs(), err
}

// twin lets both first pages of a copy lead to all that is in it.
func twin(out *os.File) error {
	info, err := out.Stat()
	if err != nil {
		return err
	}
	f, err := pages.Open(out, info.Size())
	if err != nil {
		return err
	}
	page, number, err := f.Twin()
	if err != nil {
		return err
	}
	_, err = out.WriteAt(page, int64(number)*f.PageSize())
	return err
}
