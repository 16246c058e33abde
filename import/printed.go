package sheet

import (
	"cmp"
	"errors"
	"fmt"
	"strings"
	"sync"
	"unicode/utf8"

	"github.com/xuri/excelize/v2"
)

// How a sheet is printed: on A4 or letter, lying where it is wide, as wide as the paper
// and not a column more, and never in letters below 8 point: columns of words give way
// until that is so. Widths are in figures of the usual letters, as spreadsheets count
// them: at 11 point one is 7 pixels of 1/96 inch wide, and 5 lie between two columns
// (ECMA-376 part 1, 18.3.1.13).
const (
	figurePixels, columnPixels = 7, 5
	leastPoint                 = 8.4 // 8 and what an office program loses: it scales in whole per cent, and its columns are 3 % wider
	standingPoint              = 9.5 // what would be smaller lies
	sideInches                 = 0.3
	// letter paper is the narrower of the two when it lies, A4 when it stands
	lyingInches, standingInches = 11, 8.27
)

// roomPixels is how wide a sheet may be that is printed on so many inches in letters of
// so many points.
func roomPixels(inches, point float64) float64 {
	return (inches - 2*sideInches) * 96 * fontSize / point
}

func pixels(widths []float64) (sum float64) {
	for _, w := range widths {
		sum += w*figurePixels + columnPixels
	}
	return sum
}

// wishes are widths that a column likes to have, by its heading.
var wishes = sync.OnceValue(func() map[string]float64 {
	return map[string]float64{
		"Note": 48, "Name": 36, "Aliases": 24, "Fault": 36, "Part name": 30, "Model name": 22, "Measures": 36, "Told by": 32, "Tools": 32,
		"Where": 22, "From": 22, "Operation": 22, "For": 22, "Why": 22, "Carries": 22, "Holds": 10, "Leg ends": 18, "Lens": 14, "Class": 16,
		"Hazard": 12, "Thread": 18, "Accessories": 16, "Maker no": 11, "Goes with": 12, "Origin": 10, "Owner": 11, "Evidence": 11, "Degree": 14,
		"Seat": 9, "Place": 7, "Unit": 6, "About": 7, "Lot": 8, "Grade": 9, "Looks": 8, "What": 10, "Job": 7, "Bag": 9, "Part": 9, "By": 7,
		"Thing": 13, "File": 24, "Caption": 36,
		"Kind": 9, "Years": 10, "Maker": 11, "Family": 11, "Scale": 8, "Shutter": 10, "Shutter no": 10, "Lens no": 10, "Body no": 9, "History": 10,
		"State": 9, "Tray": 6, "Agreed": 8, "Twin": 7, "Donor": 8,
	}
})

// width is what a column likes to have, and whether it can do with less: numbers and
// days cannot.
func width(h head) (wish float64, gives bool) {
	switch {
	case h.kind == asDay:
		return 11, false
	case h.kind == asNumber:
		longest := 0
		for word := range strings.FieldsSeq(h.name) {
			longest = max(longest, utf8.RuneCountInString(word))
		}
		if h.money {
			return float64(max(9, longest+1)), false
		}
		return float64(max(6, longest+1, utf8.RuneCountInString(h.name)/2+2)), false
	}
	return cmp.Or(wishes()[h.name], float64(max(9, utf8.RuneCountInString(h.name)+2))), true
}

// widthsOf are the widths of columns, of which paper has the first.
func widthsOf(cols []shown, printed int) (widths []float64) {
	gives := make([]bool, len(cols))
	for i, h := range cols {
		w, give := width(h.head)
		if h.read >= 0 && !h.text {
			w, give = 7, false
		}
		widths, gives[i] = append(widths, w), give
	}
	giveWay(widths[:printed], gives)
	return widths
}

// giveWay makes columns narrower until all fit on lying paper: the widest together.
func giveWay(widths []float64, gives []bool) {
	room := roomPixels(lyingInches, leastPoint)
	for pixels(widths) > room {
		widest := -1
		for i, w := range widths {
			if gives[i] && (widest < 0 || w > widths[widest]) {
				widest = i
			}
		}
		if widest < 0 || widths[widest] <= 4 {
			return
		}
		widths[widest] -= 0.5
	}
}

// How wide a letter and a blank of a text are on the average, in figures: a little more
// than they are in Carlito, whose widths are those of the usual letters.
const letterWide, blankWide = 0.95, 0.5

// lines is how many lines a text takes in a cell.
func lines(text string, width float64) int {
	if float64(len(text)) <= width {
		return 1
	}
	n, at := 1, 0.0
	for word := range strings.FieldsSeq(text) {
		long := letterWide * float64(utf8.RuneCountInString(word))
		if at > 0 && at+blankWide+long > width {
			n, at = n+1, 0
		}
		if at > 0 {
			at += blankWide
		}
		for at += long; at > width; at -= width { // a word longer than the cell is broken
			n++
		}
	}
	return n
}

// A page says how a sheet is printed.
type page struct {
	widths  []float64
	styles  []int // formats of the columns, or none
	printed int   // how many of them paper has, from the left
	heading int   // rows that every page repeats
}

// printed sets how a sheet is printed.
func printed(f *excelize.File, name string, p page) error {
	yes, wide, tall, a4, stands := true, 1, 0, 9, "landscape"
	if pixels(p.widths[:p.printed]) <= roomPixels(standingInches, standingPoint) {
		stands = "portrait"
	}
	side, high, foot := sideInches, 0.6, 0.3 // inches; the footer lies within the lower margin
	quoted := "'" + strings.ReplaceAll(name, "'", "''") + "'"
	err := errors.Join(
		f.SetSheetProps(name, &excelize.SheetPropsOptions{FitToPage: &yes}),
		f.SetPageLayout(name, &excelize.PageLayoutOptions{Size: &a4, Orientation: &stands, FitToWidth: &wide, FitToHeight: &tall}),
		f.SetPageMargins(name, &excelize.PageLayoutMarginsOptions{Left: &side, Right: &side, Top: &high, Bottom: &high, Header: &foot, Footer: &foot}),
		f.SetHeaderFooter(name, &excelize.HeaderFooterOptions{OddFooter: "&L&F, &A&RPage &P of &N"}),
		f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Titles", RefersTo: fmt.Sprintf("%s!$1:$%d", quoted, max(1, p.heading)), Scope: name}))
	if p.printed == len(p.widths) {
		return err
	}
	area := quoted + "!$A:$" + columnName(p.printed-1)
	return errors.Join(err, f.SetDefinedName(&excelize.DefinedName{Name: "_xlnm.Print_Area", RefersTo: area, Scope: name}))
}
