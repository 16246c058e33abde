package tell

import "strings"

// A Report is an answer in tables that goes to the screen, into a workbook or onto paper.
type Report struct {
	Title  string
	Facts  [][2]string
	Tables []ReportTable
	Says   string // under all of it
	Sign   string // what is to be signed on paper
	Bare   bool   // its tables say all: a workbook has no sheet about it
	Large  bool   // it hangs on a wall: its letters are read from a step away
}

// A ReportTable is one table of it, left out where it has no rows. A heading that begins
// with ">" is that of a column of numbers.
type ReportTable struct {
	Sheet string // its name in a workbook
	Title string
	Heads []string
	Rows  [][]string
	Note  string
}

// Filled are the tables that have rows.
func (r Report) Filled() (out []ReportTable) {
	for _, t := range r.Tables {
		if len(t.Rows) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// Plain are the headings without the marks of numbers, and which columns are numbers.
func (t ReportTable) Plain() (heads []string, numbers []bool) {
	for _, h := range t.Heads {
		text, number := strings.CutPrefix(h, ">")
		heads, numbers = append(heads, text), append(numbers, number)
	}
	return heads, numbers
}

// Show prints a report.
func (r Report) Show(s *Screen) {
	s.Println(s.Wrapped(r.Title))
	for _, f := range r.Facts {
		s.Println(s.Wrapped(f[0] + ": " + f[1]))
	}
	for _, x := range r.Filled() {
		t := s.WideTable(x.Heads...)
		for _, row := range x.Rows {
			t.Row(row...)
		}
		s.Listed(x.Title, t)
		if x.Note != "" {
			s.Println(s.Wrapped(x.Note))
		}
	}
	if r.Says != "" {
		s.Printf("\n%s\n", s.Wrapped(r.Says))
	}
}
