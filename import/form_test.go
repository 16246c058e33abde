package sheet

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"tinful/store"
)

// fill writes cells into a workbook as a person would: by heading and row, "Off 2".
func fill(t *testing.T, file, sheet string, cells map[string]any) {
	t.Helper()
	x, err := excelize.OpenFile(file)
	if err != nil {
		t.Fatal(err)
	}
	defer x.Close()
	for name, v := range cells {
		at := strings.LastIndex(name, " ")
		found, err := x.SearchSheet(sheet, name[:at])
		if err != nil || len(found) != 1 {
			t.Fatalf("the heading %q stands in %v (%v)", name[:at], found, err)
		}
		if err := x.SetCellValue(sheet, strings.TrimRight(found[0], "0123456789")+name[at+1:], v); err != nil {
			t.Fatal(err)
		}
	}
	if err := x.Save(); err != nil {
		t.Fatal(err)
	}
}

// A filled strip sheet becomes the notes that one would have written by hand. Two lines
// stand over its headings.
func TestStripSheet(t *testing.T) {
	file := filepath.Join(t.TempDir(), "strip.xlsx")
	rows := []StripRow{
		{Camera: "PC-08", Seat: "wind", Part: "P034", Name: "centre screw"}, {Camera: "PC-08", Seat: "wind", Part: "P063", Name: "wind knob"},
		{Camera: "PC-08", Seat: "top", Part: "P036", Name: "cover screw"}, {Camera: "PC-08", Seat: "top", Part: "P014"},
	}
	if err := WriteStrip(file, []string{"Strip-down of PC-08", "on ____ by ____"}, rows, false); err != nil {
		t.Fatal(err)
	}
	if err := WriteStrip(file, []string{"Strip-down of PC-08", "on ____ by ____"}, rows, false); !errors.Is(err, fs.ErrExist) {
		t.Errorf("a file that is there is written over: %v", err)
	}
	fill(t, file, "Strip", map[string]any{"Off 4": 1, "Hand 4": "left", "Under 4": "P042 0.30; P041 0.20", "Turns 4": 1.5, "Found 5": "missing",
		"Off 6": 5, "Grade 6": "usable", "Note 6": `said "loose", all`})
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
	if want := []int{4, 4, 4, 5, 6, 6}; !slices.Equal(lines, want) {
		t.Errorf("the lines are of rows %v, want %v", lines, want)
	}
}

// A sheet to look by says what is filled in under Seen, or which box is ticked; of two
// that are, both are told, so that no look is guessed.
func TestLookSheet(t *testing.T) {
	file := filepath.Join(t.TempDir(), "look.xlsx")
	if err := WriteLook(file, "donor", nil, []LookRow{{Camera: "PC-08", Part: "P005"}, {Camera: "PC-08", Part: "P064"},
		{Camera: "PC-08", Part: "P036"}, {Camera: "PC-08", Part: "P037"}, {Camera: "PC-08", Part: "P012"}}, false); err != nil {
		t.Fatal(err)
	}
	fill(t, file, "Seen", map[string]any{"Seen 3": "missing", "Note 3": "with its fork", "Damaged 4": "x", "Missing 5": "✓", "Stuck 5": "x", "Present 6": "-"})
	got, err := ReadLook(file, "donor")
	if want := []LookRow{{Row: 3, Camera: "PC-08", Part: "P064", Seen: "missing", Note: "with its fork"}, {Row: 4, Camera: "PC-08", Part: "P036", Seen: "damaged"},
		{Row: 5, Camera: "PC-08", Part: "P037", Seen: "missing and stuck"}}; err != nil || !slices.Equal(got, want) {
		t.Errorf("%v, %v; want %v", got, err, want)
	}
	if err := WriteLook(filepath.Join(t.TempDir(), "look.txt"), "donor", nil, nil, false); !errors.Is(err, store.ErrUsage) {
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
