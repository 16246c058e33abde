package sheet

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
)

// drawersBook writes a workbook with a sheet a drawer and one that is no list.
// TINFUL_DRAWERS=FILE keeps it there.
func drawersBook(t *testing.T) string {
	t.Helper()
	x := excelize.NewFile()
	defer x.Close()
	var errs []error
	for name, rows := range map[string][][]any{
		"K1":    {{"Name", "Qty"}, {"stop pawl", 4}, {"click arm", "ca. 20"}},
		"Tin 4": {{"Small things"}, {"Name", "Qty"}, {"stop pawl", 1}},
		"To do": {{"sort the tins"}},
	} {
		_, err := x.NewSheet(name)
		errs = append(errs, err)
		for i := range rows {
			errs = append(errs, x.SetSheetRow(name, cellName(0, i+1), &rows[i]))
		}
	}
	file := filepath.Join(t.TempDir(), "drawers.xlsx")
	if keep := os.Getenv("TINFUL_DRAWERS"); keep != "" {
		file = keep
	}
	if err := errors.Join(append(errs, x.DeleteSheet("Sheet1"), x.SaveAs(file))...); err != nil {
		t.Fatal(err)
	}
	return file
}

// Each sheet is a drawer of its own; a part that lies in two is one part.
func TestDrawers(t *testing.T) {
	m, err := ParseMap("m", "as = bags\nsheets = place\nName = name\nQty = quantity\n")
	if err != nil {
		t.Fatal(err)
	}
	load, problems, report, err := Read(drawersBook(t), Options{Map: m})
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	if load.Parts.Len() != 2 || load.Bags.Len() != 3 {
		t.Fatalf("%d parts, %d bags", load.Parts.Len(), load.Bags.Len())
	}
	places := map[string]int64{}
	for _, b := range load.Bags.All() {
		place := string(b.Place)
		if n, ok := load.Named[b.Place]; ok {
			place = n.Text
		}
		places[place] += b.Quantity
	}
	if places["K1"] != 24 || places["Tin 4"] != 1 {
		t.Errorf("%v", places)
	}
	if got := strings.Join(report.Ignored, ", "); got != `sheet "To do", which has not these headings` {
		t.Errorf("ignored: %s", got)
	}
}
