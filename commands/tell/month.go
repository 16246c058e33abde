package tell

import (
	"cmp"
	"fmt"
	"strings"
	"sync"

	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/words"
)

// monthRecord is said once on the sheet of a month.
const monthRecord = "A record, no accounts: what of it is stock, income or tax your accountant and local law decide. Cost is what was noted for a bag, else its share of the parts camera's price. " +
	"The lower of cost and what it would fetch is taken bag by bag; what has no cost counts as nothing, what has no value at its cost."

// Month is the sheet of a month as a report.
func Month(m ask.Month) Report {
	title := map[int]string{4: "Year ", 10: "Month up to "}[len(m.Month)]
	r := Report{Title: cmp.Or(title, "Month ") + m.Month, Facts: [][2]string{{"Days", m.From + " to " + m.To}}, Says: monthRecord}
	if m.HandedOver != "" {
		r.Facts = append(r.Facts, [2]string{"Handed over", m.HandedOver + ", as it is here"})
	} else {
		r.Facts = append(r.Facts, [2]string{"Handed over", "no: it is as the book says today"})
	}
	add := func(sheet, title string, heads []string, rows [][]string, note string) {
		r.Tables = append(r.Tables, ReportTable{Sheet: sheet, Title: title, Heads: heads, Rows: rows, Note: note})
	}
	r.Tables = append(r.Tables,
		moves("Used", "used by job, at cost", m.Used, "job", "customer", "thing", "part", "pieces", "owner", "cost", "fetch"),
		moves("Came", "came in", m.Came, "day", "thing", "part", "pieces", "owner", "from", "amount", "why"),
		moves("Sold", "sold", m.Sold, "day", "thing", "part", "pieces", "to", "amount", "cost", "why"),
		moves("Scrapped", "scrapped", m.Scrapped, "day", "thing", "part", "pieces", "owner", "cost", "why"),
		moves("Cut", "coverings cut up", m.Cut, "day", "thing", "part", "pieces", "job", "owner", "cost", "to", "why"),
		moves("Lost", "lost", m.Lost, "day", "thing", "part", "pieces", "owner", "cost", "why"),
		moves("Made", "made here", m.Made, "day", "thing", "part", "pieces", "from", "minutes"))
	add("Wanted", "wanted and not found", []string{"since", "part", "name", "for", "done instead"}, Each(m.Unmet, func(u ask.MonthUnmet) []string {
		return []string{u.Since, string(u.Part), u.Called(), strings.Join(Filled(string(u.Model), prefixed("job ", u.Job)), ", "), u.Instead}
	}), "")
	add("Last", "down to the last one", []string{"part", "name", ">keep", ">weeks to find"}, Each(m.Last, func(l ask.MonthLast) []string {
		keep := ""
		if l.Keep != nil {
			keep = fmt.Sprint(*l.Keep)
		}
		return []string{string(l.Part), l.Called(), keep, fmt.Sprint(l.Weeks)}
	}), "")
	add("Idle", "parts cameras that gave nothing for a year", []string{"camera", "model", "bought", ">cost"}, Each(m.Idle, func(d ask.MonthIdle) []string {
		return []string{string(d.Donor), string(d.Model), d.Bought, Money(d.Cost)}
	}), "")
	r.Tables = append(r.Tables, moves("Held", "held for closed jobs", m.HeldClosed, "job", "customer", "thing", "part", "pieces", "why"), property("Others", "property of others", "owner", m.Others))
	r.Tables = append(r.Tables, stockTable(m.Value))
	add("Written down", "would fetch less than they cost", []string{"thing", "part", "name", ">pieces", ">cost", ">fetch", "why"}, Each(m.WrittenDown, func(d ask.MonthDown) []string {
		return []string{string(d.Thing), string(d.Part), d.Called(), fmt.Sprint(d.Pieces), d.Cost.String(), d.Fetch.String(), downWords(d)}
	}), "")
	var uncounted [][]string
	if len(m.Uncounted) > 0 {
		uncounted = [][]string{{fmt.Sprint(len(m.Uncounted)), words.List(m.Uncounted, ", ")}}
	}
	add("Never counted", "never counted", []string{">bags", "which"}, uncounted, "")
	r.Tables = append(r.Tables, moves("After the sheet", "after the sheet: booked since into months that were handed over", m.After,
		"day", "what", "thing", "part", "pieces", "job", "to", "amount", "cost", "why"))
	return r
}

func prefixed[S ~string](before string, s S) string {
	if s == "" {
		return ""
	}
	return before + string(s)
}

// A monthCell is a column of moves: its heading, and what it says of one.
type monthCell struct {
	head string
	of   func(ask.MonthMove) string
}

var monthCells = sync.OnceValue(func() map[string]monthCell {
	return map[string]monthCell{
		"day":      {"day", func(x ask.MonthMove) string { return x.Day }},
		"what":     {"what", func(x ask.MonthMove) string { return x.What }},
		"job":      {"job", func(x ask.MonthMove) string { return string(x.Job) }},
		"customer": {"customer", func(x ask.MonthMove) string { return x.Customer }},
		"owner":    {"whose", func(x ask.MonthMove) string { return OwnerWords(x.Owner) }},
		"thing":    {"thing", func(x ask.MonthMove) string { return string(x.Bag) + string(x.Donor) }},
		"part":     {"part", func(x ask.MonthMove) string { return strings.Join(Filled(string(x.Part), x.Called()), " ") }},
		"pieces":   {">pieces", func(x ask.MonthMove) string { return strings.TrimSpace(fmt.Sprint(x.Pieces) + " " + x.Unit) }},
		"from":     {"from", func(x ask.MonthMove) string { return x.From }},
		"to":       {"to", func(x ask.MonthMove) string { return x.To }},
		"why":      {"why", func(x ask.MonthMove) string { return x.Why }},
		"amount": {">amount", func(x ask.MonthMove) string {
			if x.NoPrice {
				return "no price"
			}
			return Money(x.Amount)
		}},
		"cost":    {">cost", func(x ask.MonthMove) string { return Money(x.Cost) }},
		"fetch":   {">value", func(x ask.MonthMove) string { return Money(x.Fetch) }},
		"minutes": {">minutes", func(x ask.MonthMove) string { return numberOrNone(x.Minutes) }},
	}
})

func numberOrNone(n int64) string {
	if n == 0 {
		return ""
	}
	return fmt.Sprint(n)
}

// moves are a table of moves with the sums of its money.
func moves(sheet, title string, list []ask.MonthMove, cols ...string) ReportTable {
	t := ReportTable{Sheet: sheet, Title: title}
	for _, c := range cols {
		t.Heads = append(t.Heads, monthCells()[c].head)
	}
	var amount, cost code.Cents
	unknown := 0
	for _, x := range list {
		t.Rows = append(t.Rows, Each(cols, func(c string) string { return monthCells()[c].of(x) }))
		if x.Amount != nil {
			amount += *x.Amount
		}
		if x.Cost != nil {
			cost += *x.Cost
		} else {
			unknown++
		}
	}
	var sums []string
	for _, c := range cols {
		switch {
		case c == "amount":
			sums = append(sums, "amounts "+amount.String())
		case c == "cost" && unknown > 0:
			sums = append(sums, fmt.Sprintf("cost %s and %s without one", cost, Many(unknown, "line")))
		case c == "cost":
			sums = append(sums, "cost "+cost.String())
		}
	}
	if len(sums) > 0 {
		t.Note = "Together: " + strings.Join(sums, ", ") + "."
	}
	return t
}

// stockTable is the stock by class, with its sum.
func stockTable(list []ask.MonthValue) ReportTable {
	t := ReportTable{Sheet: "Stock", Title: "stock by class, at the lower of cost and what it would fetch",
		Heads: []string{"class", ">pieces", ">cost", ">would fetch", ">lower", ">without cost", ">without value"}}
	var cost, fetch, lower code.Cents
	for _, v := range list {
		t.Rows = append(t.Rows, []string{stockClass(v), strings.TrimSpace(fmt.Sprint(v.Pieces) + " " + v.Unit), v.Cost.String(), v.Fetch.String(), v.Lower.String(), numberOrNone(v.NoCost), numberOrNone(v.NoValue)})
		cost, fetch, lower = cost+v.Cost, fetch+v.Fetch, lower+v.Lower
	}
	t.Note = fmt.Sprintf("Together: cost %s, would fetch %s, lower %s.", cost, fetch, lower)
	return t
}

func stockClass(v ask.MonthValue) string {
	switch v.Class {
	case "donor":
		return "parts cameras"
	case "":
		return "not sorted"
	}
	return words.ClassName(v.Class)
}

// downWords say why a thing would fetch less than it cost.
func downWords(d ask.MonthDown) string {
	switch {
	case d.Grade == "":
		return "its price against what it and what is in it would fetch"
	case d.Chance == 0:
		return d.Grade + ": nobody buys it"
	case d.Chance < 100:
		return fmt.Sprintf("value %s a piece, %s: %d %% of it", Money(d.Value), d.Grade, d.Chance)
	}
	return fmt.Sprintf("value %s a piece", Money(d.Value))
}

// property is a table of things that one has and another owns.
func property(sheet, title, who string, list []ask.MonthProperty) ReportTable {
	t := ReportTable{Sheet: sheet, Title: title, Heads: []string{who, "thing", "what", ">pieces", "since", ">value"}}
	var sum code.Cents
	unsaid := 0
	for _, x := range list {
		t.Rows = append(t.Rows, []string{OwnerWords(x.Owner), string(x.Thing), strings.Join(Filled(string(x.Part), string(x.Model), x.What), " "), fmt.Sprint(x.N), x.Since, Money(x.Value)})
		if x.Value != nil {
			sum += *x.Value
		} else {
			unsaid++
		}
	}
	t.Note = "Together: " + sum.String()
	if unsaid > 0 {
		t.Note += fmt.Sprintf(", and %s of which nobody said the value", Many(unsaid, "line"))
	}
	t.Note += "."
	return t
}

// Custody is who had what on a day as a report.
func Custody(c ask.Custody) Report {
	return Report{Title: "Who had what on " + c.Day, Tables: []ReportTable{property("In the house", "in the house, of others", "owner", c.Others), property("Lent", "the workshop's, with others", "who has it", c.Lent)},
		Says: "A record as the book says it today. Nobody notes when a camera was fetched: one that is collected counts as gone when its job was closed. Values are as they were typed."}
}
