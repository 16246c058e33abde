package sheet

import (
	"cmp"
	"errors"
	"strings"

	"github.com/xuri/excelize/v2"
)

// A ReportSheet is one table of a report.
type ReportSheet struct {
	Name    string
	Heads   []string
	Numbers []bool // columns of numbers
	Rows    [][]string
	Large   bool // it is read from a step away
}

// WriteReport writes a report: a workbook with a sheet for each table or, where the name
// ends in .csv, the tables in a row, each behind its name and headings. A file that is there
// is written over only with replace.
func WriteReport(file string, sheets []ReportSheet, replace bool) (err error) {
	if err := mayWrite(file, replace); err != nil {
		return err
	}
	if isExt(file, ".csv") {
		var rows [][]string
		for _, s := range sheets[1:] {
			rows = append(append(rows, append([]string{"List"}, s.Heads...)), named(s)...)
		}
		return writeCSV(file, append([]string{"List"}, sheets[0].Heads...), append(named(sheets[0]), rows...))
	}
	w := &bookWriter{exporter: &exporter{}, f: excelize.NewFile()}
	defer func() { err = errors.Join(err, w.f.Close()) }()
	if err := w.dress(); err != nil {
		return err
	}
	want := map[string]int{}
	for i, r := range sheets {
		if i == 0 {
			err = w.f.SetSheetName("Sheet1", r.Name)
		} else {
			_, err = w.f.NewSheet(r.Name)
		}
		if err = cmp.Or(err, w.report(r)); err != nil {
			return err
		}
		want[r.Name] = len(r.Rows) + 1
	}
	return place(w.f, file, Stamp{}, want)
}

// named are the rows of a sheet behind its name.
func named(s ReportSheet) (out [][]string) {
	for _, r := range s.Rows {
		out = append(out, append([]string{s.Name}, r...))
	}
	return out
}

func (w *bookWriter) report(r ReportSheet) error {
	s := &sheetWriter{bookWriter: w, name: r.Name}
	widths, gives := make([]float64, len(r.Heads)), make([]bool, len(r.Heads))
	for _, row := range append([][]string{r.Heads}, r.Rows...) {
		for i, text := range row {
			widths[i] = min(48, max(widths[i], 7, float64(len([]rune(text)))+2))
			gives[i] = !r.Numbers[i] && widths[i] > 12
		}
	}
	times, large, err := 1.0, w.looks, error(nil)
	if r.Large {
		times = largeSize / fontSize
		large, err = w.large()
	}
	for i := range widths {
		widths[i] *= times
	}
	giveWay(widths, gives)
	if err := cmp.Or(err, s.begin(page{widths: widths, all: len(widths)}, len(r.Rows)+1)); err != nil {
		return err
	}
	if err := layColumns(s.sw, widths, nil); err != nil {
		return err
	}
	for i, row := range append([][]string{r.Heads}, r.Rows...) {
		cells, most := make([]any, len(row)), 1
		for j, text := range row {
			look, x := large.text, any(text)
			most = max(most, lines(text, widths[j]/times))
			switch {
			case text == "":
				continue
			case i == 0:
				look = large.heading
			case r.Numbers[j]:
				look, x = large.number, value(text, asNumber)
				if strings.Contains(text, ".") && !r.Large {
					look = w.looks.money
				}
			}
			cells[j] = excelize.Cell{StyleID: look, Value: x}
		}
		at, err := excelize.CoordinatesToCellName(1, i+1)
		opts := tall(most)
		if r.Large {
			opts = []excelize.RowOpts{{Height: lineHeight * times * float64(most)}}
		}
		if err = cmp.Or(err, s.sw.SetRow(at, cells, opts...)); err != nil {
			return err
		}
	}
	return s.sw.Flush()
}

// largeSize is how large the letters of a list on a wall are, in points.
const largeSize = 16.0

// large are the styles of such a list.
func (w *bookWriter) large() (l looks, err error) {
	line := []excelize.Border{{Type: "bottom", Style: 4, Color: "808080"}}
	top := &excelize.Alignment{Vertical: "top", WrapText: true}
	for at, style := range map[*int]*excelize.Style{
		&l.heading: {Font: &excelize.Font{Bold: true, Family: fontName, Size: largeSize}, Border: []excelize.Border{{Type: "bottom", Style: 2, Color: "000000"}}, Alignment: top},
		&l.text:    {Font: &excelize.Font{Family: fontName, Size: largeSize}, Border: line, Alignment: top, NumFmt: 49},
		&l.number:  {Font: &excelize.Font{Bold: true, Family: fontName, Size: largeSize}, Border: line, Alignment: &excelize.Alignment{Horizontal: "right", Vertical: "top", Indent: 1}},
	} {
		if *at, err = w.f.NewStyle(style); err != nil {
			return l, err
		}
	}
	return l, nil
}
