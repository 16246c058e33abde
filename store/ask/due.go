package ask

import (
	"cmp"
	"fmt"
	"slices"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/tally"
)

// DueRules say how often what is counted.
type DueRules struct {
	Times [3]int64 // a year, of class A, B and C
	Weeks int64    // working weeks of a year
	Cuts  tally.Cuts
	Most  int64 // bags to list, 0 for what is left of the week
	Wrong int64 // bags that may be wrong, 0 for a tenth of all
}

// UsualRules count A four times a year, B twice and C once, in 50 weeks.
var UsualRules = DueRules{Times: [3]int64{4, 2, 1}, Weeks: 50, Cuts: tally.Usual}

// A Due is what to count this week.
type Due struct {
	Bags    []DueBag   `json:"due"`
	Week    int64      `json:"week"` // bags of this week
	Done    int64      `json:"done"` // of them counted since Monday
	All     int64      `json:"bags"` // the workshop's own that should hold something of a known part
	Never   int64      `json:"never_counted"`
	Differ  int64      `json:"counted_twice"` // with different results, nothing moved in between
	Classes []DueClass `json:"classes"`
	Sample  DueSample  `json:"sample"`
	Rules   DueRules   `json:"-"`
	parts   []duePart
	twice   map[code.Code]bool
	drawers []dueDrawer
}

// A duePart is what is known of a part without reading it.
type duePart struct {
	used  int64
	holds bool
	value int64
	class tally.Class
}

// A DueBag is one bag to count.
type DueBag struct {
	CountBag
	Class string `json:"class"`
	Last  string `json:"last_counted,omitempty"`
}

// A DueClass is one class of parts.
type DueClass struct {
	Class string  `json:"class"`
	Parts int64   `json:"parts"`
	Bags  int64   `json:"bags"`
	Times int64   `json:"times_a_year"`
	Share float64 `json:"share"` // of the yearly value, 0 to 1
}

// A DueSample is how many bags to count to know how the book stands.
type DueSample struct {
	Bags  int64 `json:"bags"`
	Wrong int64 `json:"wrong"`
	Count int64 `json:"count"`
}

// A dueDrawer is a bag with its part, by the place in the list of parts.
type dueDrawer struct {
	part int
	store.Drawer
}

// DueOn chooses what to count in the week of a day. A part counts for what is
// likely used of it in a year times its value: used are pieces fitted and those
// asked for and not found, and half a piece for what was never used, as Jeffreys'
// prior of a rate has it. Bags never counted come first, then those that were
// counted twice with different results, then those whose count is longest due.
// Only the bags that are listed are read.
func DueOn(view *store.View, today code.Day, rules DueRules) (Due, error) {
	v, d := read(view), Due{Rules: rules, Bags: []DueBag{}}
	d.classes(v)
	d.differing(v)
	monday := today - code.Day((int(today.Weekday())+6)%7)
	d.week(monday)
	left := max(0, d.Week-d.Done)
	if rules.Most > 0 {
		left = rules.Most
	}
	left = min(left, d.All)
	d.list(v, d.first(int(left), today, monday))
	d.Sample = DueSample{Bags: d.All, Wrong: min(cmp.Or(rules.Wrong, (d.All+9)/10), d.All)}
	if d.All > 0 {
		d.Sample.Count = tally.HowMany(d.All, d.Sample.Wrong, tally.Often)
	}
	return d, v.err
}

// classes gives every part that lies in a drawer its class.
func (d *Due) classes(v *reader) {
	var items []tally.Item
	last := code.Code("")
	v.EachDrawer(func(part code.Code, b store.Drawer) { // in order of parts
		if len(items) == 0 || part != last {
			items, d.parts, last = append(items, tally.Item{Part: string(part)}), append(d.parts, duePart{}), part
		}
		d.parts[len(items)-1].used += max(0, b.Used)
		if b.Holds != 0 {
			d.drawers, d.parts[len(items)-1].holds = append(d.drawers, dueDrawer{len(items) - 1, b}), true
		}
	})
	find := func(part code.Code) (int, bool) {
		return slices.BinarySearchFunc(items, part, func(it tally.Item, p code.Code) int { return cmp.Compare(it.Part, string(p)) })
	}
	v.EachWanted(func(part code.Code) {
		if i, ok := find(part); ok {
			d.parts[i].used++
		}
	})
	v.EachWorth(func(part code.Code, value code.Cents, first bool) {
		if i, ok := find(part); ok && d.parts[i].holds {
			// Twice the pieces, so that half a piece is a whole number.
			items[i].Value, items[i].ByHand = (2*d.parts[i].used+1)*int64(value), first
		}
	})
	for i, c := range tally.Classes(items, d.Rules.Cuts) {
		d.parts[i].class, d.parts[i].value = c, items[i].Value
	}
	d.sums()
}

// sums adds up the classes of the parts that hold something.
func (d *Due) sums() {
	for i := range 3 {
		d.Classes = append(d.Classes, DueClass{Class: string(rune('A' + i)), Times: d.Rules.Times[i]})
	}
	total := int64(0)
	for i, b := range d.drawers {
		c, p := &d.Classes[d.parts[b.part].class-'A'], d.parts[b.part]
		c.Bags++
		d.All++
		if b.Read == 0 {
			d.Never++
		}
		if i == 0 || d.drawers[i-1].part != b.part {
			c.Parts++
			c.Share += float64(p.value)
			total += p.value
		}
	}
	for i := range d.Classes {
		d.Classes[i].Share /= max(1, float64(total))
	}
}

// week is how many bags this week has, the fraction of former weeks carried
// over, and how many are done.
func (d *Due) week(monday code.Day) {
	d.Week = tally.InWeek(d.plans(), d.Rules.Weeks, int64(monday+3)/7)
	for _, b := range d.drawers {
		if b.Read >= monday {
			d.Done++
		}
	}
}

// plans is how many bags of each class are counted how many times a year.
func (d *Due) plans() (out []tally.Plan) {
	for _, c := range d.Classes {
		out = append(out, tally.Plan{Bags: c.Bags, Times: c.Times})
	}
	return out
}

// differing finds the bags whose last two readings differ though nothing moved
// between them but what closing a count corrected.
func (d *Due) differing(v *reader) {
	d.twice = map[code.Code]bool{}
	type reading struct { // the last one of a bag
		store.Noted
		unlike uint64 // the number of the one before, where it differs
	}
	var last []reading
	of := map[code.Code]int32{}
	for n := range each(v, v.EachReading) {
		i, before := of[n.Bag]
		if !before {
			of[n.Bag], last = int32(len(last)), append(last, reading{Noted: n})
			continue
		}
		was := last[i]
		if n.Day < was.Day {
			continue // readings of workbooks come first, whatever their day
		}
		last[i] = reading{Noted: n}
		if was.Qty.N != n.Qty.N && !was.Qty.About && !n.Qty.About {
			last[i].unlike = was.Seq
		}
	}
	for _, n := range last {
		if n.unlike != 0 && undisturbed(v, n.Bag, [2]uint64{n.unlike, n.Seq}) {
			d.twice[n.Bag] = true
		}
	}
	for _, b := range d.drawers {
		if d.twice[b.Bag] {
			d.Differ++
		}
	}
}

// undisturbed says whether two readings of a bag stand and nothing moved between
// them.
func undisturbed(v *reader, bag code.Code, pair [2]uint64) bool {
	book := got(v, v.BookOf, bag)
	a, b := slices.Index(book, pair[0]), slices.Index(book, pair[1])
	const between = 3 // entries: a correction or two; more is a bag that moves
	if a < 0 || b < 0 || b-a-1 > between || a > b {
		return false
	}
	for _, seq := range book[a+1 : b] {
		if e := got(v, v.EntryNo, seq); e.What != store.Corrected && e.What != store.Counted {
			return false
		}
	}
	back := func(seq uint64) bool { return got(v, v.BookingNo, got(v, v.EntryNo, seq).Booking).Undone != 0 }
	return !back(pair[0]) && !back(pair[1])
}

// A turn is when the turn of a bag comes: the smaller comes first.
type turn struct {
	rank        int // never counted, counted twice with different results, others
	late, value int64
	class       tally.Class
	dueDrawer
}

func (a turn) before(b turn) int {
	return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(b.late, a.late), cmp.Compare(a.class, b.class), cmp.Compare(b.value, a.value),
		cmp.Compare(a.Bag, b.Bag))
}

// first are the n bags whose turn comes first, of those not counted since Monday.
func (d *Due) first(n int, today, monday code.Day) (out []dueDrawer) {
	var best []turn
	var worst *turn // of the first n so far: what comes after it is none of them
	cut := func() {
		slices.SortFunc(best, turn.before)
		if len(best) > n && n > 0 {
			best = best[:n]
			last := best[n-1]
			worst = &last
		}
	}
	for _, b := range d.drawers {
		twice := d.twice[b.Bag]
		if b.Read >= monday && !twice {
			continue
		}
		t := turn{class: d.parts[b.part].class, value: d.parts[b.part].value, dueDrawer: b}
		switch {
		case b.Read == 0:
		case twice:
			t.rank = 1
		default:
			t.rank, t.late = 2, int64(today-b.Read)*d.Rules.Times[t.class-'A']
		}
		if worst != nil && worst.before(t) < 0 {
			continue
		}
		if best = append(best, t); len(best) >= 2*n+100 {
			cut() // a whole list need not be sorted for its beginning
		}
	}
	cut()
	for _, t := range best[:min(n, len(best))] {
		out = append(out, t.dueDrawer)
	}
	return out
}

// list reads the bags that are due, in the order of their places.
func (d *Due) list(v *reader, due []dueDrawer) {
	places := map[code.Code]code.Code{}
	for _, b := range due {
		places[b.Bag] = v.state(b.Bag).Place
	}
	slices.SortFunc(due, func(a, b dueDrawer) int {
		return cmp.Or(cmp.Compare(places[a.Bag], places[b.Bag]), cmp.Compare(a.Bag, b.Bag))
	})
	var bags []store.Bag
	var at []code.Code
	for _, b := range due {
		bags, at = append(bags, v.bag(b.Bag)), append(at, places[b.Bag])
	}
	for i, l := range describe(v, bags, at) {
		b := due[i]
		l.Why = "never counted"
		if d.twice[b.Bag] {
			l.Why = "counted twice with different results"
		} else if b.Read != 0 {
			l.Why = "counted on " + b.Read.String()
		}
		d.Bags = append(d.Bags, DueBag{l, d.parts[b.part].class.String(), b.Read.String()})
	}
}

// Said says in sentences what the week asks for.
func (d *Due) Said() []string {
	var out []string
	if d.All == 0 {
		return []string{"nothing to count: no bag of a known part holds anything"}
	}
	week := "none is due this week"
	if d.Week > 0 {
		week = fmt.Sprintf("%d of this week's %d %s counted", d.Done, d.Week, oneOr(d.Done, "is", "are"))
	}
	out = append(out, fmt.Sprintf("%s (%s)", week, tally.SayPlan(d.plans(), d.Rules.Weeks)))
	for _, c := range d.Classes {
		out = append(out, tally.SayClass(tally.Class(c.Class[0]), c.Parts, c.Bags, c.Share))
	}
	if d.Never > 0 {
		out = append(out, fmt.Sprintf("%d of %d bags %s never counted", d.Never, d.All, oneOr(d.Never, "was", "were")))
	}
	if d.Differ > 0 {
		out = append(out, fmt.Sprintf("%d %s counted twice with different results", d.Differ, oneOr(d.Differ, "was", "were")))
	}
	return append(out, "to know how the book stands "+tally.SayHowMany(d.All, d.Sample.Wrong))
}
