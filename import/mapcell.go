package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"tinful/store/dim"
	"tinful/store/words"
)

// What is said of cells of a list whose meaning is not certain.
const (
	bothSigns   = "has a comma and a point, or several: write it without a mark between thousands"
	threeDigits = "may be a number with three decimals, or thousands: write it without a mark between thousands"
	aboutMoney  = "is an about figure, and an amount is exact: write a number such as 2.50"
	yearShort   = "has a year of two digits: write all four"
	dayOrMonth  = "may be %s or %s: say which comes first with --dates dmy, mdy or ymd"
	noDayThere  = "is no day in the order %s: write it as 2031-08-31"
	mapNoDay    = "is no day that can be read: write it as 2031-08-31"
)

// cell reads a cell of a list for a column: what a person wrote becomes what the
// column reads, and what may mean two things a problem.
func (m *mapped) cell(a *area, i int, c cell) (text, problem string) {
	text, problem = a.tidy(c, a.heads[i].kind)
	if problem != "" || c.kind != cellText || text == "" {
		return text, problem
	}
	return m.meant(a.heads[i], a.measures(i), text)
}

// measures reports whether a column of the table is a measure.
func (a *area) measures(i int) bool {
	_, is := dim.ByHeading(a.heads[i].name)
	return is && a.t.title() == "Parts"
}

// meant is what a text in a column means.
func (m *mapped) meant(h head, measure bool, text string) (string, string) {
	switch {
	case h.kind == asDay:
		return dayText(text, m.m.Dates)
	case h.money:
		return m.moneyText(text)
	case h.kind != asNumber:
		return text, ""
	case measure:
		return m.measureText(text)
	}
	return m.countText(text)
}

// loosely looks once more at cells of a sheet of the workshop that are not written as
// its columns have them, and reads what is certain: 2 St., 22,00 cr, 31.08.2031. It
// reports whether there is something to be taken anew.
func (a *area) loosely(flaws []flaw) (again bool) {
	if a.r.loose == nil {
		a.r.loose = &mapped{r: a.r, m: &Mapping{Dates: a.r.Dates}, currency: currencyOf(a.r.Currency)}
	}
	m := a.r.loose
	m.main, m.commas = a, a.commas
	for _, f := range flaws {
		if a.bad[f.col] != "" || a.text[f.col] == "" {
			continue
		}
		text, problem := m.meant(a.heads[f.col], a.measures(f.col), a.text[f.col])
		switch {
		case problem == mapNoDay: // the column says it better
		case problem != "":
			a.bad[f.col], again = problem, true
		case text != a.text[f.col]:
			a.text[f.col], again = text, true
		}
	}
	return again
}

// numberIn takes the number at the start of s, with a point for its decimals, and
// what stands behind it. ok is false where s begins with none.
func (m *mapped) numberIn(s string) (number, rest, problem string) {
	end := strings.IndexFunc(s, func(r rune) bool { return !strings.ContainsRune("0123456789.,", r) })
	if end < 0 {
		end = len(s)
	}
	number, rest = s[:end], strings.TrimSpace(s[end:])
	switch {
	case strings.Count(number, ",")+strings.Count(number, ".") > 1:
		return number, rest, bothSigns
	case m.commas && thousands(number):
		return number, rest, twoNumbers
	}
	return pointed(number), rest, ""
}

// measureText reads 0,25 mm, ø 2,6, .014" and 3¼.
func (m *mapped) measureText(s string) (string, string) {
	t := strings.NewReplacer("”", `"`, "″", `"`, "“", `"`, "''", `"`, "¼", " 1/4", "½", " 1/2", "¾", " 3/4", "−", "-").Replace(s)
	t = strings.TrimSpace(strings.TrimLeft(t, "Øø⌀ "))
	sign := ""
	if rest, ok := strings.CutPrefix(t, "-"); ok {
		sign, t = "-", strings.TrimSpace(rest)
	}
	number, rest, problem := m.numberIn(t)
	if problem != "" {
		return s, problem
	}
	switch strings.ToLower(rest) {
	case "zoll", "inch", "inches":
		rest = "in"
	case "grad":
		rest = "deg"
	}
	if rest != "" && rest[0] >= '0' && rest[0] <= '9' {
		if !strings.Contains(rest, "/") {
			return s, bothSigns
		}
		number += " " // 3 1/4
	}
	return sign + number + rest, ""
}

// Words around a number of pieces.
var (
	aboutWords = []string{"ca.", "ca", "circa", "etwa", "ungefähr", "ungefaehr", "rund", "about", "approx.", "approx", "c.", "~", "≈"}
	pieceWords = []string{"st", "st.", "stk", "stk.", "stück", "stueck", "stck", "stck.", "pc", "pcs", "pcs.", "pc.", "piece", "pieces", "x", "×"}
)

// countText reads 2 St., ca. 20 and 20 pcs. What it does not know it leaves to the
// column.
func (m *mapped) countText(s string) (string, string) {
	t, about := strings.ToLower(s), ""
	for _, w := range aboutWords {
		if rest, ok := strings.CutPrefix(t, w); ok {
			t, about = strings.TrimSpace(rest), "ca. "
			break
		}
	}
	number, rest, problem := m.numberIn(t)
	if number == "" {
		return s, ""
	}
	if whole := t[:len(number)]; problem == "" && thousands(strings.Replace(whole, ",", ".", 1)) {
		return s, threeDigits // nobody counts thousandths of a piece
	}
	if tail, ok := strings.CutSuffix(rest, "ca."); ok && about == "" {
		rest, about = strings.TrimSpace(tail), "ca. "
	}
	switch {
	case problem != "":
		return s, problem
	case rest != "" && !slices.Contains(pieceWords, rest):
		return s, ""
	}
	if whole, zeros, ok := strings.Cut(number, "."); ok && zeros != "" && strings.Trim(zeros, "0") == "" {
		number = whole
	}
	return about + number, ""
}

// currencyOf is one word for the signs and words of a currency. From memory.
func currencyOf(s string) string {
	switch s = strings.ToUpper(strings.Trim(strings.TrimSpace(s), ".")); s {
	case "€", "EURO":
		return "EUR"
	case "£":
		return "GBP"
	case "FR", "SFR":
		return "CHF"
	}
	return s
}

// moneyText reads 22,00 cr, € 22 and 22,-. Another currency than that of the workshop
// is a problem.
func (m *mapped) moneyText(s string) (string, string) {
	start := strings.IndexAny(s, "-0123456789,")
	if start < 0 {
		return s, ""
	}
	if start > 0 && s[start-1] == '.' && (start == 1 || s[start-2] == ' ') {
		start-- // .50
	}
	before, t := strings.TrimSpace(s[:start]), s[start:]
	sign := ""
	if rest, ok := strings.CutPrefix(t, "-"); ok {
		sign, t = "-", rest
	}
	if strings.ContainsAny(t, "'’") {
		return s, bothSigns
	}
	for _, end := range []string{",-", ",–", ",—", ".-", ".–", ".—"} {
		if head, tail, ok := strings.Cut(t, end); ok && allDigits(head) {
			t = head + " " + tail
			break
		}
	}
	number, after, problem := m.numberIn(t)
	switch {
	case problem != "":
		return s, problem
	case number == "" || before != "" && after != "":
		return s, ""
	}
	if word := currencyOf(before + after); word != "" {
		if slices.Contains(aboutWords, strings.ToLower(before+after)) {
			return s, aboutMoney
		}
		if strings.ContainsAny(word, " 0123456789,.-/~") || len(word) > 5 {
			return s, ""
		}
		if m.currency == "" {
			m.currency = word
			m.r.said(fmt.Sprintf("%s: amounts are in %s", m.main.name, before+strings.Trim(after, ".")))
		}
		if word != m.currency {
			return s, fmt.Sprintf("is in %s, and the other amounts here are in %s: write what it is in that", word, m.currency)
		}
	}
	return sign + number, ""
}

// monthWords are the first letters of months, folded. From memory.
var monthWords = []string{"jan", "feb", "mar", "apr", "mai", "jun", "jul", "aug", "sep", "okt", "nov", "dez"}

func monthOf(word string) int {
	w := words.Fold(word)
	if len(w) < 3 {
		return 0
	}
	switch w[:3] {
	case "may":
		return 5
	case "oct":
		return 10
	case "dec":
		return 12
	}
	return slices.Index(monthWords, w[:3]) + 1
}

// dayText reads a day as a person writes it. Without an order, a day is read that can
// be one day alone.
func dayText(s, order string) (string, string) {
	parts := strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune("./- ,", r) })
	if len(parts) != 3 {
		return s, mapNoDay
	}
	for i, w := range parts {
		if k := monthOf(w); k > 0 && i < 2 {
			parts[i] = strconv.Itoa(k)
			if i == 1 && len(parts[0]) == 4 {
				order = "ymd"
			} else {
				order = []string{"mdy", "dmy"}[i]
			}
		}
	}
	if slices.ContainsFunc(parts, func(w string) bool { return !allDigits(w) || len(w) > 4 }) {
		return s, mapNoDay
	}
	if len(parts[0]) == 4 {
		if day := dayIn(parts, "ymd"); day != "" {
			return day, "" // nobody writes the year first and the day second
		}
		return s, fmt.Sprintf(noDayThere, "ymd")
	}
	if len(parts[2]) != 4 {
		return s, yearShort
	}
	if order != "" {
		if day := dayIn(parts, order); day != "" {
			return day, ""
		}
		return s, fmt.Sprintf(noDayThere, order)
	}
	a, b := dayIn(parts, "dmy"), dayIn(parts, "mdy")
	switch {
	case a == "" && b == "":
		return s, mapNoDay
	case a != "" && b != "" && a != b:
		return s, fmt.Sprintf(dayOrMonth, a, b)
	}
	return cmp.Or(a, b), ""
}

// dayIn is the day of three numbers in an order, empty where they make none.
func dayIn(parts []string, order string) string {
	var n [3]int // day, month, year
	for i, r := range order {
		k := strings.IndexRune("dmy", r)
		v, err := strconv.Atoi(parts[i])
		if err != nil || (r == 'y') != (len(parts[i]) == 4) {
			return ""
		}
		n[k] = v
	}
	t := time.Date(n[2], time.Month(n[1]), n[0], 0, 0, 0, 0, time.UTC)
	if t.Day() != n[0] || int(t.Month()) != n[1] {
		return ""
	}
	return t.Format(time.DateOnly)
}
