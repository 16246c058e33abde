package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"testing"
	"time"

	"tinful/store"
)

// much is how far lists go on that were made to choke their reader: beyond the bounds,
// or as far as the memory of a small machine where TINFUL_SOAK is set.
func much(short, long int) int {
	if os.Getenv("TINFUL_SOAK") != "" {
		return long
	}
	return short
}

// memoryMost is what reading any file may take.
const memoryMost = 400 << 20

// takes runs do and returns the most memory that the heap took meanwhile, in steps of
// 10 ms, under the limits of an import.
func takes(do func()) (most uint64) {
	limit, percent := debug.SetMemoryLimit(375<<20), debug.SetGCPercent(-1)
	defer func() {
		debug.SetMemoryLimit(limit)
		debug.SetGCPercent(percent)
		runtime.GC()
	}()
	runtime.GC()
	debug.FreeOSMemory()
	done := make(chan bool)
	go func() { do(); close(done) }()
	for {
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		most = max(most, m.HeapInuse+m.StackInuse)
		select {
		case <-done:
			return most
		case <-time.After(10 * time.Millisecond):
		}
	}
}

const odsHead = `<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" ` +
	`xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0"><office:automatic-styles>`

func odsText(text string) string {
	return `<table:table-cell office:value-type="string"><text:p>` + text + `</text:p></table:table-cell>`
}

// odsMonster is an OpenDocument workbook with rows and styles of its own.
func odsMonster(styles, rows string) []byte {
	m := &made{texts: map[string]string{}}
	m.put("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
	m.put(odsMember, odsHead+styles+`</office:automatic-styles><office:body><office:spreadsheet><table:table table:name="Bags"><table:table-row>`+odsText("Bag")+odsText("Note")+
		`</table:table-row>`+rows+`</table:table></office:spreadsheet></office:body></office:document-content>`)
	return m.bytes()
}

// Files that were made to choke their reader end in a sentence, or are read, within the
// memory of an import: cells of hundreds of megabytes, commas without end, bombs, and
// rows, columns, styles, texts, sheets and problems by millions.
func TestMonsters(t *testing.T) {
	x := func(edit func(m *made)) []byte {
		m := handmade("")
		edit(m)
		return m.bytes()
	}
	sheet := func(rows, after string) func(m *made) {
		return func(m *made) {
			m.put(sheet1, `<worksheet `+mainNS+`><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>Bag</t></is></c></row>`+rows+`</sheetData>`+after+`</worksheet>`)
		}
	}
	again := strings.Repeat
	errorCells := func(n int) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, `<row r="%d"><c r="A%[1]d" t="e"><v>#REF!</v></c></row>`, i+2)
		}
		return b.String()
	}
	for _, c := range []struct {
		name string
		file func() []byte
		want string // a part of the sentence
	}{
		{"cell.xlsx", func() []byte {
			return x(sheet(`<row r="2"><c r="A2" t="inlineStr"><is><t>`+again("x", much(5<<20, 200<<20))+`</t></is></c></row>`, ""))
		}, "a text is longer than any that a cell can hold"},
		{"comment.xlsx", func() []byte { return x(sheet(`<!--`+again("x", much(5<<20, 200<<20))+`-->`, "")) }, "a comment is not ended, or longer than any text"},
		{"deep.xlsx", func() []byte {
			return x(sheet(`<row r="2"><c r="A2" t="inlineStr"><is>`+again("<r>", much(200, 40_000_000)), ""))
		}, "tags nest too deeply"},
		{"tag.xlsx", func() []byte { return x(sheet(`<row r="2" spans="`+again("1", much(2<<20, 200<<20))+`"></row>`, "")) }, "a tag is longer than any"},
		{"links.xlsx", func() []byte {
			return x(sheet("", "<hyperlinks>"+again(`<hyperlink ref="A2"/>`, much(200_000, 11_000_000))+"</hyperlinks>"))
		}, ""},
		{"styles.xlsx", func() []byte {
			return x(func(m *made) {
				m.put("xl/styles.xml", `<styleSheet `+mainNS+`><cellXfs>`+again(`<xf numFmtId="0"/>`, much(200_000, 13_000_000))+`</cellXfs></styleSheet>`)
			})
		}, "it has more than 100000 styles"},
		{"texts.xlsx", func() []byte {
			return x(func(m *made) {
				m.put("xl/sharedStrings.xml", `<sst `+mainNS+`>`+again(`<si><t>a</t></si>`, much(4_000_001, 14_000_000))+`</sst>`)
			})
		}, "it has more than 4000000 shared texts"},
		{"bomb.xlsx", func() []byte { return x(sheet(again(" ", much(300<<20, 1<<30)), "")) }, "and the limit is"},
		{"errors.xlsx", func() []byte { return x(sheet(errorCells(much(150_000, 1_000_000)), "")) }, ""},
		{"rows.ods", func() []byte {
			return odsMonster("", `<table:table-row table:number-rows-repeated="2000000000">`+odsText("Z1")+`</table:table-row>`)
		}, "is no number of times"},
		{"million.ods", func() []byte {
			return odsMonster("", `<table:table-row table:number-rows-repeated="1048570">`+odsText("Z1")+`</table:table-row>`)
		}, "a row that holds something stands there 1048570 times"},
		{"columns.ods", func() []byte {
			return odsMonster("", `<table:table-row><table:table-cell office:value-type="string" table:number-columns-repeated="16384"><text:p>`+again("x", 30_000)+`</text:p></table:table-cell></table:table-row>`)
		}, "a cell that holds something stands there"},
		{"blanks.ods", func() []byte {
			return odsMonster("", `<table:table-row>`+odsText(again(`<text:s text:c="50"/>`, much(200_000, 10_000_000)))+`</table:table-row>`)
		}, "a text is longer than any that a cell can hold"},
		{"cell.ods", func() []byte {
			return odsMonster("", `<table:table-row>`+odsText(again("x", much(5<<20, 200<<20)))+`</table:table-row>`)
		}, "a text is longer than any that a cell can hold"},
		{"deep.ods", func() []byte {
			return odsMonster("", `<table:table-row><table:table-cell office:value-type="string"><text:p>`+again("<text:span>", much(200, 20_000_000)))
		}, "tags nest too deeply"},
		{"styles.ods", func() []byte {
			var b strings.Builder
			for i := range much(150_000, 2_000_000) {
				fmt.Fprintf(&b, `<style:style style:name="c%d"><style:text-properties style:text-line-through-style="solid"/></style:style>`, i)
			}
			return odsMonster(b.String(), "")
		}, "it has more than 100000 styles"},
		{"sheets.ods", func() []byte {
			var b strings.Builder
			for i := range much(2000, 1_000_000) {
				fmt.Fprintf(&b, `</table:table><table:table table:name="t%d">`, i)
			}
			return odsMonster("", b.String())
		}, "it has more than 1000 sheets"},
		{"commas.csv", func() []byte { return bytes.Repeat([]byte(","), much(1<<20, 60<<20)) }, "it has more than 16384 cells, which no list has"},
		{"bags.csv", func() []byte { return []byte("Bag,Note\n" + again(again(",", 1000)+"\n", much(1000, 60_000))) }, ""},
		{"headings.csv", func() []byte { return []byte(again("heading,", 500_000) + "\n1\n") }, "it has more than 16384 cells, which no list has"},
		{"cell.csv", func() []byte { return []byte("Bag,Note\nZ1," + again("x", much(9<<20, 200<<20))) }, "it is longer than any row of a list"},
		{"lines.csv", func() []byte { return []byte("Bag,Note\n" + again("\n", much(2<<20, 200<<20))) }, ""},
		{"wrong.csv", func() []byte { return []byte("Bag,Note\n" + again("??,x\n", much(150_000, 3_000_000))) }, ""},
		{"groups.csv", func() []byte { return []byte("Bag,Note\n" + again("Springs and more\n", much(150_000, 3_000_000))) }, ""},
		{"other.csv", func() []byte { return []byte(again("one,two\n", much(300_000, 3_000_000))) }, "one"},
	} {
		t.Run(c.name, func(t *testing.T) {
			file := filepath.Join(t.TempDir(), c.name)
			if err := os.WriteFile(file, c.file(), 0o600); err != nil {
				t.Fatal(err)
			}
			for what, read := range map[string]func() error{
				"read":    func() error { _, _, _, err := Read(file, Options{Map: &Mapping{As: "bags"}}); return err },
				"suggest": func() error { _, err := Suggest(file, Options{Map: &Mapping{}}); return err },
			} {
				var err error
				begun := time.Now()
				if most := takes(func() { err = read() }); most > memoryMost {
					t.Errorf("%s takes %d MiB", what, most>>20)
				} else if testing.Verbose() {
					t.Logf("%s: %d MiB, %v", what, most>>20, time.Since(begun).Round(time.Millisecond))
				}
				if err != nil && (!errors.Is(err, store.ErrBadInput) || errors.Is(err, io.ErrUnexpectedEOF)) {
					t.Errorf("%s: %.200v", what, err)
				}
				if what == "read" && (c.want == "") != (err == nil) || err != nil && what == "read" && !strings.Contains(err.Error(), c.want) {
					t.Errorf("%s: %.300v, want %q", what, err, c.want)
				}
			}
		})
	}
}
