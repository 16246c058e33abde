package sheet

import (
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"

	"tinful/store"
)

// storeOf makes a store of what load holds and hands its view to fn.
func storeOf(t *testing.T, load *store.Load, fn func(v *store.View) error) {
	t.Helper()
	p, err := store.PlanLoad(nil, load, whenRead)
	if err != nil || len(p.Problems) > 0 {
		t.Fatal(err, p.Problems)
	}
	path := filepath.Join(t.TempDir(), "w.db")
	if _, err := store.CreateFrom(path, p, nil, nil); err != nil {
		t.Fatal(err)
	}
	s, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if err := s.View(fn); err != nil {
		t.Fatal(err)
	}
}

// What another reader finds in an exported workbook. The figures are those of the
// demo's README: P001 keeps 2 and has one free, B202 held one and has none.
func TestExportOpensWell(t *testing.T) {
	load, _ := mustRead(t, demo)
	load.Parts[1].Note = "=HYPERLINK(\"x\")"
	path := filepath.Join(t.TempDir(), "out.xlsx")
	storeOf(t, load, func(v *store.View) error {
		_, err := Export(v, path, Output{})
		return err
	})
	f, err := excelize.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if want := append(slices.Clone(store.Sheets), listsSheet); !slices.Equal(f.GetSheetList(), want) {
		t.Errorf("sheets %v, want %v", f.GetSheetList(), want)
	}
	if seen, _ := f.GetSheetVisible(listsSheet); seen {
		t.Errorf("%s is in sight", listsSheet)
	}
	cell := func(sheet, ref string) string {
		s, err := f.GetCellValue(sheet, ref)
		if err != nil {
			t.Error(err)
		}
		return s
	}
	for _, c := range []struct{ sheet, ref, want string }{
		{"Parts", "A2", "P001"}, {"Parts", "AX1", "Note"}, {"Parts", "AY1", "Free"}, {"Parts", "AZ1", "Short"}, {"Parts", "AY2", "1"}, {"Parts", "AZ2", "short"}, {"Parts", "AZ3", ""},
		{"Bags", "P1", "On hand"}, {"Bags", "D3", "1"}, {"Bags", "P3", "0"}, {"Bags", "N2", "2031-02-02"}, {"Donors", "F2", "22.00"}, {"Jobs", "A2", "101"},
		{"Parts", "AX3", "=HYPERLINK(\"x\")"},
	} {
		if got := cell(c.sheet, c.ref); got != c.want {
			t.Errorf("%s!%s shows %q, want %q", c.sheet, c.ref, got, c.want)
		}
	}
	for ref, want := range map[string]excelize.CellType{"A2": excelize.CellTypeInlineString, "C2": excelize.CellTypeInlineString, "N2": excelize.CellTypeUnset} {
		if got, _ := f.GetCellType("Jobs", ref); got != want {
			t.Errorf("Jobs!%s is of type %v, want %v", ref, got, want)
		}
	}
	for name, want := range map[string]string{"Goes": "A1:L343", "Bags": "A1:P102", "Places": "A1:C27"} {
		if got, err := f.GetSheetDimension(name); err != nil || got != want {
			t.Errorf("%s reaches over %s, want %s (%v)", name, got, want, err)
		}
		tabs, err := f.GetTables(name)
		if err != nil || len(tabs) != 1 || tabs[0].Range != want {
			t.Errorf("%s has the tables %+v (%v)", name, tabs, err)
		}
		panes, err := f.GetPanes(name)
		if err != nil || !panes.Freeze || panes.YSplit != 1 {
			t.Errorf("%s: headings do not stay in sight: %+v (%v)", name, panes, err)
		}
	}
	if formula, _ := f.GetCellFormula("Parts", "AX3"); formula != "" {
		t.Errorf("a note became the formula %q", formula)
	}
	holds := func(sheet, column, list string) {
		t.Helper()
		all, err := f.GetDataValidations(sheet)
		if err != nil || !slices.ContainsFunc(all, func(v *excelize.DataValidation) bool {
			return strings.HasPrefix(v.Sqref, column+"2:") && strings.Contains(v.Formula1, list)
		}) {
			t.Errorf("%s: column %s drops no list %s down (%v)", sheet, column, list, err)
		}
	}
	holds("Bags", "B", "Parts!$A$2:$A$")
	holds("Bags", "G", "Lists!")
	holds("Bags", "I", "Places!$A$2:$A$")
	holds("Goes", "A", "Parts!$A$2:$A$")
	holds("Goes", "C", "Lists!")
	holds("Moves", "B", "Lists!")
	if all, err := f.GetConditionalFormats("Parts"); err != nil || len(all) != 1 {
		t.Errorf("what is short has no colour: %v %v", all, err)
	}
}

// A CSV file for spreadsheets has no cell that begins like a formula, and reads the
// same. The hostile texts are those of the round trip.
func TestGuardedReadsBack(t *testing.T) {
	load, _ := mustRead(t, demo)
	i := 0
	for _, s := range hostile {
		if s, err := store.CleanText(s); err == nil && strings.TrimSpace(s) == s && s != "" && i < len(load.Parts) {
			load.Parts[i].Note, load.Parts[i].Name = s, "'"+s
			i++
		}
	}
	for name, o := range map[string]Output{"plain": {}, "guarded": {Guard: true}} {
		dir := filepath.Join(t.TempDir(), name)
		if _, err := Export(fake{load}, dir, o); err != nil {
			t.Fatal(err)
		}
		back, report := mustRead(t, dir)
		if len(report.Ignored)+len(report.Notes) > 0 {
			t.Errorf("%s: %+v", name, report)
		}
		if diff := cmp.Diff(load, back, contents); diff != "" {
			t.Errorf("%s (-written +read):\n%s", name, diff)
		}
		if !o.Guard {
			continue
		}
		f, err := os.Open(filepath.Join(dir, "parts.csv"))
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		for n, row := range rows {
			for _, c := range row {
				if c != "" && strings.ContainsAny(c[:1], "=@\t\r") || strings.HasPrefix(c, "+") && strings.Trim(c, "+-0123456789.") != "" {
					t.Errorf("row %d has %q", n+1, c)
				}
			}
		}
	}
}

// Every column is explained, and the rows for show are rows that can be read and
// make a workshop.
func TestTemplateExplains(t *testing.T) {
	explain, samples := explanations()
	columns := 0
	for _, tab := range tables() {
		columns += len(tab.heads())
		if len(samples[tab.title()]) == 0 {
			t.Errorf("%s has no row for show", tab.title())
		}
	}
	if len(explain) != columns+1 || len(explain) != strings.Count(columnsText, "\n")+1 {
		t.Errorf("%d columns are explained in %d lines, of %d", len(explain)-1, strings.Count(columnsText, "\n"), columns)
	}
	for _, row := range explain {
		if row[3] == "" {
			t.Errorf("%s, %s is not explained", row[0], row[1])
		}
	}
	path := filepath.Join(t.TempDir(), "template")
	if err := Template(path, false); err != nil {
		t.Fatal(err)
	}
	for _, name := range store.Sheets {
		file := filepath.Join(path, strings.ToLower(name)+".csv")
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(string(text), "\n"+sample) {
			t.Errorf("%s has no row that begins with %q", file, sample)
		}
		if err := os.WriteFile(file, []byte(strings.ReplaceAll(string(text), "\n"+sample, "\n")), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	load, report := mustRead(t, path)
	if report.Rows != 17 {
		t.Errorf("%d rows, want 17: two of each sheet, one of Donors, Jobs and Wants", report.Rows)
	}
	storeOf(t, load, func(*store.View) error { return nil })
}

// The template drops down lists though it holds nothing, and explains itself first.
func TestTemplateOpensWell(t *testing.T) {
	path := filepath.Join(t.TempDir(), "new.xlsx")
	if err := Template(path, false); err != nil {
		t.Fatal(err)
	}
	f, err := excelize.OpenFile(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if names := f.GetSheetList(); names[0] != columnsSheet || len(names) != 12 {
		t.Errorf("sheets %v", names)
	}
	if got, _ := f.GetCellValue("Parts", "A2"); got != "# P001" {
		t.Errorf("the row for show begins with %q", got)
	}
	if all, err := f.GetDataValidations("Bags"); err != nil || len(all) < 5 {
		t.Errorf("Bags drops %d lists down (%v)", len(all), err)
	}
}

// BenchmarkExport writes a workbook, and beside it the same rows bare: no formats, no
// lists, not read back, all by excelize. It reports the ratio.
func BenchmarkExport(b *testing.B) {
	load, _ := mustRead(b, demo)
	for i := range 20_000 {
		e := load.Moves.At(i % 13)
		e.Why = fmt.Sprintf("why %d", i%500)
		load.Moves.Add(e)
	}
	dir := b.TempDir()
	var ours, bare time.Duration
	for b.Loop() {
		start := time.Now()
		if _, err := Export(fake{load}, filepath.Join(dir, "ours.xlsx"), Output{Replace: true}); err != nil {
			b.Fatal(err)
		}
		ours += time.Since(start)
		start = time.Now()
		if err := writeBare(fake{load}, filepath.Join(dir, "bare.xlsx")); err != nil {
			b.Fatal(err)
		}
		bare += time.Since(start)
	}
	b.ReportMetric(float64(ours)/float64(bare), "x-bare")
}

func writeBare(src Source, path string) error {
	f := excelize.NewFile()
	defer f.Close()
	for _, t := range tables() {
		_, err := f.NewSheet(t.title())
		if err != nil {
			return err
		}
		sw, err := f.NewStreamWriter(t.title())
		if err != nil {
			return err
		}
		row, heads := 0, t.heads()
		values := make([]any, len(heads))
		err = t.each(src, func(cells []string) error {
			row++
			for i, c := range cells {
				values[i] = value(c, heads[i].kind)
			}
			return sw.SetRow("A"+strconv.Itoa(row), values)
		})
		if err := errors.Join(err, sw.Flush()); err != nil {
			return err
		}
	}
	return f.SaveAs(path)
}
