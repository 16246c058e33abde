package sheet

import (
	"archive/zip"
	"bufio"
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
	"github.com/xuri/excelize/v2"
	"golang.org/x/sync/errgroup"
)

// place writes f to path once it reads back with as many rows per sheet as want says.
func place(f *excelize.File, path string, from Stamp, want map[string]int) error {
	write := func(to io.Writer) error {
		if err := signed(f, from); err != nil {
			return err
		}
		return pack(f, to)
	}
	return writeWhole(path, write, func(tmp string) error { return readsBack(tmp, want) })
}

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

// pack writes f to a file, member by member. What excelize packs with unless told
// otherwise takes three times as long, and it would hold the whole archive in memory.
func pack(f *excelize.File, to io.Writer) error {
	out := bufio.NewWriterSize(to, 1<<16)
	f.SetZipWriter(func(io.Writer) excelize.ZipWriter {
		z := zip.NewWriter(out)
		z.RegisterCompressor(zip.Deflate, func(to io.Writer) (io.WriteCloser, error) { return flate.NewWriter(to, flate.DefaultCompression) })
		return z
	})
	return cmp.Or(f.Write(io.Discard), out.Flush()) // the second would say the same again
}

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
