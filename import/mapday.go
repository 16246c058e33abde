package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
)

// day reads a day of a column of the list: by the order that was said, else by that
// which a cell of the column proves, else day first where points part it.
func (m *mapped) day(a *area, col int, s string) (string, string) {
	if m.m.Dates != "" {
		return dayText(s, m.m.Dates)
	}
	days, problem := dayReadings(s, "")
	if len(days) < 2 {
		return dayText(s, "")
	}
	proof := m.orders[col]
	switch {
	case proof.order != "":
		m.remark(a, col, fmt.Sprintf("days that may be two are read %s, as %s can be but one", dayOrders[proof.order], proof.cell), strconv.Quote(s))
		return dayText(s, proof.order)
	case !proof.both && strings.Count(s, ".") == 2:
		m.remark(a, col, "days with points are read day first", strconv.Quote(s))
		return days[0], ""
	}
	m.r.asks("dates")
	return s, problem
}

// dayOrders say the orders of days in words.
var dayOrders = map[string]string{"dmy": "day first", "mdy": "month first"}

// A dayProof is the order that a cell of a column of days proves, and that cell; both
// where its cells prove two.
type dayProof struct {
	order, cell string
	both        bool
}

// prove looks whether a text proves the order of the days beside it.
func (p *dayProof) prove(s, cell string) {
	if days, _ := dayReadings(s, ""); len(days) != 1 {
		return
	}
	first, _ := dayReadings(s, "dmy")
	second, _ := dayReadings(s, "mdy")
	if len(first) == len(second) {
		return
	}
	order := "dmy"
	if len(second) == 1 {
		order = "mdy"
	}
	p.both = p.both || p.order != "" && p.order != order
	if p.order, p.cell = cmp.Or(p.order, order), cmp.Or(p.cell, fmt.Sprintf("%s %q", cell, s)); p.both {
		p.order = ""
	}
}

// dayText reads a day as a person writes it. Without an order, a day is read that can
// be one day alone.
func dayText(s, order string) (string, string) {
	days, problem := dayReadings(s, order)
	if len(days) == 1 {
		return days[0], ""
	}
	return s, problem
}

// dayReadings are the days that a text may be, day first before month first, and what
// is wrong with it where they are not one.
func dayReadings(s, order string) (days []string, problem string) {
	parts := dayParts(s)
	if len(parts) != 3 {
		return nil, mapNoDay
	}
	for i, w := range parts {
		if k := cellWords().month(w); k > 0 && i < 2 {
			parts[i] = strconv.Itoa(k)
			if i == 1 && len(parts[0]) == 4 {
				order = "ymd"
			} else {
				order = []string{"mdy", "dmy"}[i]
			}
		}
	}
	if slices.ContainsFunc(parts, func(w string) bool { return !allDigits(w) || len(w) > 4 }) {
		return nil, mapNoDay
	}
	switch {
	case len(parts[0]) == 4:
		order = "ymd" // nobody writes the year first and the day second
	case len(parts[2]) != 4:
		return nil, yearShort
	}
	if order != "" {
		if day := dayIn(parts, order); day != "" {
			return []string{day}, ""
		}
		return nil, fmt.Sprintf(noDayThere, order)
	}
	for _, order := range []string{"dmy", "mdy"} {
		if day := dayIn(parts, order); day != "" && !slices.Contains(days, day) {
			days = append(days, day)
		}
	}
	switch len(days) {
	case 0:
		return nil, mapNoDay
	case 2:
		return days, fmt.Sprintf(dayOrMonth, days[0], days[1])
	}
	return days, ""
}

// dayParts are the three parts of a day, without the small words and endings around
// them: 3 de abril de 2031, 3rd, 1er, 2031年4月3日.
func dayParts(s string) []string {
	parts := strings.FieldsFunc(plainSigns().Replace(s), func(r rune) bool { return strings.ContainsRune("./- ,年月日", r) })
	parts = slices.DeleteFunc(parts, func(w string) bool {
		return slices.Contains([]string{"de", "del", "of", "the", "den", "le", "il", "op"}, strings.ToLower(w))
	})
	for i, w := range parts {
		for _, end := range []string{"st", "nd", "rd", "th", "er", "º", "°", "e"} {
			if number, ok := strings.CutSuffix(strings.ToLower(w), end); ok && allDigits(number) && len(number) < 3 {
				parts[i] = number
			}
		}
	}
	return parts
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
