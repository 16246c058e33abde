package sheet

import (
	_ "embed"
	"strings"

	"tinful/store"
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
	e := &exporter{Output: Output{Replace: replace}, src: none{}, counts: map[string]int{}, maxRows: maxRows}
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

// none is a source without records.
type none struct{}

func (none) EachModel(func(store.Model) error) error { return nil }
func (none) EachPlace(func(store.Place) error) error { return nil }
func (none) EachPart(func(store.Part) error) error   { return nil }
func (none) EachGoes(func(store.Goes) error) error   { return nil }
func (none) EachDonor(func(store.Donor) error) error { return nil }
func (none) EachLook(func(store.Seen) error) error   { return nil }
func (none) EachBag(func(store.Bag) error) error     { return nil }
func (none) EachJob(func(store.Job) error) error     { return nil }
func (none) EachMove(func(store.Entry) error) error  { return nil }
func (none) EachWant(func(store.Want) error) error   { return nil }

func (none) EachNote(func(store.Remark) error) error           { return nil }
func (none) EachStepRow(func(store.Step) error) error          { return nil }
func (none) EachSign(func(store.SignRow) error) error          { return nil }
func (none) EachOld(func(store.Old) error) error               { return nil }
func (none) EachCountRow(func(store.Count) error) error        { return nil }
func (none) EachMeasured(func(store.MeasuredRow) error) error  { return nil }
func (none) EachMaking(func(store.MakingRow) error) error      { return nil }
func (none) EachPaperRow(func(store.PaperRow) error) error     { return nil }
func (none) EachPictureRow(func(store.PictureRow) error) error { return nil }
