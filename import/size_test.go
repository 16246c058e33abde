package sheet

import (
	"archive/zip"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tinful/store"
)

// What packs to a thousandth is refused above 256 MiB by the sizes it tells
// alone, before a byte of it is unpacked.
func TestTooLargeWorkbook(t *testing.T) {
	path := filepath.Join(t.TempDir(), "bomb.xlsx")
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	z := zip.NewWriter(f)
	w, err := z.Create("xl/worksheets/sheet1.xml")
	if err != nil {
		t.Fatal(err)
	}
	blank := strings.Repeat(" ", 1<<20)
	for range 257 {
		if _, err := w.Write([]byte(blank)); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(z.Close(), f.Close()); err != nil {
		t.Fatal(err)
	}
	_, _, _, err = Read(path, Options{})
	if !errors.Is(err, store.ErrBadInput) || !strings.Contains(err.Error(), "unpacks to 257MiB") {
		t.Errorf("%v", err)
	}
}
