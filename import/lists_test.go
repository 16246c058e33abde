package sheet

import (
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/xuri/excelize/v2"
	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/japanese"
	"golang.org/x/text/encoding/unicode"

	"tinful/store"
)

// A listCell is what a cell of a list became, as its want file says: a line such as
// "B5 B201 Quantity 2; said: as ca. 2". What is expected was worked out by hand from
// the list; testdata/lists/README.md has the words of these files.
type listCell struct {
	sheet, at string
	became    []string // one of them alone for most cells
}

// A wantedList is a want file: a list, how it is taken in, and its cells.
type wantedList struct {
	name    string
	letters encoding.Encoding
	code    string // of the letters
	as, one string // what is said before anything is proposed
	unsaid  string
	pairs   []string // lines of the map that the proposal has otherwise
	start   []string // a folder's CSV files: "places.csv: Place / K1"
	cells   []listCell
	lists   string // the same list as a workbook that excelize reads, for .ods
}

var listLetters = map[string]encoding.Encoding{"windows-1252": charmap.Windows1252, "shift-jis": japanese.ShiftJIS, "": unicode.UTF8BOM}

func readWanted(t *testing.T, file string) *wantedList {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	w := &wantedList{letters: listLetters[""]}
	sheet := ""
	for line := range strings.Lines(string(b)) {
		word, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
		rest = strings.TrimSpace(rest)
		switch word {
		case "", "#":
		case "list":
			w.name = rest
		case "twin":
			w.lists = rest
		case "letters":
			w.letters, w.code = listLetters[rest], rest
		case "as":
			w.as = rest
		case "one":
			w.one = rest
		case "unsaid":
			w.unsaid = rest
		case "map":
			w.pairs = append(w.pairs, rest)
		case "start":
			w.start = append(w.start, rest)
		case "sheet":
			sheet = rest
		default:
			w.cells = append(w.cells, listCell{sheet, word, strings.Split(rest, "; ")})
		}
	}
	return w
}

// cellsOf reads the texts of a list's cells by other readers than ours.
func (w *wantedList) cellsOf(t *testing.T, file string) map[string]string {
	t.Helper()
	out := map[string]string{}
	put := func(sheet string, rows [][]string) {
		for i, row := range rows {
			for j, text := range row {
				if at, _ := excelize.CoordinatesToCellName(j+1, i+1); strings.TrimSpace(text) != "" {
					out[sheet+"!"+at] = text
				}
			}
		}
	}
	if w.lists != "" {
		file = filepath.Join(filepath.Dir(file), w.lists)
	}
	if strings.HasSuffix(file, ".xlsx") {
		x, err := excelize.OpenFile(file)
		if err != nil {
			t.Fatal(err)
		}
		defer x.Close()
		for _, s := range x.GetSheetList() {
			rows, err := x.GetRows(s)
			if err != nil {
				t.Fatal(err)
			}
			if put(s, rows); len(x.GetSheetList()) == 1 {
				put("", rows)
			}
		}
		return out
	}
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if b, err = w.letters.NewDecoder().Bytes(b); err != nil {
		t.Fatal(err)
	}
	// Line by line: a row keeps its number where others are empty.
	in := csv.NewReader(strings.NewReader(string(b)))
	in.Comma, in.LazyQuotes, in.FieldsPerRecord = commaOf(string(b)), true, -1
	rows, at := [][]string{}, 0
	for {
		row, err := in.Read()
		if err != nil {
			break
		}
		for at, _ = in.FieldPos(0); len(rows) < at-1; {
			rows = append(rows, nil)
		}
		rows = append(rows, row)
	}
	put("", rows)
	return out
}

func commaOf(text string) rune {
	best := ','
	for _, c := range ";\t" {
		if strings.Count(text, string(c)) > strings.Count(text, string(best)) {
			best = c
		}
	}
	return best
}

// write is a copy of the list in which a cell holds another text.
func (w *wantedList) write(t *testing.T, file string, mended map[string]string) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), filepath.Base(file))
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if len(mended) > 0 && strings.HasSuffix(file, ".ods") {
		texts, all := w.cellsOf(t, file), members(t, b)
		raw := regexp.MustCompile(`</?text:span[^>]*>`).ReplaceAllString(all.texts[odsMember], "")
		for at, text := range mended {
			raw = strings.ReplaceAll(raw, "<text:p>"+texts[at]+"</text:p>", "<text:p>"+text+"</text:p>")
		}
		if all.put(odsMember, raw); os.WriteFile(out, all.bytes(), 0o600) != nil {
			t.Fatal(out)
		}
		return out
	}
	if len(mended) > 0 && strings.HasSuffix(file, ".xlsx") {
		x, err := excelize.OpenFile(file)
		if err != nil {
			t.Fatal(err)
		}
		defer x.Close()
		for at, text := range mended {
			sheet, cell, _ := strings.Cut(at, "!")
			if sheet == "" {
				sheet = x.GetSheetList()[0]
			}
			if err := x.SetCellStr(sheet, cell, text); err != nil {
				t.Fatal(err)
			}
		}
		if err := x.SaveAs(out); err != nil {
			t.Fatal(err)
		}
		return out
	}
	lines := strings.Split(string(b), "\n")
	for at, text := range mended {
		col, row, err := excelize.CellNameToCoordinates(strings.TrimPrefix(at, "!"))
		if err != nil {
			t.Fatal(err)
		}
		sep := string(commaOf(string(b)))
		cells := strings.Split(lines[row-1], sep) // no such line has a separator within a cell
		cells[col-1] = text
		lines[row-1] = strings.Join(cells, sep)
	}
	if err := os.WriteFile(out, []byte(strings.Join(lines, "\n")), 0o600); err != nil {
		t.Fatal(err)
	}
	return out
}

// Sixteen kinds of lists as owners of small benches keep them, and what each of their
// cells becomes: stored, named with its reason, or refused with a sentence. No cell is
// missing in the table.
func TestListsCellByCell(t *testing.T) {
	folder := filepath.Join("..", "testdata", "lists")
	wants, err := filepath.Glob(filepath.Join(folder, "*.want"))
	if err != nil || len(wants) < 16 {
		t.Fatalf("%d lists, %v", len(wants), err)
	}
	all, stored, named, refused := 0, 0, 0, 0
	for _, file := range wants {
		t.Run(strings.TrimSuffix(filepath.Base(file), ".want"), func(t *testing.T) {
			w := readWanted(t, file)
			l := &listRun{t: t, w: w, file: filepath.Join(folder, w.name), home: t.TempDir()}
			l.run()
			all += len(w.cells)
			stored, named, refused = stored+l.stored, named+l.named, refused+l.refused
		})
	}
	t.Logf("%d cells: %d stored, %d named, %d refused", all, stored, named, refused)
}

// A listRun takes one list in, as its want file says.
type listRun struct {
	t                      *testing.T
	w                      *wantedList
	file, home             string
	proposal               map[string]string
	notes                  []string // all that was said
	keptOut                []KeptOut
	sheets                 map[string][][]string // of the export
	stored, named, refused int
}

func (l *listRun) must(err error) {
	l.t.Helper()
	if err != nil {
		l.t.Fatal(err)
	}
}

// start makes the store, which has places and what the want file says.
func (l *listRun) start() {
	folder := filepath.Join(l.home, "start")
	l.must(os.Mkdir(folder, 0o700))
	for _, s := range append([]string{"places.csv: Place / K1 / K2"}, l.w.start...) {
		name, rows, _ := strings.Cut(s, ": ")
		l.must(os.WriteFile(filepath.Join(folder, name), []byte(strings.ReplaceAll(rows, " / ", "\n")+"\n"), 0o600))
	}
	load, problems, _, err := Read(folder, Options{})
	l.must(err)
	p, err := store.PlanLoad(nil, load, store.Head{Day: lastDay, At: 1, By: "R"})
	l.must(err)
	if problems = append(problems, p.Problems...); len(problems) > 0 {
		l.t.Fatal(problems)
	}
	_, err = store.CreateFrom(filepath.Join(l.home, "w.db"), p, nil, func(int, int) {})
	l.must(err)
}

func (l *listRun) run() {
	w := l.w
	l.start()
	m := &Mapping{As: w.as, Sheet: w.one}
	s, err := Suggest(l.file, Options{Map: m, Encoding: w.code})
	l.must(err)
	l.proposal = map[string]string{}
	for _, c := range s.Columns {
		l.proposal[c.Heading] = c.Column
	}
	m, err = ParseMap("proposal", s.String())
	l.must(err)
	for _, p := range w.pairs {
		l.must(m.AddPair(p))
	}
	l.must(m.Check())
	o := Options{Map: m, Encoding: w.code, Make: store.Makes, Unsaid: w.unsaid}
	mended, wanted := map[string]string{}, map[string]string{}
	for _, c := range w.cells {
		for _, what := range c.became {
			if why, ok := strings.CutPrefix(what, "refused: "); ok {
				wanted[c.sheet+"!"+c.at] = why
			}
			if text, ok := strings.CutPrefix(what+" ", "write "); ok {
				mended[c.sheet+"!"+c.at] = strings.TrimSpace(text)
			}
		}
	}
	if len(wanted) > 0 {
		_, problems := l.take(l.file, o)
		l.refusals(problems, wanted)
	}
	file := w.write(l.t, l.file, mended)
	if _, problems := l.take(file, o); len(problems) > 0 {
		l.t.Fatalf("mended it is refused: %v", problems)
	}
	l.export()
	l.compare()
	if news, problems := l.take(file, o); news > 0 || len(problems) > 0 {
		l.t.Errorf("taken in a second time it makes %d new rows, %v", news, problems)
	}
}

// take takes a list in, whole or not at all.
func (l *listRun) take(file string, o Options) (news int, problems []store.Problem) {
	l.t.Helper()
	load, problems, report, err := Read(file, o)
	l.must(err)
	s, err := store.OpenToBook(filepath.Join(l.home, "w.db"))
	l.must(err)
	defer s.Close()
	h := store.Head{Day: lastDay, Today: lastDay, At: 2, By: "R", Command: "import"}
	_, err = s.Book(h, func(t *store.Tx) error {
		p, err := store.PlanLoad(&t.View, load, h)
		if err != nil {
			return err
		}
		problems = append(problems, p.Problems...)
		l.notes, l.keptOut = slices.Concat(report.Notes, report.Ignored, p.Said), report.KeptOut
		n, changed := p.Counts()
		if news = n + changed; len(problems) > 0 || news == 0 {
			return errNothing
		}
		return t.TakeIn(p)
	})
	if !errors.Is(err, errNothing) {
		l.must(err)
	}
	return news, problems
}

var errNothing = errors.New("nothing is taken in")

// export reads what the store holds now.
func (l *listRun) export() {
	out := filepath.Join(l.home, "out")
	s, err := store.Open(filepath.Join(l.home, "w.db"))
	l.must(err)
	defer s.Close()
	l.must(s.View(func(v *store.View) error { _, err := Export(v, out, Output{}); return err }))
	l.sheets = map[string][][]string{}
	files, err := filepath.Glob(filepath.Join(out, "*.csv"))
	l.must(err)
	for _, f := range files {
		b, err := os.ReadFile(f)
		l.must(err)
		rows, err := csv.NewReader(strings.NewReader(string(b))).ReadAll()
		l.must(err)
		l.sheets[strings.TrimSuffix(filepath.Base(f), ".csv")] = rows
	}
}

// refusals holds the cells that are refused against those that should be.
func (l *listRun) refusals(problems []store.Problem, wanted map[string]string) {
	for _, p := range problems {
		at := "!" + p.Cell
		if _, ok := wanted[at]; !ok {
			at = p.Sheet + at
		}
		why, ok := wanted[at]
		if delete(wanted, at); !ok || !strings.Contains(p.Problem, why) {
			l.t.Errorf("%s!%s %q is refused: %s, want %q", p.Sheet, p.Cell, p.Value, p.Problem, why)
		}
	}
	for at, why := range wanted {
		l.t.Errorf("%s is not refused: %s", at, why)
	}
}

func (l *listRun) compare() {
	texts := l.w.cellsOf(l.t, l.file)
	for _, c := range l.w.cells {
		text, ok := texts[c.sheet+"!"+c.at]
		if !ok {
			l.t.Errorf("%s!%s: nothing stands there", c.sheet, c.at)
			continue
		}
		delete(texts, c.sheet+"!"+c.at)
		if kinds := fmt.Sprint(c.became); strings.Contains(kinds, "refused: ") {
			l.refused++
		} else if regexp.MustCompile(`^\[(kept out|said|left out|= )`).MatchString(kinds) {
			l.named++
		} else {
			l.stored++
		}
		for _, what := range c.became {
			if err := l.became(c, text, what); err != nil {
				l.t.Errorf("%s!%s %q: %v", c.sheet, c.at, text, err)
			}
		}
	}
	for at, text := range texts {
		if l.w.only(at) {
			l.t.Errorf("%s %q: what it became is not said", at, text)
		}
	}
}

// only says that a cell of a workbook is not one that stands under another name of
// its sheet as well.
func (w *wantedList) only(at string) bool {
	sheet, _, _ := strings.Cut(at, "!")
	return slices.ContainsFunc(w.cells, func(c listCell) bool { return c.sheet == sheet })
}

func (l *listRun) became(c listCell, text, what string) error {
	_, row, err := excelize.CellNameToCoordinates(c.at)
	if err != nil {
		return err
	}
	kind, rest, _ := strings.Cut(what, " ")
	switch kind {
	case "=":
		if got := l.proposal[strings.Join(strings.Fields(text), " ")]; got != rest {
			return fmt.Errorf("proposed is %q, want %q", got, rest)
		}
		return nil
	case "kept":
		why := strings.TrimPrefix(rest, "out: ")
		for _, k := range l.keptOut {
			if k.Row == row && (c.sheet == "" || k.Sheet == c.sheet) && strings.Contains(k.Why, why) {
				return nil
			}
		}
		return fmt.Errorf("row %d is not kept out as %q: %v", row, why, l.keptOut)
	case "said:":
		for _, n := range l.notes {
			if strings.Contains(n, rest) && regexp.MustCompile(`\b`+c.at+`\b`).MatchString(n) {
				return nil
			}
		}
		return fmt.Errorf("nobody says %q of it: %q", rest, l.notes)
	case "ignored:":
		for _, n := range l.notes {
			if strings.Contains(n, rest) {
				return nil
			}
		}
		return fmt.Errorf("nobody says %q: %q", rest, l.notes)
	case "left": // out, as the map says of its heading
		return nil
	case "refused:", "write":
		return nil
	}
	return l.holds(kind, rest)
}

// rowsOfTwo are the sheets whose rows are known by two codes.
var rowsOfTwo = []string{"goes", "seen", "moves"}

// holds says that a record holds a value: B201 and "Quantity 2". A record of two
// codes is called by both, PC-1+P001.
func (l *listRun) holds(code, want string) error {
	codes := strings.Split(code, "+")
	for name, rows := range l.sheets {
		if slices.Contains(rowsOfTwo, name) != (len(codes) > 1) {
			continue
		}
		col := -1 // the longest heading that want begins with
		for i, head := range rows[0] {
			if strings.HasPrefix(want, head+" ") && (col < 0 || len(head) > len(rows[0][col])) {
				col = i
			}
		}
		for _, row := range rows[1:] {
			if col < 0 || row[0] != codes[0] || len(codes) > 1 && row[1] != codes[1] {
				continue
			}
			if value := want[len(rows[0][col])+1:]; value != row[col] {
				return fmt.Errorf("%s has %s %q, want %q", code, rows[0][col], row[col], value)
			}
			return nil
		}
	}
	return fmt.Errorf("no record %s has %q", code, want)
}
