package sheet

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tinful/store"
)

// odsBook is an OpenDocument workbook of one sheet, Bags, with these rows, and styles.
func odsBook(t *testing.T, rows string) string {
	t.Helper()
	m := &made{texts: map[string]string{}}
	m.put("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
	m.put("content.xml", `<o:document-content xmlns:o="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:t="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:x="urn:oasis:names:tc:opendocument:xmlns:text:1.0" xmlns:s="urn:oasis:names:tc:opendocument:xmlns:style:1.0">`+
		`<o:automatic-styles><s:style s:name="gone" s:family="table-cell"><s:text-properties s:text-line-through-style="solid"/></s:style></o:automatic-styles>`+
		`<o:body><o:spreadsheet><t:table t:name="Bags">`+rows+`</t:table></o:spreadsheet></o:body></o:document-content>`)
	file := filepath.Join(t.TempDir(), "b.ods")
	if err := os.WriteFile(file, m.bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	return file
}

func odsCell(text string) string {
	return `<t:table-cell o:value-type="string"><x:p>` + text + `</x:p></t:table-cell>`
}

// Repeated cells and rows, values against what is shown, days, errors, cells under
// merged ones: OASIS OpenDocument 1.2, part 1, 9.1.
func TestOpenDocumentCells(t *testing.T) {
	head := `<t:table-row>` + odsCell("Bag") + odsCell("Quantity") + odsCell("Booked") + odsCell("Note") + odsCell("Cost") + `</t:table-row>`
	file := odsBook(t, `<t:table-column t:number-columns-repeated="16384"/>`+head+
		`<t:table-row t:number-rows-repeated="2"><t:table-cell t:number-columns-repeated="16384"/></t:table-row>`+
		`<t:table-row t:visibility="collapse">`+odsCell("B1")+`<t:table-cell o:value-type="float" o:value="2"><x:p>2,0</x:p></t:table-cell>`+
		`<t:table-cell o:value-type="date" o:date-value="2031-04-03T00:00:00"><x:p>3.4.31</x:p></t:table-cell>`+
		`<t:table-cell o:value-type="string"><x:p>a<x:s x:c="2"/>b</x:p><x:p>c</x:p></t:table-cell>`+
		`<t:table-cell o:value-type="currency" o:value="1.5"><x:p>1,50 EUR</x:p></t:table-cell></t:table-row>`+
		`<t:table-row><t:table-cell t:style-name="gone" o:value-type="string"><x:p>B2</x:p></t:table-cell></t:table-row>`+
		`<t:table-row t:number-rows-repeated="1048570"><t:table-cell t:number-columns-repeated="16384"/></t:table-row>`)
	load, problems, report, err := Read(file, Options{})
	if err != nil || len(problems) > 0 || load.Bags.Len() != 1 {
		t.Fatal(err, problems, load.Bags)
	}
	b := load.Bags.At(0)
	if b.Code != "B1" || b.Quantity != 2 || b.Booked.String() != "2031-04-03" || b.Note != "a  b / c" || b.Cost == nil || *b.Cost != 150 {
		t.Errorf("%+v", b)
	}
	notes := strings.Join(report.Notes, "\n")
	for _, want := range []string{"hidden rows are read like the others: 4", `is struck through: row 5 "B2"`, "texts of several lines are read as one, their lines parted by strokes: D4"} {
		if !strings.Contains(notes, want) {
			t.Errorf("not said: %s\n%s", want, notes)
		}
	}
	for rows, want := range map[string]string{
		`<t:table-row>` + odsCell("B1") + `<t:table-cell o:value-type="string" calcext:value-type="error" xmlns:calcext="c"><x:p>#REF!</x:p></t:table-cell></t:table-row>`:                                             "B2 holds an error in place of a value",
		`<t:table-row>` + odsCell("B1") + `<t:table-cell t:formula="of:=1"/></t:table-row>`:                                                                                                                            "B2 holds a formula without its value",
		`<t:table-row>` + odsCell("B1") + `<t:table-cell o:value-type="float" o:value="x"/></t:table-row>`:                                                                                                             "B2 is said to be a number and is none",
		`<t:table-row>` + strings.Replace(odsCell("B1"), "<t:table-cell ", `<t:table-cell t:number-columns-spanned="2" `, 1) + strings.ReplaceAll(odsCell("7"), "table-cell", "covered-table-cell") + `</t:table-row>`: "B2 lies under the merged cells A2:B2",
	} {
		_, problems, _, err := Read(odsBook(t, head+rows), Options{})
		if err != nil || len(problems) != 1 || !strings.HasPrefix(problems[0].Cell+" "+problems[0].Problem, want) {
			t.Errorf("%v %v, want %s", err, problems, want)
		}
	}
}

// What is repeated is bounded, and damage is refused.
func TestOpenDocumentDamage(t *testing.T) {
	head := `<t:table-row>` + odsCell("Bag") + `</t:table-row>`
	for rows, want := range map[string]string{
		head + `<t:table-row t:number-rows-repeated="1000000">` + odsCell("B1") + `</t:table-row>`:                                                          "stands there 1000000 times",
		head + `<t:table-row>` + strings.Replace(odsCell("B1"), "<t:table-cell ", `<t:table-cell t:number-columns-repeated="16000" `, 1) + `</t:table-row>`: "stands there 16000 times",
		head + `<t:table-row t:number-rows-repeated="-1"/>`:                                                                                                 "is no number of times",
		head + `<t:table-row>`: "malformed",
	} {
		if _, _, _, err := Read(odsBook(t, rows), Options{}); !errors.Is(err, store.ErrBadInput) || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %s", err, want)
		}
	}
	m := &made{texts: map[string]string{}}
	m.put("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
	m.put("content.xml", "sealed")
	m.put("META-INF/manifest.xml", `<manifest><file-entry><encryption-data/></file-entry></manifest>`)
	file := filepath.Join(t.TempDir(), "sealed.ods")
	if err := os.WriteFile(file, m.bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	if _, _, _, err := Read(file, Options{}); err == nil || !strings.Contains(err.Error(), "has a password") {
		t.Error(err)
	}
}

// A list and what it has besides texts read alike in both kinds of workbooks: the .ods is
// the .xlsx, saved by an office program.
func TestOpenDocumentMarks(t *testing.T) {
	read := func(name string) string {
		m, err := ParseMap("m", "as = bags\nName = name\nQty = quantity\nDrawer = place\nRemarks = -\nfill place\n")
		if err != nil {
			t.Fatal(err)
		}
		_, problems, report, err := Read(filepath.Join("../testdata/lists", name), Options{Map: m})
		if err != nil || len(problems) > 0 {
			t.Fatal(err, problems)
		}
		return strings.Join(report.Notes, "\n")
	}
	if x, o := read("marked.xlsx"), read("marked.ods"); x != o {
		t.Errorf(".xlsx:\n%s\n.ods:\n%s", x, o)
	}
}

// No text of an OpenDocument workbook makes the reader panic.
func FuzzOpenDocument(f *testing.F) {
	f.Add(`<t:table-row t:number-rows-repeated="3">` + odsCell("Bag") + `</t:table-row>`)
	f.Fuzz(func(t *testing.T, rows string) {
		_, _, _, _ = Read(odsBook(t, rows), Options{})
	})
}
