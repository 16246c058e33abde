package store

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	bolt "go.etcd.io/bbolt"
)

// Backup writes a copy of the store as it stands to path, which must not exist.
// The copy is whole or not there: it is written under a temporary name, brought
// to the disk and renamed.
func (s *Store) Backup(path string) error {
	if _, err := os.Lstat(path); err == nil {
		return refuse("%s is there already; a backup replaces nothing", path)
	}
	tmp, err := s.copyBeside(path)
	if err != nil {
		return err
	}
	defer os.Remove(tmp)
	if err := named(tmp, path); errors.Is(err, fs.ErrExist) {
		return refuse("%s is there already; a backup replaces nothing", path)
	} else if err != nil {
		return err
	}
	return nil
}

// BackupSound is Backup, and checks the copy.
func (s *Store) BackupSound(path string) error {
	if err := s.Backup(path); err != nil {
		return err
	}
	b, err := Open(path)
	if err != nil {
		return err
	}
	return errors.Join(sound(b), b.Close())
}

// copyBeside writes a copy under a temporary name beside path.
func (s *Store) copyBeside(path string) (tmp string, err error) {
	f, err := beside(path)
	if err != nil {
		return "", err
	}
	err = s.db.View(func(tx *bolt.Tx) error {
		_, err := tx.WriteTo(f)
		return err
	})
	if err = errors.Join(err, f.Sync(), f.Close()); err != nil {
		os.Remove(f.Name())
	}
	return f.Name(), err
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

// Restore puts a copy of the store at backup to path. A store that is at path is
// refused unless replace is set; it is then kept beside it with day in its name,
// and kept is that name. The backup must open and pass [Store.Check].
func Restore(backup, path string, replace bool, day string) (kept string, err error) {
	s, err := Open(backup)
	if err != nil {
		return "", err
	}
	defer s.Close()
	if err := sound(s); err != nil {
		return "", err
	}
	if there, err := besideOthers(backup, path, replace); err != nil {
		return "", err
	} else if !there {
		return "", errors.Join(makeFolder(path), s.Backup(path))
	}
	if path, err = filepath.EvalSymlinks(path); err != nil { // the link stays
		return "", err
	}
	tmp, err := s.copyBeside(path)
	if err != nil {
		return "", err
	}
	defer os.Remove(tmp)
	if err := likeMode(tmp, path); err != nil {
		return "", err
	}
	kept = freeName(path + ".before-" + day)
	if err := os.Rename(path, kept); err != nil {
		return "", err
	}
	if err := os.Rename(tmp, path); err != nil {
		return "", errors.Join(err, os.Rename(kept, path))
	}
	return kept, syncFolder(filepath.Dir(path))
}

// likeMode gives a file the permissions of another.
func likeMode(file, other string) error {
	info, err := os.Stat(other)
	if err != nil {
		return err
	}
	return os.Chmod(file, info.Mode().Perm())
}

// sound refuses a store that contradicts itself.
func sound(s *Store) error {
	h, err := s.Check()
	if err != nil {
		return err
	}
	if len(h.Problems) > 0 {
		return fmt.Errorf("%w: %s has %d problems, the first: %s", ErrDamaged, s.Path(), len(h.Problems), h.Problems[0])
	}
	return nil
}

// besideOthers says whether a store is at path, and refuses where it must not be
// replaced: without replace, where it is the backup itself, while another
// program works on it.
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
		return false, refuse("a store is at %s; --replace keeps it under another name and puts the backup there", path)
	}
	s, err := OpenToBook(path)
	if errors.Is(err, ErrBusy) || errors.Is(err, ErrUsage) { // ErrUsage: it is no file
		return false, err
	}
	if err == nil {
		err = s.Close()
	} else {
		err = nil // a damaged store is what a backup is for
	}
	return true, err
}

// freeName is the name, or the name with a number where it is taken.
func freeName(name string) string {
	free := name
	for i := 2; ; i++ {
		if _, err := os.Lstat(free); errors.Is(err, fs.ErrNotExist) {
			return free
		}
		free = fmt.Sprintf("%s-%d", name, i)
	}
}
