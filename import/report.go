package sheet

import (
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
func WriteReport(file string, sheets []ReportSheet, replace bool) error {
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
	w := newBook(&exporter{})
	return w.written(file, Stamp{}, func() {
		w.dress()
		for _, r := range sheets {
			w.sheet(r.Name)
			w.report(r)
		}
	})
}

// named are the rows of a sheet behind its name.
func named(s ReportSheet) (out [][]string) {
	for _, r := range s.Rows {
		out = append(out, append([]string{s.Name}, r...))
	}
	return out
}

func (w *bookWriter) report(r ReportSheet) {
	s := &sheetWriter{bookWriter: w, name: r.Name}
	widths, gives := make([]float64, len(r.Heads)), make([]bool, len(r.Heads))
	for _, row := range append([][]string{r.Heads}, r.Rows...) {
		for i, text := range row {
			widths[i] = min(48, max(widths[i], 7, float64(len([]rune(text)))+2))
			gives[i] = !r.Numbers[i] && widths[i] > 12
		}
	}
	times, large := 1.0, w.looks
	if r.Large {
		times, large = largeSize/fontSize, w.large()
	}
	for i := range widths {
		widths[i] *= times
	}
	giveWay(widths, gives)
	w.want[r.Name] = len(r.Rows) + 1
	s.begin(page{widths: widths, printed: len(widths)}, len(r.Rows)+1)
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
		opts := tall(most)
		if r.Large {
			opts = []excelize.RowOpts{{Height: lineHeight * times * float64(most)}}
		}
		s.row++
		s.setRow(cells, opts...)
	}
	s.flush()
}

// largeSize is how large the letters of a list on a wall are, in points.
const largeSize = 16.0

// large are the styles of such a list.
func (w *bookWriter) large() looks {
	line := []excelize.Border{{Type: "bottom", Style: 4, Color: "808080"}}
	top := &excelize.Alignment{Vertical: "top", WrapText: true}
	return looks{
		heading: w.style(excelize.Style{Font: &excelize.Font{Bold: true, Family: fontName, Size: largeSize}, Border: []excelize.Border{{Type: "bottom", Style: 2, Color: "000000"}}, Alignment: top}),
		text:    w.style(excelize.Style{Font: &excelize.Font{Family: fontName, Size: largeSize}, Border: line, Alignment: top, NumFmt: 49}),
		number:  w.style(excelize.Style{Font: &excelize.Font{Bold: true, Family: fontName, Size: largeSize}, Border: line, Alignment: &excelize.Alignment{Horizontal: "right", Vertical: "top", Indent: 1}}),
	}
}
