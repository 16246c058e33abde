package sheet

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"tinful/store"
)

// What no list is ends in a sentence before it is in memory.
func TestBounds(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"cell.csv", "Part,Name\nP1," + strings.Repeat("x", longestLine) + "\n", "cell.csv, line 2: it is longer than any row of a list"},
		{"bags.csv", "Bag,Note\n" + strings.Repeat(",", maxCols) + "\n", "bags.csv, line 2: it has more than 16384 cells"},
		{"parts.csv", "Part,Name\nP1,\"" + strings.Repeat("x\n", longestQuote) + "\"\n", "a quote was begun before and is not ended"},
	} {
		file := writeFile(t, c.name, c.text)
		for what, err := range map[string]error{"read": func() error { _, _, _, err := Read(file, Options{Map: &Mapping{As: "bags"}}); return err }(),
			"suggest": func() error { _, err := Suggest(file, Options{Map: &Mapping{}}); return err }(),
			"said": func() error {
				_, _, _, err := Read(file, Options{Encoding: "windows-1252", Map: &Mapping{As: "bags"}})
				return err
			}()} {
			if !errors.Is(err, store.ErrBadInput) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%s, %s: %.200v, want %s", c.name, what, err, c.want)
			}
		}
	}
	x := excelize.NewFile()
	defer x.Close()
	file := filepath.Join(t.TempDir(), "long.xlsx")
	if err := errors.Join(x.SetSheetName("Sheet1", "Bags"), x.SetCellValue("Bags", "A1", "Bag"), x.SaveAs(file)); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	m := members(t, b)
	m.put("xl/worksheets/sheet1.xml", `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>`+
		strings.Repeat("x", longestText+1)+`</t></is></c></row></sheetData></worksheet>`)
	if err := os.WriteFile(file, m.bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, _, _, err := Read(file, Options{}); !errors.Is(err, store.ErrBadInput) || !strings.Contains(err.Error(), "a text is longer than any that a cell can hold") {
		t.Errorf("%.200v", err)
	}
}
