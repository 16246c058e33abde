package sheet

import (
	"archive/zip"
	"bufio"
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"syscall"

	"github.com/klauspost/compress/flate"
	"golang.org/x/sync/errgroup"
)

// writeWhole writes a file beside path and renames it to path once it is complete and sound:
// what stood there stands until then.
func writeWhole(path string, write func(io.Writer) error, sound func(tmp string) error) (err error) {
	tmp, err := create(filepath.Dir(path), filepath.Base(path))
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = os.Remove(tmp.Name())
		}
	}()
	if err = closed(tmp, write(tmp)); err != nil {
		return noRoom(path, err)
	}
	if err := sound(tmp.Name()); err != nil {
		return err
	}
	return os.Rename(tmp.Name(), path)
}

// A memberWriter writes the members of a workbook. What excelize packs with unless told
// otherwise takes three times as long, and it would hold the whole archive in memory.
type memberWriter struct {
	*zip.Writer
	out  *bufio.Writer
	had  map[string]bool
	one  bool // the next only, which is a sheet that is full or gets its rows here; the others change yet
	next bool // is had

	opens bool // the next: its rows are still to come
	open  io.Writer
	begun bytes.Buffer // the open one without its rows
}

func newMemberWriter(to io.Writer) *memberWriter {
	m := &memberWriter{out: bufio.NewWriterSize(to, 1<<16), had: map[string]bool{}}
	m.Writer = zip.NewWriter(m.out)
	m.RegisterCompressor(zip.Deflate, func(to io.Writer) (io.WriteCloser, error) { return flate.NewWriter(to, flate.DefaultCompression) })
	return m
}

// Create begins a member.
func (m *memberWriter) Create(name string) (io.Writer, error) {
	if m.had[name] || m.one && m.next {
		return io.Discard, nil
	}
	m.had[name], m.next = true, true
	to, err := m.Writer.Create(name)
	if m.opens {
		m.opens, m.open = false, to
		m.begun.Reset()
		return &m.begun, err
	}
	return to, err
}

// opened is the sheet that was begun, and what stands before and behind the rows to come.
func (m *memberWriter) opened() (to io.Writer, before, behind []byte) {
	all := m.begun.Bytes()
	i := bytes.LastIndex(all, []byte("</sheetData>"))
	return m.open, all[:i], all[i:]
}

// Close is called for each sheet: see end.
func (m *memberWriter) Close() error {
	m.next = false
	return nil
}

func (m *memberWriter) end() error { return cmp.Or(m.Writer.Close(), m.out.Flush()) }

// closed brings a file to the disk and closes it, and returns err or else what goes
// wrong with that.
func closed(f *os.File, err error) error {
	if err == nil {
		err = f.Sync()
	}
	return cmp.Or(err, f.Close())
}

// noRoom says of a full disk, or a file that may not grow, what became of path.
func noRoom(path string, err error) error {
	if errors.Is(err, syscall.ENOSPC) || errors.Is(err, syscall.EFBIG) {
		return fmt.Errorf("there is no room to write %s, and what stood there is as it was: %w", path, err)
	}
	return err
}

// readsBack goes through a workbook to its end and holds that it has as many rows a
// sheet as want says. Sheets are read side by side, the longest first.
func readsBack(path string, want map[string]int) error {
	w, err := openBook(path, math.MaxInt64)
	if err != nil {
		return err
	}
	defer w.Close()
	sheets := slices.DeleteFunc(slices.Clone(w.sheets), func(s sheetPart) bool { _, ok := want[s.name]; return !ok })
	if len(sheets) < len(want) {
		return fmt.Errorf("%d sheets do not read back", len(want)-len(sheets))
	}
	slices.SortStableFunc(sheets, func(a, b sheetPart) int { return cmp.Compare(want[b.name], want[a.name]) })
	var g errgroup.Group
	g.SetLimit(runtime.GOMAXPROCS(0))
	for _, s := range sheets {
		g.Go(func() error {
			n, err := w.countRows(s.member)
			if err == nil && n != want[s.name] {
				err = fmt.Errorf("sheet %s reads back with %d rows in place of %d", s.name, n, want[s.name])
			}
			return err
		})
	}
	if err := g.Wait(); err != nil {
		return err
	}
	return w.finish()
}

// countRows counts the rows of a sheet that have cells.
func (w *workbook) countRows(member string) (rows int, err error) {
	full := true
	err = w.markup(member, "worksheet", func(m *markup, t token) error {
		switch {
		case t != tagOpens:
		case string(m.local) == "row":
			full = false
		case string(m.local) == "c" && !full:
			full = true
			rows++
		}
		return nil
	})
	return rows, err
}
