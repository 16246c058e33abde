package sheet

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
)

// ownersBook writes the list of an invented owner: a merged title, headings in row 3
// in two languages, group headings, a total. TINFUL_BOOK=FILE keeps it there.
func ownersBook(t *testing.T) string {
	t.Helper()
	x := excelize.NewFile()
	defer x.Close()
	_, err := x.NewSheet("Springs")
	errs := []error{err, x.MergeCell("Springs", "A1", "H1"), x.SetCellValue("Sheet1", "A1", "nothing of use")}
	day, err := x.NewStyle(&excelize.Style{CustomNumFmt: new("dd.mm.yyyy")})
	errs = append(errs, err)
	for i, row := range [][]any{
		{"My springs and screws"}, nil,
		{"Bezeichnung", "Class", "Draht (Zoll)", "Außen mm", "Menge", "Lade", "Price", "Gekauft", "Bemerkung"},
		{"Federn"},
		{"Rückholfeder Auslöser", "Schenkelfeder", 0.01, 2.6, "ca. 20", "K1", "22,00 cr", time.Date(2031, 4, 3, 0, 0, 0, 0, time.UTC), "left hand"},
		{"Rückholfeder Auslöser", "Schenkelfeder", ".010", "2,6 mm", 3, "K2", 1.5, "3. April 2031"},
		{"Zugfeder Deckel", "Zugfeder", `.014"`, "3,0", "2 St.", "K2"},
		{"Summe", nil, nil, nil, 25, nil, 23.5},
	} {
		for j, v := range row {
			if v != nil {
				at, _ := excelize.CoordinatesToCellName(j+1, i+1)
				errs = append(errs, x.SetCellValue("Springs", at, v))
			}
		}
	}
	errs = append(errs, x.SetCellStyle("Springs", "H5", "H5", day))
	file := filepath.Join(t.TempDir(), "springs.xlsx")
	if keep := os.Getenv("TINFUL_BOOK"); keep != "" {
		file = keep
	}
	if err := errors.Join(append(errs, x.SaveAs(file))...); err != nil {
		t.Fatal(err)
	}
	return file
}

const ownersMap = `# the list as it is kept
sheet = Springs
as = bags
Bezeichnung = name
Class = class
Draht (Zoll) = wire in
Außen mm = outside mm
Menge = quantity
Lade = place
Price = cost all
Gekauft = booked
Bemerkung = -
`

// What the rows hold, by hand: .010 in is 0.254 mm, .014 in 0.356 mm (0.3556).
func TestOwnersBook(t *testing.T) {
	m, err := ParseMap("springs.map", ownersMap)
	if err != nil {
		t.Fatal(err)
	}
	load, problems, report, err := Read(ownersBook(t), Options{Map: m})
	if err != nil || len(problems) > 0 {
		t.Fatal(err, problems)
	}
	if load.Parts.Len() != 2 || load.Bags.Len() != 3 {
		t.Fatalf("%d parts and %d bags, want 2 and 3", load.Parts.Len(), load.Bags.Len())
	}
	one, two := load.Parts.At(0), load.Parts.At(1)
	if one.Name != "Rückholfeder Auslöser" || one.Class != "SPR-TOR" || one.Dims[dim.Wire] != 254 || one.Dims[dim.OD] != 2600 {
		t.Errorf("first part: %+v", one)
	}
	if two.Class != "SPR-EXT" || two.Dims[dim.Wire] != 356 || two.Dims[dim.OD] != 3000 {
		t.Errorf("second part: %+v", two)
	}
	for i, want := range []struct {
		part  code.Code
		n     int64
		about bool
		place code.Code
		cents code.Cents
		day   string
	}{{one.Code, 20, true, "K1", 2200, "2031-04-03"}, {one.Code, 3, false, "K2", 150, "2031-04-03"}, {two.Code, 2, false, "K2", 0, ""}} {
		b := load.Bags.At(i)
		var cents code.Cents
		if b.Cost != nil {
			cents = *b.Cost
		}
		if b.Part != want.part || b.Quantity != want.n || b.About != want.about || b.Place != want.place || cents != want.cents || b.Booked.String() != want.day {
			t.Errorf("bag %d: %+v, want %+v", i, b, want)
		}
	}
	var out []string
	for _, k := range report.KeptOut {
		out = append(out, k.Text+": "+k.Why)
	}
	if got, want := strings.Join(out, "\n"), "My springs and screws: "+isAbove+"\nFedern: "+isAlone+"\nSumme: "+isTotal; got != want {
		t.Errorf("kept out:\n%s\nwant:\n%s", got, want)
	}
}

// Each cell is read where it can mean one thing, and is a problem where it may mean two.
func TestCellsOfLists(t *testing.T) {
	m := &mapped{r: &reader{}, main: &area{}, currency: "CR"}
	semi := &mapped{r: &reader{}, main: &area{}, commas: true}
	quantity := func(s string) (string, string) { return m.quantityText(m.main, 0, s) }
	plain := func(f func(string) (string, string)) func(string) (string, string) { return f }
	day := func(order string) func(string) (string, string) {
		return func(s string) (string, string) { return dayText(s, order) }
	}
	for _, c := range []struct {
		read     func(string) (string, string)
		in, want string // want empty: a problem
	}{ // by hand
		{plain(m.measureText), "0,25 mm", "0.25mm"},
		{plain(m.measureText), `.014"`, `.014"`},
		{plain(m.measureText), "ø 2,6", "2.6"},
		{plain(m.measureText), "3¼", "3 1/4"},
		{plain(m.measureText), "3 1/4", "3 1/4"},
		{plain(m.measureText), "1/4 in", "1/4 in"},
		{plain(m.measureText), "1 Zoll", "1in"},
		{plain(m.measureText), "1.234,5", "1234.5"},
		{plain(m.measureText), "12 000", "12000"},
		{plain(m.measureText), "1.234", "1.234"},
		{plain(semi.measureText), "1.234", ""},
		{plain(semi.measureText), "0.234", "0.234"},
		{plain(semi.measureText), "1,234", "1.234"},
		{plain(m.countText), "2 St.", "2"},
		{plain(m.countText), "2x", "2"},
		{plain(m.countText), "ca. 20 Stück", "ca. 20"},
		{plain(m.countText), "etwa 20", "ca. 20"},
		{plain(m.countText), "20 ca.", "ca. 20"},
		{plain(m.countText), "2,0", "2"},
		{plain(semi.countText), "1.200", ""},
		{plain(m.moneyText), "22,00 cr", "22.00"},
		{plain(m.moneyText), "cr 22", "22"},
		{plain(m.moneyText), "22,-", "22"},
		{plain(m.moneyText), "22,00 €", ""},
		{plain(m.moneyText), "ca. 3", ""},
		{plain((&mapped{r: &reader{}, main: &area{}}).moneyText), "ca. 3", ""}, // no currency
		{plain(m.moneyText), "1.234,50", "1234.50"},
		{plain(m.moneyText), "1,234.50", "1234.50"},
		{plain(m.moneyText), "1'234.50", "1234.50"},
		{plain(m.moneyText), "1'250.-", "1250"},
		{plain(m.moneyText), "1 250,00 cr", "1250.00"},
		{plain(m.moneyText), "１２．５０", "12.50"},
		{plain(m.moneyText), "1,234", ""},
		{plain(m.moneyText), "1.234.567", "1234567"},
		{plain(m.moneyText), "1.23.45", ""},
		{plain((&mapped{r: &reader{}, main: &area{}}).moneyText), "PC 1", ""}, // no currency
		{plain(m.measureText), "⅛\"", "1/8\""},
		{plain(m.measureText), "1/16\"", "1/16\""},
		{plain(m.measureText), "2⅛ in", "2 1/8 in"},
		{plain(m.measureText), "SWG 30", "0.315mm"}, // 0.0124 in, number 30 of the Imperial Standard Wire Gauge
		{plain(m.measureText), "30 swg", "0.315mm"},
		{plain(m.countText), "1 250", "1250"},
		{plain(m.countText), "3 Paar", "6"},
		{plain(quantity), "a pair", "2"},
		{plain(quantity), "ein Paar", "2"},
		{plain(quantity), "ein paar", "ca. 1"},
		{plain(quantity), "2-3", "ca. 2"},
		{plain(quantity), "10+", "ca. 10"},
		{plain(quantity), "lots", "ca. 1"},
		{plain(quantity), "zwei", "2"},
		{plain(quantity), "ca. douze", "ca. 12"},
		{plain(quantity), "５個", "5"},
		{plain(quantity), "½", ""},
		{plain(quantity), "a boxful", "a boxful"},
		{day(""), "03/04/2031", ""},
		{day(""), "2031年4月3日", "2031-04-03"},
		{day(""), "3 de abril de 2031", "2031-04-03"},
		{day(""), "1er août 2031", "2031-08-01"},
		{day(""), "14 maggio 2031", "2031-05-14"},
		{day(""), "3 mei 2031", "2031-05-03"},
		{day("dmy"), "03.04.2031", "2031-04-03"},
		{day("mdy"), "03.04.2031", "2031-03-04"},
		{day(""), "25.12.2030", "2030-12-25"},
		{day(""), "12/25/2030", "2030-12-25"},
		{day(""), "04.04.2031", "2031-04-04"},
		{day("dmy"), "12/25/2030", ""},
		{day("dmy"), "2031-04-03", "2031-04-03"},
		{day(""), "3. März 2031", "2031-03-03"},
		{day(""), "Dec 3, 2031", "2031-12-03"},
		{day("dmy"), "03.04.31", ""},
		{day(""), "30.02.2031", ""},
		{day(""), "2031", ""},
	} {
		got, problem := c.read(c.in)
		if c.want == "" && problem == "" || c.want != "" && (got != c.want || problem != "") {
			t.Errorf("%q: %q, %q, want %q", c.in, got, problem, c.want)
		}
	}
}

func TestTotals(t *testing.T) {
	for text, want := range map[string]bool{ // by hand
		"Summe": true, "Summe 123": true, "Total:": true, "GESAMT 12,50": true, "Zwischensumme": true,
		"total stop lever": false, "123": false, "Summenhebel": false, "": false,
	} {
		if got := isTotalText(text); got != want {
			t.Errorf("%q: %v", text, got)
		}
	}
}

func TestMapFiles(t *testing.T) {
	for text, want := range map[string]string{ // by hand
		"as = bags\n\nLade place\n":                "line 3: \"Lade place\" has no =",
		"as = boxes\n":                             "line 1: as \"boxes\" is none of",
		"as = bags\nA = place\nB = place\n":        "line 3: \"A\" and \"B\" both stand for place",
		"as = bags\nA = wire mm\nB = wire in\n":    "line 3: \"A\" and \"B\" both stand for wire in",
		"as = bags\nA = colour of it\n":            "line 2: A = colour of it: no column is called",
		"header-row = top\n":                       "line 1: header-row \"top\" is no number",
		"dates = ddmm\n":                           "line 1: dates \"ddmm\" is none of dmy, mdy, ymd",
		"Lade = place\nas = bags\nlade = origin\n": "line 3: the heading \"lade\" is said twice",
		"A =\n": "line 1: \"A =\" has nothing on one side",
	} {
		if _, err := ParseMap("x.map", text); !errors.Is(err, store.ErrBadInput) || !strings.Contains(err.Error(), "x.map, "+want) {
			t.Errorf("%q: %v, want %q", text, err, want)
		}
	}
	m, err := ParseMap("x.map", "as=bags\n\"Sheet\" = note\na = b = part note\n")
	if err != nil || len(m.Columns) != 2 || m.Columns[0].Heading != "Sheet" || m.Columns[1].Heading != "a = b" {
		t.Errorf("%+v, %v", m, err)
	}
}

// No text makes the readers of cells of a list panic, and what they read as a day is
// one.
func FuzzListCell(f *testing.F) {
	for _, s := range []string{"0,25 mm", `.014"`, "22,- cr", "03.04.2031", "3. Mai 2031", "ca. 2 St.", "\xff", "-", "1/"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m := &mapped{r: &reader{}, main: &area{}, commas: true}
		m.measureText(s)
		m.countText(s)
		m.moneyText(s)
		for _, order := range append(dateOrders, "") {
			day, problem := dayText(s, order)
			if _, err := time.Parse(time.DateOnly, day); problem == "" && err != nil {
				t.Errorf("%q by %q is read as %q", s, order, day)
			}
		}
	})
}

// No text file makes the reading of a list, or a proposal for it, panic.
func FuzzList(f *testing.F) {
	f.Add([]byte("Name;Anzahl;Lade\nFeder;2 St.;K1\n"), "as = bags\nName = name\nAnzahl = quantity\n")
	f.Fuzz(func(t *testing.T, text []byte, mapping string) {
		file := filepath.Join(t.TempDir(), "x.csv")
		if err := os.WriteFile(file, text, 0o600); err != nil {
			t.Fatal(err)
		}
		_, _ = Suggest(file, Options{Map: &Mapping{}})
		if m, err := ParseMap("x", mapping); err == nil && m.Check() == nil {
			_, _, _, _ = Read(file, Options{Map: m})
		}
	})
}

// Whatever headings a list has, what is proposed can be read as a map file.
func TestProposalsAreMaps(t *testing.T) {
	for _, heads := range []string{
		"Name;Menge;Menge;Lade", "Name;Draht mm;Draht Zoll;Menge", "d;D;n;Name;Menge", "Name;Note;note;NOTE;Menge", "as;sheet;dates;header-row;Name;Menge",
		"#;# Nr;Name;Menge", "a=b;=;==;Name;Menge", "-;--;Name;Menge", `"""x""";"";Name;Menge`, "Wire Ø;Menge (Stk);Name;Qty",
	} {
		text := heads + "\n" + strings.Repeat("1;", strings.Count(heads, ";")) + "1\n"
		s, err := Suggest(writeFile(t, "list.csv", text), Options{Map: &Mapping{}})
		if err != nil {
			t.Errorf("%s: %v", heads, err)
			continue
		}
		m, err := ParseMap("list.map", s.String())
		if err == nil {
			err = m.Check()
		}
		if err != nil {
			t.Errorf("%s: %v\n%s", heads, err, s)
		}
	}
}

// What headings say of a price: the column that is proposed for them. Words from memory.
func TestPriceHeadings(t *testing.T) {
	tests := []struct{ heading, column string }{
		{"Price each", "cost each"}, {"Price ea.", "cost each"}, {"£ ea", "cost each"}, {"Cost each", "cost each"}, {"Unit price", "cost each"},
		{"€/Stk", "cost each"}, {"Preis pro Stück", "cost each"}, {"Stückpreis", "cost each"}, {"Prix pièce", "cost each"},
		{"Precio por pieza", "cost each"}, {"Prezzo cad.", "cost each"}, {"Prijs per stuk", "cost each"}, {"単価", "cost each"},
		{"Preis", "cost"}, {"EK-Preis", "cost"}, {"Cost (£)", "cost"}, {"Preis EUR", "cost"}, {"€", "cost"},
		{"each", leftOut}, {"ea", leftOut}, {"per", leftOut}, {"Preis je 100", leftOut}, {"Price list no", leftOut},
	}
	for _, tt := range tests {
		file := filepath.Join(t.TempDir(), "list.csv")
		if err := os.WriteFile(file, []byte("Name,Qty,"+tt.heading+"\nspring a,3,1.20\nwasher b,4,2.50\n"), 0o600); err != nil {
			t.Fatal(err)
		}
		out, err := Suggest(file, Options{Map: &Mapping{}})
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range out.Columns {
			if c.Heading == tt.heading && c.Column != tt.column {
				t.Errorf("%q is proposed as %s, want %s", tt.heading, c.Column, tt.column)
			}
		}
	}
}
