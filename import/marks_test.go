package sheet

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// markedBook writes a list with what no cell holds: a struck row and cell, a text
// struck in part, colours, a comment, a link, a picture and cells merged downwards.
// TINFUL_MARKED=FILE keeps it there.
func markedBook(t *testing.T) string {
	t.Helper()
	x := excelize.NewFile()
	defer x.Close()
	style := func(s excelize.Style) int {
		id, err := x.NewStyle(&s)
		if err != nil {
			t.Fatal(err)
		}
		return id
	}
	struck := style(excelize.Style{Font: &excelize.Font{Strike: true}})
	yellow := style(excelize.Style{Fill: excelize.Fill{Type: "pattern", Pattern: 1, Color: []string{"FFFF00"}}})
	var errs []error
	for i, row := range [][]any{
		{"Name", "Qty", "Drawer", "Remarks"},
		{"stop pawl", 4, "K1", "good"}, {"click arm", 2, nil, "sold"}, {"counter dial", 1, nil, "bent"},
		{"door hinge", 7, "K2", "see page"}, {"latch", 3, "K2", "ask first"}, {"cover plate", 5, "K2", nil}, {"back lock", 1, "K2", nil},
	} {
		errs = append(errs, x.SetSheetRow("Sheet1", cellName(0, i+1), &row))
	}
	var pic bytes.Buffer
	errs = append(errs, png.Encode(&pic, image.NewGray(image.Rect(0, 0, 4, 4))),
		x.SetCellStyle("Sheet1", "A3", "D3", struck), x.SetCellStyle("Sheet1", "D4", "D4", struck), x.SetCellStyle("Sheet1", "A5", "A5", yellow),
		x.AddComment("Sheet1", excelize.Comment{Cell: "A6", Author: "owner", Text: "not for sale"}),
		x.SetCellHyperLink("Sheet1", "D5", "https://example.com/page", "External"),
		x.AddPictureFromBytes("Sheet1", "F7", &excelize.Picture{Extension: ".png", File: pic.Bytes()}),
		x.SetCellRichText("Sheet1", "D7", []excelize.RichTextRun{{Text: "5", Font: &excelize.Font{Strike: true}}, {Text: "7 left"}}),
		x.MergeCell("Sheet1", "C2", "C4"))
	file := filepath.Join(t.TempDir(), "marked.xlsx")
	if keep := os.Getenv("TINFUL_MARKED"); keep != "" {
		file = keep
	}
	if err := errors.Join(append(errs, x.SaveAs(file))...); err != nil {
		t.Fatal(err)
	}
	return file
}

// What a workbook has besides its texts is named with its cells.
func TestMarks(t *testing.T) {
	file := markedBook(t)
	read := func(text string, struck bool) (problems []string, notes string, bags int) {
		m, err := ParseMap("m.map", text)
		if err != nil {
			t.Fatal(err)
		}
		load, all, report, err := Read(file, Options{Map: m, Struck: struck})
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range all {
			problems = append(problems, p.Cell+" "+p.Problem)
		}
		return problems, strings.Join(report.Notes, "\n"), load.Bags.Len()
	}
	const list = "as = bags\nName = name\nQty = quantity\nDrawer = place\n"
	problems, notes, bags := read(list+"Remarks = -\nfill place\n", false)
	if len(problems) != 0 || bags != 6 {
		t.Errorf("%d bags, %v", bags, problems)
	}
	for _, want := range []string{ // by hand from the rows
		`kept out, each is struck through: row 3 "click arm"`, `comments are not read: A6 "not for sale"`, "where links lead is not read: D5",
		"pictures and drawings are not read: F7", "a colour may mean something and is not read: ground FFFF00 in A5",
	} {
		if !strings.Contains(notes, "Sheet1: "+want) {
			t.Errorf("not said: %s\n%s", want, notes)
		}
	}
	problems, notes, bags = read(list+"Remarks = note\n", true)
	if want := "C2 reaches over the merged cells C2:C4, and only the first of these rows has it: let the map fill the column, or unmerge them\nD7 is struck through in part: write what holds"; strings.Join(problems, "\n") != want {
		t.Errorf("problems:\n%s\nwant:\n%s", strings.Join(problems, "\n"), want)
	}
	if want := "Sheet1: cells that are struck through are read like the others: D4"; !strings.Contains(notes, want) || bags != 6 {
		t.Errorf("%d bags; not said: %s\n%s", bags, want, notes)
	}
}
