package sheet

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// create makes a temporary file in dir that others may read once it has its name.
func create(dir, name string) (f *os.File, err error) {
	_, err = temporary(dir, name, func(tmp string) error {
		f, err = os.OpenFile(tmp, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o666)
		return err
	})
	return f, err
}

// createFolder makes a temporary folder beside dir, or in dir where nothing may be made
// beside it.
func createFolder(dir string) (tmp string, err error) {
	make := func(tmp string) error { return os.Mkdir(tmp, 0o777) }
	above := filepath.Dir(dir)
	if err := os.MkdirAll(above, 0o777); err != nil {
		return "", err
	}
	tmp, err = temporary(above, filepath.Base(dir), make)
	if err != nil && isFolder(dir) {
		tmp, err = temporary(dir, filepath.Base(dir), make)
	}
	return tmp, err
}

func isFolder(path string) bool {
	info, err := os.Stat(path)
	return err == nil && info.IsDir()
}

// temporary makes something in dir under a name that nothing has.
func temporary(dir, name string, make func(tmp string) error) (tmp string, err error) {
	for i := range 10000 {
		tmp = filepath.Join(dir, fmt.Sprintf(".%s.%d.tmp", name, os.Getpid()+i))
		switch err = make(tmp); {
		case errors.Is(err, fs.ErrNotExist):
			return "", fmt.Errorf("there is no folder %s to write %s in: make it first", dir, name)
		case errors.Is(err, fs.ErrPermission):
			return "", fmt.Errorf("%s cannot be written: nothing may be made in the folder %s: %w", name, dir, fs.ErrPermission)
		case !errors.Is(err, fs.ErrExist):
			return tmp, err
		}
	}
	return "", fmt.Errorf("no temporary name is left in %s", dir)
}

// placeFolder gives a folder of new files its name. A folder that holds nothing else is
// replaced whole; in any other the files take their places, or all go back.
func placeFolder(tmp, dir string, names []string) error {
	switch own, err := holdsOnly(dir, names); {
	case errors.Is(err, fs.ErrNotExist):
		return os.Rename(tmp, dir)
	case err != nil:
		return err
	case own && !worksIn(dir) && filepath.Dir(tmp) != dir && swapFolder(tmp, dir) == nil:
		return nil
	}
	return placeFiles(tmp, dir, names)
}

// worksIn says whether this program, and likely the shell, is in a folder.
func worksIn(dir string) bool {
	at, err := os.Getwd()
	return err != nil || at == dir
}

// holdsOnly says whether a folder holds nothing but files of these names, and the folder
// of pictures where that is among them.
func holdsOnly(dir string, names []string) (bool, error) {
	list, err := os.ReadDir(dir)
	known := map[string]bool{}
	for _, name := range names {
		known[name] = true
	}
	for _, f := range list {
		if !known[f.Name()] || f.IsDir() != (f.Name() == picturesFolder) || !f.IsDir() && !f.Type().IsRegular() {
			return false, err
		}
	}
	return err == nil, err
}

// swapFolder puts a folder in the place of another, which is removed. Where it cannot,
// the other is where it was.
func swapFolder(tmp, dir string) error {
	info, err := os.Stat(dir)
	if err != nil {
		return err
	}
	old := tmp + ".old"
	if err := errors.Join(os.Chmod(tmp, info.Mode().Perm()), os.Rename(dir, old)); err != nil {
		return err
	}
	if err := os.Rename(tmp, dir); err != nil {
		return errors.Join(err, os.Rename(old, dir))
	}
	_ = os.RemoveAll(old) // what is there is whole by now
	return nil
}

// placeFiles moves files from one folder to another, and puts what stood there aside
// until all have moved.
func placeFiles(tmp, dir string, names []string) (err error) {
	var back []func() error
	defer func() {
		for i := len(back) - 1; i >= 0 && err != nil; i-- {
			err = errors.Join(err, back[i]())
		}
	}()
	for _, name := range names {
		from, to := filepath.Join(tmp, name), filepath.Join(dir, name)
		aside := from + ".old"
		switch err := os.Rename(to, aside); {
		case err == nil:
			back = append(back, func() error { return os.Rename(aside, to) })
		case !errors.Is(err, fs.ErrNotExist):
			return err
		}
		if err := os.Rename(from, to); err != nil {
			return err
		}
		back = append(back, func() error { return os.Remove(to) })
	}
	return nil
}
