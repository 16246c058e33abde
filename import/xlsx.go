package sheet

import (
	"archive/zip"
	"bufio"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"tinful/store"
	"tinful/store/code"
)

// A bookSheet is a sheet of a workbook that is to be read.
type bookSheet struct {
	name        string
	t           table
	order, part int
}

// readBook reads the sheets of an .xlsx file.
func (r *reader) readBook(file string) error {
	f, err := excelize.OpenFile(file, excelize.Options{RawCellValue: true})
	if err != nil || len(f.GetSheetList()) == 0 {
		if f != nil {
			_ = f.Close()
		}
		return badInput("%s is no workbook or is damaged: %v", file, cmpErr(err, errors.New("it has no sheets")))
	}
	defer f.Close()
	r.book = true
	if props, err := f.GetWorkbookProps(); err == nil && props.Date1904 != nil {
		r.date1904 = *props.Date1904
	}
	sheets := r.bookSheets(f)
	if len(sheets) == 0 {
		return badInput("%s has none of the sheets %s", file, strings.Join(store.Sheets, ", "))
	}
	partsOf, err := sheetParts(file)
	if err != nil {
		return badInput("%s is damaged: %v", file, err)
	}
	for i, s := range sheets {
		if i > 0 && sheets[i-1].t == s.t && sheets[i-1].part == s.part {
			return badInput("%s: %q and %q are the same sheet: keep one", file, sheets[i-1].name, s.name)
		}
		if err := r.readSheet(f, file, partsOf[s.name], s); err != nil {
			return badInput("%s, sheet %s is damaged: %v", filepath.Base(file), s.name, err)
		}
	}
	return nil
}

func cmpErr(err, other error) error {
	if err != nil {
		return err
	}
	return other
}

func (r *reader) bookSheets(f *excelize.File) []bookSheet {
	var sheets []bookSheet
	for _, name := range f.GetSheetList() {
		t, part := tableNamed(name)
		if t == nil {
			r.report.Ignored = append(r.report.Ignored, fmt.Sprintf("sheet %q", name))
			continue
		}
		sheets = append(sheets, bookSheet{name, t, slices.Index(store.Sheets, t.title()), part})
	}
	slices.SortStableFunc(sheets, func(a, b bookSheet) int {
		if a.order != b.order {
			return a.order - b.order
		}
		return a.part - b.part
	})
	return sheets
}

// readSheet reads one sheet. The library ends at malformed text without an
// error, so the text is gone through on its own meanwhile.
func (r *reader) readSheet(f *excelize.File, file, member string, s bookSheet) error {
	type result struct {
		inspection
		err error
	}
	done := make(chan result, 1)
	go func() {
		in, err := inspect(file, member)
		done <- result{in, err}
	}()
	a := r.area(s.t, s.part, s.name)
	last, err := readRows(f, s.name, a)
	res := <-done
	if err := errors.Join(res.err, err); err != nil {
		return err
	}
	if last != res.last {
		return fmt.Errorf("it has rows up to %d, and only those up to %d could be read", res.last, last)
	}
	for _, c := range res.bad {
		col, row, err := excelize.CellNameToCoordinates(c.ref)
		if err != nil {
			return err
		}
		if a.uses(col - 1) {
			a.problem(row, col-1, c.value, c.problem)
		}
	}
	return nil
}

// uses reports whether column col of the sheet is taken in.
func (a *area) uses(col int) bool { return a.begun && slices.Contains(a.cols, col) }

// readRows hands every row to a and returns the number of the last.
func readRows(f *excelize.File, name string, a *area) (last int, err error) {
	rows, err := f.Rows(name)
	if err != nil {
		return 0, err
	}
	defer rows.Close()
	var shown *excelize.Rows
	if hasFormats(f) {
		if shown, err = f.Rows(name); err != nil {
			return 0, err
		}
		defer shown.Close()
	}
	for row := 1; rows.Next(); row++ {
		raw, err := rows.Columns(excelize.Options{RawCellValue: true})
		if err != nil {
			return last, fmt.Errorf("row %d: %w", row, err)
		}
		var text []string
		if shown != nil && shown.Next() {
			if text, err = shown.Columns(excelize.Options{RawCellValue: false}); err != nil {
				return last, fmt.Errorf("row %d: %w", row, err)
			}
			text = prefer(raw, text)
		}
		last = row
		a.line(row, raw, text)
	}
	return last, rows.Error()
}

// hasFormats reports whether a cell may be shown otherwise than it is stored.
func hasFormats(f *excelize.File) bool {
	return f.Styles != nil && f.Styles.NumFmts != nil && len(f.Styles.NumFmts.NumFmt) > 0
}

// prefer returns the cells as shown where a format pads a whole number to a code,
// such as 123 shown as 00123, else as stored.
func prefer(raw, shown []string) []string {
	out := slices.Clone(raw)
	for i := range min(len(raw), len(shown)) {
		if _, err := strconv.ParseInt(raw[i], 10, 64); err == nil && len(shown[i]) > len(raw[i]) && strings.HasSuffix(shown[i], raw[i]) {
			out[i] = shown[i]
		}
	}
	return out
}

// number turns a cell as stored into what a person meant: a date cell into
// 2031-08-31, and 2.6000000000000001 into 2.6.
func (r *reader) number(s string, k kind) string {
	if k == asDay {
		if day, ok := r.date(s); ok {
			return day
		}
		return s
	}
	if k == asText || !strings.ContainsAny(s, ".eE") || strings.Trim(s, "0123456789.eE+-") != "" {
		return s
	}
	n, err := strconv.ParseFloat(s, 64)
	if err != nil || math.Abs(n) > 1e15 {
		return s
	}
	if n, err = strconv.ParseFloat(strconv.FormatFloat(n, 'g', 15, 64), 64); err != nil {
		return s
	}
	return strconv.FormatFloat(n, 'f', -1, 64)
}

// date reads the number of days that a date cell is stored as.
func (r *reader) date(s string) (string, bool) {
	if day, clock, ok := strings.Cut(s, "T"); ok && len(day) == len(time.DateOnly) && strings.HasPrefix(clock, "00:00:00") {
		return day, true
	}
	n, err := strconv.ParseFloat(s, 64)
	if err != nil || n < 0 || n > 2958465 {
		return "", false
	}
	t, err := excelize.ExcelDateToTime(math.Floor(n), r.date1904)
	if err != nil || code.DayOf(t) <= 0 {
		return "", false
	}
	return code.DayOf(t).String(), true
}

// sheetParts returns the member of the archive that holds each sheet, by the
// sheet's name.
func sheetParts(file string) (map[string]string, error) {
	z, err := zip.OpenReader(file)
	if err != nil {
		return nil, err
	}
	defer z.Close()
	var rels struct {
		Relationship []struct {
			ID     string `xml:"Id,attr"`
			Type   string `xml:"Type,attr"`
			Target string `xml:"Target,attr"`
		}
	}
	if err := unmarshal(z, "_rels/.rels", &rels); err != nil {
		return nil, err
	}
	main := "xl/workbook.xml"
	for _, rel := range rels.Relationship {
		if strings.HasSuffix(rel.Type, "/officeDocument") {
			main = strings.TrimPrefix(rel.Target, "/")
		}
	}
	var book struct {
		Sheets struct {
			Sheet []struct {
				Name string     `xml:"name,attr"`
				Attr []xml.Attr `xml:",any,attr"`
			} `xml:"sheet"`
		} `xml:"sheets"`
	}
	if err := unmarshal(z, main, &book); err != nil {
		return nil, err
	}
	dir, base := path.Split(main)
	rels.Relationship = nil
	if err := unmarshal(z, dir+"_rels/"+base+".rels", &rels); err != nil {
		return nil, err
	}
	members := map[string]string{}
	for _, s := range book.Sheets.Sheet {
		for _, at := range s.Attr {
			for _, rel := range rels.Relationship {
				if at.Name.Local == "id" && at.Value == rel.ID {
					members[s.Name] = target(dir, rel.Target)
				}
			}
		}
	}
	return members, nil
}

func target(dir, name string) string {
	if strings.HasPrefix(name, "/") {
		return path.Clean(name)[1:]
	}
	return path.Join(dir, name)
}

func unmarshal(z *zip.ReadCloser, name string, into any) error {
	f, err := z.Open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	return xml.NewDecoder(f).Decode(into)
}

// An inspection is what going through a sheet's text told.
type inspection struct {
	last int // the number of the last row
	full int // rows that have a value
	bad  []badCell
}

type badCell struct{ ref, value, problem string }

// inspect goes through the text of a sheet to its end. It returns an error where
// it is malformed or its rows do not ascend.
func inspect(file, member string) (in inspection, err error) {
	z, err := zip.OpenReader(file)
	if err != nil {
		return in, err
	}
	defer z.Close()
	f, err := z.Open(member)
	if err != nil {
		return in, err
	}
	defer f.Close()
	dec := xml.NewDecoder(bufio.NewReaderSize(f, 1<<16))
	var c struct {
		ref, kind       string
		formula, valued bool
		text            []byte
	}
	reading, lastFull := false, 0
	for {
		tok, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return in, nil
		}
		if err != nil {
			return in, fmt.Errorf("after row %d: %w", in.last, err)
		}
		switch el := tok.(type) {
		case xml.StartElement:
			switch el.Name.Local {
			case "row":
				n := in.last + 1
				if r := attr(el, "r"); r != "" {
					if n, err = strconv.Atoi(r); err != nil || n <= in.last {
						return in, fmt.Errorf("row %q follows row %d", r, in.last)
					}
				}
				in.last = n
			case "c":
				c.ref, c.kind, c.formula, c.valued, c.text = attr(el, "r"), attr(el, "t"), false, false, c.text[:0]
			case "f":
				c.formula = true
			case "v", "t":
				reading = true
			}
		case xml.CharData:
			if reading && len(el) > 0 {
				c.valued = true
				c.text = append(c.text, el...)
			}
		case xml.EndElement:
			switch el.Name.Local {
			case "v", "t":
				reading = false
			case "c":
				if c.valued && lastFull < in.last {
					lastFull = in.last
					in.full++
				}
				switch {
				case c.ref == "":
				case c.kind == "e":
					in.bad = append(in.bad, badCell{c.ref, string(c.text), "holds an error in place of a value: write the value"})
				case c.formula && !c.valued && c.kind != "str":
					in.bad = append(in.bad, badCell{c.ref, "", "holds a formula without its value: write the value, or open and save the workbook once"})
				}
			}
		}
	}
}

func attr(el xml.StartElement, name string) string {
	for _, a := range el.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}
