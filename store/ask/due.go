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
	Brief bool  // of the bags say code, place, part and origin alone

	lent func(*lentBags) // is given what is lent once that was met, nil for nobody
}

// A lentBags are bags of which something is lent, by the numbers of their codes.
type lentBags struct {
	tags tags
	list []lentBag
}

type lentBag struct {
	bag, part uint64
	unit      string
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
	drawers pile[dueDrawer]
	tags    tags // of their bags
}

// A duePart is what is known of a part without reading it.
type duePart struct {
	code  code.Code
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

// A dueDrawer is a bag that should hold something: its part, by the place in the list of
// parts, when it was last counted, and whether its last two readings differ.
type dueDrawer struct {
	bag   uint64 // see tags
	part  int32
	read  code.Day // 0 for never
	twice bool
}

// DueOn chooses what to count in the week of a day. A part counts for what is
// likely used of it in a year times its value: used are pieces fitted and those
// asked for and not found, and half a piece for what was never used, as Jeffreys'
// prior of a rate has it. Bags never counted come first, then those that were
// counted twice with different results, then those whose count is longest due.
// Only the bags that are listed are read.
func DueOn(view *store.View, today code.Day, rules DueRules) (Due, error) {
	v, d := read(view), Due{Rules: rules, Bags: []DueBag{}}
	var twice []code.Code
	wait := v.Aside(func(view *store.View) error {
		aside := read(view)
		twice = differing(aside)
		return aside.err
	})
	d.classes(v)
	v.keep(wait())
	differ := map[uint64]bool{}
	for _, c := range twice {
		if n, ok := d.tags.find(c); ok {
			differ[n] = true
		}
	}
	for _, b := range d.drawers.all() {
		if differ[b.bag] {
			b.twice = true
			d.Differ++
		}
	}
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
	parts, _ := v.Words()
	d.parts = make([]duePart, 0, parts) // about as many
	var out lentBags
	lent := func(part, bag []byte, unit string) {
		out.list = append(out.list, lentBag{tagged(&out.tags, bag), tagged(&out.tags, part), unit})
	}
	if d.Rules.lent == nil {
		lent = nil
	}
	v.EachDrawerAndLent(func(part code.Code, b store.Drawer) { // in order of parts
		last := len(d.parts) - 1
		if last < 0 || part != d.parts[last].code {
			d.parts = append(d.parts, duePart{code: part})
			last++
		}
		d.parts[last].used += max(0, b.Used)
		if b.Holds == 0 {
			return
		}
		d.parts[last].holds = true
		d.drawers.add(dueDrawer{bag: tagged(&d.tags, b.Bag), part: int32(last), read: b.Read})
	}, lent)
	if lent != nil {
		d.Rules.lent(&out)
	}
	find := d.inOrder()
	v.EachWanted(func(part code.Code) {
		if i, ok := find(part); ok {
			d.parts[i].used++
		}
	})
	items := make([]tally.Item, len(d.parts))
	for i, p := range d.parts {
		items[i].Part = string(p.code)
	}
	find = d.inOrder()
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

// inOrder returns what finds parts that are asked for in order of codes.
func (d *Due) inOrder() func(part code.Code) (at int, ok bool) {
	at := 0
	return func(part code.Code) (int, bool) {
		for at < len(d.parts) && d.parts[at].code < part {
			at++
		}
		return at, at < len(d.parts) && d.parts[at].code == part
	}
}

// sums adds up the classes of the parts that hold something.
func (d *Due) sums() {
	for i := range 3 {
		d.Classes = append(d.Classes, DueClass{Class: string(rune('A' + i)), Times: d.Rules.Times[i]})
	}
	total := int64(0)
	for i, b := range d.drawers.all() {
		c, p := &d.Classes[d.parts[b.part].class-'A'], d.parts[b.part]
		c.Bags++
		d.All++
		if b.read == 0 {
			d.Never++
		}
		if i == 0 || d.drawers.at(i-1).part != b.part {
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
	for _, b := range d.drawers.all() {
		if b.read >= monday {
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
// between them but what closing a count corrected. Readings are put in order of bags,
// those of a bag stay in theirs: a table by bag is asked for more memory than a core has
// at hand, once a reading.
func differing(v *reader) (twice []code.Code) {
	type reading struct {
		bag   uint64
		seq   uint64
		n     int64
		day   code.Day
		about bool
	}
	var all pile[reading]
	var bags tags
	v.keep(v.EachReading(func(x store.Noted, bag []byte) error {
		all.add(reading{tagged(&bags, bag), x.Seq, x.Qty.N, x.Day, x.Qty.About})
		return nil
	}))
	order := make([]code.Ranked, all.len())
	for i, x := range all.all() {
		order[i] = code.Ranked{By: x.bag, At: int32(i)}
	}
	code.Rank(order)
	var pairs []pair
	for i := 0; i < len(order); {
		last, unlike := all.at(int(order[i].At)), uint64(0) // the number of the one before, where it differs
		for i++; i < len(order) && order[i].By == last.bag; i++ {
			now := all.at(int(order[i].At))
			if now.day < last.day {
				continue // readings of workbooks come first, whatever their day
			}
			if unlike = 0; last.n != now.n && !last.about && !now.about {
				unlike = last.seq
			}
			last = now
		}
		if unlike != 0 {
			pairs = append(pairs, pair{bag: bags.of(last.bag), a: unlike, b: last.seq})
		}
	}
	undisturbed(v, pairs)
	for _, p := range pairs {
		if !p.moved {
			twice = append(twice, p.bag)
		}
	}
	return twice
}

// A pair is two readings of a bag.
type pair struct {
	bag   code.Code
	a, b  uint64
	moved bool // something did between them, or one was taken back
}

// undisturbed says of pairs whether something moved. Bags and entries are read in the order
// in which they lie in the file.
func undisturbed(v *reader, pairs []pair) {
	slices.SortFunc(pairs, func(a, b pair) int { return cmp.Compare(a.bag, b.bag) })
	var entries []code.Ranked // by number, and their pairs
	books := v.Books()
	for i := range pairs {
		p := &pairs[i]
		book := got(v, books, p.bag)
		a, b := slices.Index(book, p.a), slices.Index(book, p.b)
		const between = 3 // entries: a correction or two; more is a bag that moves
		if a < 0 || b < 0 || b-a-1 > between || a > b {
			p.moved = true
			continue
		}
		for _, seq := range book[a : b+1] {
			entries = append(entries, code.Ranked{By: seq, At: int32(i)})
		}
	}
	code.Rank(entries)
	seqs := make([]uint64, len(entries))
	for i, e := range entries {
		seqs[i] = e.By
	}
	v.keep(v.Moments(seqs, 0, func(n int, e store.Entry) {
		p := &pairs[entries[n].At]
		read := e.Seq == p.a || e.Seq == p.b
		if read && v.Undone(e.Booking) || !read && e.What != store.Corrected && e.What != store.Counted {
			p.moved = true
		}
	}))
}

// A turn is when the turn of a bag comes: the smaller comes first.
type turn struct {
	rank        int8 // never counted, counted twice with different results, others
	class       tally.Class
	drawer      int32
	late, value int64
	bag         code.Code
}

func (a *turn) before(b *turn) int {
	return cmp.Or(cmp.Compare(a.rank, b.rank), cmp.Compare(b.late, a.late), cmp.Compare(a.class, b.class), cmp.Compare(b.value, a.value),
		cmp.Compare(a.bag, b.bag))
}

// first are the n bags whose turn comes first, in any order, of those not counted since
// Monday.
func (d *Due) first(n int, today, monday code.Day) []turn {
	if n == 0 {
		return nil
	}
	var best []turn
	var worst *turn // of the first n so far: what comes after it is none of them
	cut := func() {
		if len(best) > n {
			firstOf(best, n)
			last := best[n-1]
			best, worst = best[:n], &last
		}
	}
	for i, b := range d.drawers.all() {
		if b.read >= monday && !b.twice {
			continue
		}
		p := &d.parts[b.part]
		t := turn{class: p.class, value: p.value, drawer: int32(i)}
		switch {
		case b.read == 0:
		case b.twice:
			t.rank = 1
		default:
			t.rank, t.late = 2, int64(today-b.read)*d.Rules.Times[t.class-'A']
		}
		after := func() bool { return worst != nil && worst.before(&t) < 0 }
		if after() { // whatever its code
			continue
		}
		if t.bag = d.tags.of(b.bag); after() {
			continue
		}
		if best = append(best, t); len(best) >= 2*n+100 {
			cut() // a whole list need not be sorted for its beginning
		}
	}
	cut()
	return best
}

// firstOf puts the n turns that come first before the others, the latest of them last: by
// parting what is left of the list at one of its turns (Hoare, Communications of the ACM 4,
// 1961, algorithm 65).
func firstOf(list []turn, n int) {
	for low, high := 0, len(list)-1; low < high; {
		pivot, i, j := list[(low+high)/2], low, high
		for i <= j {
			for list[i].before(&pivot) < 0 {
				i++
			}
			for pivot.before(&list[j]) < 0 {
				j--
			}
			if i <= j {
				list[i], list[j] = list[j], list[i]
				i, j = i+1, j-1
			}
		}
		switch {
		case n-1 <= j:
			high = j
		case n-1 >= i:
			low = i
		default:
			return
		}
	}
}

// list reads the bags that are due, in the order of their places.
func (d *Due) list(v *reader, due []turn) {
	type found struct {
		store.Line
		turn
	}
	slices.SortFunc(due, func(a, b turn) int { return cmp.Compare(a.drawer, b.drawer) }) // as they lie in the file
	lines := make([]found, len(due))
	for i, t := range due {
		lines[i] = found{got2(v, v.LineOf, d.parts[d.drawers.at(int(t.drawer)).part].code, t.bag), t}
	}
	slices.SortFunc(lines, func(a, b found) int { return cmp.Or(cmp.Compare(a.Place, b.Place), cmp.Compare(a.bag, b.bag)) })
	bags, at := make([]store.Bag, len(lines)), make([]code.Code, len(lines))
	for i, l := range lines {
		bags[i], at[i] = store.Bag{Code: l.bag, Part: d.parts[d.drawers.at(int(l.drawer)).part].code, Origin: l.Origin, Unit: l.Unit}, l.Place
	}
	var told []CountBag
	if !d.Rules.Brief {
		told = describe(v, bags, at)
	}
	for i, b := range bags {
		l := CountBag{Place: at[i], Bag: b.Code, Part: b.Part, Origin: b.Origin, Unit: b.Unit}
		if told != nil {
			l = told[i]
		}
		d.Bags = append(d.Bags, d.due(l, lines[i].turn))
	}
}

// due says of a bag why it is due.
func (d *Due) due(l CountBag, t turn) DueBag {
	b := d.drawers.at(int(t.drawer))
	switch l.Why = "never counted"; {
	case b.twice:
		l.Why = "counted twice with different results"
	case b.read != 0:
		l.Why = "counted on " + b.read.String()
	}
	return DueBag{l, t.class.String(), b.read.String()}
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
