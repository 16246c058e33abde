package sheet

import (
	"archive/zip"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"github.com/xuri/excelize/v2"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"
)

const demo = "../testdata/demo"

func mustRead(t testing.TB, path string) (*store.Load, Report) {
	t.Helper()
	load, problems, report, err := Read(path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range problems {
		t.Errorf("%s!%s %q: %s", p.Sheet, p.Cell, p.Value, p.Problem)
	}
	return load, report
}

// The counts are those of the table in testdata/demo/README.md.
func TestReadDemo(t *testing.T) {
	load, report := mustRead(t, demo)
	got := []int{len(load.Models), len(load.Places), load.Parts.Len(), load.Goes.Len(), load.Donors.Len(),
		load.Seen.Len(), load.Bags.Len(), load.Jobs.Len(), load.Moves.Len(), len(load.Wants)}
	if want := []int{17, 26, 84, 352, 14, 269, 106, 8, 15, 8}; !slices.Equal(got, want) {
		t.Errorf("rows per sheet %v, want %v", got, want)
	}
	if len(report.Ignored) > 0 {
		t.Errorf("ignored %q", report.Ignored)
	}
	if report.Rows != 899 {
		t.Errorf("rows %d, want 899", report.Rows)
	}
	p := load.Parts.At(0)
	if p.Dims[dim.Wire] != 250 || p.Dims[dim.Coils] != 3250 || p.Marks[dim.Hand] != "right" || *p.Keep != 2 || *p.Value != 600 {
		t.Errorf("P001 read as %+v", p)
	}
	if name, cell, value := load.Cell("Parts", 2, "Name"); name != "parts.csv" || cell != "B4" || value != "counter pawl spring" {
		t.Errorf("Cell: %s %s %q", name, cell, value)
	}
}

// Every cell of the demo's files is compared with what its record shows.
func TestCellsKeepTheirText(t *testing.T) {
	load, _ := mustRead(t, demo)
	noughts, point := regexp.MustCompile(`(\.\d*?)0+(x| |$)`), regexp.MustCompile(`\.(x| |$)`)
	for _, tab := range tables()[:len(firstSheets)] {
		f, err := os.Open(filepath.Join(demo, strings.ToLower(tab.title())+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(f).ReadAll()
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		have := headings(tab)
		at := make([]int, len(rows[0])) // the column of the table; the demo has no column that it leaves empty
		for col, h := range rows[0] {
			if at[col] = slices.Index(have, h); at[col] < 0 || col > 0 && at[col] < at[col-1] {
				t.Fatalf("%s: heading %q is none of the table's in its order, %q", tab.title(), h, have)
			}
		}
		for i, row := range rows[1:] {
			for col, want := range row {
				got := tab.show(load, i, at[col])
				if info, ok := dim.ByHeading(rows[0][col]); ok && (info.Kind != dim.KindWord || info.Field == dim.Thread) {
					want = point.ReplaceAllString(noughts.ReplaceAllString(want, "$1$2"), "$1") // 2.60 is 2.6, 2.0x0.40 is 2x0.4
				}
				if rows[0][col] == "Class" {
					want = words.ClassName(want)
				}
				if got != want {
					t.Errorf("%s row %d, %s: shows %q, the file has %q", tab.title(), i+2, rows[0][col], got, want)
				}
			}
		}
	}
}

// A fake gives the records of a Load in their order.
type fake struct{ *store.Load }

func all[R any](list []R, fn func(R) error) error {
	for _, r := range list {
		if err := fn(r); err != nil {
			return err
		}
	}
	return nil
}

func (f fake) EachModel(fn func(store.Model) error) error { return all(f.Models, fn) }
func (f fake) EachPlace(fn func(store.Place) error) error { return all(f.Places, fn) }
func (f fake) EachPart(fn func(store.Part) error) error   { return all(f.Parts.Records(), fn) }
func (f fake) EachGoes(fn func(store.Goes) error) error   { return all(f.Goes.Records(), fn) }
func (f fake) EachDonor(fn func(store.Donor) error) error { return all(f.Donors.Records(), fn) }
func (f fake) EachLook(fn func(store.Seen) error) error   { return all(f.Seen.Records(), fn) }
func (f fake) EachBag(fn func(store.Bag) error) error     { return all(f.Bags.Records(), fn) }
func (f fake) EachJob(fn func(store.Job) error) error     { return all(f.Jobs.Records(), fn) }
func (f fake) EachMove(fn func(store.Entry) error) error  { return all(f.Moves.All(), fn) }
func (f fake) EachWant(fn func(store.Want) error) error   { return all(f.Wants, fn) }

func (f fake) EachNote(fn func(store.Remark) error) error           { return all(f.Notes, fn) }
func (f fake) EachStepRow(fn func(store.Step) error) error          { return all(f.Steps, fn) }
func (f fake) EachSign(fn func(store.SignRow) error) error          { return all(f.Signs, fn) }
func (f fake) EachOld(fn func(store.Old) error) error               { return all(f.Old, fn) }
func (f fake) EachCountRow(fn func(store.Count) error) error        { return all(f.Counts, fn) }
func (f fake) EachMeasured(fn func(store.MeasuredRow) error) error  { return all(f.Measured, fn) }
func (f fake) EachMaking(fn func(store.MakingRow) error) error      { return all(f.Made, fn) }
func (f fake) EachPaperRow(fn func(store.PaperRow) error) error     { return all(f.Papers, fn) }
func (f fake) EachPictureRow(fn func(store.PictureRow) error) error { return all(f.Pictures, fn) }

var contents = cmp.Options{cmpopts.IgnoreFields(store.Load{}, "File", "Hash", "Cell"), cmpopts.EquateEmpty()}

// firstSheets are those that every export has.
var firstSheets = store.Sheets[:10]

func TestExportReadsBack(t *testing.T) {
	load, _ := mustRead(t, demo)
	load.Parts.Change(3, func(x *store.Part) { x.Note = "=1+1" })
	load.Parts.Change(4, func(x *store.Part) { x.Note = "+4 - @x _x0041_ \"q\", 'z' <&>" })
	load.Parts.Change(5, func(x *store.Part) { x.Name = "007" })
	load.Bags.Change(3, func(x *store.Bag) { x.Number = "1e5" })
	for i := range 13 {
		e := load.Moves.At(i)
		e.Quantity, e.About, e.Amount, e.Why = -e.Quantity, i%2 == 0, -150, "undo 7" // a counter-entry
		load.Moves.Add(e)
	}
	load.Moves.Add(store.Entry{Day: load.Moves.At(0).Day, What: store.Moved, Bag: "B202", To: "K2"})
	for _, name := range []string{"out.xlsx", "out"} {
		path := filepath.Join(t.TempDir(), name)
		counts, err := export(fake{load}, path, Output{}, 400)
		if err != nil {
			t.Fatal(err)
		}
		if counts["Moves"] != 29 || counts["Goes"] != 352 {
			t.Errorf("%s: counts %v", name, counts)
		}
		back, report := mustRead(t, path)
		if len(report.Ignored) > 0 {
			t.Errorf("%s: ignored %q", name, report.Ignored)
		}
		if diff := cmp.Diff(load, back, contents); diff != "" {
			t.Errorf("%s (-written +read):\n%s", name, diff)
		}
		// A workbook that nobody saved since is written anew, a folder is not.
		if _, err := export(fake{load}, path, Output{}, 400); errors.Is(err, fs.ErrExist) != (name == "out") {
			t.Errorf("%s: second export: %v", name, err)
		}
		if _, err := export(fake{load}, path, Output{Replace: true}, 400); err != nil {
			t.Errorf("%s: forced export: %v", name, err)
		}
		left, _ := filepath.Glob(filepath.Join(filepath.Dir(path), "*.tmp"))
		hidden, _ := filepath.Glob(filepath.Join(filepath.Dir(path), ".*"))
		if len(left)+len(hidden) > 0 {
			t.Errorf("%s: left behind %v %v", name, left, hidden)
		}
	}
}

func TestContinues(t *testing.T) {
	load, _ := mustRead(t, demo)
	load.Goes, load.Seen = store.List[store.Goes]{}, store.List[store.Seen]{} // a hundred sheets take long
	path := filepath.Join(t.TempDir(), "out.xlsx")
	if _, err := export(fake{load}, path, Output{}, 7); err != nil {
		t.Fatal(err)
	}
	back, _ := mustRead(t, path)
	if diff := cmp.Diff(load, back, contents); diff != "" {
		t.Errorf("(-written +read):\n%s", diff)
	}
	// 6 moves a sheet: the 14th is the second of the third sheet, in row 3.
	if name, cell, value := back.Cell("Moves", 13, "Bag"); name != "Moves (3)" || cell != "C3" || value != "B210" {
		t.Errorf("Cell: %s %s %q", name, cell, value)
	}
}

func TestTemplate(t *testing.T) {
	for _, name := range []string{"new.xlsx", "new"} {
		path := filepath.Join(t.TempDir(), name)
		if err := Template(path, false); err != nil {
			t.Fatal(err)
		}
		if _, report := mustRead(t, path); report.Rows != 0 || len(report.Ignored) > 0 {
			t.Errorf("%s: %+v", name, report)
		}
		if err := Template(path, false); !errors.Is(err, fs.ErrExist) {
			t.Errorf("%s: second: %v", name, err)
		}
	}
}

func writeFile(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
		t.Fatal(err)
	}
	return path
}

// The words and forms are those of the sheets.
func TestBadCells(t *testing.T) {
	long := strings.Repeat("x", 32768)
	for _, c := range []struct{ file, text, cell, want string }{
		{"bags", "Bag,Grade\nB1,fine", "B2", `grade "fine" is none of ready, new, made, usable, rework, unknown, pattern, scrap`},
		{"bags", "Bag,Quantity\nB1,a boxful", "B2", "whole number"},
		{"bags", "Bag,Quantity\nB1,-2", "B2", "negative"},
		{"bags", "Bag,Quantity\nB1,2.5", "B2", "whole number"},
		{"bags", "Bag,Quantity,About\nB1,ca. 20,no", "C2", "one or the other"},
		{"bags", "Bag,About\nB1,perhaps", "B2", "yes, no"},
		{"bags", "Bag,Unit\nB1,kg", "B2", "pc, mm"},
		{"bags", "Bag,Cost\nB1,\"12,34,5\"", "B2", "several marks"},
		{"bags", "Bag,Cost\nB1,gratis", "B2", "money"},
		{"bags", "Bag,Booked\nB1,31.02.2031", "B2", "2031-08-31"},
		{"bags", "Bag,Booked\nB1,03/04/2031", "B2", "which comes first"},
		{"bags", "Bag,Booked\nB1,03.04.31", "B2", "two digits"},
		{"bags", "Bag,Quantity\nB1,\"1,000\"", "B2", "thousands"},
		{"bags", "Bag,Booked\nB1,2031-02-29", "B2", "2031-08-31"},
		{"bags", "Bag,Origin\nB1,the fair", "B2", "donor"},
		{"bags", "Bag,Part\n,P001", "A2", "empty"},
		{"parts", "Part,Name\nP 1,x", "A2", "no code"},
		{"parts", "Part,Name\nP1,x\nP2,x\np1,y", "A4", "P1 stands in row 2 already"},
		{"parts", "Part,Class\nP1,SPR-XXX", "B2", "not known"},
		{"parts", "Part,Class,Wire mm\nP1,SPR-TOR,0.014", "C2", ".014in"},
		{"parts", "Part,Teeth\nP1,many", "B2", "teeth"},
		{"parts", "Part,Thread\nP1,wood 3", "B2", ""},
		{"parts", "Part,Keep\nP1,ca. 3", "B2", "about"},
		{"parts", "Part,Name\nP1,a\x01b", "B2", "control character"},
		{"parts", "Part,Name\nP1,a\xffb", "B2", "UTF-8"},
		{"parts", "Part,Note\nP1," + long, "B2", "32768 letters"},
		{"parts", "Part,Name,Name\nP1,a,b", "C1", "column B already"},
		{"parts", "Name\nspring", "A1", `"Part" is missing`},
		{"parts", "Part,Name\nP1,a,b", "C2", "no heading"},
		{"goes", "Part,Model,Degree\nP1,,direct", "B2", "empty"},
		{"goes", "Part,Model,Degree\nP1,W1-A,direct;maybe", "C2", `degree "maybe" is none of direct`},
		{"goes", "Part,Model,Evidence\nP1,W1-A,rumour", "C2", "run, tried"},
		{"donors", "Donor,History\nD1,old", "B2", "unopened"},
		{"seen", "Donor,Part,Seen\nD1,P1,perhaps", "C2", "present"},
		{"jobs", "Job,Agreed\n101,ja", "B2", "yes, no"},
		{"models", "Model,Carries\nM1,A;B C", "B2", "no code"},
		{"moves", "Date,What,Bag,Quantity\n2031-01-01,eaten,B1,1", "B2", "in, fitted"},
		{"moves", "Date,What,Bag,Quantity\n2031-01-01,fitted,B1,", "D2", "needs a whole number"},
		{"moves", "Date,What,Bag,Quantity\n2031-01-01,counted,B1,-1", "D2", "negative"},
		{"moves", "Date,What,Bag,To\n2031-01-01,graded,B1,fine", "D2", "none of ready"},
		{"moves", "Date,What,Bag,To\n2031-01-01,moved,B1,", "D2", "place"},
	} {
		_, problems, _, err := Read(writeFile(t, c.file+".csv", c.text+"\n"), Options{})
		if err != nil || len(problems) != 1 {
			t.Errorf("%.60q: %d problems %v, error %v", c.text, len(problems), problems, err)
			continue
		}
		if p := problems[0]; p.Sheet != c.file+".csv" || p.Cell != c.cell || !strings.Contains(p.Problem, c.want) {
			t.Errorf("%.60q: %s!%s %s, want %s %s", c.text, p.Sheet, p.Cell, p.Problem, c.cell, c.want)
		}
	}
}

func TestManyProblemsKeepTheOrderAndTheGoodRows(t *testing.T) {
	load, problems, report, err := Read(writeFile(t, "Bags.CSV", "\ufeffNote,BAG,goes WITH,Grade,Quantity,Colour\nn,B1,,fine,a boxful,red\n,,,,,\nm,b2,x,READY,ca. 20,\n,,,,1,\n"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	var cells []string
	for _, p := range problems {
		cells = append(cells, p.Cell)
	}
	if diff := cmp.Diff([]string{"D2", "E2", "B5"}, cells); diff != "" {
		t.Errorf("cells (-want +got):\n%s", diff)
	}
	want := []store.Bag{{Code: "B2", Note: "m", GoesWith: "x", Grade: "ready", Quantity: 20, About: true}}
	if diff := cmp.Diff(want, load.Bags.Records()); diff != "" {
		t.Errorf("bags (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]string{`Bags.CSV: column "Colour"`}, report.Ignored); diff != "" {
		t.Errorf("ignored (-want +got):\n%s", diff)
	}
}

// An inch is 25.4 mm: .014 in is 0.3556 mm.
func TestInches(t *testing.T) {
	load, _ := mustRead(t, writeFile(t, "parts.csv", "Part,WIRE in,Length in\nP1,.014,1/4\n"))
	if p := load.Parts.At(0); p.Dims[dim.Wire] != 356 || p.Dims[dim.Length] != 6350 {
		t.Errorf("read as %v", p.Dims)
	}
}

// Dates count from 1899-12-30: 47726 is 2030-08-31 (the workbook of 1900, ECMA-376
// part 1, 18.17.4).
func TestWorkbookCells(t *testing.T) {
	f := excelize.NewFile()
	_ = f.SetSheetName("Sheet1", "jobs")
	padded, date := "00000", "dd.mm.yyyy"
	pad, _ := f.NewStyle(&excelize.Style{CustomNumFmt: &padded})
	day, _ := f.NewStyle(&excelize.Style{CustomNumFmt: &date})
	whole, _ := f.NewStyle(&excelize.Style{NumFmt: 1})
	_ = f.SetSheetRow("jobs", "A1", &[]any{"Job", "Opened", "Value", "Body no", "Note", "Owner"})
	_ = f.SetSheetRow("jobs", "A2", &[]any{123, 47726, 1.5, 14207, "=1+1", " x "})
	_ = f.SetSheetRow("jobs", "A4", &[]any{"a/1", "2031-08-31", 2.6000000000000001, "0012"})
	_ = f.SetCellStyle("jobs", "A2", "A2", pad)
	_ = f.SetCellStyle("jobs", "B2", "B2", day)
	_ = f.SetCellStyle("jobs", "C2", "C2", whole)
	_, _ = f.NewSheet("Cash")
	path := filepath.Join(t.TempDir(), "jobs.XLSX")
	if err := f.SaveAs(path); err != nil {
		t.Fatal(err)
	}
	load, report := mustRead(t, path)
	a, b := code.Cents(150), code.Cents(260)
	d1, _ := code.ISODay("2030-08-31")
	d2, _ := code.ISODay("2031-08-31")
	want := []store.Job{{Code: "00123", Opened: d1, Value: &a, BodyNo: "14207", Note: "=1+1", Owner: "x"},
		{Code: "A/1", Opened: d2, Value: &b, BodyNo: "0012"}}
	if diff := cmp.Diff(want, load.Jobs.Records()); diff != "" {
		t.Errorf("jobs (-want +got):\n%s", diff)
	}
	if diff := cmp.Diff([]string{`sheet "Cash"`}, report.Ignored); diff != "" {
		t.Errorf("ignored (-want +got):\n%s", diff)
	}
	if _, cell, _ := load.Cell("Jobs", 1, "Body no"); cell != "D4" {
		t.Errorf("Cell: %s, want D4", cell)
	}
}

// rewrite copies the archive from with one member changed.
func rewrite(t *testing.T, from, member string, change func(string) string) string {
	t.Helper()
	in, err := zip.OpenReader(from)
	if err != nil {
		t.Fatal(err)
	}
	defer in.Close()
	path := filepath.Join(t.TempDir(), "changed.xlsx")
	out, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	z := zip.NewWriter(out)
	for _, m := range in.File {
		r, _ := m.Open()
		text, _ := io.ReadAll(r)
		if m.Name == member {
			changed := change(string(text))
			if changed == string(text) {
				t.Fatalf("nothing changed in %s", member)
			}
			text = []byte(changed)
		}
		w, _ := z.Create(m.Name)
		_, _ = w.Write(text)
	}
	if err := errors.Join(z.Close(), out.Close()); err != nil {
		t.Fatal(err)
	}
	return path
}

// membersOf returns the member of the archive that holds each sheet.
func membersOf(t *testing.T, path string) map[string]string {
	t.Helper()
	w, err := openBook(path, MaxSize)
	if err != nil {
		t.Fatal(err)
	}
	defer w.Close()
	members := map[string]string{}
	for _, s := range w.sheets {
		members[s.name] = s.member
	}
	return members
}

// A sheet whose text breaks off or is malformed is no shorter sheet.
func TestDamagedSheetIsAnError(t *testing.T) {
	load, _ := mustRead(t, demo)
	path := filepath.Join(t.TempDir(), "a.xlsx")
	if _, err := export(fake{load}, path, Output{}, excelize.TotalRows); err != nil {
		t.Fatal(err)
	}
	members := membersOf(t, path)
	for name, change := range map[string]func(string) string{
		"cut short": func(s string) string { return s[:len(s)/2] },
		"wrong end": func(s string) string {
			return strings.Replace(s, "</c></row><row r=\"9\"", "</x></row><row r=\"9\"", 1)
		},
		"row again":  func(s string) string { return strings.Replace(s, `<row r="9"`, `<row r="8"`, 1) },
		"bad number": func(s string) string { return strings.Replace(s, `<row r="9"`, `<row r="x"`, 1) },
	} {
		bad := rewrite(t, path, members["Goes"], change)
		if _, _, _, err := Read(bad, Options{}); !errors.Is(err, store.ErrBadInput) || !strings.Contains(err.Error(), "sheet Goes") {
			t.Errorf("%s: %v", name, err)
		}
	}
	faulty := rewrite(t, path, members["Places"], func(s string) string {
		s = regexp.MustCompile(`<c r="B3"[^>]*>.*?</c>`).ReplaceAllString(s, `<c r="B3" t="e"><v>#REF!</v></c>`)
		return regexp.MustCompile(`<c r="C4"[^>]*>.*?</c>`).ReplaceAllString(s, `<c r="C4"><f>1+1</f></c>`)
	})
	_, problems, _, err := Read(faulty, Options{})
	if err != nil || len(problems) != 2 || problems[0].Cell != "B3" || problems[1].Cell != "C4" {
		t.Errorf("errors and formulas: %v %v", problems, err)
	}
}

func TestValueIsExact(t *testing.T) {
	for cell, want := range map[string]any{"22.00": 22.0, "0.013": 0.013, "-3": -3.0, "ca. 20": "ca. 20", "": nil, "1e5": "1e5", "9007199254740993": "9007199254740993"} {
		if got := value(cell, asNumber); got != want {
			t.Errorf("%q: %v, want %v", cell, got, want)
		}
	}
	if got := value("101", asText); got != "101" {
		t.Errorf("a code: %v", got)
	}
}

func BenchmarkReadMoves(b *testing.B) {
	var s strings.Builder
	s.WriteString("Date,What,Bag,Quantity,Job,To,Why,Amount,By\r\n")
	for i := range 100_000 {
		fmt.Fprintf(&s, "2031-03-%02d,fitted,B%d,1,%d,,why %d,,R\r\n", i%28+1, i%5000, i%900, i%50)
	}
	path := filepath.Join(b.TempDir(), "moves.csv")
	if err := os.WriteFile(path, []byte(s.String()), 0o666); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		load, problems, _, err := Read(path, Options{})
		if err != nil || len(problems) > 0 || strconv.Itoa(load.Moves.Len()) != "100000" {
			b.Fatal(err, len(problems))
		}
	}
}
