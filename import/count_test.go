package sheet

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"tinful/store"
)

// A printed workbook is filled in as a spreadsheet program does it, with numbers
// and text, and a row of its own for a bag that should not be there.
func TestFilledCountSheet(t *testing.T) {
	path := filepath.Join(t.TempDir(), "count.xlsx")
	printed := []CountRow{
		{Place: "N1", Bag: "B208", Part: "P021", Name: "top plate screw", Tells: "length 3 mm", From: "PC-01", Unit: "pc", Cut: 116},
		{Place: "N1", Bag: "B210", Part: "P026", Unit: "pc", Cut: 116},
		{Place: "N1", Bag: "00704", Part: "P026", Unit: "pc", Cut: 116},
	}
	if err := WriteCount(path, nil, printed, false); err != nil {
		t.Fatal(err)
	}
	if err := WriteCount(path, nil, printed, false); !errors.Is(err, fs.ErrExist) {
		t.Errorf("written over: %v", err)
	}
	if rows, err := ReadCount(path); err != nil || len(rows) != 0 {
		t.Errorf("an empty sheet: %v %v", rows, err)
	}
	f, err := excelize.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for cell, v := range map[string]any{"H2": 2, "H4": "ca. 20", "A5": "N1", "B5": "B300", "H5": 7.0} {
		if err := f.SetCellValue("Count", cell, v); err != nil {
			t.Fatal(err)
		}
	}
	if err := errors.Join(f.Save(), f.Close()); err != nil {
		t.Fatal(err)
	}
	rows, err := ReadCount(path)
	if err != nil {
		t.Fatal(err)
	}
	want := []CountRow{
		{Place: "N1", Bag: "B208", Part: "P021", Name: "top plate screw", Tells: "length 3 mm", From: "PC-01", Unit: "pc", Counted: "2", Cut: 116, Cell: "Count!H2"},
		{Place: "N1", Bag: "00704", Part: "P026", Unit: "pc", Counted: "ca. 20", Cut: 116, Cell: "Count!H4"},
		{Place: "N1", Bag: "B300", Counted: "7", Cell: "Count!H5"},
	}
	if diff := cmp.Diff(want, rows); diff != "" {
		t.Errorf("(-want +got):\n%s", diff)
	}
}

// The box is written in with a pen: it has an edge on every side and lies on the
// same page as the bag. A workbook scales a sheet to the page only where its
// fitToPage is set (ISO/IEC 29500-1, 18.3.1.65).
func TestCountSheetPrinted(t *testing.T) {
	path := filepath.Join(t.TempDir(), "count.xlsx")
	if err := WriteCount(path, nil, []CountRow{{Place: "N1", Bag: "B208", Unit: "pc"}}, false); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	props, err := f.GetSheetProps("Count")
	if err != nil || props.FitToPage == nil || !*props.FitToPage {
		t.Errorf("not scaled to the page: %v %v", props.FitToPage, err)
	}
	layout, err := f.GetPageLayout("Count")
	if err != nil || *layout.FitToWidth != 1 || *layout.FitToHeight != 0 {
		t.Errorf("page: %+v %v", layout, err)
	}
	id, err := f.GetCellStyle("Count", "H2")
	if err != nil {
		t.Fatal(err)
	}
	style, err := f.GetStyle(id)
	if err != nil || len(style.Border) != 4 {
		t.Errorf("edges of the box: %+v %v", style.Border, err)
	}
}

func TestCountSheetRefusals(t *testing.T) {
	dir := t.TempDir()
	if err := WriteCount(filepath.Join(dir, "count.pdf"), nil, nil, false); !errors.Is(err, store.ErrUsage) {
		t.Errorf("another ending: %v", err)
	}
	for name, text := range map[string]string{
		"quote.csv":  "Bag,Counted\n\"B1,2\n",
		"number.csv": "Bag,Counted,Book to\nB1,2,x\n",
		"nobox.csv":  "Bag,Quantity\nB1,2\n",
		"nobag.csv":  "Place,Counted\nB1,2\n",
		"zero.csv":   "B\x00ag,Counted\n",
		"cut.xlsx":   "PK\x03\x04 not a workbook",
	} {
		if _, err := ReadCount(write(t, dir, name, text)); !errors.Is(err, store.ErrBadInput) {
			t.Errorf("%s: %v", name, err)
		}
	}
	if _, err := ReadCount(filepath.Join(dir, "none.csv")); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("no file: %v", err)
	}
	if _, err := ReadCount(filepath.Join(dir, "none.xlsx")); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("no file: %v", err)
	}
	// Lines of a text are counted as an editor counts them, empty ones too.
	rows, err := ReadCount(write(t, dir, "good.csv", "\xef\xbb\xbfbag;COUNTED\n\nB1;2\n"))
	if err != nil || len(rows) != 1 || rows[0].Cell != "good.csv!B3" || rows[0].Bag != "B1" {
		t.Errorf("%+v %v", rows, err)
	}
}

func write(t *testing.T, dir, name, text string) string {
	t.Helper()
	path := filepath.Join(dir, name)
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}
