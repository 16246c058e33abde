package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/google/go-cmp/cmp"

	"tinful/store"
	"tinful/store/code"
)

// A made is a workbook made by hand: its members in order, each with its text.
type made struct {
	names []string
	texts map[string]string
}

const (
	mainNS = `xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"`
	relsNS = `xmlns="http://schemas.openxmlformats.org/package/2006/relationships"`
	relOf  = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
)

// handmade is a workbook of ECMA-376 with one sheet, Parts. Style 1 is a day, 2 pads
// to five digits, 3 is a power, 4 is a day of the workbook's own.
func handmade(rows string) *made {
	m := &made{texts: map[string]string{}}
	m.put("[Content_Types].xml", `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="xml" ContentType="application/xml"/></Types>`)
	m.put("_rels/.rels", `<Relationships `+relsNS+`><Relationship Id="rId1" Type="`+relOf+`officeDocument" Target="xl/workbook.xml"/></Relationships>`)
	m.put("xl/workbook.xml", `<workbook `+mainNS+`><workbookPr/><sheets><sheet name="Parts" sheetId="1" r:id="rId1"/></sheets></workbook>`)
	m.put("xl/_rels/workbook.xml.rels", `<Relationships `+relsNS+`><Relationship Id="rId1" Type="`+relOf+`worksheet" Target="worksheets/sheet1.xml"/>`+
		`<Relationship Id="rId2" Type="`+relOf+`styles" Target="styles.xml"/><Relationship Id="rId3" Type="`+relOf+`sharedStrings" Target="/xl/sharedStrings.xml"/></Relationships>`)
	m.put("xl/styles.xml", `<styleSheet `+mainNS+`><numFmts count="2"><numFmt numFmtId="170" formatCode="00000"/><numFmt numFmtId="171" formatCode="[$-407]dd/mm/yyyy;@"/></numFmts>`+
		`<cellStyleXfs><xf numFmtId="14"/></cellStyleXfs><cellXfs count="5"><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="170"/><xf numFmtId="11"/><xf numFmtId="171"/></cellXfs></styleSheet>`)
	m.put("xl/sharedStrings.xml", `<sst `+mainNS+` count="2" uniqueCount="2"><si><t>Part</t></si><si><r><rPr><b/></rPr><t>click </t></r><r><t>spring</t></r><rPh sb="0" eb="1"><t>no</t></rPh></si></sst>`)
	m.put("docProps/app.xml", `<Properties/>`)
	m.put("xl/worksheets/sheet1.xml", `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>`+"\n"+`<worksheet `+mainNS+`><sheetData>`+
		`<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="inlineStr"><is><t>Name</t></is></c><c r="C1" t="str"><v>Keep</v></c><c r="D1" t="inlineStr"><is><t>Note</t></is></c>`+
		`<c r="E1" t="inlineStr"><is><t>Wire mm</t></is></c></row>`+
		`<row r="2"><c r="A2" t="inlineStr"><is><t>P1</t></is></c><c r="B2" t="s"><v>1</v></c><c r="C2"><v>2</v></c></row>`+rows+`</sheetData></worksheet>`)
	return m
}

const sheet1 = "xl/worksheets/sheet1.xml"

func (m *made) put(name, text string) {
	if !slices.Contains(m.names, name) {
		m.names = append(m.names, name)
	}
	m.texts[name] = text
}

// edit replaces the one old in a member by new.
func (m *made) edit(name, old, new string) *made {
	if strings.Count(m.texts[name], old) != 1 {
		panic(fmt.Sprintf("%q stands %d times in %s", old, strings.Count(m.texts[name], old), name))
	}
	m.texts[name] = strings.Replace(m.texts[name], old, new, 1)
	return m
}

func (m *made) without(name string) *made {
	m.names = slices.DeleteFunc(m.names, func(n string) bool { return n == name })
	return m
}

// bytes packs the members.
func (m *made) bytes() []byte {
	var out bytes.Buffer
	z := zip.NewWriter(&out)
	for _, name := range m.names {
		w, err := z.Create(name)
		if err != nil {
			panic(err)
		}
		_, _ = w.Write([]byte(m.texts[name]))
	}
	if err := z.Close(); err != nil {
		panic(err)
	}
	return out.Bytes()
}

// UTF-16 as the directory of a compound file holds names.
func wide(s string) string {
	var b []byte
	for _, u := range utf16.Encode([]rune(s)) {
		b = binary.LittleEndian.AppendUint16(b, u)
	}
	return string(b)
}

// Each kind of file that is no workbook has a sentence of its own. The first bytes
// are those of the published formats: compound files [MS-CFB] 2.2, zip 4.3.
func TestNotAWorkbook(t *testing.T) {
	whole := string(handmade("").bytes())
	const cfb = "\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
	ods := &made{texts: map[string]string{}}
	ods.put("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
	ods.put("content.xml", "<office:document-content xmlns:office=\"o\"/>")
	plain := &made{texts: map[string]string{}}
	plain.put("a.txt", "a")
	word := &made{texts: map[string]string{}}
	word.put("word/document.xml", "<document/>")
	xlsb := handmade("")
	xlsb.put("xl/workbook.bin", "x")
	for _, c := range []struct{ name, text, want string }{
		{"old.xls", cfb + strings.Repeat("\x00", 504) + wide("Workbook"), "workbook of the old kind (.xls)"},
		{"old.xlsx", cfb + strings.Repeat("\x00", 504) + wide("Workbook"), "workbook of the old kind (.xls)"},
		{"locked.xlsx", cfb + strings.Repeat("\x00", 100_000) + wide("EncryptedPackage") + strings.Repeat("\x00", 100), "has a password"},
		{"parts.xlsx", "Part,Name\nP1,x\n", "is text, as a CSV file is, and named .xlsx"},
		{"parts.xls", "\xff\xfeP\x00", "is text, as a CSV file is, and named .xls"},
		{"page.xls", "<html><table><tr><td>P1</td></tr></table></html>", "is a web page or other text with tags"},
		{"noise.xlsx", "\x00\x01\x02", "no workbook by its first bytes"},
		{"notes.doc", "x", "by its name"},
		{"empty.xlsx", "", "is empty"},
		{"parts.csv", "", "is empty"},
		{"nothing.xlsx", "PK\x05\x06" + strings.Repeat("\x00", 18), "empty zip archive"},
		{"start.xlsx", whole[:40], "damaged or cut off"},
		{"half.xlsx", whole[:len(whole)/2], "damaged or cut off"},
		{"letter.xlsx", string(word.bytes()), "is a text or a presentation"},
		{"plain.xlsx", string(plain.bytes()), "is a zip archive and no workbook"},
		{"a.ods", string(ods.bytes()), "has no sheets"},
		{"renamed.xlsx", string(ods.bytes()), "has no sheets"},
		{"binary.xlsx", string(xlsb.bytes()), "binary workbook"},
		{"bags.csv", whole, "named .csv and is a workbook"},
		{"other.xlsx", string(handmade("").edit("xl/workbook.xml", `"Parts"`, `"Cash"`).bytes()), "none of the sheets"},
		{"stock.csv", "a,b\n", "named after no sheet"},
		{"places.csv", "\xff\xfeP", "UTF-16"},
		{"seen.csv", "Donor,Part\nD1,\"P\"1\n", "line 2"},
	} {
		_, _, _, err := Read(writeFile(t, c.name, c.text), Options{})
		if !errors.Is(err, store.ErrBadInput) || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), c.name) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
	if _, _, _, err := Read(t.TempDir(), Options{}); !errors.Is(err, store.ErrBadInput) || !strings.Contains(err.Error(), "holds no sheet") {
		t.Errorf("empty folder: %v", err)
	}
	if _, _, _, err := Read("nowhere.xlsx", Options{}); !errors.Is(err, store.ErrNotFound) {
		t.Errorf("missing file: %v", err)
	}
}

// What would be lost without a word is refused. Each workbook is the sound one of
// the first line with one thing changed.
func TestDamagedIsRefused(t *testing.T) {
	if load, _ := mustRead(t, writeFile(t, "sound.xlsx", string(handmade("").bytes()))); load.Parts.Len() != 1 || load.Parts.At(0).Name != "click spring" || *load.Parts.At(0).Keep != 2 {
		t.Fatalf("the sound workbook reads as %+v", load.Parts)
	}
	row := func(cells string) *made { return handmade(`<row r="3">` + cells + `</row>`) }
	nested := strings.Repeat("<x>", 200) + strings.Repeat("</x>", 200)
	for name, c := range map[string]struct {
		m    *made
		want string
	}{
		"cut sheet":                {handmade("").edit(sheet1, `</sheetData></worksheet>`, ``), "breaks off"},
		"cut in a tag":             {handmade("").edit(sheet1, `</v></c></row></sheetData></worksheet>`, `</`), "malformed"},
		"bad entity":               {row(`<c r="A3" t="str"><v>P2&nbsp;</v></c>`), "&nbsp; is not known"},
		"open entity":              {row(`<c r="A3" t="str"><v>P2 & P3</v></c>`), "malformed"},
		"character of no text":     {row(`<c r="A3" t="str"><v>P&#1;2</v></c>`), "&#1; is not known"},
		"document type":            {handmade("").edit(sheet1, `<worksheet`, `<!DOCTYPE x [<!ENTITY a "b">]><worksheet`), "document type"},
		"other encoding":           {handmade("").edit(sheet1, `UTF-8`, `UTF-16`), "and not in UTF-8"},
		"no UTF-8":                 {row(`<c r="A3" t="str"><v>P` + "\xff" + `</v></c>`), "no UTF-8"},
		"tags nest":                {handmade("").edit(sheet1, `<sheetData>`, nested+`<sheetData>`), "nest too deeply"},
		"wrong end":                {row(`<c r="A3" t="str"><v>P2</x></c>`), "</x> closes <v>"},
		"two roots":                {handmade("").edit(sheet1, `</worksheet>`, `</worksheet><worksheet/>`), "second text"},
		"attribute without quotes": {row(`<c r=A3><v>1</v></c>`), "no quotes"},
		"attribute twice":          {row(`<c r="A3" r="B3"><v>1</v></c>`), "twice"},
		"tag among the cells":      {row(`<d r="A3"><v>1</v></d>`), "<d> stands among the cells"},
		"tag in a cell":            {row(`<c r="A3"><w>1</w></c>`), "<w> stands among the values"},
		"attribute of a cell":      {row(`<c q="A3"><v>1</v></c>`), `"q" is said of <c>`},
		"text between cells":       {row(`<c r="A3"/>P2`), "stands between cells"},
		"row twice":                {handmade(`<row r="2"><c r="A2"><v>7</v></c></row>`), "row 2 follows row 2"},
		"rows fall":                {handmade(`<row r="9"/><row r="3"/>`), "row 3 follows row 9"},
		"row beyond the last":      {handmade(`<row r="1048577"/>`), "a sheet has 1048576 rows"},
		"row without number":       {handmade(`<row r="x"/>`), "is no number"},
		"cell of another row":      {row(`<c r="A4"><v>7</v></c>`), `"A4" is no cell of row 3`},
		"cell of no column":        {row(`<c r="XFE3"><v>7</v></c>`), `"XFE3" is no cell`},
		"cells fall":               {row(`<c r="B3"><v>7</v></c><c r="A3"><v>7</v></c>`), "cell A3 stands right of its place"},
		"two values":               {row(`<c r="A3"><v>7</v><v>8</v></c>`), "two values"},
		"unknown kind":             {row(`<c r="A3" t="q"><v>7</v></c>`), `kind "q"`},
		"style out of range":       {row(`<c r="A3" s="5"><v>7</v></c>`), "style 5 of 5"},
		"two tables of cells":      {handmade("").edit(sheet1, `</sheetData>`, `</sheetData><sheetData/>`), "twice"},
		"no cells":                 {handmade("").edit(sheet1, `<sheetData>`, `<sheetDatb>`).edit(sheet1, `</sheetData>`, `</sheetDatb>`), "holds no cells"},
		"missing shared strings":   {handmade("").without("xl/sharedStrings.xml"), "xl/sharedStrings.xml is missing"},
		"shared strings unnamed":   {handmade("").edit("xl/_rels/workbook.xml.rels", "sharedStrings\"", "other\""), "texts that its cells share are missing"},
		"fewer shared strings":     {handmade("").edit("xl/sharedStrings.xml", `uniqueCount="2"`, `uniqueCount="3"`), "should hold 3 texts and holds 2"},
		"missing styles":           {handmade("").without("xl/styles.xml"), "xl/styles.xml is missing"},
		"missing sheet":            {handmade("").without(sheet1), "sheet1.xml is missing"},
		"sheet leads nowhere":      {handmade("").edit("xl/workbook.xml", `r:id="rId1"`, `r:id="rId7"`), "leads nowhere"},
		"sheet of another kind":    {handmade("").edit("xl/_rels/workbook.xml.rels", "/worksheet\"", "/chartsheet\""), "no table"},
		"sheet is no sheet":        {handmade("").edit("xl/_rels/workbook.xml.rels", "worksheets/sheet1.xml", "sharedStrings.xml"), "it is no worksheet"},
		"missing list of sheets":   {handmade("").without("xl/workbook.xml"), "xl/workbook.xml is missing"},
		"missing relations":        {handmade("").without("xl/_rels/workbook.xml.rels"), "workbook.xml.rels is missing"},
		"two sheets of a name": {handmade("").edit("xl/workbook.xml", `<sheet name="Parts" sheetId="1" r:id="rId1"/>`,
			`<sheet name="Parts" sheetId="1" r:id="rId1"/><sheet name="Parts" sheetId="2" r:id="rId1"/>`), "two sheets named"},
		"one sheet under two names": {handmade("").edit("xl/workbook.xml", `<sheet name="Parts" sheetId="1" r:id="rId1"/>`,
			`<sheet name="Parts" sheetId="1" r:id="rId1"/><sheet name="parts" sheetId="2" r:id="rId1"/>`), "same sheet"},
		"many merged cells": {handmade("").edit(sheet1, `</sheetData>`, `</sheetData><mergeCells>`+strings.Repeat(`<mergeCell ref="A5:A6"/>`, 1001)+`</mergeCells>`), "1000 merged"},
	} {
		_, _, _, err := Read(writeFile(t, "damaged.xlsx", string(c.m.bytes())), Options{})
		if !errors.Is(err, store.ErrBadInput) || !strings.Contains(err.Error(), c.want) || !strings.Contains(err.Error(), "damaged.xlsx") {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

// A bit of what is packed is another: the checksum tells, in a sheet and in a
// member that nobody reads.
func TestFlippedBitIsRefused(t *testing.T) {
	for _, member := range []string{sheet1, "docProps/app.xml"} {
		b := handmade("").bytes()
		z, err := zip.NewReader(bytes.NewReader(b), int64(len(b)))
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range z.File {
			if f.Name != member {
				continue
			}
			from, err := f.DataOffset()
			if err != nil {
				t.Fatal(err)
			}
			b[from+int64(f.CompressedSize64)/2] ^= 0x10
		}
		_, _, _, err = Read(writeFile(t, "flipped.xlsx", string(b)), Options{})
		if !errors.Is(err, store.ErrBadInput) || !strings.Contains(err.Error(), "flipped.xlsx is damaged at "+member) {
			t.Errorf("%s: %v", member, err)
		}
	}
}

// A megabyte of noughts packs into a thousandth of it.
func TestSizeIsLimited(t *testing.T) {
	m := handmade("")
	m.put("xl/media/noughts.bin", strings.Repeat("\x00", 1<<20))
	path := writeFile(t, "large.xlsx", string(m.bytes()))
	if _, _, _, err := Read(path, Options{MaxSize: 1 << 20}); !errors.Is(err, store.ErrBadInput) || !strings.Contains(err.Error(), "unpacks to 2MiB, and the limit is 1024KiB") {
		t.Errorf("above the limit: %v", err)
	}
	if _, _, _, err := Read(path, Options{MaxSize: 2 << 20}); err != nil {
		t.Errorf("below the limit: %v", err)
	}
	// A member that says it is smaller than it is.
	z, err := zip.OpenReader(path)
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	var out bytes.Buffer
	w := zip.NewWriter(&out)
	for _, f := range z.File {
		h := f.FileHeader
		if f.Name == "xl/media/noughts.bin" {
			h.UncompressedSize64 = 1 << 10
		}
		raw, err := f.OpenRaw()
		if err != nil {
			t.Fatal(err)
		}
		to, err := w.CreateRaw(&h)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.Copy(to, raw); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	_, _, _, err = Read(writeFile(t, "liar.xlsx", out.String()), Options{MaxSize: 1 << 20})
	if !errors.Is(err, store.ErrBadInput) || !strings.Contains(err.Error(), "liar.xlsx is damaged at xl/media/noughts.bin") {
		t.Errorf("a member longer than it says: %v", err)
	}
}

// What is wrong with one cell is a problem with its sheet and place.
func TestProblemsOfCells(t *testing.T) {
	long := strings.Repeat("x", 32768) // ECMA-376 and its readers keep 32 767
	for name, c := range map[string]struct{ cell, ref, value, want string }{
		"index out of range":    {`<c r="B3" t="s"><v>2</v></c>`, "B3", "2", "not among the 2 shared texts"},
		"index is none":         {`<c r="B3" t="s"><v>x</v></c>`, "B3", "x", "not among the 2 shared texts"},
		"formula without value": {`<c r="C3"><f>1+1</f></c>`, "C3", "", "formula without its value"},
		"formula, empty value":  {`<c r="C3"><f>1+1</f><v></v></c>`, "C3", "", "formula without its value"},
		"formula of text":       {`<c r="D3" t="str"><f>A1</f></c>`, "D3", "", "formula without its value"},
		"error":                 {`<c r="D3" t="e"><v>#REF!</v></c>`, "D3", "#REF!", "holds an error"},
		"error of a formula":    {`<c r="D3" t="e"><f>1/0</f><v>#DIV/0!</v></c>`, "D3", "#DIV/0!", "holds an error"},
		"16 digits":             {`<c r="D3"><v>1234567890123456</v></c>`, "D3", "1234567890123456", "more than 15 digits"},
		"16 digits as a power":  {`<c r="D3"><v>1.23456789012346E+15</v></c>`, "D3", "1.23456789012346E+15", "more than 15 digits"},
		"no number":             {`<c r="C3"><v>two</v></c>`, "C3", "two", "said to be a number"},
		"no number, hex":        {`<c r="C3"><v>0x1p4</v></c>`, "C3", "0x1p4", "said to be a number"},
		"neither true nor not":  {`<c r="D3" t="b"><v>2</v></c>`, "D3", "2", "neither"},
		"day of no calendar":    {`<c r="D3" s="1"><v>60</v></c>`, "D3", "60", "shown as a day and is none"},
		"day before the first":  {`<c r="D3" s="1"><v>-1</v></c>`, "D3", "-1", "shown as a day and is none"},
		"day after the last":    {`<c r="D3" s="1"><v>2958466</v></c>`, "D3", "2958466", "shown as a day and is none"},
		"day where a number is": {`<c r="E3" s="4"><v>47726</v></c>`, "E3", "2030-08-31", "may have made it of something else"},
		"day is text of none":   {`<c r="D3" t="d"><v>2031-02-29</v></c>`, "D3", "2031-02-29", "shown as a day and is none"},
		"32 768 letters":        {`<c r="D3" t="str"><v>` + long + `</v></c>`, "D3", long[:200] + "...", "32768 letters"},
		"control character":     {`<c r="D3" t="str"><v>a_x0007_b</v></c>`, "D3", "a\ab", "control character"},
	} {
		m := handmade(`<row r="3"><c r="A3" t="str"><v>P2</v></c>` + c.cell + `</row>`)
		load, problems, _, err := Read(writeFile(t, "bad.xlsx", string(m.bytes())), Options{})
		if err != nil || len(problems) != 1 {
			t.Errorf("%s: %v %v", name, problems, err)
			continue
		}
		if p := problems[0]; p.Sheet != "Parts" || p.Cell != c.ref || p.Value != c.value || !strings.Contains(p.Problem, c.want) {
			t.Errorf("%s: %+v, want %s %q %q", name, p, c.ref, c.value, c.want)
		}
		if load.Parts.Len() != 1 {
			t.Errorf("%s: a row with a bad cell gave a record", name)
		}
	}
	for name, c := range map[string]struct{ cell, want string }{
		"day for a code":   {`<c r="A3" s="1"><v>47726</v></c>`, "may have made it of something else"},
		"power for a code": {`<c r="A3" s="3"><v>100000</v></c>`, "may have made of a code"},
	} {
		_, problems, _, err := Read(writeFile(t, "code.xlsx", string(handmade(`<row r="3">`+c.cell+`</row>`).bytes())), Options{})
		if err != nil || len(problems) != 1 || problems[0].Cell != "A3" || !strings.Contains(problems[0].Problem, strings.TrimPrefix(c.want, "may have made ")) {
			t.Errorf("%s: %v %v", name, problems, err)
		}
	}
}

// What a cell holds is what was meant. The days are counted by hand from the first
// of ECMA-376 part 1, 18.17.4.1: 47726 = 2030-08-31 from 1900, 46264 from 1904.
func TestCellsAreWhatWasMeant(t *testing.T) {
	for name, c := range map[string]struct{ cell, want string }{
		"day by its format":             {`<c r="D3" s="1"><v>47726</v></c>`, "2030-08-31"},
		"day by the book's format":      {`<c r="D3" s="4"><v>47726.75</v></c>`, "2030-08-31"},
		"first day":                     {`<c r="D3" s="1"><v>1</v></c>`, "1900-01-01"},
		"before the day that never was": {`<c r="D3" s="1"><v>59</v></c>`, "1900-02-28"},
		"after it":                      {`<c r="D3" s="1"><v>61</v></c>`, "1900-03-01"},
		"day as text":                   {`<c r="D3" t="d"><v>2031-08-31T00:00:00</v></c>`, "2031-08-31"},
		"padded":                        {`<c r="D3" s="2"><v>123</v></c>`, "00123"},
		"15 digits":                     {`<c r="D3"><v>123456789012345</v></c>`, "123456789012345"},
		"written by a binary":           {`<c r="D3"><v>2.6000000000000001</v></c>`, "2.6"},
		"a small one":                   {`<c r="D3"><v>1E-3</v></c>`, "0.001"},
		"true":                          {`<c r="D3" t="b"><v>1</v></c>`, "TRUE"},
		"formula with value":            {`<c r="D3"><f>1+1</f><v>2</v></c>`, "2"},
		"formula of text":               {`<c r="D3" t="str"><f>A1</f><v>x</v></c>`, "x"},
		"formula of nothing":            {`<c r="D3" t="str"><f>""</f><v></v></c>`, ""},
		"rich text":                     {`<c r="D3" t="inlineStr"><is><r><t>a</t></r><r><t xml:space="preserve"> b</t></r></is></c>`, "a b"},
		"CDATA":                         {`<c r="D3" t="str"><v><![CDATA[a <b> &amp;]]></v></c>`, "a <b> &amp;"},
		"comment within":                {`<c r="D3" t="str"><v>a<!-- c -->b</v></c>`, "ab"},
		"entities":                      {`<c r="D3" t="str"><v>&lt;&amp;&gt;&quot;&apos;&#228;&#xE4;</v></c>`, `<&>"'ää`},
		"escaped":                       {`<c r="D3" t="str"><v>_x0041__x005F_x0042__x004</v></c>`, "A_x0042__x004"},
		"escaped pair":                  {`<c r="D3" t="str"><v>_xD83D__xDD27_</v></c>`, "🔧"},
		"prefixed":                      {`<x:c xmlns:x="y" r="D3" t="str"><x:v>a</x:v></x:c>`, "a"},
		"no place":                      {`<c/><c/><c t="str"><v>a</v></c>`, "a"},
		"empty shared":                  {`<c r="D3" t="s"/>`, ""},
	} {
		m := handmade(`<row r="3"><c r="A3" t="str"><v>P2</v></c>` + c.cell + `</row>`)
		load, _ := mustRead(t, writeFile(t, "good.xlsx", string(m.bytes())))
		if load.Parts.Len() != 2 || load.Parts.At(1).Note != c.want {
			t.Errorf("%s: %+v, want %q", name, load.Parts, c.want)
		}
	}
	m := handmade(`<row r="3"><c r="A3" t="str"><v>P2</v></c><c r="D3" s="1"><v>46264</v></c></row>`).edit("xl/workbook.xml", "<workbookPr/>", `<workbookPr date1904="1"/>`)
	if load, _ := mustRead(t, writeFile(t, "1904.xlsx", string(m.bytes()))); load.Parts.At(1).Note != "2030-08-31" {
		t.Errorf("from 1904: %q", load.Parts.At(1).Note)
	}
}

// A plain number is no day: nothing says from when it counts.
func TestPlainNumberIsNoDay(t *testing.T) {
	m := handmade("").edit("xl/workbook.xml", `"Parts"`, `"Bags"`).edit("xl/sharedStrings.xml", "Part<", "Bag<").edit(sheet1, "Name", "Booked").
		edit(sheet1, `<c r="B2" t="s"><v>1</v></c><c r="C2"><v>2</v></c>`, `<c r="B2" s="1"><v>47726</v></c></row><row r="3"><c r="A3"><v>7</v></c><c r="B3"><v>47726</v></c>`)
	load, problems, _, err := Read(writeFile(t, "days.xlsx", string(m.bytes())), Options{})
	day, _ := code.ISODay("2030-08-31")
	if err != nil || load.Bags.Len() != 1 || load.Bags.At(0).Booked != day || len(problems) != 1 || problems[0].Cell != "B3" || !strings.Contains(problems[0].Problem, "plain number") {
		t.Errorf("%+v %v %v", load, problems, err)
	}
}

// What may surprise is read and said.
func TestNotes(t *testing.T) {
	m := handmade(`<row r="3" hidden="1"><c r="A3" t="str"><v>P2</v></c></row><row r="4" hidden="true"><c r="A4" t="str"><v>P3</v></c></row>` +
		`<row r="6" hidden="1"><c r="A6" t="str"><v>P4</v></c><c r="D6" t="str"><v>n</v></c></row><row r="8" hidden="1"/>`)
	m.edit("xl/workbook.xml", `<sheet name="Parts"`, `<sheet name="Parts" state="veryHidden"`)
	m.edit(sheet1, `<sheetData>`, `<dimension ref="A1:D12"/><cols><col min="2" max="2" hidden="1"/><col min="9" max="16384" hidden="1"/></cols><sheetData>`)
	m.edit(sheet1, `</sheetData>`, `</sheetData><mergeCells><mergeCell ref="D6:D7"/></mergeCells>`)
	load, report := mustRead(t, writeFile(t, "notes.xlsx", string(m.bytes())))
	if load.Parts.Len() != 4 || load.Parts.At(3).Note != "n" {
		t.Errorf("%+v", load.Parts)
	}
	want := []string{"Parts: the sheet is hidden, and is read like the others", "Parts: hidden rows are read like the others: 3 to 4, 6",
		"Parts: hidden columns are read like the others: Name", "Parts: of merged cells the first alone counts: D6:D7",
		"Parts: the sheet says that it goes down to row 12, and its last row is 8: is it whole?"}
	if diff := cmp.Diff(want, report.Notes); diff != "" {
		t.Errorf("notes (-want +got):\n%s", diff)
	}
	if report.Rows != 4 || report.Cells != 12 {
		t.Errorf("%d rows and %d cells, want 4 and 12: 5 headings, 3 cells, then 1, 1, 2", report.Rows, report.Cells)
	}
}

func TestUnderMergedCells(t *testing.T) {
	m := handmade(`<row r="3"><c r="A3" t="str"><v>P2</v></c><c r="B3" t="str"><v>x</v></c></row>`).
		edit(sheet1, `</sheetData>`, `</sheetData><mergeCells count="1"><mergeCell ref="B2:B3"/></mergeCells>`)
	_, problems, _, err := Read(writeFile(t, "merged.xlsx", string(m.bytes())), Options{})
	if err != nil || len(problems) != 1 || problems[0].Cell != "B3" || !strings.Contains(problems[0].Problem, "under the merged cells B2:B3") {
		t.Errorf("%v %v", problems, err)
	}
}

// One cell in the last row is one row, and the million above it are none.
func TestStrayCellInTheLastRow(t *testing.T) {
	m := handmade(`<row r="1048576"><c r="A1048576" t="str"><v>P2</v></c><c r="XFD1048576" t="str"><v>x</v></c></row>`)
	load, report := mustRead(t, writeFile(t, "stray.xlsx", string(m.bytes())))
	if load.Parts.Len() != 2 || report.Rows != 2 || !slices.Equal(report.Ignored, []string{"Parts: column XFD, which has no heading"}) {
		t.Errorf("%d parts, %+v", load.Parts.Len(), report)
	}
	if _, cell, _ := load.Cell("Parts", 1, "Part"); cell != "A1048576" {
		t.Errorf("read from %s", cell)
	}
}

// Many bad cells are all named.
func TestManyBadCells(t *testing.T) {
	var rows strings.Builder
	for i := range 20_000 {
		fmt.Fprintf(&rows, `<row r="%d"><c t="str"><v>P %d</v></c><c t="e"><v>#REF!</v></c></row>`, i+3, i)
	}
	_, problems, _, err := Read(writeFile(t, "many.xlsx", string(handmade(rows.String()).bytes())), Options{})
	if err != nil || len(problems) != 40_000 {
		t.Errorf("%d problems, %v", len(problems), err)
	}
}

// Formats and what they show (ECMA-376 part 1, 18.8.31), worked out by hand.
func TestNumberFormats(t *testing.T) {
	for format, want := range map[string]string{
		"00000": "00123", "000-000": "000-123", `"P"000`: "P123", `"P-"0`: "P-123", `\K0000`: "K0123", "0": "", "General": "", "0.00": "", "#,##0": "", "00": "123",
		"#0000": "0123", `"0"00`: "0123", "0 \"pcs\"": "123 pcs", "@": "", "00000;[Red]-00000": "00123",
	} {
		if got := parseFormat(format).show("123"); got != want {
			t.Errorf("%s shows %q, want %q", format, got, want)
		}
	}
	for format, want := range map[string]bool{
		"yyyy-mm-dd": true, "dd.mm.yyyy": true, "[$-409]d-mmm-yy;@": true, "[h]:mm": true, `"day "0`: false, "0.00": false, "[Red]0": false, "General": false,
		`d\.m\.yyyy`: true, "#,##0.00 [$EUR];[Red]-#,##0.00": false, "0.00E+00": false, "mm:ss": true, "": false, `"`: false, "[": false,
	} {
		if got := parseFormat(format).date; got != want {
			t.Errorf("%s is a day: %v, want %v", format, got, want)
		}
	}
}

func TestGuard(t *testing.T) {
	for s, want := range map[string]string{"=1": "'=1", "+1": "'+1", "-1.5": "-1.5", "-1+2": "'-1+2", "@x": "'@x", "'x": "''x", "x": "x", "": "", "-": "'-", "1=": "1=", "＝1": "'＝1"} {
		if got := guard(s); got != want {
			t.Errorf("guard(%q) = %q, want %q", s, got, want)
		}
		if got := unguard(want); got != s {
			t.Errorf("unguard(%q) = %q, want %q", want, got, s)
		}
	}
	if got := guardText("-1.5"); got != "'-1.5" || unguard(got) != "-1.5" {
		t.Errorf("as a text -1.5 is guarded as %q", got)
	}
	for _, s := range []string{"'", "'x", "'1"} { // what guard does not write stays
		if got := unguard(s); got != s {
			t.Errorf("unguard(%q) = %q", s, got)
		}
	}
}

// A program that cannot calculate writes 0 as the value of each formula, and tells the
// next program to work all of them out (ECMA-376 part 1, 18.2.2, fullCalcOnLoad).
func TestStaleFormula(t *testing.T) {
	const rows = `<row r="3"><c r="A3" t="inlineStr"><is><t>P2</t></is></c><c r="C3"><f>1+2</f><v>0</v></c></row>`
	read := func(pr string) ([]store.Problem, *store.Load) {
		m := handmade(rows).edit("xl/workbook.xml", "</sheets>", "</sheets>"+pr)
		load, problems, _, err := Read(writeFile(t, "parts.xlsx", string(m.bytes())), Options{})
		if err != nil {
			t.Fatal(err)
		}
		return problems, load
	}
	if problems, _ := read(`<calcPr calcId="124519" fullCalcOnLoad="1"/>`); len(problems) != 1 || problems[0].Cell != "C3" || problems[0].Problem != staleFormula {
		t.Errorf("to be worked out: %v", problems)
	}
	for _, pr := range []string{"", `<calcPr calcId="191029"/>`} {
		problems, load := read(pr)
		if len(problems) > 0 || *load.Parts.At(1).Keep != 0 {
			t.Errorf("%s: %v, %+v", pr, problems, load.Parts)
		}
	}
}

// A checksum of 0 is one like others: a member that has another is damaged (zip 4.4.7).
func TestChecksumOfNought(t *testing.T) {
	whole := handmade("").bytes()
	for at := 0; ; { // in the list of contents, 16 bytes after each PK 01 02
		i := bytes.Index(whole[at:], []byte("PK\x01\x02"))
		if i < 0 {
			break
		}
		at += i + 4
		copy(whole[at+12:], "\x00\x00\x00\x00")
	}
	_, _, _, err := Read(writeFile(t, "parts.xlsx", string(whole)), Options{})
	if !errors.Is(err, store.ErrBadInput) || !strings.Contains(err.Error(), "checksum") {
		t.Errorf("checksums of nought: %v", err)
	}
	empty := handmade("")
	empty.put("docProps/empty.txt", "")
	if _, _, _, err := Read(writeFile(t, "parts.xlsx", string(empty.bytes())), Options{}); err != nil {
		t.Errorf("an empty member, whose checksum is 0: %v", err)
	}
}
