package sheet

import (
	_ "embed"
	"strings"
)

// What every column holds, with two examples that hang together: sheet, heading,
// meaning and the examples, parted by strokes.
//
//go:embed columns.psv
var columnsText string

// sample begins the first cell of a row that is there for show. No code and no day
// does.
const sample = "# "

// Template writes a workbook with all sheets, their headings, rows for show and
// a sheet that explains the columns, or a folder of .csv files. Nothing that exists
// is replaced unless replace says so.
func Template(path string, replace bool) error {
	e := &exporter{Output: Output{Replace: replace}, counts: map[string]int{}, maxRows: maxRows}
	e.explain, e.samples = explanations()
	return e.write(path)
}

// explanations returns the rows of the sheet that explains the columns, and the rows
// for show of every sheet.
func explanations() (explain [][]string, samples map[string][][]string) {
	explain = [][]string{{"Sheet", "Column", "Needed", "What it holds", "Example"}}
	texts := map[string][]string{}
	for line := range strings.Lines(columnsText) {
		f := strings.Split(strings.TrimRight(line, "\r\n"), "|")
		texts[f[0]+"|"+f[1]] = f[2:]
	}
	samples = map[string][][]string{}
	for _, t := range tables() {
		rows := [2][]string{}
		for i, h := range t.heads() {
			f := texts[t.title()+"|"+h.name]
			needed, example := "", f[1]
			if h.need {
				needed = "yes"
			}
			if example == "" {
				example = f[2]
			}
			explain = append(explain, []string{t.title(), h.name, needed, f[0], example})
			for n := range rows {
				text := f[1+n]
				if i == 0 && text != "" {
					text = sample + text
				}
				rows[n] = append(rows[n], text)
			}
		}
		for _, row := range rows {
			if row[0] != "" {
				samples[t.title()] = append(samples[t.title()], row)
			}
		}
	}
	return explain, samples
}
