package ask

import (
	"iter"
	"maps"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
)

// An Away is a number of pieces of a bag that stand with a job or a person.
type Away struct {
	Bag, Part, Place code.Code
	Name             string // of the part, where it was asked for
	Unit             string
	About            bool
	N                int64
	Who              string

	State      string   // of the job, of what is held or in a tray
	Closed     code.Day // likewise
	Since, Due code.Day // of what is lent: since when, and when it should be back
}

// Aways are pieces that are away, in order. There may be a hundred thousand: a row has
// numbers for what an [Away] has in texts.
type Aways struct {
	in   *awayTexts
	rows pile[awayRow]
}

type awayRow struct {
	bag, place, who    uint64 // see tags
	n                  int64
	part               int32 // a place in parts
	closed, since, due code.Day
	state, unit        uint16
	about              bool
}

// An awayTexts has the texts of several lists.
type awayTexts struct {
	tags   tags
	units  []string
	states []string         // of jobs, the first empty
	parts  []uint64         // see tags
	part   map[uint64]int32 // the place of each in parts
	names  []string         // of parts, nil where nobody asked
}

func newAways() *awayTexts { return &awayTexts{states: []string{""}, part: map[uint64]int32{}} }

// partOf is the place of a part in the list of parts.
func (t *awayTexts) partOf(c []byte) int32 {
	tag := tagged(&t.tags, c)
	n, ok := t.part[tag]
	if !ok {
		n = int32(len(t.parts))
		t.parts, t.part[tag] = append(t.parts, tag), n
	}
	return n
}

// numberIn is the place of a text in a short list, which it is put into.
func numberIn(list *[]string, text string) uint16 {
	i := slices.Index(*list, text)
	if i < 0 {
		i, *list = len(*list), append(*list, text)
	}
	return uint16(i)
}

// Len is how many there are.
func (l *Aways) Len() int { return l.rows.len() }

// All yields them.
func (l *Aways) All() iter.Seq[Away] {
	return func(yield func(Away) bool) {
		var b strings.Builder
		text := func(n uint64) code.Code { return l.in.tags.within(&b, n) }
		var last *awayRow
		who, name := "", ""
		for _, r := range l.rows.all() {
			if last == nil || r.who != last.who {
				who = string(text(r.who))
			}
			if last = r; l.in.names != nil {
				name = l.in.names[r.part]
			}
			if !yield(Away{text(r.bag), text(l.in.parts[r.part]), text(r.place), name, l.in.units[r.unit], r.about, r.n, who,
				l.in.states[r.state], r.closed, r.since, r.due}) {
				return
			}
		}
	}
}

// Widest is pieces whose bag, name, amount and job or person are the widest of the list.
func (l *Aways) Widest(width func(string) int) (w Away) {
	var b strings.Builder
	var bag, name, amount, who int
	wider := func(most *int, n int) bool {
		if n <= *most {
			return false
		}
		*most = n
		return true
	}
	names := make([]int, len(l.in.names)) // their widths, once they were asked for
	var last *awayRow
	for _, r := range l.rows.all() {
		if l.in.tags.atMost(r.bag) > bag {
			if text := l.in.tags.within(&b, r.bag); wider(&bag, width(string(text))) {
				w.Bag = text
			}
		}
		if last == nil || r.n != last.n || r.unit != last.unit || r.about != last.about {
			if unit := l.in.units[r.unit]; wider(&amount, len(store.Amount(r.n, unit, r.about))) {
				w.N, w.Unit, w.About = r.n, unit, r.about
			}
		}
		if (last == nil || r.who != last.who) && l.in.tags.atMost(r.who) > who {
			if text := string(l.in.tags.within(&b, r.who)); wider(&who, width(text)) {
				w.Who = text
			}
		}
		last = r
		if l.in.names == nil {
			continue
		}
		if names[r.part] == 0 {
			names[r.part] = width(l.in.names[r.part])
		}
		if wider(&name, names[r.part]) {
			w.Name = l.in.names[r.part]
		}
	}
	return w
}

// byWho puts what is in order of bags in that of jobs or people.
func (l *Aways) byWho() {
	order, long := make([]code.Ranked, l.Len()), false
	for i, r := range l.rows.all() {
		order[i] = code.Ranked{By: r.who, At: int32(i)}
		long = long || l.in.tags.isLong(r.who)
	}
	if long { // the number of a long name says nothing of its order
		names := map[code.Code]uint64{}
		for _, r := range l.rows.all() {
			names[l.in.tags.of(r.who)] = 0
		}
		for n, who := range slices.Sorted(maps.Keys(names)) {
			names[who] = uint64(n)
		}
		for i, r := range l.rows.all() {
			order[i].By = names[l.in.tags.of(r.who)]
		}
	}
	code.Rank(order)
	was := l.rows
	l.rows = pile[awayRow]{}
	for _, x := range order {
		l.rows.add(*was.at(int(x.At)))
	}
}

// Called is what a part is called of which something is away, and whether it was asked for.
func (l *Aways) Called(part code.Code) (name string, ok bool) {
	tag, ok := l.in.tags.find(part)
	if !ok || l.in.names == nil {
		return "", false
	}
	n, ok := l.in.part[tag]
	if ok {
		name = l.in.names[n]
	}
	return name, ok
}

// name reads what the parts are called, in the order in which they lie in the file.
func (t *awayTexts) name(v *store.View) {
	order := make([]code.Ranked, len(t.parts))
	for i, tag := range t.parts {
		order[i] = code.Ranked{By: tag, At: int32(i)}
	}
	code.Rank(order)
	t.names = make([]string, len(t.parts))
	named := v.PartNames()
	for _, x := range order {
		c := t.tags.of(x.By)
		name, err := named(c)
		t.names[x.At] = Called(c, name, err)
	}
}
