package sheet

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/picture"
)

// Pictures are rows of a sheet and files in a folder: "pictures" in a folder of CSV
// files, "all.pictures" beside a workbook all.xlsx. A file stands there upright, so that
// any program shows it right; reading takes out of it what the store keeps, which is the
// same bytes.

const picturesFolder = "pictures"

func pictures() table {
	type R = store.PictureRow
	columns := []column[R]{
		thingOf("Thing", things, func(r *R) (*string, *code.Code) { return &r.Kind, &r.Code }).required(),
		entryOf("No", func(r *R) *uint64 { return &r.Nth }).telling(),
		dayOf("Date", func(r *R) *code.Day { return &r.Day }),
		entryOf("Step", func(r *R) *uint64 { return &r.Step }),
		{heading: "File", kind: asCode, need: true, get: func(r *R) string { return r.File }, set: setFile},
		textOf("Caption", func(r *R) *string { return &r.Caption }),
		textOf("Name", func(r *R) *string { return &r.Name }),
		yesOf("As it is", func(r *R) *bool { return &r.AsItIs }),
		textOf("By", func(r *R) *string { return &r.By }),
	}
	return &sheetOf[R]{name: "Pictures", columns: columns,
		list: in(func(l *store.Load) *[]R { return &l.Pictures }), walk: Source.EachPictureRow}
}

// setFile takes a name alone: nothing outside the folder of pictures is read.
func setFile(r *store.PictureRow, s string) error {
	if s == "." || s == ".." || strings.ContainsAny(s, `/\:`) {
		return fmt.Errorf("write the name of the file alone: it lies in the folder of pictures beside the list")
	}
	r.File = s
	return nil
}

// PictureFolder is where the pictures of a workbook, a folder of CSV files or a file of one
// lie.
func PictureFolder(path string) string {
	switch {
	case isFolder(path):
		return filepath.Join(path, picturesFolder)
	case isExt(path, ".csv", ".txt", ".tsv"):
		return filepath.Join(filepath.Dir(path), picturesFolder)
	}
	return strings.TrimSuffix(path, filepath.Ext(path)) + "." + picturesFolder
}

// findFiles looks where the files of pictures lie. A link is no file: it may lead anywhere.
func (r *reader) findFiles(path string) {
	folder := PictureFolder(path)
	for i := range r.load.Pictures {
		p := &r.load.Pictures[i]
		if at := filepath.Join(folder, p.File); isFile(at) {
			p.Path = at
			if r.load.Look = r.Look; r.Look == nil {
				r.load.Look = stripped
			}
		}
	}
}

func isFile(path string) bool {
	info, err := os.Lstat(path)
	return err == nil && info.Mode().IsRegular()
}

// stripped takes a file for a picture by its form alone.
func stripped(path string, asItIs bool) (store.Photo, error) {
	b, err := os.ReadFile(path)
	if err != nil {
		return store.Photo{}, err
	}
	clean, err := picture.Strip(b)
	if err != nil && asItIs && len(b) <= picture.MaxBytes {
		return store.Photo{Clean: picture.Clean{Bytes: b}}, nil
	}
	return store.Photo{Clean: clean}, err
}

// pictureFiles writes the files of the pictures into a folder, which is made for the
// first. It says which are missing or not what they were.
func (e *exporter) pictureFiles(dir string) (n int, err error) {
	if e.Photos == "" {
		return 0, nil
	}
	done := map[string]bool{}
	err = e.src.EachPictureRow(func(p store.PictureRow) error {
		if done[p.File] {
			return nil
		}
		done[p.File] = true
		b, err := store.ReadPhoto(e.Photos, p.Picture)
		if errors.Is(err, store.ErrNotFound) || errors.Is(err, store.ErrRefused) {
			e.says(fmt.Sprintf("%v: the row is written, no file beside it", err))
			return nil
		}
		if err == nil && n == 0 {
			err = os.MkdirAll(dir, 0o777)
		}
		if err != nil {
			return err
		}
		n++
		b = picture.Clean{Bytes: b, Format: p.Format, Turn: p.Turn}.Upright()
		return os.WriteFile(filepath.Join(dir, p.File), b, 0o666)
	})
	return n, err
}

func (e *exporter) says(text string) {
	if e.Said != nil {
		e.Said(text)
	}
}

// mayTakePlace refuses to put a folder of pictures in the place of one that holds anything
// but the pictures of an export.
func mayTakePlace(dir string, replace bool) error {
	list, err := os.ReadDir(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return err
	}
	for _, f := range list {
		if !f.Type().IsRegular() || !store.IsPictureName(f.Name()) {
			return inTheWay{fmt.Sprintf("%s holds %s, which is no picture of an export: move it, or write to another place", dir, f.Name())}
		}
	}
	if !replace && len(list) > 0 {
		return standsThere(dir)
	}
	return nil
}

// besideBook writes the pictures of a workbook into the folder beside it, and returns how
// to put back what stood there, and how to leave it for good.
func (e *exporter) besideBook(path string, replace bool) (back, keep func(), err error) {
	back, keep = func() {}, func() {}
	dir := PictureFolder(path)
	if n, err := pictures().count(e.src); err != nil || n == 0 || e.Photos == "" {
		return back, keep, err
	}
	if err := mayTakePlace(dir, replace); err != nil {
		return back, keep, err
	}
	full, err := filepath.Abs(dir)
	if err != nil {
		return back, keep, err
	}
	tmp, err := createFolder(full)
	if err != nil {
		return back, keep, err
	}
	old := tmp + ".old"
	if n, err := e.pictureFiles(tmp); err != nil || n == 0 {
		return back, keep, errors.Join(noRoom(path, err), os.RemoveAll(tmp))
	}
	if err := os.Rename(full, old); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return back, keep, errors.Join(err, os.RemoveAll(tmp))
	}
	if err := os.Rename(tmp, full); err != nil {
		return back, keep, errors.Join(err, os.Rename(old, full), os.RemoveAll(tmp))
	}
	back = func() {
		_ = os.RemoveAll(full) // the export failed, and what stood there comes back
		_ = os.Rename(old, full)
	}
	return back, func() { _ = os.RemoveAll(old) }, nil
}
