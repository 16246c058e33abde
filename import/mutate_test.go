package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"

	"tinful/store"
)

// A small workshop in which every sheet has rows.
var small = map[string]string{
	"models": "Model,Kind,Name,Carries\nM1,camera,Example one,S1\nS1,shutter,Example shutter,\n",
	"places": "Place,Where\nK1,drawer 1\nK2,drawer 2\n",
	"parts":  "Part,Name,Class,Wire mm,Hand,Thread,Teeth,Keep,Value,Twin,Note\nP1,click spring,SPR-TOR,0.15,left,,,2,4.50,P2,=1+1\nP2,click spring,SPR-TOR,0.15,right,,,,,P1,0012\nP5,base screw,SCR-CHS,,,metric 1.7x0.35,,,,,\nP6,gear,GER,,,,24,,,,\n",
	"goes":   "Part,Model,Degree,Evidence,Date\nP1,M1,direct,run,2031-08-01\nP1,S1,no,run,\n",
	"donors": "Donor,Model,History,State,Bought\nD1,M1,unopened,whole,2031-01-14\n",
	"seen":   "Donor,Part,Seen\nD1,P1,present\n",
	"bags":   "Bag,Part,Origin,Quantity,Grade,Place,Booked,Note\nB1,P1,D1,5,usable,K1,2031-02-01,a\nB2,P1,D1,ca. 20,usable,K1,,\n123,P5,bought,1,ready,K2,,n\n",
	"jobs":   "Job,Model,Agreed,Value\n101,M1,yes,140.00\n102,M1,yes,\n",
	"moves":  "Date,What,Bag,Quantity,Job,To\n2031-03-01,fitted,B1,2,102,\n2031-03-02,moved,B1,,,K2\n",
	"wants":  "Date,Part,Model,Note\n2031-03-01,P6,M1,soon\n",
}

// A sound is a workbook and what it holds.
type sound struct {
	file   []byte
	load   *store.Load
	report Report
}

// soundBooks are the small workshop as this package writes it and as excelize does
// cell by cell, and the store it makes.
func soundBooks(t testing.TB) (db string, books []sound) {
	t.Helper()
	dir := t.TempDir()
	for name, text := range small {
		if err := os.WriteFile(filepath.Join(dir, name+".csv"), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	read := func(path string) (*store.Load, Report) {
		load, problems, report, err := Read(path, Options{})
		if err != nil || len(problems) > 0 {
			t.Fatal(err, problems)
		}
		return load, report
	}
	load, _ := read(dir)
	ours := filepath.Join(dir, "ours.xlsx")
	if _, err := export(fake{load}, ours, Output{}, maxRows); err != nil {
		t.Fatal(err)
	}
	theirs := filepath.Join(dir, "theirs.xlsx")
	if err := rewritten(ours, theirs); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{ours, theirs} {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		m := members(t, b) // the same bytes on every run
		slices.Sort(m.names)
		m.put("docProps/core.xml", "<coreProperties/>")
		b = m.bytes()
		if err := os.WriteFile(path, b, 0o666); err != nil {
			t.Fatal(err)
		}
		l, report := read(path)
		books = append(books, sound{b, l, report})
	}
	p, err := store.PlanLoad(nil, load, whenRead)
	if err != nil || len(p.Problems) > 0 {
		t.Fatal(err, p)
	}
	db = filepath.Join(dir, "w.db")
	if _, err := store.CreateFrom(db, p, nil, nil); err != nil {
		t.Fatal(err)
	}
	return db, books
}

// rewritten copies cells and styles with excelize, which shares texts.
func rewritten(from, to string) error {
	f, err := excelize.OpenFile(from)
	if err != nil {
		return err
	}
	for _, name := range f.GetSheetList() {
		rows, err := f.GetRows(name, excelize.Options{RawCellValue: true})
		if err != nil {
			return err
		}
		for i, row := range rows {
			for col, c := range row {
				ref, _ := excelize.CoordinatesToCellName(col+1, i+1)
				if kind, _ := f.GetCellType(name, ref); kind == excelize.CellTypeInlineString {
					if err := f.SetCellStr(name, ref, c); err != nil {
						return err
					}
				}
			}
		}
	}
	return errors.Join(f.SaveAs(to), f.Close())
}

// rowsOf are the rows of a load by sheet, without what a movement is not told by.
func rowsOf(t testing.TB, l *store.Load) map[string][][]string {
	t.Helper()
	out := map[string][][]string{}
	for _, tab := range tables() {
		heads := tab.heads()
		err := tab.each(fake{l}, func(cells []string) error {
			row := slices.Clone(cells)
			for i, h := range heads {
				if tab.title() == "Moves" && (h.name == "Why" || h.name == "By") {
					row[i] = ""
				}
			}
			out[tab.title()] = append(out[tab.title()], row)
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// within says that a row holds nothing that one of the rows does not hold.
func within(row []string, rows [][]string) bool {
	return slices.ContainsFunc(rows, func(r []string) bool {
		for i, c := range row {
			if c != "" && c != r[i] {
				return false
			}
		}
		return true
	})
}

// A judge holds a workbook that was changed against the sound one: it reads the
// same, or it is refused, or cells of it are, or the plan says that something would
// change. What it has lost can change nothing, and is missed in the counts.
type judge struct {
	t    testing.TB
	dir  string
	view *store.View
}

func (j judge) judge(name string, was sound, file []byte, packed bool) string {
	path := filepath.Join(j.dir, "changed.xlsx")
	if err := os.WriteFile(path, file, 0o666); err != nil {
		j.t.Fatal(err)
	}
	load, problems, report, err := Read(path, Options{})
	switch {
	case err != nil && !errors.Is(err, store.ErrBadInput):
		j.t.Errorf("%s: %v", name, err)
		return "failed"
	case err != nil:
		return "refused"
	case len(problems) > 0 && packed:
		j.t.Errorf("%s: packed bytes changed, and only cells are wrong: %v", name, problems)
	case len(problems) > 0:
		return "problems"
	}
	p, err := store.PlanLoad(j.view, load, whenRead)
	if err != nil {
		j.t.Errorf("%s: %v", name, err)
		return "failed"
	}
	news, changed := p.Counts()
	said := news+changed+len(p.Problems) > 0
	want, got := rowsOf(j.t, was.load), rowsOf(j.t, load)
	switch {
	case maps.EqualFunc(want, got, func(a, b [][]string) bool { return slices.EqualFunc(a, b, slices.Equal) }):
		if said {
			j.t.Errorf("%s: reads the same, and the plan has %d new, %d changed, %v", name, news, changed, p.Problems)
		}
		return "same"
	case packed:
		j.t.Errorf("%s: packed bytes changed, and it reads otherwise", name)
	case said:
		return "planned"
	}
	for sheet, rows := range got {
		for _, row := range rows {
			if !within(row, want[sheet]) {
				j.t.Errorf("%s: %s has %q, and the plan says nothing", name, sheet, row)
			}
		}
	}
	if report.Cells >= was.report.Cells && len(report.Ignored)+len(report.Notes) <= len(was.report.Ignored)+len(was.report.Notes) {
		j.t.Errorf("%s: cells are lost, and nothing says so: %+v", name, report)
	}
	return "less"
}

// members unpacks a workbook.
func members(t testing.TB, file []byte) *made {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(file), int64(len(file)))
	if err != nil {
		t.Fatal(err)
	}
	m := &made{texts: map[string]string{}}
	for _, f := range z.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err := errors.Join(err, r.Close()); err != nil {
			t.Fatal(err)
		}
		m.put(f.Name, string(text))
	}
	return m
}

func flip(r *rand.Rand, b []byte) {
	for range 1 + r.IntN(3) {
		if len(b) > 0 {
			b[r.IntN(len(b))] ^= 1 << r.IntN(8)
		}
	}
}

// repack are changes of the packed file: whatever else they do, they change no cell.
var repack = []func(r *rand.Rand, b []byte) []byte{
	func(r *rand.Rand, b []byte) []byte { flip(r, b); return b },
	func(r *rand.Rand, b []byte) []byte { return b[:r.IntN(len(b))] },
	func(r *rand.Rand, b []byte) []byte {
		at := r.IntN(len(b))
		return append(b[:at], b[min(len(b), at+1+r.IntN(200)):]...)
	},
}

var (
	aRef   = regexp.MustCompile(` r="[A-Z]*[0-9]+"`)
	aValue = regexp.MustCompile(`<v>[^<]*</v>`)
	aText  = regexp.MustCompile(`<t>[^<]*</t>`)
	aTag   = regexp.MustCompile(`<[^<>]*>`)
	aRow   = regexp.MustCompile(`<row .*?</row>`)
)

// pick replaces one match of a pattern.
func pick(r *rand.Rand, s string, pattern *regexp.Regexp, with func(string) string) string {
	all := pattern.FindAllStringIndex(s, -1)
	if len(all) == 0 {
		return s
	}
	at := all[r.IntN(len(all))]
	return s[:at[0]] + with(s[at[0]:at[1]]) + s[at[1]:]
}

// retext are changes of what is packed, with checksums that agree.
var retext = []func(r *rand.Rand, s string) string{
	func(r *rand.Rand, s string) string { b := []byte(s); flip(r, b); return string(b) },
	func(r *rand.Rand, s string) string { return s[:r.IntN(len(s)+1)] },
	func(r *rand.Rand, s string) string {
		return pick(r, s, aRef, func(string) string {
			return fmt.Sprintf(` r="%s%d"`, []string{"", "A", "B", "C", "XFD", "XFE", "AB"}[r.IntN(7)], []int{0, 1, 2, 3, 4, 7, 1048576, 1048577}[r.IntN(8)])
		})
	},
	func(r *rand.Rand, s string) string {
		return pick(r, s, aValue, func(string) string {
			return "<v>" + []string{"", "0", "1", "-1", "7", "99999", "1e99", "0012", "x", "1.5", "NaN", "12345678901234567", "&amp;", "&x;"}[r.IntN(14)] + "</v>"
		})
	},
	func(r *rand.Rand, s string) string { return pick(r, s, aTag, func(string) string { return "" }) },
	func(r *rand.Rand, s string) string {
		return pick(r, s, aTag, func(tag string) string { return tag + tag })
	},
	func(r *rand.Rand, s string) string { return pick(r, s, aRow, func(string) string { return "" }) },
	func(r *rand.Rand, s string) string {
		return pick(r, s, aRow, func(row string) string { return row + row })
	},
	func(r *rand.Rand, s string) string {
		return pick(r, s, aTag, func(tag string) string {
			return strings.NewReplacer(`t="s"`, `t="str"`, `t="inlineStr"`, `t="n"`, "s=", "q=", "<c ", "<c t=\"b\" ").Replace(tag)
		})
	},
}

// anotherText puts another text into one cell.
func anotherText(r *rand.Rand, s string) string {
	return pick(r, s, aText, func(text string) string {
		return "<t>" + []string{"", " ", "another", text[3:len(text)-4] + "x", "P2", "B1", "2031-02-29", "_x0041_", "# a"}[r.IntN(9)] + "</t>"
	})
}

// changeMembers drops, swaps, empties or rewrites members.
func changeMembers(r *rand.Rand, m *made) {
	a, b := m.names[r.IntN(len(m.names))], m.names[r.IntN(len(m.names))]
	switch r.IntN(8) {
	case 0:
		m.without(a)
	case 1:
		m.texts[a], m.texts[b] = m.texts[b], m.texts[a]
	case 2:
		m.put(strings.ToUpper(a), m.texts[b])
	default:
		if r.IntN(4) > 0 { // mostly sheets, and the texts they share
			sheets := slices.DeleteFunc(slices.Clone(m.names), func(n string) bool {
				return !strings.HasPrefix(n, "xl/worksheets/sheet") && n != "xl/sharedStrings.xml"
			})
			a = sheets[r.IntN(len(sheets))]
		}
		change := retext[r.IntN(len(retext))]
		if r.IntN(3) == 0 {
			change = anotherText
		}
		m.texts[a] = change(r, m.texts[a])
	}
}

// Two thousand workbooks that something happened to: none panics, hangs, or changes
// anything without a plan that says so. The seed of each is its number.
func TestMutatedWorkbooks(t *testing.T) {
	n := 300
	if os.Getenv("TINFUL_SOAK") != "" {
		n = 2000
	}
	db, books := soundBooks(t)
	s, err := store.Open(db)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	ends := map[string]int{}
	err = s.View(func(v *store.View) error {
		j := judge{t, t.TempDir(), v}
		for i := range n {
			r := rand.New(rand.NewPCG(uint64(i), 1))
			was := books[i%len(books)]
			name := fmt.Sprintf("workbook %d", i)
			if i%3 == 0 {
				ends[j.judge(name, was, repack[r.IntN(len(repack))](r, slices.Clone(was.file)), true)]++
				continue
			}
			m := members(t, was.file)
			changeMembers(r, m)
			ends[j.judge(name, was, m.bytes(), false)]++
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Log(ends)
	for _, end := range []string{"same", "refused", "problems", "planned"} {
		if ends[end] == 0 {
			t.Errorf("no workbook ended as %s: the changes are too alike", end)
		}
	}
}

// Whatever the bytes, reading ends with a load or with an error that says so.
func FuzzRead(f *testing.F) {
	_, books := soundBooks(f)
	for _, b := range books {
		f.Add(b.file)
	}
	f.Add(handmade("").bytes())
	f.Add([]byte("PK\x05\x06"))
	f.Add([]byte("Part,Name\n"))
	path := filepath.Join(f.TempDir(), "any.xlsx")
	f.Fuzz(func(t *testing.T, file []byte) {
		if err := os.WriteFile(path, file, 0o666); err != nil {
			t.Fatal(err)
		}
		load, _, _, err := Read(path, Options{MaxSize: 1 << 24})
		if err == nil && load == nil || err != nil && !errors.Is(err, store.ErrBadInput) {
			t.Errorf("%v %v", load, err)
		}
	})
}

// What is taken for a sheet is well formed to encoding/xml, too, and reading it ends
// with a load or with an error that says so.
func FuzzSheet(f *testing.F) {
	f.Add(handmade("").texts[sheet1])
	f.Add(`<worksheet><sheetData><row><c t="str"><v>Part</v></c></row></sheetData></worksheet>`)
	f.Add(`<?xml version="1.0"?><!-- c --><x:worksheet xmlns:x="y"><x:sheetData/><mergeCells><mergeCell ref="A1:B2"/></mergeCells></x:worksheet>`)
	path := filepath.Join(f.TempDir(), "any.xlsx")
	f.Fuzz(func(t *testing.T, text string) {
		m := handmade("")
		m.put(sheet1, text)
		if err := os.WriteFile(path, m.bytes(), 0o666); err != nil {
			t.Fatal(err)
		}
		_, _, _, err := Read(path, Options{MaxSize: 1 << 24})
		if err != nil {
			if !errors.Is(err, store.ErrBadInput) {
				t.Error(err)
			}
			return
		}
		dec := xml.NewDecoder(strings.NewReader(text))
		for {
			if _, err := dec.Token(); errors.Is(err, io.EOF) {
				return
			} else if err != nil {
				t.Fatalf("taken as well formed: %v", err)
			}
		}
	})
}
