package store

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"tinful/store/code"
)

// How a copy is written where somebody wants it.
type Writing struct {
	Day     code.Day
	Replace bool // a file that is there, once the new copy is whole
	Anyway  bool // copy a store that is damaged, under another name
}

// A DamagedError is returned when a store that is damaged would be copied. Its Unwrap
// returns the error that says what is wrong.
type DamagedError struct{ error }

// Unwrap returns what is wrong with the store.
func (e *DamagedError) Unwrap() error { return e.error }

// Backup writes a copy of the store at path to file. The copy is whole or not there: it
// is written under a temporary name, brought to the disk, read again and named. The
// pictures that it names lie beside it before, in a folder called as that of the store:
// each is copied once. A file that is there is refused, and a store that is damaged; what
// is said otherwise is in w.
func Backup(path, file string, w Writing) (Written, error) {
	if err := mayWrite(file, w.Replace); err != nil {
		return Written{}, err
	}
	tmp, c, err := copyTo(path, file, false)
	if errors.Is(err, ErrDamaged) && w.Anyway {
		kept, err := keepFile(path, file+".damaged")
		return Written{File: kept, Day: w.Day, Damaged: true}, err
	}
	if errors.Is(err, ErrDamaged) {
		return Written{}, &DamagedError{err}
	}
	if err != nil {
		return Written{}, err
	}
	defer os.Remove(tmp)
	photos, err := copyPhotos(tmp, photoFolders(path), photosBeside(file, path))
	if err != nil {
		return Written{}, err
	}
	if w.Replace {
		err = cmp.Or(os.Rename(tmp, file), syncFolder(filepath.Dir(file)))
	} else if err = named(tmp, file); errors.Is(err, fs.ErrExist) {
		err = mayWrite(file, false)
	}
	if err != nil {
		return Written{}, err
	}
	return written(path, file, w.Day, c, photos)
}

// photosBeside is the folder for the pictures of the store at path beside a copy of it.
func photosBeside(file, path string) string {
	return filepath.Join(filepath.Dir(PhotoFolder(file)), filepath.Base(PhotoFolder(path)))
}

// BackupTo writes a copy of the store at path to out, once it is known to be whole, and
// returns what it holds: no pictures.
func BackupTo(path string, out io.Writer) (Contents, error) {
	folder, err := os.MkdirTemp("", "tinful-copy-")
	if err != nil {
		return Contents{}, err
	}
	defer os.RemoveAll(folder)
	tmp, held, err := copyTo(path, filepath.Join(folder, "copy.db"), false)
	if errors.Is(err, ErrDamaged) {
		return held, &DamagedError{err}
	}
	if err != nil {
		return held, err
	}
	f, err := os.Open(tmp)
	if err != nil {
		return held, err
	}
	_, err = io.Copy(out, f)
	return held, errors.Join(err, f.Close())
}

// mayWrite refuses a file that is there, and replaces no folder.
func mayWrite(file string, replace bool) error {
	info, err := os.Stat(file)
	switch {
	case err != nil:
		return nil
	case replace && info.Mode().IsRegular():
		return nil
	case replace:
		return refuse("%s is no file, and is not replaced", file)
	}
	return refuse("%s is there already; a backup replaces nothing", file)
}

// written remembers where a copy was written, and reckons which disk that is.
func written(path, file string, day code.Day, c Contents, photos photoCopy) (Written, error) {
	full, err := filepath.Abs(file)
	if err != nil {
		return Written{}, err
	}
	w := Written{File: full, Day: day, Bytes: c.Bytes, Bookings: c.Bookings, SameDisk: sameDisk(path, full), Pictures: photos.Named, Lacks: len(photos.Lacks)}
	if err := remember(path, w); err != nil {
		return w, fmt.Errorf("%s is a copy of the store; that could not be noted down: %w", file, err)
	}
	return w, nil
}

// syncFolder brings a new name in a folder to the disk. Some file systems refuse
// this for a folder; the file itself is on the disk by then.
func syncFolder(folder string) error {
	d, err := os.Open(folder)
	if err != nil {
		return err
	}
	_ = d.Sync()
	return d.Close()
}

// freeName is the name with its ending, or with a number before that where it is taken.
func freeName(name, ending string) string {
	free := name + ending
	for i := 2; ; i++ {
		if _, err := os.Lstat(free); errors.Is(err, fs.ErrNotExist) {
			return free
		}
		free = fmt.Sprintf("%s-%d%s", name, i, ending)
	}
}
