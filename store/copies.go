package store

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"time"

	"tinful/store/code"
)

// A Copy is a file that holds the store as it once was.
type Copy struct {
	File  string
	Day   code.Day // on which it was made
	Why   string   // what it was made before: import, repair, restore, a newer version; empty for the day's own
	Bytes int64
	made  time.Time // as the file system has it, for the order of one day
}

// folderOf is where the copies of a store lie: backups beside it. A link to a store
// leads to the folder of the file itself.
func folderOf(path string) string {
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real
	}
	return filepath.Join(filepath.Dir(path), "backups")
}

func nameOf(path string) string { return strings.TrimSuffix(filepath.Base(path), ".db") }

// CopiesOf lists the copies in the folder of a store and what was kept beside it, the
// latest first. It opens none of them.
func CopiesOf(path string) []Copy {
	own := regexp.MustCompile(`^` + regexp.QuoteMeta(nameOf(path)) + `-(\d{4}-\d\d-\d\d)(?:-before-([a-z]+)(?:-\d+)?)?\.db$`)
	kept := regexp.MustCompile(`^` + regexp.QuoteMeta(filepath.Base(path)) + `\.before-(?:(repair)-)?(?:(\d{4}-\d\d-\d\d)|v\d+)(?:-\d+)?$`)
	out := listed(folderOf(path), func(name string) (day, why string, ok bool) {
		m := own.FindStringSubmatch(name)
		if m == nil {
			return "", "", false
		}
		return m[1], m[2], true
	})
	out = append(out, listed(filepath.Dir(folderOf(path)), func(name string) (day, why string, ok bool) {
		m := kept.FindStringSubmatch(name)
		switch {
		case m == nil:
			return "", "", false
		case m[2] == "":
			return "", "a newer version", true
		}
		return m[2], or(m[1], "restore"), true
	})...)
	slices.SortFunc(out, func(a, b Copy) int {
		return cmp.Or(cmp.Compare(b.Day, a.Day), b.made.Compare(a.made), strings.Compare(a.File, b.File))
	})
	return out
}

// listed are the files of a folder whose names tell that they are copies. One that names
// no day has that of its file.
func listed(folder string, tells func(name string) (day, why string, ok bool)) []Copy {
	var out []Copy
	files, _ := os.ReadDir(folder) // where there is none, there are no copies
	for _, f := range files {
		day, why, ok := tells(f.Name())
		info, err := f.Info()
		if !ok || err != nil {
			continue
		}
		c := Copy{File: filepath.Join(folder, f.Name()), Day: code.DayOf(info.ModTime()), Why: why, Bytes: info.Size(), made: info.ModTime()}
		if d, err := code.ISODay(day); err == nil {
			c.Day = d
		}
		out = append(out, c)
	}
	return out
}

// A Kept is what came of making a copy.
type Kept struct {
	File string // empty where none was due
	Gone []Copy // older ones that gave way, for together they were too much
}

// CopyDay makes the copy of a day where there is none yet. A demo is not copied. Where
// others go on booking it is left for the next booking.
func CopyDay(path string, day code.Day) (Kept, error) {
	name := filepath.Join(folderOf(path), fmt.Sprintf("%s-%s.db", nameOf(path), day))
	if _, err := os.Lstat(name); err == nil || isDemo(path) {
		return Kept{}, nil
	}
	k, err := keep(path, name, day, false)
	if errors.Is(err, errMoved) || errors.Is(err, ErrBusy) {
		return Kept{}, nil
	}
	return k, err
}

// CopyBefore makes a copy of the store, as v sees it, before something is done to it.
// Whoever asks holds the store, and nobody else books meanwhile. A demo is not copied.
func (s *Store) CopyBefore(v *View, why string, day code.Day) (Kept, error) {
	if v.Setting("demo") != "" {
		return Kept{}, nil
	}
	base := filepath.Join(folderOf(s.path), fmt.Sprintf("%s-%s-before-%s", nameOf(s.path), day, why))
	k, err := keep(s.path, freeName(base, ".db"), day, true)
	if err != nil {
		err = fmt.Errorf("nothing was done, for no copy of the store could be made before: %w", err)
	}
	return k, err
}

// keep makes a copy under a name in the folder of copies, takes away what killed
// programs left there, and lets older ones give way.
func keep(path, name string, day code.Day, held bool) (Kept, error) {
	if err := makeFolder(name); err != nil {
		return Kept{}, err
	}
	tmp, c, err := copyTo(path, name, held)
	if err != nil {
		return Kept{}, err
	}
	defer os.Remove(tmp)
	sweep(tmp, path)
	if err := named(tmp, name); errors.Is(err, fs.ErrExist) {
		return Kept{}, nil // another program made it at the same moment
	} else if err != nil {
		return Kept{}, err
	}
	k := Kept{File: name}
	old, crowded := outlived(inFolder(path), day, c.Bytes)
	for _, c := range slices.Concat(old, crowded) {
		if err := os.Remove(c.File); err != nil {
			return k, err
		}
	}
	k.Gone = crowded
	return k, nil
}

// inFolder lists the copies that were made without being asked for.
func inFolder(path string) []Copy {
	folder := folderOf(path)
	return slices.DeleteFunc(CopiesOf(path), func(c Copy) bool { return filepath.Dir(c.File) != folder })
}

// isDemo says that a store is an invented workshop, which can be made anew.
func isDemo(path string) bool {
	s, err := Open(path)
	if err != nil {
		return false
	}
	defer s.Close()
	demo := ""
	_ = s.View(func(v *View) error { demo = v.Setting("demo"); return nil })
	return demo != ""
}

// leftover is what a file under a temporary name would have been called.
func leftover(name string) (meant string, is bool) {
	if meant, is = strings.CutSuffix(name, ".waits"); is {
		return meant, is
	}
	at := strings.LastIndex(name, ".new")
	if at < 0 || at+4 == len(name) || strings.Trim(name[at+4:], "0123456789") != "" {
		return "", false
	}
	return name[:at], true
}

// sweep takes away what killed programs left under temporary names beside a new file
// and beside the store, once it is a day older than that file. No clock is asked: one
// that stands still would take a file from under another program.
func sweep(fresh, path string) {
	now, err := os.Stat(fresh)
	if err != nil {
		return
	}
	for _, folder := range []string{filepath.Dir(fresh), filepath.Dir(folderOf(path))} {
		files, _ := os.ReadDir(folder)
		for _, f := range files {
			info, err := f.Info()
			_, left := leftover(f.Name())
			if err == nil && left && strings.HasPrefix(f.Name(), nameOf(path)) && now.ModTime().Sub(info.ModTime()) > 24*time.Hour {
				_ = os.Remove(filepath.Join(folder, f.Name()))
			}
		}
	}
}
