package page

import (
	"fmt"
	"strconv"
	"strings"

	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/odds"
)

// mostLow is how many parts that run short are told whole.
const mostLow = 40

// A lowPage is what runs short, the worst first.
type lowPage struct {
	Short  int
	Whole  []lowPart
	Others []lowPart // not below their number, but likely to be missed
	More   []link
	Left   int // without a line here
	Only   bool
	Last   []link
}

// A lowPart is a part that runs short.
type lowPart struct {
	Part, Name, To, Free, Keep string
	Why                        []string
	Do                         string
	None                       bool
}

func showLow(v *visit) {
	answer := asked(v, ask.Low, ask.LowQuery{Today: v.page.bench.Day(v.view.View), Detail: mostLow})
	out := lowPage{Short: answer.Short, Only: answer.Only}
	more := func(part code.Code, name string, told ...string) {
		if len(out.More) == mostHits {
			out.Left++
			return
		}
		out.More = append(out.More, link{v.Thing("part", part), string(part) + " " + name, strings.Join(tell.Filled(told...), ", ")})
	}
	free := func(n int64) string { return strconv.FormatInt(n, 10) + " free" }
	keep := func(n int64) string { return "keep " + strconv.FormatInt(n, 10) }
	for i, l := range answer.Low {
		p := lowPart{Part: string(l.Part), Name: l.Called(), Free: free(l.Free), None: l.Free <= 0}
		if l.Keep != nil {
			p.Keep = keep(*l.Keep)
		}
		if !l.Whole {
			more(l.Part, l.Called(), p.Free, p.Keep)
			continue
		}
		p.To = v.Thing("part", l.Part)
		if p.Why = store.Texts(l.Why[1:]); l.Do != nil {
			p.Do = l.Do.Text
		}
		if i < answer.Short {
			out.Whole = append(out.Whole, p)
		} else {
			out.Others = append(out.Others, p)
		}
	}
	for p := range answer.Rest.All() {
		more(code.Code(p.Part), p.Called(), free(p.Free), keep(p.Keep))
	}
	out.Last = tell.Each(answer.Last, func(l ask.LastOne) link {
		return link{v.Thing("part", l.Part), string(l.Part) + " " + l.Called(), fmt.Sprintf("%d weeks to find", l.Weeks)}
	})
	v.screen, v.Title, v.Body = "low", "low", out
}

// A missingPage is how often parts go missing.
type missingPage struct {
	Model     string
	Models    []string
	Bodies    string
	Parts     []missing
	More      int
	Never     int
	Histories []missing
	Notes     []string
}

// A missing is how often something was missing: a dot at the share, a bar from the lowest
// to the highest that it may be.
type missing struct {
	Name, To, Why  string
	Bar            bool
	Low, Wide, Dot int // in thousandths
	Said           string
}

// bar draws a share.
func (m *missing) bar(rate, low, high float64) {
	at := func(x float64) int { return int(min(max(x, 0), 1)*1000 + 0.5) }
	m.Bar, m.Low, m.Wide, m.Dot = true, at(low), max(at(high)-at(low), 2), at(rate)
	m.Said = fmt.Sprintf("%s missing, likely from %s to %s", odds.Percent(rate), odds.Percent(low), odds.Percent(high))
}

func missingLine(v *visit) []string {
	if m := v.given("model"); m != "" {
		return []string{"odds", "--model=" + m}
	}
	return []string{"odds"}
}

func showMissing(v *visit) {
	out := missingPage{Model: v.given("model"), Models: v.models()}
	q := ask.OddsQuery{Missing: true, Brief: out.Model == ""}
	if out.Model != "" {
		q.Model = look(v.view, out.Model, "model").Code
		out.Model = string(q.Model)
	}
	answer := asked(v, ask.Odds, q)
	out.Bodies, out.Never, out.More, out.Notes = tell.Many(int(answer.Bodies), "camera"), answer.Never, answer.More, answer.Notes
	add := func(part code.Code, name, why string, bar func(*missing)) {
		if len(out.Parts) == mostHits {
			out.More++
			return
		}
		m := missing{Name: string(part) + " " + name, To: v.Thing("part", part), Why: why}
		bar(&m)
		out.Parts = append(out.Parts, m)
	}
	if q.Brief {
		for _, c := range answer.Common[:min(len(answer.Common), ask.MostCommon)] {
			add(c.Part, c.Name, c.Why, func(m *missing) { m.bar(c.Rate, c.Low, c.High) })
		}
		out.More += max(len(answer.Common)-ask.MostCommon, 0)
	}
	for _, r := range answer.Odds {
		add(r.Part, r.Called(), r.History+": "+r.Why, func(m *missing) {
			if r.Rate != nil && r.Low != nil && r.High != nil {
				m.bar(*r.Rate, *r.Low, *r.High)
			}
		})
	}
	for _, h := range answer.Histories {
		m := missing{Name: h.History, Why: fmt.Sprintf("%d of %d looked at", h.Missing, h.Looked)}
		if h.Looked > 0 {
			i := odds.Wilson(h.Missing, h.Looked)
			m.bar(h.Rate(), i.Low, i.High)
		}
		out.Histories = append(out.Histories, m)
	}
	v.screen, v.Title, v.Body = "missing", "what goes missing", out
}

// models are the codes of all models.
func (v *visit) models() (out []string) {
	v.view.Keep(v.view.EachModel(func(m store.Model) error {
		out = append(out, string(m.Code))
		return nil
	}))
	return out
}

// A monthPage is the sheet of a month.
type monthPage struct {
	Report              tell.Report
	Tables              []monthTable
	Before, After, File string
}

// A monthTable is one table of it.
type monthTable struct {
	Title, Note string
	Heads       []cell
	Rows        [][]cell
}

// A cell of a table knows its heading: on a narrow screen it stands beside it.
type cell struct {
	Head, Text string
	Number     bool
}

func monthShown(v *visit) []string { return monthLine(v, v.given("of")) }

func showMonth(v *visit) {
	day := v.page.bench.Day(v.view.View)
	name := v.given("of")
	if name == "" {
		name = store.MonthName(day)
	}
	first, last, err := store.MonthDays(name)
	switch {
	case err != nil:
		v.view.Keep(store.Misread("%w", err))
	case first > day:
		v.view.Keep(store.Misread("%s has not begun: today is %s", name, day))
	}
	m := asked(v, ask.MonthOf, name)
	if v.view.Err != nil {
		return
	}
	out := monthPage{Report: tell.Month(m), File: "/paper/month/" + name, Before: v.Link("/month", "of", store.MonthName(first-1))}
	if last < day {
		out.After = v.Link("/month", "of", store.MonthName(last+1))
	}
	left := mostRows
	for _, t := range out.Report.Filled() {
		heads, numbers := t.Plain()
		x := monthTable{Title: t.Title, Note: t.Note, Heads: cellsOf(heads, numbers, heads)}
		for i, row := range t.Rows {
			if left == 0 {
				x.Note = strings.Join(tell.Filled(fmt.Sprintf("and %s: the paper has all", tell.Many(len(t.Rows)-i, "line")), x.Note), "; ")
				break
			}
			left--
			x.Rows = append(x.Rows, cellsOf(heads, numbers, row))
		}
		out.Tables = append(out.Tables, x)
	}
	v.screen, v.Title, v.Body = "month", out.Report.Title, out
}

// mostRows is how many lines of tables stand on a screen.
const mostRows = 60

func cellsOf(heads []string, numbers []bool, row []string) (out []cell) {
	for i, text := range row {
		out = append(out, cell{heads[i], text, numbers[i]})
	}
	return out
}
