package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
)

// hostile are texts that a spreadsheet, a CSV file or a careless reader would make
// something else of.
var hostile = []string{"", "=1+1", "+1", "-1", "@x", "'x", "\"", `say "so"`, ",", "a, b", "007", "0", "1e5", "1E5", "TRUE", "false", "NULL", "#REF!",
	"2031-08-31", "1/2", "50%", "0x1F", "ä ö ü ß", "Rückholfeder", "レリーズレバー", "🔧🧰", "👩🏽‍🔧", "-", "-x-", "x-", "ca. 20", "_x0041_", "<&>", "a  b",
	"é", "\ufeffx", "a\u200bb", "a\u2028b", "own", strings.Repeat("0123456789", 30), strings.Repeat("ü", 300), "undo 57", "1,5", ".5", "1.50"}

// codes are hard to tell from numbers, days and each other.
var codes = []string{"A", "0012", "12", "1E5", "1/2", "10.05", "1005", "P-01", "P1", "P001", "X.1", "W2-B", "TRUE", "2031-08-31", "0", "00", "A/1", "E5", "B-", "B302"}

func drawText(t *rapid.T, what string) string {
	s := rapid.SampledFrom(hostile).Draw(t, what)
	if rapid.IntRange(0, 3).Draw(t, what+" more") == 0 {
		s += rapid.StringOfN(rapid.RuneFrom([]rune("aZ09 ;:,.\"'=+-@éß中🔧")), 0, 12, -1).Draw(t, what+" rest")
	}
	s, err := store.CleanText(s)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// drawTexts draws parts of a cell that is a list, parted by semicolons.
func drawTexts(t *rapid.T, what string) []string {
	var out []string
	for range rapid.IntRange(0, 3).Draw(t, what+" count") {
		if s := strings.TrimSpace(strings.ReplaceAll(drawText(t, what), ";", "")); s != "" {
			out = append(out, s)
		}
	}
	return out
}

func drawCodes(t *rapid.T, what string, least, most int) []code.Code {
	var out []code.Code
	for _, s := range rapid.Permutation(codes).Draw(t, what)[:rapid.IntRange(least, most).Draw(t, what+" count")] {
		c, err := code.Parse(s)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, c)
	}
	return out
}

// oneOrNone draws one of the list, or nothing.
func oneOrNone[T any](t *rapid.T, what string, list []T) (one T) {
	if i := rapid.IntRange(-1, len(list)-1).Draw(t, what); i >= 0 {
		one = list[i]
	}
	return one
}

func drawCents(t *rapid.T, what string) *code.Cents {
	if rapid.Bool().Draw(t, what+" none") {
		return nil
	}
	c := code.Cents(rapid.Int64Range(0, 1_000_000).Draw(t, what))
	return &c
}

func drawCount(t *rapid.T, what string) *int64 {
	if rapid.Bool().Draw(t, what+" none") {
		return nil
	}
	n := rapid.Int64Range(0, 20).Draw(t, what)
	return &n
}

const firstDay, lastDay = code.Day(22280), code.Day(22520)

func drawDay(t *rapid.T, what string) code.Day {
	return oneOrNone(t, what, []code.Day{firstDay, firstDay + 1, firstDay + 40, lastDay})
}

// A drawn is a workbook whose references hold, with the codes of its things.
type drawn struct {
	store.Load
	models, places, parts, donors, bags, jobs []code.Code
}

func drawLoad(t *rapid.T) *store.Load {
	d := &drawn{models: drawCodes(t, "models", 1, 3), places: drawCodes(t, "places", 1, 3), parts: drawCodes(t, "parts", 1, 4),
		donors: drawCodes(t, "donors", 0, 2), bags: drawCodes(t, "bags", 1, 4), jobs: drawCodes(t, "jobs", 1, 2)}
	d.catalogue(t)
	d.stock(t)
	d.movements(t)
	d.Cell = func(sheet string, i int, heading string) (string, string, string) {
		return sheet, fmt.Sprint(i), heading
	}
	return &d.Load
}

func (d *drawn) catalogue(t *rapid.T) {
	text := func(what string) string { return drawText(t, what) }
	for _, c := range d.models {
		d.Models = append(d.Models, store.Model{Code: c, Kind: oneOrNone(t, "kind", store.Kinds), Maker: text("maker"), Name: text("model name"),
			Family: text("family"), Aliases: drawTexts(t, "model alias"), Years: text("years"), Numbers: text("numbers"), Scale: text("scale"),
			ToldBy: text("told by"), Tools: text("tools"), Note: text("model note")})
	}
	for _, c := range d.places {
		d.Places = append(d.Places, store.Place{Code: c, Where: text("where"), For: text("for")}) // no hostile text is a tray's
	}
	for _, c := range d.parts {
		d.Parts.Add(d.part(t, c))
	}
	said := map[[2]code.Code]bool{}
	for range rapid.IntRange(0, 4).Draw(t, "statements") {
		g := store.Goes{Part: rapid.SampledFrom(d.parts).Draw(t, "goes part"), Model: rapid.SampledFrom(d.models).Draw(t, "goes model"),
			Degrees: []string{rapid.SampledFrom(store.Degrees).Draw(t, "degree")}, PerBody: drawCount(t, "per body"), Where: text("goes where"),
			Operation: text("operation"), Evidence: oneOrNone(t, "evidence", store.Evidences), By: text("goes by"), Date: drawDay(t, "goes date"), Note: text("goes note")}
		if g.Degrees[0] != "rework" {
			g.Operation = ""
		} else if g.Operation == "" {
			g.Operation = "file it"
		}
		if key := [2]code.Code{g.Part, g.Model}; !said[key] {
			said[key] = true
			d.Goes.Add(g)
		}
	}
	for _, c := range d.jobs {
		d.Jobs.Add(store.Job{Code: c, Model: rapid.SampledFrom(d.models).Draw(t, "job model"), BodyNo: text("job body"), Owner: text("job owner"), Fault: text("fault"),
			Accessories: text("accessories"), State: oneOrNone(t, "job state", store.JobStates), Tray: oneOrNone(t, "tray", d.places), Agreed: oneOrNone(t, "agreed", []string{"yes", "no"}),
			Promised: drawDay(t, "promised"), Value: drawCents(t, "job value"), Opened: drawDay(t, "opened"), Note: text("job note")})
	}
	for range rapid.IntRange(0, 3).Draw(t, "wants") {
		d.Wants = append(d.Wants, store.Want{Date: firstDay, Part: rapid.SampledFrom(d.parts).Draw(t, "want part"), Model: oneOrNone(t, "want model", d.models),
			Job: oneOrNone(t, "want job", d.jobs), Met: drawDay(t, "met"), Note: text("want note")})
	}
}

func (d *drawn) part(t *rapid.T, c code.Code) store.Part {
	p := store.Part{Code: c, Name: "n" + drawText(t, "part name"), Class: oneOrNone(t, "class", []string{"SPR-TOR", "SCR-CHS", "GER", "COV", "COV-NEW"}), Seat: oneOrNone(t, "seat", store.Seats),
		Aliases: drawTexts(t, "part alias"), MakerNos: drawTexts(t, "maker no"), Keep: drawCount(t, "keep"), Weeks: rapid.Int64Range(0, 60).Draw(t, "weeks"),
		Value: drawCents(t, "value"), Hazard: drawText(t, "hazard"), Note: drawText(t, "part note")}
	if p.Class == "SPR-TOR" {
		p.Dims = map[dim.Field]int64{dim.Wire: rapid.Int64Range(60, 1600).Draw(t, "wire"), dim.Coils: rapid.Int64Range(1000, 9999).Draw(t, "coils")}
		p.Marks = map[dim.Field]string{dim.Hand: rapid.SampledFrom([]string{"left", "right"}).Draw(t, "hand")}
	}
	if strings.HasPrefix(p.Class, store.Covering) { // large enough for any spot
		p.Dims = map[dim.Field]int64{dim.Width: rapid.Int64Range(200_000, 300_000).Draw(t, "panel width"), dim.Length: rapid.Int64Range(200_000, 300_000).Draw(t, "panel length"),
			dim.Thick: rapid.Int64Range(100, 900).Draw(t, "panel thick")}
		p.Marks = map[dim.Field]string{}
		for _, f := range []dim.Field{dim.Grain, dim.Colour, dim.Material} {
			_, word, err := dim.Parse(f, p.Class, "x"+drawText(t, dim.Of(f).Name())) // as every entrance reads it
			if err != nil {
				t.Fatal(err)
			}
			p.Marks[f] = word
		}
	}
	p.Runs, p.Up, p.Corner = oneOrNone(t, "runs", store.Sides), oneOrNone(t, "up", store.Sides), rapid.Int64Range(0, 1).Draw(t, "corner")*3_250
	p.Rim, p.Holes, p.Mirror = rapid.Int64Range(0, 1).Draw(t, "rim")*450, drawSpots(t, "holes"), oneOrNone(t, "mirror", d.parts)
	if p.Mirror == c {
		p.Mirror = "" // nothing is its own mirror image
	}
	return p
}

// drawSpots draws up to three spots in the order they are kept in.
func drawSpots(t *rapid.T, what string) []dim.Spot {
	var out []dim.Spot
	for i := range rapid.Int64Range(0, 3).Draw(t, what) {
		s := dim.Spot{Width: rapid.Int64Range(1, 9_999).Draw(t, "w"), X: rapid.Int64Range(10_000, 90_000).Draw(t, "x"), Y: (i + 1) * 20_000}
		if rapid.Bool().Draw(t, "rectangle") {
			s.Length = rapid.Int64Range(1, 9_999).Draw(t, "l")
		}
		out = append(out, s)
	}
	return out
}

func (d *drawn) stock(t *rapid.T) {
	text := func(what string) string { return drawText(t, what) }
	for _, c := range d.donors {
		d.Donors.Add(store.Donor{Code: c, Model: rapid.SampledFrom(d.models).Draw(t, "donor model"), Bought: drawDay(t, "bought"), From: text("from"), Lot: text("lot"),
			Price: drawCents(t, "price"), Post: drawCents(t, "post"), BodyNo: text("donor body"), ShutterNo: text("shutter no"), LensNo: text("lens no"),
			History: oneOrNone(t, "history", store.Histories), State: oneOrNone(t, "donor state", store.DonorStates), Owner: text("donor owner"),
			Place: oneOrNone(t, "donor place", d.places), Worth: drawCents(t, "worth"), Note: text("donor note")})
		if rapid.Bool().Draw(t, "looked") {
			d.Seen.Add(store.Seen{Donor: c, Part: d.parts[0], Seen: rapid.SampledFrom(store.SeenWords).Draw(t, "seen"), Date: drawDay(t, "seen date"), Note: text("seen note")})
		}
	}
	origins := []string{"bought", "made", "unknown", "several"}
	for _, c := range d.donors {
		origins = append(origins, string(c))
	}
	for _, c := range d.bags {
		b := store.Bag{Code: c, Part: oneOrNone(t, "bag part", d.parts), Origin: oneOrNone(t, "origin", origins), Quantity: rapid.Int64Range(1, 30).Draw(t, "quantity"),
			Unit: oneOrNone(t, "unit", store.Units), About: rapid.Bool().Draw(t, "about"), Grade: oneOrNone(t, "grade", store.Grades), Looks: oneOrNone(t, "looks", store.Looks),
			Place: oneOrNone(t, "bag place", d.places), Owner: text("bag owner"), Number: text("number"), GoesWith: text("goes with"), Cost: drawCents(t, "cost"),
			Booked: oneOrNone(t, "booked", []code.Day{firstDay}), Note: text("bag note")}
		if b.GoesWith == string(b.Code) {
			b.GoesWith = "" // nothing goes with itself
		}
		if rapid.Bool().Draw(t, "covering") {
			b.Dims = map[dim.Field]int64{dim.Width: rapid.Int64Range(200_000, 300_000).Draw(t, "width"), dim.Thick: rapid.Int64Range(100, 900).Draw(t, "thick")}
			b.Runs, b.Flaws, b.Whole = oneOrNone(t, "bag runs", store.Sides), drawSpots(t, "flaws"), oneOrNone(t, "whole", store.WholeWords)
			b.Stretch = oneOrNone(t, "stretch", []string{"along little", "along little, across much", "across much"})
		}
		d.Bags.Add(b)
	}
}

// movements draws moves that the book allows, day by day.
func (d *drawn) movements(t *rapid.T) {
	free, held, lent, fitted := map[code.Code]int64{}, map[code.Code]int64{}, map[code.Code]int64{}, map[code.Code]int64{}
	for _, b := range d.Bags.All() {
		free[b.Code] = b.Quantity
	}
	job, who, day := d.jobs[0], "F."+drawText(t, "borrower"), firstDay
	for range rapid.IntRange(0, 12).Draw(t, "moves") {
		day += code.Day(rapid.IntRange(0, 2).Draw(t, "days"))
		e := store.Entry{Day: day, Bag: rapid.SampledFrom(d.bags).Draw(t, "move bag"), Why: drawText(t, "why"), By: drawText(t, "by"),
			What: store.What(rapid.IntRange(int(store.In), int(store.Corrected)).Draw(t, "what"))}
		if strings.HasPrefix(e.Why, "undo ") {
			e.Why = "" // such a row is a counter-entry
		}
		up := func(most int64, of map[code.Code]int64) int64 {
			e.Quantity = rapid.Int64Range(0, min(most, 9)).Draw(t, "n")
			if of != nil {
				of[e.Bag] += e.Quantity
			}
			return e.Quantity
		}
		switch b := e.Bag; e.What {
		case store.In, store.Found:
			e.About = rapid.Bool().Draw(t, "move about") && e.What == store.In
			free[b] += up(9, nil)
		case store.Fitted:
			e.Job = job
			free[b] -= up(free[b], fitted)
		case store.Returned:
			if rapid.Bool().Draw(t, "from job") {
				e.Job = job
				n := up(fitted[b], free)
				fitted[b] -= n
				break
			}
			e.To = who
			lent[b] -= up(lent[b], free)
		case store.Held:
			e.Job = job
			free[b] -= up(free[b], held)
		case store.Unheld:
			e.Job = job
			held[b] -= up(held[b], free)
		case store.Lent:
			e.To = who
			free[b] -= up(free[b], lent)
		case store.Lost, store.Scrapped:
			free[b] -= up(free[b], nil)
		case store.Sold:
			free[b] -= up(free[b], nil)
			e.To, e.Amount = drawText(t, "to"), code.Cents(rapid.Int64Range(0, 9999).Draw(t, "amount"))
		case store.Moved:
			e.To = string(rapid.SampledFrom(d.places).Draw(t, "to place"))
		case store.Graded:
			e.To = rapid.SampledFrom(store.Grades).Draw(t, "to grade")
		case store.Split, store.Joined:
			to := rapid.SampledFrom(d.bags).Draw(t, "other bag")
			if to == b {
				continue
			}
			e.To = string(to)
			n := up(free[b], nil)
			free[b], free[to] = free[b]-n, free[to]+n
		case store.Counted:
			up(30, nil)
		case store.Corrected:
			e.Quantity = rapid.Int64Range(-min(free[b], 5), 5).Draw(t, "correction")
			free[b] += e.Quantity
		}
		d.Moves.Add(e)
	}
}

var whenRead = store.Head{Day: lastDay + 100, Today: lastDay + 100, At: 1, By: "R", Command: "import", Kind: "import"}

// stored takes load into a new store at path.
func stored(t *rapid.T, load *store.Load, path string) {
	t.Helper()
	p, err := store.PlanLoad(nil, load, whenRead)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Problems) > 0 {
		t.Fatalf("%+v", p.Problems)
	}
	if _, err := store.CreateFrom(path, p, nil, nil); err != nil {
		t.Fatal(err)
	}
}

// exported checks the store at path, exports it to out, and holds that what was
// read is the same everywhere.
func exported(t *rapid.T, path, out string, loads ...*store.Load) {
	t.Helper()
	s, err := store.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if h, err := s.Check(); err != nil || len(h.Problems) > 0 {
		t.Fatalf("check: %v %v", h.Problems, err)
	}
	err = s.View(func(v *store.View) error {
		if _, err := Export(v, out, Output{}); err != nil {
			return err
		}
		back, problems, report, err := Read(out, Options{})
		if err != nil || len(problems)+len(report.Ignored) > 0 {
			t.Fatalf("read back: %v %v %v", err, problems, report.Ignored)
		}
		for i, l := range append(loads, back) {
			p, err := store.PlanLoad(v, l, whenRead)
			if err != nil {
				return err
			}
			if news, changed := p.Counts(); news+changed > 0 || len(p.Problems) > 0 {
				t.Fatalf("load %d: %d new, %d changed: %v", i, news, changed, p.Problems)
			}
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
}

// What is exported, as CSV or as a workbook, and taken into a new store, is
// exported the same again, byte by byte; and taken into its own store, it is the
// same everywhere.
func TestRoundTrip(t *testing.T) {
	checks(t, "40") // each makes two stores
	rapid.Check(t, func(t *rapid.T) {
		dir, err := os.MkdirTemp("", "roundtrip")
		if err != nil {
			t.Fatal(err)
		}
		defer os.RemoveAll(dir)
		at := func(name string) string { return filepath.Join(dir, name) }
		load := drawLoad(t)
		again := *load // making a store lets go of what it was made from
		again.Wants = slices.Clone(load.Wants)
		stored(t, load, at("1.db"))
		exported(t, at("1.db"), at("1"), &again)
		from := at("1")
		if rapid.IntRange(0, 3).Draw(t, "workbook") == 0 {
			from = at("1.xlsx")
			exported(t, at("1.db"), from)
		}
		back, _, _, err := Read(from, Options{})
		if err != nil {
			t.Fatal(err)
		}
		stored(t, back, at("2.db"))
		exported(t, at("2.db"), at("2"))
		for _, name := range store.Sheets {
			name = strings.ToLower(name) + ".csv"
			one, err := os.ReadFile(filepath.Join(at("1"), name))
			if err != nil {
				t.Fatal(err)
			}
			two, err := os.ReadFile(filepath.Join(at("2"), name))
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(one, two) {
				t.Fatalf("%s (-exported +exported again):\n%s", name, cmp.Diff(string(one), string(two)))
			}
		}
	})
}

// The workbooks are the demo as other programs wrote it: testdata/workbooks/README.md
// says how each was made.
func TestReadOtherPrograms(t *testing.T) {
	want, _ := mustRead(t, demo)
	inOrder(want)
	files, err := filepath.Glob("../testdata/workbooks/*.*s*")
	if err != nil || len(files) < 5 {
		t.Fatalf("%d workbooks, %v", len(files), err)
	}
	for _, file := range append(files, byExcelize(t)) {
		got, report := mustRead(t, file)
		if len(report.Ignored)+len(report.Notes) > 0 || report.Rows != 899 {
			t.Errorf("%s: %+v", filepath.Base(file), report)
		}
		inOrder(got)
		if diff := cmp.Diff(want, got, contents); diff != "" {
			t.Errorf("%s (-demo +workbook):\n%s", filepath.Base(file), diff)
		}
	}
}

// inOrder sorts by code: an export is in that order, and the demo's files nearly are.
func inOrder(l *store.Load) {
	slices.SortStableFunc(l.Models, func(a, b store.Model) int { return strings.Compare(string(a.Code), string(b.Code)) })
	slices.SortStableFunc(l.Places, func(a, b store.Place) int { return strings.Compare(string(a.Code), string(b.Code)) })
	goes, seen := l.Goes.Records(), l.Seen.Records()
	slices.SortStableFunc(goes, func(a, b store.Goes) int {
		return strings.Compare(string(a.Part)+" "+string(a.Model)+" "+a.From, string(b.Part)+" "+string(b.Model)+" "+b.From)
	})
	slices.SortStableFunc(seen, func(a, b store.Seen) int {
		return strings.Compare(string(a.Donor)+" "+string(a.Part), string(b.Donor)+" "+string(b.Part))
	})
	l.Goes, l.Seen = store.ListOf(goes...), store.ListOf(seen...)
}

// byExcelize writes the demo's files cell by cell, as excelize does.
func byExcelize(t *testing.T) string {
	t.Helper()
	f := excelize.NewFile()
	for _, name := range firstSheets {
		text, err := os.ReadFile(filepath.Join(demo, strings.ToLower(name)+".csv"))
		if err != nil {
			t.Fatal(err)
		}
		rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.NewSheet(name); err != nil {
			t.Fatal(err)
		}
		for i, row := range rows {
			for col, c := range row {
				ref, _ := excelize.CoordinatesToCellName(col+1, i+1)
				day, none := time.Parse(time.DateOnly, c)
				switch {
				case c == "":
				case none == nil:
					err = f.SetCellValue(name, ref, day)
				default:
					err = f.SetCellStr(name, ref, c)
				}
				if err != nil {
					t.Fatal(err)
				}
			}
		}
	}
	path := filepath.Join(t.TempDir(), "demo-excelize.xlsx")
	if err := errors.Join(f.DeleteSheet("Sheet1"), f.SaveAs(path), f.Close()); err != nil {
		t.Fatal(err)
	}
	return path
}

// checks sets how often rapid tries in this test, unless the command line says it.
func checks(t *testing.T, n string) {
	if f := flag.Lookup("rapid.checks"); f.Value.String() == f.DefValue {
		_ = flag.Set("rapid.checks", n)
		t.Cleanup(func() { _ = flag.Set("rapid.checks", f.DefValue) })
	}
}
