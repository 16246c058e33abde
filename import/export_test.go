package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
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
	load.Parts.Change(1, func(x *store.Part) { x.Note = "=HYPERLINK(\"x\")" })
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
	if want := append(slices.Clone(firstSheets), listsSheet); !slices.Equal(f.GetSheetList(), want) {
		t.Errorf("sheets %v, want %v", f.GetSheetList(), want)
	}
	if seen, _ := f.GetSheetVisible(listsSheet); seen {
		t.Errorf("%s is in sight", listsSheet)
	}
	column := func(sheet, heading string) string {
		t.Helper()
		found, err := f.SearchSheet(sheet, heading)
		i := slices.IndexFunc(found, func(ref string) bool { return strings.Trim(ref, "ABCDEFGHIJKLMNOPQRSTUVWXYZ") == "1" })
		if err != nil || i < 0 {
			t.Fatalf("%s has no heading %s (%v)", sheet, heading, err)
		}
		return strings.TrimRight(found[i], "1")
	}
	for _, c := range []struct{ sheet, heading, row, want string }{
		{"Parts", "Part", "2", "P001"}, {"Parts", "To take", "2", "1"}, {"Parts", "Short by", "2", "1"}, {"Parts", "Short by", "3", ""},
		{"Parts", "Measures", "4", "wire 0.15, outside 1.6, coils 4.5, right, leg A 4, leg B 3, 130 deg, steel"}, {"Parts", "Wire mm", "4", "0.15"},
		{"Bags", "Quantity", "3", "1"}, {"Bags", "In the drawer", "3", "0"}, {"Bags", "Booked", "2", "2031-02-02"}, {"Donors", "Price", "2", "22.00"}, {"Jobs", "Job", "2", "101"},
		{"Bags", "Part name", "3", "counter pawl spring"}, {"Moves", "Part name", "2", "counter pawl spring"}, {"Parts", "Note", "3", "=HYPERLINK(\"x\")"},
	} {
		ref := column(c.sheet, c.heading) + c.row
		if got, err := f.GetCellValue(c.sheet, ref); err != nil || got != c.want {
			t.Errorf("%s!%s, %s, shows %q, want %q (%v)", c.sheet, ref, c.heading, got, c.want, err)
		}
	}
	for heading, want := range map[string]excelize.CellType{"Job": excelize.CellTypeInlineString, "Body no": excelize.CellTypeInlineString, "Opened": excelize.CellTypeUnset} {
		ref := column("Jobs", heading) + "2"
		if got, _ := f.GetCellType("Jobs", ref); got != want {
			t.Errorf("Jobs!%s, %s, is of type %v, want %v", ref, heading, got, want)
		}
	}
	for name, want := range map[string]string{"Goes": "A1:N353", "Bags": "A1:AC107", "Places": "A1:C27"} {
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
	if formula, _ := f.GetCellFormula("Parts", column("Parts", "Note")+"3"); formula != "" {
		t.Errorf("a note became the formula %q", formula)
	}
	holds := func(sheet, heading, list string) {
		t.Helper()
		column := column(sheet, heading)
		all, err := f.GetDataValidations(sheet)
		if err != nil || !slices.ContainsFunc(all, func(v *excelize.DataValidation) bool {
			return strings.HasPrefix(v.Sqref, column+"2:") && strings.Contains(v.Formula1, list)
		}) {
			t.Errorf("%s: column %s drops no list %s down (%v)", sheet, column, list, err)
		}
	}
	holds("Bags", "Part", "Parts!$A$2:$A$")
	holds("Bags", "Grade", "Lists!")
	holds("Bags", "Place", "Places!$A$2:$A$")
	holds("Goes", "Part", "Parts!$A$2:$A$")
	holds("Goes", "Degree", "Lists!")
	holds("Moves", "What", "Lists!")
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
		if s, err := store.CleanText(s); err == nil && strings.TrimSpace(s) == s && s != "" && i < load.Parts.Len() {
			load.Parts.Change(i, func(x *store.Part) { x.Note, x.Name = s, "'"+s })
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
				if c != "" && strings.ContainsAny(c[:1], "=+@\t\r") {
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
	if report.Rows != 31 {
		t.Errorf("%d rows, want 31: two of each sheet, one of Donors, Jobs, Wants, Old, Counts and Made", report.Rows)
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
	if names := f.GetSheetList(); names[0] != columnsSheet || len(names) != len(store.Sheets)+2 {
		t.Errorf("sheets %v", names)
	}
	if got, _ := f.GetCellValue("Parts", "A2"); got != "# P001" {
		t.Errorf("the row for show begins with %q", got)
	}
	if all, err := f.GetDataValidations("Bags"); err != nil || len(all) < 5 {
		t.Errorf("Bags drops %d lists down (%v)", len(all), err)
	}
}

// member is the text of a member of a zip archive.
func member(t *testing.T, path, name string) string {
	t.Helper()
	z, err := zip.OpenReader(path)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	f, err := z.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	text, err := io.ReadAll(f)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// What other readers rely on and excelize does not see to by itself: columns from
// left to right (ECMA-376 part 1, 18.3.1.17, shows them so), a sheet that says how
// far it reaches, room for the footer (18.3.1.62: margins in inches), no day of making
// that is made up. The demo has 17 models of 14 columns; no list has more words than
// the 44 classes.
func TestPartsOfAWorkbook(t *testing.T) {
	load, _ := mustRead(t, demo)
	dir := t.TempDir()
	all, count, look := filepath.Join(dir, "all.xlsx"), filepath.Join(dir, "count.xlsx"), filepath.Join(dir, "look.xlsx")
	_, err := Export(fake{load}, all, Output{})
	rows := []LookRow{{Camera: "105", Part: "P005", Name: "=1+1"}, {Camera: "105", Part: "1234567890123456"}}
	err = errors.Join(err, WriteCount(count, nil, []CountRow{{Place: "K1", Bag: "B201"}}, false), WriteLook(look, "job", nil, rows, false))
	if err != nil {
		t.Fatal(err)
	}
	for path, sheets := range map[string]map[string]string{
		all:   {"1": "A1:O18", "11": "A1:P45"},
		count: {"1": "A1:J2"},
		look:  {"1": "A1:M3"},
	} {
		for number, reach := range sheets {
			text := member(t, path, "xl/worksheets/sheet"+number+".xml")
			if !strings.Contains(text, `<dimension ref="`+reach+`"`) {
				t.Errorf("%s, sheet %s does not say that it reaches over %s", path, number, reach)
			}
			last := 0
			for _, m := range regexp.MustCompile(`<col min="(\d+)"`).FindAllStringSubmatch(text, -1) {
				n, _ := strconv.Atoi(m[1])
				if n <= last {
					t.Errorf("%s, sheet %s: column %d stands after %d", path, number, n, last)
				}
				last = n
			}
			if number == "1" && (last == 0 || !strings.Contains(text, `bottom="0.6" header="0.3" footer="0.3"`)) {
				t.Errorf("%s: %d columns have a width, or the footer has no room", path, last)
			}
		}
	}
	if text := member(t, look, "xl/worksheets/sheet1.xml"); !strings.Contains(text, "<t>1234567890123456</t>") || strings.Contains(text, "<f>") {
		t.Error("the sheet to look by has codes as numbers, or formulas")
	}
}

// grown has more movements each time it is asked.
type grown struct {
	fake
	asked, given *int
}

func (g grown) EachMove(fn func(store.Entry) error) error {
	*g.asked++
	for range *g.asked * 50_000 {
		if err := fn(store.Entry{Day: firstDay, What: store.Lost, Bag: "B201", Quantity: 1}); err != nil {
			return err
		}
		*g.given++
	}
	return nil
}

// When rows can no longer be written, records are no longer read, and nothing is
// left behind: here there are twice the rows that were counted, and no sheet for them.
func TestWritingFails(t *testing.T) {
	load, _ := mustRead(t, demo)
	load.Goes, load.Seen = store.List[store.Goes]{}, store.List[store.Seen]{}
	dir := t.TempDir()
	g := grown{fake{load}, new(int), new(int)}
	_, err := export(g, filepath.Join(dir, "out.xlsx"), Output{}, 40_000)
	if err == nil || errors.Is(err, errStopped) {
		t.Errorf("it says %v", err)
	}
	if *g.given > 50_000+80_000 {
		t.Errorf("%d movements were read on", *g.given)
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}

// A text that a cell cannot hold, 32767 letters (excelize would cut it off), is named,
// and what stood there stays.
func TestTooLongForACell(t *testing.T) {
	load, _ := mustRead(t, demo)
	path := filepath.Join(t.TempDir(), "out.xlsx")
	if _, err := Export(fake{load}, path, Output{}); err != nil {
		t.Fatal(err)
	}
	was, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	load.Parts.Change(2, func(x *store.Part) {
		x.Aliases = []string{strings.Repeat("a", 20_000), strings.Repeat("\u00e9", 20_000)}
	})
	_, err = Export(fake{load}, path, Output{})
	if !errors.Is(err, store.ErrRefused) || !strings.Contains(err.Error(), "sheet Parts: P003, Aliases: the text has 40002 letters") {
		t.Errorf("it says %v", err)
	}
	if is, err := os.ReadFile(path); err != nil || !bytes.Equal(is, was) {
		t.Errorf("what stood there is gone (%v)", err)
	}
	load.Parts.Change(2, func(x *store.Part) { x.Aliases = []string{strings.Repeat("\u00e9", 32_767)} })
	if _, err := Export(fake{load}, path, Output{}); err != nil {
		t.Errorf("32767 letters: %v", err)
	}
}

// Rows of records are written here in place of excelize, byte for byte as excelize does.
func TestCellsAsExcelizeWritesThem(t *testing.T) {
	f := excelize.NewFile()
	defer f.Close()
	style, err := f.NewStyle(&excelize.Style{NumFmt: 49})
	if err != nil {
		t.Fatal(err)
	}
	sw, err := f.NewStreamWriter("Sheet1")
	if err != nil {
		t.Fatal(err)
	}
	var got []byte
	cells := []string{"0", "-0", "-3", "7", "007", "22.00", "0.013", "-.5", "100", "123456789012345", "0.00000001", "2031-08-31", "1899-12-30", "1066-10-14"}
	for i, text := range append(append(append(cells, hostile...), mistaken...), "a\nb", "a\r", "\tx", "_x005F_", "_x005F_x0041_", "_X0041_", "_x004_", "\xff") {
		if text == "" {
			continue
		}
		row := strconv.Itoa(i + 1)
		got = append(got, `<row r="`+row+`">`...)
		values := make([]any, 30)
		for col, k := range []kind{2: asText, 3: asNumber, 29: asDay} {
			if col < 2 || k == asText && col > 2 {
				continue
			}
			x := frameOf(col, style)
			if n, ok := number(text, k); ok {
				got = x.number(got, []byte(row), n)
			} else {
				got = x.text(got, []byte(row), text)
			}
			values[col] = &excelize.Cell{StyleID: style, Value: value(text, k)}
		}
		got = append(got, "</row>"...)
		if err := sw.SetRow("A"+row, values); err != nil {
			t.Fatal(err)
		}
	}
	path := filepath.Join(t.TempDir(), "cells.xlsx")
	if err := errors.Join(sw.Flush(), f.SaveAs(path)); err != nil {
		t.Fatal(err)
	}
	_, after, _ := strings.Cut(member(t, path, "xl/worksheets/sheet1.xml"), "<sheetData>")
	want, _, _ := strings.Cut(after, "</sheetData>")
	for i := range want {
		if i >= len(got) || got[i] != want[i] {
			t.Fatalf("after %s\nexcelize has %.200s\nhere it is  %.200s", want[max(0, i-80):i], want[i:], got[min(i, len(got)):])
		}
	}
	if len(got) != len(want) {
		t.Errorf("here stands more: %s", got[len(want):])
	}
	for _, text := range []string{"_x0041_x0042_", "_xD83D_"} { // which excelize spoils
		if back := unescape(escaped(text)); back != text {
			t.Errorf("%s reads back as %s", text, back)
		}
	}
}

// A full disk ends the packing of rows, and nothing waits for it.
func TestPackingFails(t *testing.T) {
	full := errors.New("full")
	p := newPacking(failing{full})
	for range 100 {
		p.add([]byte("<row/>"))
	}
	if err := p.end(); err != full || !p.failed.Load() {
		t.Errorf("it says %v", err)
	}
}

type failing struct{ err error }

func (f failing) Write([]byte) (int, error) { return 0, f.err }

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

// A workbook of the workshop, of tests too, names no person and no program as its maker,
// and no day: the properties of ECMA-376 part 2, 11, and part 1, 22.2, and those of
// OpenDocument 1.3, 4.3, that would.
func TestNoMaker(t *testing.T) {
	load, _ := mustRead(t, demo)
	dir := t.TempDir()
	one := filepath.Join(dir, "one.xlsx")
	_, err := Export(fake{load}, one, Output{Stamp: Stamp{Store: "1f", Booking: 3}})
	err = errors.Join(err, Template(filepath.Join(dir, "template.xlsx"), false), WriteCount(filepath.Join(dir, "count.xlsx"), nil, []CountRow{{Bag: "B1"}}, false),
		WriteReport(filepath.Join(dir, "report.xlsx"), []ReportSheet{{Name: "About", Heads: []string{"a"}, Numbers: []bool{false}}}, false))
	if err != nil {
		t.Fatal(err)
	}
	var files []string
	for _, pattern := range []string{filepath.Join(dir, "*.xlsx"), "../testdata/*/*.xlsx", "../testdata/*/*.ods"} {
		some, err := filepath.Glob(pattern)
		if err != nil || len(some) == 0 {
			t.Fatal(pattern, err)
		}
		files = append(files, some...)
	}
	maker := regexp.MustCompile(`(?i)<(\w+:)?(creator|lastModifiedBy|initial-creator|created|modified|date|generator|application|appversion|company|manager)>[^<]`)
	for _, file := range files {
		for _, name := range []string{"docProps/core.xml", "docProps/app.xml", "meta.xml"} {
			if found := maker.FindString(memberIf(t, file, name)); found != "" {
				t.Errorf("%s, %s says %q", file, name, found)
			}
		}
	}
	// What saves it says who: it is then no longer as it was written.
	if !untouched(one) {
		t.Error("a workbook is not known as it was written")
	}
	f, err := excelize.OpenFile(one)
	if err == nil {
		err = errors.Join(f.SetDocProps(&excelize.DocProperties{LastModifiedBy: "somebody"}), f.Save(), f.Close())
	}
	if err != nil || untouched(one) {
		t.Errorf("a workbook that somebody saved is as it was written (%v)", err)
	}
}

// memberIf is the text of a member, empty without it.
func memberIf(t *testing.T, path, name string) string {
	t.Helper()
	z, err := zip.OpenReader(path)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	if !slices.ContainsFunc(z.File, func(f *zip.File) bool { return f.Name == name }) {
		return ""
	}
	return member(t, path, name)
}

// No sheet of a workbook is wider than a page at 8 point, on A4 and on letter, lying:
// a figure of the usual letters is 7 pixels of 1/96 inch wide at 11 point, and 5 lie
// between columns (ECMA-376 part 1, 18.3.1.13). What has no room stands behind what is
// printed, and every page has the headings.
func TestPrintsReadable(t *testing.T) {
	load, _ := mustRead(t, demo)
	dir := t.TempDir()
	all := filepath.Join(dir, "all.xlsx")
	storeOf(t, load, func(v *store.View) error {
		_, err := Export(v, all, Output{})
		return err
	})
	var looks []LookRow
	for i := range 40 {
		looks = append(looks, LookRow{Camera: "PC-08", Part: "P" + strconv.Itoa(100+i), Name: "a part of which the name is long", Where: "under the plate that is under the plate", Often: "missing in 12 of 30"})
	}
	report := ReportSheet{Name: "Long", Heads: []string{"one", "two", "three", "four", "five", "six"}, Numbers: make([]bool, 6),
		Rows: [][]string{{strings.Repeat("word ", 30), strings.Repeat("word ", 30), strings.Repeat("word ", 30), strings.Repeat("word ", 30), "x", "y"}}}
	err := errors.Join(Template(filepath.Join(dir, "template.xlsx"), false), WriteLook(filepath.Join(dir, "look.xlsx"), "donor", []string{"PC-08", "on"}, looks, false),
		WriteCount(filepath.Join(dir, "count.xlsx"), []string{"K1"}, []CountRow{{Bag: "B1", Name: "spring"}}, false),
		WriteStrip(filepath.Join(dir, "strip.xlsx"), []string{"PC-08"}, []StripRow{{Part: "P001", Hint: "hole 3"}}, false),
		WriteShopping(filepath.Join(dir, "buy.xlsx"), "To buy", []ShoppingRow{{Part: "P001", Why: strings.Repeat("because ", 40)}}, false),
		WriteReport(filepath.Join(dir, "report.xlsx"), []ReportSheet{report}, false))
	if err != nil {
		t.Fatal(err)
	}
	files, _ := filepath.Glob(filepath.Join(dir, "*.xlsx"))
	for _, file := range files {
		f, err := excelize.OpenFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range f.GetSheetList() {
			if name != listsSheet {
				readable(t, f, name)
			}
		}
		f.Close()
	}
}

func readable(t *testing.T, f *excelize.File, name string) {
	t.Helper()
	cols, last := 0, ""
	size, err := f.GetSheetDimension(name)
	if err == nil {
		_, last, _ = strings.Cut(size, ":")
		cols, _, err = excelize.CellNameToCoordinates(last)
	}
	repeats := false
	for _, d := range f.GetDefinedName() {
		if d.Scope != name {
			continue
		}
		switch d.Name {
		case "_xlnm.Print_Titles":
			repeats = strings.Contains(d.RefersTo, "$1:$")
		case "_xlnm.Print_Area":
			cols, err = excelize.ColumnNameToNumber(d.RefersTo[strings.LastIndex(d.RefersTo, "$")+1:])
		}
	}
	layout, lerr := f.GetPageLayout(name)
	props, perr := f.GetSheetProps(name)
	if err := errors.Join(err, lerr, perr); err != nil {
		t.Fatal(name, err)
	}
	if !repeats || *layout.FitToWidth != 1 || *layout.FitToHeight != 0 || !*props.FitToPage {
		t.Errorf("%s: %s is not fitted to the page with its headings: %+v", f.Path, name, layout)
	}
	wide := 0.0
	for i := range cols {
		col, _ := excelize.ColumnNumberToName(i + 1)
		w, _ := f.GetColWidth(name, col)
		wide += 7*w + 5
	}
	for _, inches := range []float64{11, 11.69} { // letter and A4
		if *layout.Orientation == "portrait" {
			inches = map[float64]float64{11: 8.5, 11.69: 8.27}[inches]
		}
		if point := min(11, 11*(inches-2*0.3)*96/wide); point < 8 {
			t.Errorf("%s: %s of %d columns is printed in %.1f point on paper %.2f inches wide", f.Path, name, cols, point, inches)
		}
	}
}
