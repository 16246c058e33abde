package store

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"

	"tinful/store/code"
)

// What was asked for by name lies anywhere: which copies were written where, on which
// day, stands in a file among the copies of the store.

// A Written is a copy that was written where somebody wanted it.
type Written struct {
	File     string   `json:"file"`
	Day      code.Day `json:"day"`
	Bytes    int64    `json:"bytes"`
	Bookings uint64   `json:"bookings"`
	SameDisk bool     `json:"same_disk"` // as the store
	Pictures int      `json:"-"`         // files of pictures that it names
	Lacks    int      `json:"-"`         // of these, those that are missing with the store as well
	Damaged  bool     `json:"-"`         // as the store is, and nothing to rely on
}

// mostWritten is how many places of copies are remembered.
const mostWritten = 10

func writtenFile(path string) string {
	return filepath.Join(folderOf(path), nameOf(path)+"-written.json")
}

// WrittenOf lists the copies that were written elsewhere, the latest first. One that is
// gone from the store's own disk is left out; a stick need not be in.
func WrittenOf(path string) []Written {
	var list []Written
	if b, err := os.ReadFile(writtenFile(path)); err == nil {
		_ = json.Unmarshal(b, &list) // what cannot be read is not known
	}
	return slices.DeleteFunc(list, func(w Written) bool {
		_, err := os.Stat(w.File)
		return w.SameDisk && err != nil
	})
}

// remember notes that a copy was written.
func remember(path string, w Written) error {
	list := slices.DeleteFunc(WrittenOf(path), func(old Written) bool { return old.File == w.File })
	list = append([]Written{w}, list...)
	b, err := json.MarshalIndent(list[:min(len(list), mostWritten)], "", " ")
	if err != nil {
		return err
	}
	name := writtenFile(path)
	if err := makeFolder(name); err != nil {
		return err
	}
	f, err := beside(name)
	if err != nil {
		return err
	}
	defer os.Remove(f.Name())
	_, err = f.Write(b)
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Rename(f.Name(), name)
	}
	return err
}

// A Safety is when the store was last copied, and where to.
type Safety struct {
	Known    bool     // a copy is
	Day      code.Day // of the latest
	File     string
	Away     bool     // one lies on another disk
	AwayDay  code.Day // the latest of those
	AwayFile string
}

// SafetyOf tells when a store was last copied, by names and notes alone.
func SafetyOf(path string) Safety {
	var s Safety
	for _, c := range inFolder(path) {
		s.take(c.Day, c.File)
	}
	for _, w := range WrittenOf(path) {
		s.take(w.Day, w.File)
		if !w.SameDisk && (!s.Away || w.Day > s.AwayDay) {
			s.Away, s.AwayDay, s.AwayFile = true, w.Day, w.File
		}
	}
	return s
}

func (s *Safety) take(day code.Day, file string) {
	if !s.Known || day > s.Day {
		s.Known, s.Day, s.File = true, day, file
	}
}
