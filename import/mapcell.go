package sheet

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/spring"
	"tinful/store/words"
)

// What is said of cells of a list whose meaning is not certain.
const (
	bothSigns   = "has several marks and is no number with thousands: write it without a mark between thousands"
	threeDigits = "may be a number with three decimals, or thousands: write it without a mark between thousands"
	aboutMoney  = "is an about figure, and an amount is exact: write a number such as 2.50"
	noCurrency  = "is no amount with a currency that is known: write a number such as 2.50"
	yearShort   = "has a year of two digits: write all four"
	dayOrMonth  = "may be %s or %s, and no other day of its column says which comes first"
	halfPiece   = "is half a piece: write whole pieces, and what is broken as a note"
	isDitto     = "stands for what is above it: let the map fill the column, or write it out"
	noDayThere  = "is no day in the order %s: write it as 2031-08-31"
	mapNoDay    = "is no day that can be read: write it as 2031-08-31"
)

// cell reads a cell of a list for a column: what a person wrote becomes what the
// column reads, and what may mean two things a problem.
func (m *mapped) cell(a *area, i int, c cell) (text, problem string) {
	text, problem = a.tidy(c, a.heads[i].kind)
	if c.kind != cellText || text == "" {
		return text, problem
	}
	if value, ok := m.values[aim{sheet: a.t.title(), col: i}][words.Fold(text)]; ok {
		text, problem = value, ""
	}
	if cellWords().is("above", text) {
		if !m.fills(a, i) {
			return text, isDitto
		}
		return "", "" // and filled from above
	}
	if problem != "" {
		return text, problem
	}
	if a.heads[i].name == "Origin" {
		for _, w := range store.Origins { // in other languages
			if cellWords().is(w, text) {
				return w, ""
			}
		}
	}
	if kind := namesA(a, i); kind != "" {
		return m.nameOf(kind, text), ""
	}
	if a.heads[i].name == "Class" {
		return m.class(a, c.col, text), ""
	}
	return m.meant(a, i, c.col, text)
}

// measures reports whether a column of the table is a measure.
func (a *area) measures(i int) bool {
	_, is := dim.ByHeading(a.heads[i].name)
	return is && a.t.title() == "Parts"
}

// meant is what a text in a column of the table, and of the list, means.
func (m *mapped) meant(a *area, i, col int, text string) (string, string) {
	switch h := a.heads[i]; {
	case h.kind == asDay:
		return m.day(a, col, text)
	case h.money:
		return m.moneyText(text)
	case h.kind != asNumber:
		return text, ""
	case a.measures(i):
		return m.measureText(text)
	case h.name == "Quantity":
		return m.quantityText(a, col, text)
	}
	return m.countText(text)
}

// loosely looks once more at cells of a sheet of the workshop that are not written as
// its columns have them, and reads what is certain: 2 St., 22,00 cr, 31.08.2031. It
// reports whether there is something to be taken anew.
func (a *area) loosely(flaws []flaw, row int) (again bool) {
	if a.r.loose == nil {
		a.r.loose = &mapped{r: a.r, m: &Mapping{Dates: a.r.Dates}}
		a.r.loose.currency, _ = currencyOf(a.r.Currency)
	}
	m := a.r.loose
	m.main, m.commas, m.row = a, a.commas, row
	for _, f := range flaws {
		if a.bad[f.col] != "" || a.text[f.col] == "" {
			continue
		}
		text, problem := m.meant(a, f.col, max(a.cols[f.col], 0), a.text[f.col])
		switch {
		case problem == mapNoDay || problem == noCurrency: // the column says it better
		case problem != "":
			a.bad[f.col], again = problem, true
		case text != a.text[f.col]:
			a.text[f.col], again = text, true
		}
	}
	return again
}

// plainSigns are digits, letters and signs as other keyboards have them, in the form
// that is read.
var plainSigns = sync.OnceValue(func() *strings.Replacer {
	return strings.NewReplacer(slices.Concat(
		[]string{"\u00a0", " ", "\u202f", " ", "\u2009", " ", "\u3000", " ", "−", "-", "’", "'"}, fullWidth())...)
})

// fullWidth are the signs of ASCII as a Japanese keyboard has them, each with its own.
func fullWidth() (pairs []string) {
	for r := '!'; r <= '~'; r++ {
		pairs = append(pairs, string(r-'!'+'！'), string(r))
	}
	return pairs
}

// numberIn takes the number at the start of s, with a point for its decimals, and
// what stands behind it. ok is false where s begins with none.
func (m *mapped) numberIn(s string) (number, rest, problem string) {
	end := numberEnd(s)
	number, rest = s[:end], strings.TrimSpace(s[end:])
	bare := strings.NewReplacer(" ", "", "'", "").Replace(number)
	points, commas := strings.Count(bare, "."), strings.Count(bare, ",")
	switch {
	case points+commas == 0:
		return bare, rest, ""
	case points+commas > 1 || bare != number:
		out, ok := grouped(bare, bare != number)
		if !ok {
			return number, rest, bothSigns
		}
		return out, rest, ""
	case m.commas && thousands(number):
		return number, rest, twoNumbers
	}
	return pointed(number), rest, ""
}

// numberEnd is where the number at the start of s ends. A blank or an apostrophe
// belongs to it between a digit and three of them.
func numberEnd(s string) int {
	digit := func(i int) bool { return i >= 0 && i < len(s) && s[i] >= '0' && s[i] <= '9' }
	i := 0
	for ; i < len(s); i++ {
		group := (s[i] == ' ' || s[i] == '\'') && digit(i-1) && digit(i+1) && digit(i+2) && digit(i+3) && !digit(i+4)
		if !digit(i) && s[i] != '.' && s[i] != ',' && !group {
			break
		}
	}
	return i
}

// grouped is a number with marks between its thousands as one without, where it can
// be read in but one way: all marks but the last are of one kind, and so is the last
// unless it is the decimal mark. With parted the thousands are parted otherwise.
func grouped(s string, parted bool) (string, bool) {
	last := strings.LastIndexAny(s, ".,")
	mark, whole, frac := s[last:last+1], s[:last], s[last+1:]
	if parted {
		return whole + "." + frac, allDigits(whole) && allDigits(frac)
	}
	if strings.Contains(whole, mark) { // 1.234.567: no decimals
		whole, frac = s, ""
	} else {
		mark = map[string]string{".": ",", ",": "."}[mark]
	}
	groups := strings.Split(whole, mark)
	for i, g := range groups {
		if !allDigits(g) || i > 0 && len(g) != 3 || i == 0 && len(g) > 3 {
			return "", false
		}
	}
	if frac == "" {
		return strings.Join(groups, ""), len(groups) > 1 && !strings.HasSuffix(s, mark)
	}
	return strings.Join(groups, "") + "." + frac, allDigits(frac)
}

// fractions are the signs of fractions, as a number and one.
var fractions = strings.NewReplacer("¼", " 1/4", "½", " 1/2", "¾", " 3/4", "⅛", " 1/8", "⅜", " 3/8", "⅝", " 5/8", "⅞", " 7/8", "⅓", " 1/3", "⅔", " 2/3", "⁄", "/")

// measureText reads 0,25 mm, ø 2,6, .014", 3¼ and SWG 30.
func (m *mapped) measureText(s string) (string, string) {
	t := fractions.Replace(plainSigns().Replace(s))
	t = strings.NewReplacer("”", `"`, "″", `"`, "“", `"`, "''", `"`).Replace(t)
	t = strings.TrimSpace(strings.TrimLeft(t, "Øø⌀ "))
	if wire, ok := gaugeWire(t); ok {
		return wire, ""
	}
	sign := ""
	if rest, ok := strings.CutPrefix(t, "-"); ok {
		sign, t = "-", strings.TrimSpace(rest)
	}
	number, rest, problem := m.numberIn(t)
	if problem != "" {
		return s, problem
	}
	switch strings.ToLower(rest) {
	case "zoll", "inch", "inches", "pouce", "pouces", "pulgada", "pulgadas", "pollici", "duim":
		rest = "in"
	case "grad", "degré", "degrés", "grados", "gradi", "graden", "度":
		rest = "deg"
	case "ミリ", "㎜":
		rest = "mm"
	}
	if rest != "" && rest[0] >= '0' && rest[0] <= '9' {
		if !strings.Contains(rest, "/") {
			return s, bothSigns
		}
		number += " " // 3 1/4
	}
	return sign + number + rest, ""
}

// gaugeWire is the wire of a number of a table of gauges, SWG 30 or 30 SWG.
func gaugeWire(s string) (string, bool) {
	f := strings.Fields(strings.ToUpper(s))
	if len(f) != 2 {
		return "", false
	}
	for _, table := range []string{spring.SWG, spring.BWG} {
		for i := range f {
			if strings.EqualFold(f[i], table) {
				g, ok := spring.GaugeNo(table, f[1-i])
				return dim.Format(dim.Wire, g.Wire) + "mm", ok
			}
		}
	}
	return "", false
}

// cutAbout takes the word for about off the start or the end of a text.
func cutAbout(s string) (rest string, about bool) {
	if rest, about = cellWords().cut("about", s); about {
		return rest, true
	}
	for _, end := range []string{"ca.", "ca", "±", "~", "or so", "oder so"} {
		if rest, ok := strings.CutSuffix(s, end); ok {
			return strings.TrimSpace(rest), true
		}
	}
	return s, false
}

// about begins a quantity that is one of about so many.
func about(so bool) string {
	if so {
		return "ca. "
	}
	return ""
}

// quantityText reads a number of pieces in words as well: two, a pair; and as about,
// which is remarked upon, 2-3, 10+ and lots.
func (m *mapped) quantityText(a *area, col int, s string) (string, string) {
	t := strings.ToLower(plainSigns().Replace(s))
	if strings.ContainsAny(t, "½¼¾⅓⅔") || strings.Contains(t, "1/2") {
		return s, halfPiece
	}
	low, _, open := strings.Cut(t, "-")
	if !open {
		low, open = strings.CutSuffix(t, "+")
	}
	low = strings.TrimSpace(low)
	some := cellWords().is("some", t) && !strings.HasSuffix(s, "Paar") // ein paar are some, ein Paar are two
	if some {
		low = "1"
	}
	if some || open && allDigits(low) && strings.Trim(t, "0123456789+- ") == "" {
		m.remark(a, col, "quantities that are no number are read as about", fmt.Sprintf("%q as ca. %s", s, low))
		return "ca. " + low, ""
	}
	text, problem := m.countText(numbered(t))
	if _, err := code.ParseSheetQty(text); err != nil && problem == "" {
		return s, ""
	}
	return text, problem
}

// numbered is a text whose number is in digits: two pcs, a dozen, a pair, pair, 一対.
func numbered(t string) string {
	bare, so := cutAbout(t)
	table := cellWords()
	first, rest, _ := strings.Cut(bare, " ")
	n, ok := table.number(bare)
	switch {
	case ok:
		rest = ""
	case table.is("pair", bare), table.is("dozen", bare):
		n, rest, ok = 1, bare, true
	default:
		n, ok = table.number(first)
	}
	for i := range bare { // words that no blank parts
		if k, is := table.number(bare[:i]); !ok && is && (table.is("pair", bare[i:]) || table.is("piece", bare[i:]) || table.is("dozen", bare[i:])) {
			n, rest, ok = k, bare[i:], true
		}
	}
	if !ok {
		return t
	}
	return strings.TrimSpace(about(so) + strconv.FormatInt(n, 10) + " " + rest)
}

// countText reads 2 St., ca. 20, 20 pcs and 3 pairs. What it does not know it leaves
// to the column.
func (m *mapped) countText(s string) (string, string) {
	t, so := cutAbout(strings.ToLower(plainSigns().Replace(s)))
	number, rest, problem := m.numberIn(t)
	switch raw := t[:numberEnd(t)]; {
	case number == "":
		return s, ""
	case problem != "":
		return s, problem
	case thousands(strings.Replace(raw, ",", ".", 1)):
		return s, threeDigits // nobody counts thousandths of a piece
	}
	if tail, too := cutAbout(rest); too && !so {
		rest, so = tail, true
	}
	if whole, zeros, ok := strings.Cut(number, "."); ok && zeros != "" && strings.Trim(zeros, "0") == "" {
		number = whole
	}
	for what, each := range map[string]int64{"pair": 2, "dozen": 12} {
		if n, err := strconv.ParseInt(number, 10, 32); err == nil && cellWords().is(what, rest) {
			number, rest = strconv.FormatInt(each*n, 10), ""
		}
	}
	if rest != "" && !cellWords().is("piece", rest) {
		return s, ""
	}
	return about(so) + number, ""
}

// currencies are signs and words of currencies by what they are one word for. From
// memory; cr is that of the demo.
var currencies = sync.OnceValue(func() map[string]string {
	return map[string]string{"EUR": "EUR", "€": "EUR", "EURO": "EUR", "EUROS": "EUR", "GBP": "GBP", "£": "GBP", "USD": "USD", "$": "USD", "US$": "USD", "CHF": "CHF",
		"FR": "CHF", "SFR": "CHF", "JPY": "JPY", "¥": "JPY", "￥": "JPY", "円": "JPY", "YEN": "JPY", "CR": "CR", "SEK": "SEK", "NOK": "NOK", "DKK": "DKK", "KR": "KR", "PLN": "PLN", "ZŁ": "PLN",
		"CZK": "CZK", "KČ": "CZK", "HUF": "HUF", "FT": "HUF", "DM": "DM", "DEM": "DM"}
})

// currencyOf is one word for the signs and words of a currency, and whether it is one
// that is known.
func currencyOf(s string) (word string, known bool) {
	s = strings.ToUpper(strings.Trim(strings.TrimSpace(s), "."))
	if word, known = currencies()[s]; known {
		return word, true
	}
	return s, false
}

// moneyText reads 22,00 cr, € 22, 22,- and 1'250.-. Another currency than that of the
// workshop is a problem.
func (m *mapped) moneyText(s string) (string, string) {
	plain := plainSigns().Replace(s)
	start := strings.IndexAny(plain, "-0123456789,")
	if start < 0 {
		return s, ""
	}
	if start > 0 && plain[start-1] == '.' && (start == 1 || plain[start-2] == ' ') {
		start-- // .50
	}
	before, t := strings.TrimSpace(plain[:start]), plain[start:]
	sign := ""
	if rest, ok := strings.CutPrefix(t, "-"); ok {
		sign, t = "-", rest
	}
	for _, end := range []string{",-", ",–", ",—", ".-", ".–", ".—"} {
		if head, tail, ok := strings.Cut(t, end); ok && numberEnd(head) == len(head) && head != "" {
			t = head + " " + tail
			break
		}
	}
	number, after, problem := m.numberIn(t)
	switch raw := t[:numberEnd(t)]; {
	case problem != "":
		return s, problem
	case number != "" && after != "" && cellWords().is("about", before):
		return s, aboutMoney
	case number == "" || before != "" && after != "":
		return s, ""
	case thousands(strings.Replace(raw, ",", ".", 1)):
		return s, threeDigits
	}
	if problem := m.currencyIs(before + after); problem != "" {
		return s, problem
	}
	return sign + number, ""
}

// currencyIs holds the word beside an amount against the currency of the list, which
// the first one sets.
func (m *mapped) currencyIs(beside string) (problem string) {
	word, known := currencyOf(beside)
	switch {
	case word == "":
		return ""
	case cellWords().is("about", beside):
		return aboutMoney
	case !known && word != m.currency:
		return noCurrency
	case m.currency == "":
		m.currency = word
		m.r.said(fmt.Sprintf("%s: amounts are in %s", m.main.name, strings.Trim(beside, ".")))
	case word != m.currency:
		return fmt.Sprintf("is in %s, and the other amounts here are in %s: write what it is in that", word, m.currency)
	}
	return ""
}
