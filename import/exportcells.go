package sheet

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf16"

	"tinful/store"
	"tinful/store/code"
)

// Cells as they stand in the XML of a sheet (ECMA-376 part 1, 18.3.1.4), byte for byte as
// excelize writes them.

// A cellFrame is what stands around the cells of a column, but for the number of the row.
type cellFrame struct{ column, style string }

func frameOf(col, style int) cellFrame {
	return cellFrame{`<c r="` + columnName(col), `" s="` + strconv.Itoa(style) + `"`}
}

// number adds a cell that holds a number.
func (f cellFrame) number(b, row []byte, number string) []byte {
	b = append(append(append(b, f.column...), row...), f.style...)
	return append(append(append(b, "><v>"...), number...), "</v></c>"...)
}

// text adds a cell that holds a text.
func (f cellFrame) text(b, row []byte, text string) []byte {
	b = append(append(append(b, f.column...), row...), f.style...)
	b = append(b, ` t="inlineStr"><is><t`...)
	if isBlank(text[0]) || isBlank(text[len(text)-1]) {
		b = append(b, ` xml:space="preserve"`...)
	}
	b = append(b, '>')
	for i := range len(text) {
		if !isPlain(text[i]) {
			return append(append(b, escaped(text)...), "</t></is></c>"...)
		}
	}
	return append(append(b, text...), "</t></is></c>"...)
}

// isBlank says that a letter at an end of a text is lost unless it is said to be kept.
func isBlank(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\r' }

// isPlain says that a letter stands for itself wherever it is.
func isPlain(c byte) bool {
	switch c {
	case '"', '&', '\'', '<', '>', '_':
		return false
	}
	return c >= ' ' && c < 0x7f
}

// escaped is a text as XML has it. What reads there like a letter that XML does not allow
// (see unescape) is marked as none.
func escaped(text string) []byte {
	var b bytes.Buffer
	_ = xml.EscapeText(&b, []byte(text)) // a buffer takes all
	out := bytes.ReplaceAll(b.Bytes(), []byte("&#xA;"), []byte("\n"))
	for i := len(out) - 1; i >= 0; i-- {
		if out[i] != '_' {
			continue
		}
		if _, ok := escapeAt(string(out[i:min(i+7, len(out))])); ok {
			out = append(out[:i], append([]byte("_x005F"), out[i:]...)...)
		}
	}
	return out
}

// fits refuses a text that a cell cannot hold.
func fits(text string) error {
	if n := len(utf16.Encode([]rune(text))); n > longest {
		return fmt.Errorf("the text has %d letters, and a cell of a workbook holds %d: shorten it, or export to a folder of CSV files: %w", n, longest, store.ErrRefused)
	}
	return nil
}

// number is how a workbook writes a cell that is a number: one of at most 15 digits that
// reads back as the same, and a day as a number of days from 1899-12-30. Everything else is
// text, codes are.
func number(cell string, k kind) (text string, ok bool) {
	switch {
	case k == asDay:
		d, err := code.ISODay(cell)
		return strconv.Itoa(int(d) + firstSerial), err == nil
	case k != asNumber || cell == "" || strings.Trim(cell, "-0.123456789") != "" || digits(cell) > 15:
		return "", false
	case digits(cell) == len(cell) && cell[0] != '0':
		return cell, true
	}
	n, err := strconv.ParseFloat(cell, 64)
	text = bare(cell)
	return text, err == nil && strconv.FormatFloat(n, 'f', -1, 64) == text
}

// value is what a cell holds that excelize writes: nil, a number or a text.
func value(cell string, k kind) any {
	if cell == "" {
		return nil
	}
	if text, ok := number(cell, k); ok {
		n, _ := strconv.ParseFloat(text, 64) // it reads back as the same
		return n
	}
	return cell
}

// firstSerial is 1970-01-01 counted in days from 1899-12-30.
const firstSerial = 25569

func digits(s string) (n int) {
	for _, c := range s {
		if c >= '0' && c <= '9' {
			n++
		}
	}
	return n
}

// bare returns a decimal number without the noughts after its last digit.
func bare(s string) string {
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}
