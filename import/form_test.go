package sheet

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"github.com/xuri/excelize/v2"

	"tinful/store"
)

// fill writes cells into a workbook as a person would.
func fill(t *testing.T, file, sheet string, cells map[string]any) {
	t.Helper()
	x, err := excelize.OpenFile(file)
	if err != nil {
		t.Fatal(err)
	}
	defer x.Close()
	for at, v := range cells {
		if err := x.SetCellValue(sheet, at, v); err != nil {
			t.Fatal(err)
		}
	}
	if err := x.Save(); err != nil {
		t.Fatal(err)
	}
}

// A filled strip sheet becomes the notes that one would have written by hand.
// Columns: A camera, B step, C seat, D part, E name, I off, J grade, M hand, N found,
// O under, R turns, AA note.
func TestStripSheet(t *testing.T) {
	file := filepath.Join(t.TempDir(), "strip.xlsx")
	rows := []StripRow{
		{Camera: "PC-08", Seat: "wind", Part: "P034", Name: "centre screw"}, {Camera: "PC-08", Seat: "wind", Part: "P063", Name: "wind knob"},
		{Camera: "PC-08", Seat: "top", Part: "P036", Name: "cover screw"}, {Camera: "PC-08", Seat: "top", Part: "P014"},
	}
	if err := WriteStrip(file, rows, false); err != nil {
		t.Fatal(err)
	}
	if err := WriteStrip(file, rows, false); !errors.Is(err, fs.ErrExist) {
		t.Errorf("a file that is there is written over: %v", err)
	}
	fill(t, file, "Strip", map[string]any{"I2": 1, "M2": "left", "O2": "P042 0.30; P041 0.20", "R2": 1.5, "N3": "missing",
		"I4": 5, "J4": "usable", "AA4": `said "loose", all`})
	got, lines, err := ReadStrip(file)
	want := "camera PC-08\n" +
		"step wind:\n" +
		"off 1 P034, hand left, under P042 0.30, under P041 0.20, turns 1.5\n" +
		"missing P063\n" +
		"step top:\n" +
		"off 5 P036, grade usable, note \"said 'loose', all\"\n"
	if err != nil || got != want {
		t.Errorf("%v; it reads\n%s\nwant\n%s", err, got, want)
	}
	if want := []int{2, 2, 2, 3, 4, 4}; !slices.Equal(lines, want) {
		t.Errorf("the lines are of rows %v, want %v", lines, want)
	}
}

// A sheet to look by says what is filled in under Seen. Columns: A donor, B part, G
// seen, H note.
func TestLookSheet(t *testing.T) {
	file := filepath.Join(t.TempDir(), "look.xlsx")
	if err := WriteLook(file, "donor", []LookRow{{Camera: "PC-08", Part: "P005"}, {Camera: "PC-08", Part: "P064"}}, false); err != nil {
		t.Fatal(err)
	}
	fill(t, file, "Seen", map[string]any{"G3": "missing", "H3": "with its fork"})
	got, err := ReadLook(file, "donor")
	if want := []LookRow{{Row: 3, Camera: "PC-08", Part: "P064", Seen: "missing", Note: "with its fork"}}; err != nil || !slices.Equal(got, want) {
		t.Errorf("%v, %v; want %v", got, err, want)
	}
	if err := WriteLook(filepath.Join(t.TempDir(), "look.txt"), "donor", nil, false); !errors.Is(err, store.ErrUsage) {
		t.Errorf("a name that is no sheet's: %v", err)
	}
	bad := filepath.Join(t.TempDir(), "bad.xlsx")
	if err := os.WriteFile(bad, []byte("no workbook"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := ReadLook(bad, "donor"); !errors.Is(err, store.ErrBadInput) {
		t.Errorf("a file that is no workbook: %v", err)
	}
	if _, err := ReadLook(filepath.Join(t.TempDir(), "none.xlsx"), "donor"); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("no file: %v", err)
	}
}
