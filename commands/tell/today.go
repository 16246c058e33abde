package tell

import (
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// Today prints the day on one screen, or with all set every line of it.
func Today(s *Screen, t ask.Today, all bool) {
	s.Println(s.Wrapped(TodayHead(t)))
	d := dayPage{s, all}
	section(d, "", 5, t.Jobs, func(h ask.InHouse) []string {
		j := h.Job
		return []string{string(j.Tray), string(j.Code), string(j.Model), j.Owner, j.State, promise(t.Day, j), d.waits(h)}
	}, "  tray", "job", "model", "owner", "state", "promised", "waits for")
	section(d, "short for them", FewToday, t.Short, func(x ask.ShortFor) []string {
		free := fmt.Sprintf("%d free", x.Free)
		if x.Free > 0 {
			free += ", none that goes in as it is"
		}
		return []string{string(x.Part.Code), x.Part.Called(), "job " + Commas(x.Jobs), free}
	})
	section(d, "not the workshop's", FewToday, t.Others, func(o ask.Foreign) []string {
		thing := string(o.Code)
		if o.What != "" {
			thing = "job " + strings.TrimPrefix(thing, "job:")
		}
		return []string{thing, strings.Join(Filled(string(o.Model), o.What, string(o.Part)), " "), OwnerWords(o.Owner), strings.Join(Filled("since "+o.Since.String(), insured(o)), ", ")}
	})
	section(d, "lent", FewToday-1, t.Lent, func(l ask.LentOut) []string {
		return []string{string(l.Bag), strings.Join(Filled(store.Amount(l.N, l.Unit, false), string(l.Part), l.Name), " "), l.To, Lending(l.Since, l.Due, t.Day)}
	})
	d.list("parts cameras standing idle", Each(t.Idle, donorCode))
	d.list("to count", Each(t.Due, dueCode))
}

// FewToday is how many things of others one screen has room for; of what is lent it shows
// one fewer.
const FewToday = 3

// A dayPage prints the sections of a day, not more of each than one screen has room for
// unless all is asked for.
type dayPage struct {
	*Screen
	all bool
}

// section prints a title and a row for each of a list, nothing for an empty one.
func section[T any](d dayPage, title string, most int, list []T, row func(T) []string, head ...string) {
	t := d.WideTable(head...)
	all, more := len(list), len(list)-most
	if d.all || more <= 0 {
		more = 0
	}
	switch {
	case all == 0:
		return
	case title != "" && more > 0:
		d.Printf("%s, %d of %d (--all lists them):\n", title, most, all)
	case title != "":
		d.Println(title + ":")
	}
	for _, x := range list[:all-more] {
		cells := row(x)
		cells[0] = "  " + cells[0]
		t.Keep(cells...)
	}
	d.Show(t)
	if title == "" && more > 0 {
		d.Printf("  and %d more (--all lists them)\n", more)
	}
}

// list prints codes on a line behind their title.
func (d dayPage) list(title string, codes []code.Code) {
	const most = 6
	if more := len(codes) - most; more > 0 && !d.all {
		codes = append(codes[:most:most], code.Code(fmt.Sprintf("and %d more", more)))
	}
	if len(codes) > 0 {
		d.Println(d.Wrapped(title + ": " + Commas(codes)))
	}
}

// TodayHead is the first line: the day, the cameras, and the jobs that are late.
func TodayHead(t ask.Today) string {
	var over []code.Code
	for _, h := range t.Jobs {
		if Late(t.Day, h.Job) {
			over = append(over, h.Job.Code)
		}
	}
	text := fmt.Sprintf("%s %s, %s in the house", t.Day.Weekday(), t.Day, Many(len(t.Jobs), "camera"))
	if len(over) > 0 {
		text += "; LATE: job " + Commas(over)
	}
	return text
}

// Late tells whether a job is open and its day is over.
func Late(today code.Day, j store.Job) bool {
	return j.Promised != 0 && j.Closed == 0 && j.Promised < today
}

// promise is the day that a job is promised for.
func promise(today code.Day, j store.Job) string {
	if Late(today, j) {
		return "LATE " + j.Promised.String()
	}
	return j.Promised.String()
}

// waits says what a job waits for: parts, two of them on one screen, or who fetches its
// camera.
func (d dayPage) waits(h ask.InHouse) string {
	if h.Job.Closed != 0 {
		return "whoever fetches it"
	}
	var out []string
	for _, w := range h.Waits {
		text := string(w.Part)
		if w.Here != "" && d.all {
			text += " (" + w.Here + ")"
		} else if w.Here != "" {
			text += " (here)"
		}
		out = append(out, text)
	}
	if more := len(out) - 2; more > 0 && !d.all {
		out = append(out[:2], fmt.Sprintf("%d more", more))
	}
	return strings.Join(out, ", ")
}

// OwnerWords name an owner: an uncollected repair is nobody's yet.
func OwnerWords(owner string) string {
	if owner == store.OwnerHeld {
		return "held, not fetched"
	}
	return owner
}

// TodayAnswer is the day as JSON.
func TodayAnswer(t ask.Today) map[string]any {
	jobs := Each(t.Jobs, func(h ask.InHouse) map[string]any {
		a := jobRow(h.Job)
		a["waits"] = Each(h.Waits, func(w ask.WaitsFor) code.Code { return w.Part })
		return a
	})
	others := Each(t.Others, func(o ask.Foreign) map[string]any {
		return Known(map[string]any{"code": o.Code, "owner": o.Owner, "since": o.Since, "part": o.Part, "model": o.Model, "what": o.What, "value_cents": o.Value})
	})
	lent := Each(t.Lent, func(l ask.LentOut) map[string]any {
		return Known(map[string]any{"bag": l.Bag, "part": l.Part, "quantity": l.N, "unit": l.Unit, "to": l.To, "since": l.Since, "due": l.Due})
	})
	short := Each(t.Short, func(x ask.ShortFor) map[string]any {
		return map[string]any{"part": x.Part.Code, "free": x.Free, "jobs": x.Jobs}
	})
	return map[string]any{"day": t.Day.String(), "jobs": jobs, "others": others, "lent": lent, "short": short, "idle": Each(t.Idle, donorCode), "due": Each(t.Due, dueCode)}
}

func donorCode(d store.Donor) code.Code { return d.Code }
func dueCode(b ask.DueBag) code.Code    { return b.Bag }

// jobRow is a job in a list, as JSON.
func jobRow(j store.Job) map[string]any {
	return Known(map[string]any{"job": j.Code, "model": j.Model, "body": j.BodyNo, "owner": j.Owner, "state": j.State, "tray": j.Tray, "promised": j.Promised,
		"opened": j.Opened, "closed": j.Closed, "value_cents": j.Value})
}

// insured is what a camera that is not the workshop's is worth, as its owner says.
func insured(o ask.Foreign) string {
	switch {
	case o.Model == "":
		return ""
	case o.Value == nil:
		return "no value noted"
	}
	return "worth " + Money(o.Value)
}

// Jobs prints jobs by state, in the order they come.
func Jobs(s *Screen, list []store.Job) {
	t := s.WideTable("state", "job", "tray", "model", "owner", "opened", "promised", ">value", "closed")
	was := ""
	for _, j := range list {
		state := j.State
		if state == was && !s.Plain {
			state = ""
		}
		was = j.State
		t.Row(state, string(j.Code), string(j.Tray), string(j.Model), j.Owner, j.Opened.String(), j.Promised.String(), Money(j.Value), j.Closed.String())
	}
	s.Show(t)
}

// JobsAnswer is a list of jobs as JSON.
func JobsAnswer(list []store.Job) []map[string]any {
	return Each(list, jobRow)
}

// Stand prints the parts cameras that stand in a place, with those of others named.
func Stand(s *Screen, list []store.Donor) {
	t, own := s.WideTable("camera", "model", "state", "owner"), 0
	for _, d := range list {
		owner := d.Owner
		if owner == store.Own {
			own++
		} else {
			owner = "NOT STOCK: " + OwnerWords(owner)
		}
		t.Row(string(d.Code), string(d.Model), d.State, owner)
	}
	title := fmt.Sprintf("parts cameras: %d own", own)
	if others := len(list) - own; others > 0 {
		title += fmt.Sprintf(", %d of others", others)
	}
	s.Listed(title, t)
}

// StandAnswers are the parts cameras of a place as JSON.
func StandAnswers(list []store.Donor) []map[string]any {
	return Each(list, func(d store.Donor) map[string]any {
		return Known(map[string]any{"donor": d.Code, "model": d.Model, "state": d.State, "owner": d.Owner})
	})
}
