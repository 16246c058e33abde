package ask

import (
	"cmp"
	"slices"
	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/ways"
)

// A BagLine is one bag in an answer.
type BagLine struct {
	Bag    code.Code `json:"bag"`
	OnHand int64     `json:"on_hand"`
	Free   int64     `json:"free"`
	Held   int64     `json:"held"`
	Lent   int64     `json:"lent"`
	Unit   string    `json:"unit,omitempty"`
	Grade  string    `json:"grade,omitempty"`
	Place  code.Code `json:"place,omitempty"`
	Origin string    `json:"origin,omitempty"`
	Owner  string    `json:"owner,omitempty"`
	About  bool      `json:"about"`
	Note   string    `json:"note,omitempty"`

	Incomplete store.Reasons `json:"incomplete,omitempty"` // what the unit in it lacks
	Outside    store.Reasons `json:"outside,omitempty"`    // that nothing is known of it
}

// unitBags notes on the bags of a unit what was taken out of it.
func unitBags(v *reader, p store.Part, bags []BagLine) {
	for i, b := range bags {
		if len(p.Holds) > 0 && b.OnHand != 0 {
			doubt := got(v, v.UnitDoubt, store.Bag{Code: b.Bag, Part: p.Code, Origin: b.Origin})
			if len(doubt) > 0 && doubt[0].Kind == store.FromOutside {
				bags[i].Outside = doubt
			} else {
				bags[i].Incomplete = doubt
			}
		}
	}
}

// scopeBags reads the bags of a place or donor, and those of a grade where
// nothing else leads to parts.
func (f *finder) scopeBags() {
	var list []code.Code
	q := f.q
	switch {
	case q.Donor != "":
		list = f.v.BagsFrom(string(q.Donor))
	case q.Place != "":
		list = f.v.BagsAt(q.Place)
	case q.Grade != "" && len(f.terms) == 0 && len(q.Class) == 0 && q.Camera.Model == "" && q.indexed() == 0 && q.Marks[dim.Thread] == "":
		list = f.v.BagsGraded(q.Grade)
	default:
		return
	}
	f.bags = map[code.Code][]BagLine{}
	s := set{}
	for _, c := range list {
		b, line := bagLine(f.v, c)
		if b.Part == "" || !f.shows(line) {
			continue
		}
		part := f.v.part(b.Part).Code
		f.bags[part] = append(f.bags[part], line)
		s[part] = true
	}
	f.narrow(s)
}

// shows says whether a bag belongs into the answer.
func (f *finder) shows(b BagLine) bool {
	q := f.q
	return b.OnHand > 0 && b.Owner == store.Own && (q.Place == "" || b.Place == q.Place) &&
		(q.Donor == "" || b.Origin == string(q.Donor)) && (q.Grade == "" || b.Grade == q.Grade)
}

// bagLine reads a bag and what the book says of it.
func bagLine(v *reader, c code.Code) (store.Bag, BagLine) {
	b := v.bag(c)
	return b, line(b, v.state(c))
}

func line(b store.Bag, s store.State) BagLine {
	l := BagLine{Bag: b.Code, OnHand: s.OnHand(), Free: s.Free(), Held: s.Held(), Lent: s.Lent(), Unit: b.Unit,
		Grade: s.Grade, Place: s.Place, Origin: b.Origin, Owner: b.Owner, About: s.About, Note: b.Note}
	if b.Part == "" {
		l.Free = 0 // unsorted
	}
	return l
}

// byBag says that a part is found by its bags, which then decide.
func (f *finder) byBag() bool { return f.q.Place != "" || f.q.Donor != "" || f.q.Grade != "" }

// stock adds what the part has, and its own bags in the answer.
func (f *finder) stock(out *FoundPart) {
	fig := f.v.figure(out.Part)
	out.OnHand, out.Free = fig.OnHand(), fig.Free()
	if f.bags != nil {
		out.Bags = append(out.Bags, f.bags[out.Part]...)
	} else if out.OnHand != 0 && f.byBag() {
		f.lines(out)
	}
	slices.SortFunc(out.Bags, bestBag)
}

func bestBag(a, b BagLine) int {
	return cmp.Or(cmp.Compare(min(b.Free, 1), min(a.Free, 1)), cmp.Compare(ways.Grade(a.Grade), ways.Grade(b.Grade)), cmp.Compare(a.Bag, b.Bag))
}

// lines reads the bags of a part that are shown.
func (f *finder) lines(out *FoundPart) {
	if lines := linesOf(f.v, out.Part, f.shows); len(lines) > 0 {
		out.Bags = lines
	}
}

// counted says of the free pieces of a part whether their number is about, and how
// many of them are not.
func (f *finder) counted(out *FoundPart) {
	own := out.Bags
	if out.OnHand != 0 && f.byBag() { // not all of them are in the answer
		own = linesOf(f.v, out.Part, func(b BagLine) bool { return b.OnHand > 0 })
	}
	out.About, out.Counted = CountedOf(own)
}

// CountedOf says whether the number of what is free in bags is about, and how many of
// these pieces lie in bags whose number is not.
func CountedOf(bags []BagLine) (about bool, counted int64) {
	for _, b := range bags {
		switch {
		case b.Owner != store.Own:
		case b.About && b.Free > 0:
			about = true
		case !b.About:
			counted += b.Free
		}
	}
	return about, counted
}

// linesOf reads those bags of a part that are shown, without looking into a
// bag that has no note.
func linesOf(v *reader, part code.Code, shows func(BagLine) bool) (out []BagLine) {
	lines := got(v, v.LinesOf, part)
	for i, l := range lines {
		b := BagLine{Bag: l.Bag, OnHand: l.OnHand, Free: l.Free(), Held: l.Held, Lent: l.Lent, Unit: l.Unit, Grade: l.Grade,
			Place: l.Place, Origin: l.Origin, Owner: l.Owner, About: l.About}
		if !shows(b) {
			continue
		}
		if l.Noted {
			b.Note = v.bag(l.Bag).Note
		}
		if out == nil {
			out = make([]BagLine, 0, len(lines)-i)
		}
		out = append(out, b)
	}
	return out
}
