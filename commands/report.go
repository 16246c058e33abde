package commands

import (
	"cmp"
	"errors"
	"path/filepath"
	"strings"

	"tinful/commands/line"
	"tinful/commands/paper"
	"tinful/commands/tell"
	sheet "tinful/import"
	"tinful/store"
	"tinful/store/code"
)

// writeReport writes a report by the ending of its file: a workbook, CSV, or paper headed
// with the workshop.
func writeReport(c *call, file string, shop store.Shop, day code.Day, r tell.Report, drawings ...paper.Drawing) error {
	switch strings.ToLower(filepath.Ext(file)) {
	case ".xlsx", ".csv":
		return sheet.WriteReport(file, reportSheets(r), c.Bool("replace"))
	case ".pdf":
	default:
		if file != fromLines {
			return line.Usagef("%s: write a name that ends in .pdf, .xlsx or .csv", file)
		}
	}
	_, page, err := paper.ParsePage(cmp.Or(c.String("paper"), "A4"))
	if err != nil {
		return line.AsUsage(err)
	}
	l := paper.Letter{Head: shop.Name, Address: shop.Lines, Title: r.Title, Facts: r.Facts, Sign: r.Sign, Foot: "written " + day.String()}
	var tables []paper.Table
	for _, t := range r.Filled() {
		heads, numbers := t.Plain()
		x := paper.Table{Title: t.Title, Heads: heads, Right: numbers, Rows: t.Rows, Note: t.Note}
		if r.Large {
			x.Point = largePoint
		}
		tables = append(tables, x)
	}
	if r.Says != "" {
		tables = append(tables, paper.Table{Title: "what this is", Note: r.Says})
	}
	return writePaper(c, file, "report", day, func(d *paper.Doc) error {
		d.Report(page, l, tables)
		for _, w := range drawings {
			if err := d.Drawing(page, w); err != nil && !isTooLarge(err) {
				return err
			}
		}
		return nil
	})
}

// largePoint is how large the letters of a list on a wall are.
const largePoint = 15

// isTooLarge tells whether a drawing has no room on its page: its measures stand in words.
func isTooLarge(err error) bool {
	_, large := errors.AsType[*paper.TooLargeError](err)
	return large
}

// reportSheets are a report as sheets: what it is about, then its tables.
func reportSheets(r tell.Report) []sheet.ReportSheet {
	about := sheet.ReportSheet{Name: "About", Heads: []string{"About", "Text"}, Numbers: []bool{false, false}, Rows: [][]string{{"Title", r.Title}}}
	for _, f := range r.Facts {
		about.Rows = append(about.Rows, []string{f[0], f[1]})
	}
	if r.Says != "" {
		about.Rows = append(about.Rows, []string{"Note", r.Says})
	}
	out := []sheet.ReportSheet{about}
	if r.Bare && len(r.Filled()) > 0 {
		out = nil
	}
	for _, t := range r.Filled() {
		heads, numbers := t.Plain()
		out = append(out, sheet.ReportSheet{Name: t.Sheet, Heads: heads, Numbers: numbers, Rows: t.Rows, Large: r.Large})
	}
	return out
}

// toldReport writes a report where a file is named, and shows it elsewhere; answer is it as
// JSON.
func toldReport(c *call, answer any, shop store.Shop, day code.Day, r tell.Report, drawings ...paper.Drawing) error {
	file := c.String("output")
	if file != "" {
		if err := writeReport(c, file, shop, day, r, drawings...); err != nil {
			return err
		}
	}
	switch {
	case file == fromLines:
		return nil
	case c.JSON():
		return c.PrintJSON(answer)
	case file != "":
		c.Printf("%s: written to %s\n", strings.ToLower(r.Title[:1])+r.Title[1:], file)
		return nil
	}
	r.Show(c.Screen)
	return nil
}
