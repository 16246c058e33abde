package ask

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"sync"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/differ"
	"tinful/store/odds"
	"tinful/store/words"
)

// A Count is one count as it stands against the book.
type Count struct {
	Count    string      `json:"count"` // its number, or the day of readings that came with a workbook
	Places   []code.Code `json:"places"`
	Open     bool        `json:"open"`
	Day      string      `json:"day"`
	Closed   string      `json:"closed,omitempty"`
	By       string      `json:"by,omitempty"`
	Lines    []CountLine `json:"lines"`
	Loose    []LoosePart `json:"loose,omitempty"`
	Missed   []code.Code `json:"not_counted,omitempty"` // bags of its places that were not read yet
	Right    int64       `json:"right"`
	Counted  int64       `json:"counted"`            // bags that are judged: no figure of theirs is about
	Accuracy *Share      `json:"accuracy,omitempty"` // of right among counted, where any is

	ID store.CountID `json:"-"`
}

// A Share is a share and where it likely lies.
type Share struct {
	Mid  float64 `json:"mid"`
	Low  float64 `json:"low"`
	High float64 `json:"high"`
}

// A CountLine is one bag of a count.
type CountLine struct {
	Bag        code.Code     `json:"bag"`
	Part       code.Code     `json:"part,omitempty"`
	Name       string        `json:"name,omitempty"`
	Left       string        `json:"left_hand,omitempty"`
	Place      code.Code     `json:"place,omitempty"`
	Seen       code.Code     `json:"seen_in,omitempty"` // another place than its own
	Unit       string        `json:"unit"`
	Book       int64         `json:"book"`
	Counted    int64         `json:"counted"`
	About      bool          `json:"about"` // the book's figure or the counted one is about
	Difference int64         `json:"difference"`
	Likely     store.Reasons `json:"likely"` // the best first
	Open       bool          `json:"open"`
	State      string        `json:"state"` // agrees, open, booked or counted again
	Earlier    []int64       `json:"counted_before,omitempty"`
	Moved      []string      `json:"moved,omitempty"` // what moved since the count began, set apart

	Line store.CountLine `json:"-"`
}

// MixedWith are the bags that a line is mixed with by its best reason.
func (l CountLine) MixedWith() []code.Code {
	if len(l.Likely) > 0 && l.Likely[0].Kind == "mix" {
		return l.Likely[0].Codes
	}
	return nil
}

// MarshalJSON has the kinds of the likely reasons beside them.
func (l CountLine) MarshalJSON() ([]byte, error) {
	type plain CountLine
	return store.JSON(struct {
		plain
		Kinds []store.ReasonKind `json:"likely_kind"`
	}{plain(l), store.ReasonKinds(l.Likely)})
}

// A LoosePart is what was met of a part without a bag.
type LoosePart struct {
	Part  code.Code `json:"part"`
	Name  string    `json:"name"`
	Left  string    `json:"left_hand,omitempty"`
	Place code.Code `json:"place,omitempty"`
	N     int64     `json:"quantity"`
	About bool      `json:"about"`
	Bag   code.Code `json:"bag,omitempty"` // the bag they were booked in as
}

// CountOf reads a count with the likely reasons of its differences. It returns
// [store.ErrNotFound] for a count that is none.
func CountOf(view *store.View, id store.CountID) (Count, error) {
	v := read(view)
	out, lines := countLines(v, id)
	reasons := explain(v, lines, elsewhere(v, out), out.Loose)
	if v.err != nil {
		return out, v.err
	}
	for i := range out.Lines {
		for _, r := range reasons[i] {
			out.Lines[i].Likely = append(out.Lines[i].Likely, store.Reason{Kind: store.ReasonKind(r.Kind), Codes: codesOf(r.With), Text: r.Text})
		}
	}
	return out, nil
}

func codesOf(texts []string) (out []code.Code) {
	for _, t := range texts {
		out = append(out, code.Code(t))
	}
	return out
}

// countLines reads a count without reasons.
func countLines(v *reader, id store.CountID) (Count, []store.CountLine) {
	out := Count{Count: id.String(), Day: id.Day.String(), Places: []code.Code{}, Lines: []CountLine{}, ID: id}
	lines := got(v, v.CountLines, id)
	if id.Number != 0 {
		out.ofRecord(v)
	}
	parts := map[code.Code]store.Part{}
	for _, l := range lines {
		if _, known := parts[l.Bag.Part]; !known && l.Bag.Part != "" {
			parts[l.Bag.Part] = v.part(l.Bag.Part)
		}
		out.add(lineOf(l, parts[l.Bag.Part]))
	}
	if id.Number == 0 {
		out.ofReadings()
	}
	if out.Counted > 0 {
		i := odds.Wilson(out.Right, out.Counted)
		out.Accuracy = &Share{float64(out.Right) / float64(out.Counted), i.Low, i.High}
	}
	return out, lines
}

// ofRecord fills in what the record of a count says.
func (c *Count) ofRecord(v *reader) {
	rec := got(v, v.CountNo, c.ID.Number)
	c.Places, c.Day, c.Closed, c.By, c.Open = rec.Places, rec.Day.String(), rec.Closed.String(), rec.By, rec.Closed == 0
	for _, l := range rec.Loose {
		p := v.part(l.Part)
		c.Loose = append(c.Loose, LoosePart{p.Code, p.Name, store.LeftHand(p), l.Place, l.N, l.About, l.Bag})
	}
	if c.Open {
		c.Missed = got(v, v.Uncounted, rec)
	}
}

// ofReadings fills in what follows from readings that came with a workbook.
func (c *Count) ofReadings() {
	for _, l := range c.Lines {
		c.Open = c.Open || l.Open
		if !slices.Contains(c.Places, l.Place) {
			c.Places = append(c.Places, l.Place)
		}
		c.By = cmp.Or(c.By, l.Line.Reading.By)
	}
}

func (c *Count) add(l CountLine) {
	c.Lines = append(c.Lines, l)
	if !l.Line.Judged() {
		return
	}
	c.Counted++
	if l.Difference == 0 {
		c.Right++
	}
}

func lineOf(l store.CountLine, p store.Part) CountLine {
	out := CountLine{Bag: l.Bag.Code, Part: l.Bag.Part, Name: p.Name, Left: store.LeftHand(p), Place: l.Place, Seen: l.Seen, Unit: l.Unit, Book: l.Book, Counted: l.Reading.Quantity,
		About: !l.Judged(), Difference: l.Difference(), Open: l.Open(), State: "agrees", Line: l}
	for _, e := range l.Earlier {
		out.Earlier = append(out.Earlier, e.Quantity)
	}
	switch {
	case l.Booked.Seq != 0:
		out.State = "booked"
	case l.Open():
		out.State = "open"
	case l.Later.Seq != 0:
		out.State = "counted again"
	}
	for _, e := range l.Since {
		out.Moved = append(out.Moved, movedWords(e, l)+" between the count's beginning and its reading")
	}
	for _, e := range l.After {
		out.Moved = append(out.Moved, movedWords(e, l)+" after it was read")
	}
	return out
}

// movedWords is one movement: 1 fitted on job 105.
func movedWords(e store.Entry, l store.CountLine) string {
	s := fmt.Sprintf("%s %s", store.Amount(max(e.Quantity, -e.Quantity), l.Unit, e.About), e.What)
	switch {
	case e.Undoes != 0:
		return s + " taken back"
	case e.What == store.Cut && e.To != "":
		return s + " into " + e.To
	case e.Job != "":
		return s + " on job " + string(e.Job)
	case e.To != "":
		return s + " to " + e.To
	}
	return s
}

// elsewhere are the open lines of other counts about the same time, of the same
// places or parts: a bag's neighbour may have been counted in one of these.
func elsewhere(v *reader, c Count) (out []store.CountLine) {
	places, parts := map[code.Code]bool{}, map[code.Code]bool{}
	for _, l := range c.Lines {
		if l.Difference != 0 {
			places[l.Place], parts[l.Part] = true, true
		}
	}
	if len(places) == 0 {
		return nil
	}
	for _, id := range countsAbout(v, c.Lines[0].Line.Reading.Day) {
		if id == c.ID {
			continue
		}
		for _, l := range got(v, v.CountLines, id) {
			if l.Open() && (places[l.Place] || parts[l.Bag.Part]) {
				out = append(out, l)
			}
		}
	}
	return out
}

// countsAbout are the counts that are open, and those of workbooks about a day.
func countsAbout(v *reader, day code.Day) (ids []store.CountID) {
	for _, d := range v.ReadingDays() {
		if d-day <= aboutThen && day-d <= aboutThen {
			ids = append(ids, store.CountID{Day: d})
		}
	}
	for c := range each(v, v.EachCount) {
		if c.Closed == 0 {
			ids = append(ids, store.CountID{Number: c.Number})
		}
	}
	return ids
}

// aboutThen is how many days apart two readings tell of each other.
const aboutThen = 7

// explain hands the lines of a count to the leaf that knows reasons, and with
// them open lines of other counts.
func explain(v *reader, own, near []store.CountLine, loose []LoosePart) [][]differ.Reason {
	lines := slices.Concat(own, near)
	in := make([]differ.Line, len(lines))
	looks := map[code.Code]look{}
	here := map[code.Code][]look{} // what differs, by place
	for _, l := range lines {
		if l.Bag.Part == "" || l.Difference() == 0 {
			continue
		}
		k, known := looks[l.Bag.Part]
		if !known {
			k = lookOf(v.part(l.Bag.Part))
			looks[k.part.Code] = k
		}
		here[l.Place] = append(here[l.Place], k)
	}
	left := newUncounted(v, lines)
	for i, l := range lines {
		k := looks[l.Bag.Part]
		in[i] = differ.Line{Bag: string(l.Bag.Code), Part: string(l.Bag.Part), Place: string(l.Place), Met: string(l.Seen), Piece: pieceWord(k.part.Class), Unit: l.Unit,
			Book: l.Book, Counted: l.Reading.Quantity, About: l.BookAbout || l.Reading.About, Twin: string(k.part.Twin)}
		if i >= len(own) || l.Difference() == 0 && l.Seen == "" && l.Later.Seq == 0 {
			continue
		}
		in[i].Like, in[i].Facts = mistakenFor(k, here[l.Place]), factsOf(v, l, loose)
		if l.Difference() != 0 {
			in[i].Facts.Uncounted = left.beside(k, l.Place)
		}
		for _, u := range in[i].Facts.Uncounted {
			in[i].Like = append(in[i].Like, u.Part)
		}
	}
	if v.err != nil {
		return nil
	}
	return differ.Explain(in)[:len(own)]
}

// An uncounted knows the bags of a place that none of the lines read.
type uncounted struct {
	v      *reader
	read   map[code.Code]bool
	places map[code.Code][]leftBag
}

type leftBag struct {
	bag  code.Code
	look look
}

func newUncounted(v *reader, lines []store.CountLine) *uncounted {
	u := &uncounted{v, map[code.Code]bool{}, map[code.Code][]leftBag{}}
	for _, l := range lines {
		u.read[l.Bag.Code] = true
	}
	return u
}

// beside names bags in a place that were not read and hold the part, its twin or
// what looks alike: at most three, those of the part first.
func (u *uncounted) beside(l look, place code.Code) []differ.Unit {
	if l.part.Code == "" || place == "" {
		return nil
	}
	here, known := u.places[place]
	if !known {
		for _, b := range got(u.v, u.v.Countable, place) {
			if !u.read[b.Code] && b.Part != "" {
				here = append(here, leftBag{b.Code, lookOf(u.v.part(b.Part))})
			}
		}
		u.places[place] = here
	}
	var same, alike []differ.Unit
	for _, o := range here {
		p := o.look.part
		switch {
		case p.Code == l.part.Code:
			same = append(same, differ.Unit{Bag: string(o.bag), Part: string(p.Code)})
		case p.Code == l.part.Twin || p.Twin == l.part.Code || l.like(&o.look):
			alike = append(alike, differ.Unit{Bag: string(o.bag), Part: string(p.Code)})
		}
	}
	out := append(same, alike...)
	return out[:min(len(out), 3)]
}

// mistakenFor lists the parts that are easily taken for one.
func mistakenFor(l look, others []look) (out []string) {
	for i := range others {
		o := &others[i]
		if o.part.Code != l.part.Code && l.like(o) {
			out = append(out, string(o.part.Code))
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// pieceWord is one piece of a class in one word: screw, spring, gear.
func pieceWord(class string) string {
	for _, w := range []struct{ prefix, word string }{{"SPR", "spring"}, {"SCR", "screw"}} {
		if words.Under(class, w.prefix) {
			return w.word
		}
	}
	if words.Known(class) {
		return words.ClassName(class)
	}
	return "piece"
}

// factsOf gathers what book and drawer say of a bag since the book was last known to
// be right.
func factsOf(v *reader, l store.CountLine, loose []LoosePart) (f differ.Facts) {
	all := standing(got(v, v.EntriesOf, l.Bag.Code))
	at := slices.IndexFunc(all, func(e store.Entry) bool { return e.Seq == l.Reading.Seq })
	if at < 0 {
		v.keep(errors.New("a reading is not in the book of its bag"))
		return f
	}
	from := lastCount(all[:at], l)
	ownFacts(&f, l, all[from:at])
	seenFacts(&f, l, all)
	for _, x := range loose {
		if x.Part == l.Bag.Part && x.Bag == "" {
			f.Loose = append(f.Loose, differ.Use{Who: string(x.Place), N: x.N})
		}
	}
	var since code.Day
	if from > 0 {
		since = all[from-1].Day
	}
	if l.Bag.Part != "" {
		sisterFacts(&f, v, l, since)
		fullJobs(&f, v, l.Bag.Part)
		unitFacts(&f, v, l)
	}
	return f
}

// fullJobs marks the jobs that have as many of the part as their camera takes.
func fullJobs(f *differ.Facts, v *reader, part code.Code) {
	p, err := v.Part(part)
	if err != nil {
		return // pieces of no known part
	}
	for _, list := range [][]differ.Use{f.Fitted, f.Elsewhere} {
		for i, u := range list {
			list[i].Full = isFull(v, p, code.Code(u.Who))
		}
	}
}

// isFull tells whether a job has as many of a part as its camera takes: false where
// nobody said how many that is.
func isFull(v *reader, p store.Part, job code.Code) bool {
	j, err := v.Job(job)
	if err != nil {
		return false // a job that is not recorded
	}
	takes, has := int64(0), int64(0)
	for _, d := range got2(v, v.Verdicts, p, j.Camera()) {
		if d.Usable() && d.Goes.PerBody != nil {
			takes = max(takes, *d.Goes.PerBody)
		}
	}
	for _, x := range got(v, v.PiecesOf, job) {
		if x.Bag.Part == p.Code && !x.Held {
			has += x.N
		}
	}
	return takes > 0 && has >= takes
}

// standing leaves out what was taken back, and what took it back.
func standing(all []store.Entry) []store.Entry {
	undone := map[uint64]bool{}
	for _, e := range all {
		if e.Undoes != 0 {
			undone[e.Undoes] = true
		}
	}
	return slices.DeleteFunc(all, func(e store.Entry) bool { return e.Undoes != 0 || undone[e.Booking] })
}

// lastCount is the place in the book of a bag from which on nobody knows what became
// of it: behind the last correction, or the last reading before the count of the
// line that agreed. A reading that differed and was left open explains nothing.
func lastCount(before []store.Entry, l store.CountLine) int {
	for i, e := range slices.Backward(before) {
		same := e.Count == l.Reading.Count && (e.Count != 0 || e.Day == l.Reading.Day)
		if e.What == store.Corrected || e.What == store.Counted && !same && l.Bag.Agreed(e, before[:i]) {
			return i + 1
		}
	}
	return 0
}

// ownFacts are those of the bag's own entries.
func ownFacts(f *differ.Facts, l store.CountLine, entries []store.Entry) {
	bag := l.Bag.Code
	for i, e := range entries {
		if e.Bag != bag {
			continue
		}
		switch {
		case e.What == store.Fitted && e.Unsure:
			f.Doubtful = withWhom(f.Doubtful, string(e.Job), "", e.Quantity)
		case e.What == store.Fitted:
			f.Fitted = withWhom(f.Fitted, string(e.Job), "", e.Quantity)
		case e.What == store.Returned && e.Job != "":
			f.Fitted = withWhom(f.Fitted, string(e.Job), "", -e.Quantity)
		case e.What == store.Returned:
			f.Back = withWhom(f.Back, cmp.Or(e.To, "another bench"), "", e.Quantity)
		case e.What == store.Lost || e.What == store.Scrapped || e.What == store.Sold:
			f.Losses = append(f.Losses, differ.Loss{What: e.What.String(), Day: e.Day.String(), N: e.Quantity})
		case e.What == store.Found:
			foundAgain(f, e.Quantity)
		}
		doubles(f, entries[:i], e)
	}
	f.Fitted = slices.DeleteFunc(f.Fitted, func(u differ.Use) bool { return u.N <= 0 })
	for _, o := range l.At.HeldFor {
		f.Held = append(f.Held, differ.Use{Who: o.Who, N: o.N})
	}
	for _, o := range l.At.LentTo {
		f.Lent = append(f.Lent, differ.Use{Who: o.Who, N: o.N})
	}
}

// foundAgain takes what was found off what was lost, the latest first.
func foundAgain(f *differ.Facts, n int64) {
	for i := len(f.Losses) - 1; i >= 0; i-- {
		if u := &f.Losses[i]; u.What == "lost" {
			took := min(n, u.N)
			u.N, n = u.N-took, n-took
		}
	}
	f.Losses = slices.DeleteFunc(f.Losses, func(u differ.Loss) bool { return u.N == 0 })
}

// withWhom adds to what stands with somebody; the latest stands last.
func withWhom(list []differ.Use, who, bag string, n int64) []differ.Use {
	i := slices.IndexFunc(list, func(u differ.Use) bool { return u.Who == who && u.Bag == bag })
	if i < 0 {
		return append(list, differ.Use{Who: who, Bag: bag, N: n})
	}
	u := list[i]
	u.N += n
	return append(slices.Delete(list, i, i+1), u)
}

// effects are what a piece of each word does to what the book says.
var effects = sync.OnceValue(func() map[store.What]int64 {
	return map[store.What]int64{store.In: 1, store.Fitted: -1, store.Returned: 1, store.Lost: -1, store.Found: 1, store.Scrapped: -1, store.Sold: -1, store.Lent: -1, store.Cut: -1}
})

// doubles notes an entry that stands before already, in every word.
func doubles(f *differ.Facts, before []store.Entry, e store.Entry) {
	effect := effects()[e.What] * e.Quantity
	if effect == 0 || e.First {
		return
	}
	i := slices.IndexFunc(before, func(b store.Entry) bool {
		return b.What == e.What && b.Bag == e.Bag && b.Quantity == e.Quantity && b.Job == e.Job && b.To == e.To && b.Day == e.Day && !b.First
	})
	if i < 0 {
		return
	}
	words := fmt.Sprintf("%d %s", e.Quantity, e.What)
	if e.Job != "" {
		words += " on job " + string(e.Job)
	}
	words += fmt.Sprintf(" on %s, entries %d and %d", e.Day, before[i].Seq, e.Seq)
	f.Doubles = append(f.Doubles, differ.Double{Effect: effect, Words: words})
}

// seenFacts are other readings of the bag about the same time, in another place.
func seenFacts(f *differ.Facts, l store.CountLine, all []store.Entry) {
	here := cmp.Or(code.Code(l.Reading.To), l.Place)
	for _, e := range all {
		days := e.Day - l.Reading.Day
		if e.What != store.Counted || e.Seq == l.Reading.Seq || e.Bag != l.Bag.Code || days > aboutThen || days < -aboutThen {
			continue
		}
		if there := cmp.Or(code.Code(e.To), l.Place); there != here {
			f.Seen = append(f.Seen, differ.Use{Who: string(there), N: e.Quantity})
		}
	}
}

// sisterFacts are those of other bags of the part.
func sisterFacts(f *differ.Facts, v *reader, l store.CountLine, since code.Day) {
	for _, c := range v.BagsOf(l.Bag.Part) {
		if c == l.Bag.Code {
			continue
		}
		for _, e := range standing(got(v, v.EntriesOf, c)) {
			if e.What != store.Fitted || e.Bag != c || e.Day < since || e.Day > l.Reading.Day {
				continue
			}
			if e.Unsure {
				f.Unsure = withWhom(f.Unsure, string(e.Job), string(c), e.Quantity)
			} else if !slices.ContainsFunc(f.Fitted, func(u differ.Use) bool { return u.Who == string(e.Job) }) {
				f.Elsewhere = withWhom(f.Elsewhere, string(e.Job), string(c), e.Quantity)
			}
		}
	}
}

// unitFacts are bags of units that contain the part and came from the same camera.
func unitFacts(f *differ.Facts, v *reader, l store.CountLine) {
	for _, unit := range v.UnitsWith(l.Bag.Part) {
		for _, c := range v.BagsOf(unit) {
			b := v.bag(c)
			if _, err := v.Donor(code.Code(b.Origin)); err == nil && b.Origin == l.Bag.Origin && v.state(c).OnHand() > 0 {
				f.Units = append(f.Units, differ.Unit{Bag: string(c), Part: string(unit)})
			}
		}
	}
}

// A CountHead is one count in a list.
type CountHead struct {
	Count       string      `json:"count"`
	Day         string      `json:"day"`
	Places      []code.Code `json:"places"`
	State       string      `json:"state"` // open or closed
	Closed      string      `json:"closed,omitempty"`
	By          string      `json:"by,omitempty"`
	Bags        int64       `json:"bags"` // read
	Counted     int64       `json:"counted"`
	Right       int64       `json:"right"`
	Differences int64       `json:"differences"` // that are open

	ID store.CountID `json:"-"`
}

// Counts lists all counts, the earliest first.
func Counts(view *store.View) ([]CountHead, error) {
	v, out := read(view), []CountHead{}
	for _, id := range countIDs(v) {
		if h, there := headOfID(v, id.CountID); there {
			out = append(out, h)
		}
	}
	return out, v.err
}

// A datedCount is one with the day it was begun.
type datedCount struct {
	store.CountID
	begun code.Day
}

// countIDs names all counts, the earliest first.
func countIDs(v *reader) (ids []datedCount) {
	for _, d := range v.ReadingDays() {
		ids = append(ids, datedCount{store.CountID{Day: d}, d})
	}
	for c := range each(v, v.EachCount) {
		ids = append(ids, datedCount{store.CountID{Number: c.Number}, c.Day})
	}
	slices.SortStableFunc(ids, func(a, b datedCount) int { return cmp.Compare(a.begun, b.begun) })
	return ids
}

// headOfID reads one count; there is false where all of its readings were taken
// back.
func headOfID(v *reader, id store.CountID) (h CountHead, there bool) {
	c, _ := countLines(v, id)
	h = CountHead{Count: c.Count, Day: c.Day, Places: c.Places, State: "closed", Closed: c.Closed, By: c.By, Bags: int64(len(c.Lines)),
		Counted: c.Counted, Right: c.Right, ID: c.ID}
	if c.Open {
		h.State = "open"
	}
	for _, l := range c.Lines {
		if l.Open {
			h.Differences++
		}
	}
	return h, v.err == nil && (id.Number != 0 || len(c.Lines) > 0)
}

// PickCount finds the count that is meant, of a place where one is named: the open
// one that was begun last, else the latest of all. Others are further counts that
// are open.
func PickCount(v *store.View, place code.Code) (id store.CountID, others []CountHead, err error) {
	all, err := Counts(v)
	for _, h := range all {
		if place != "" && !slices.Contains(h.Places, place) {
			continue
		}
		if h.State == "open" {
			others = append(others, h)
		}
		id = h.ID
	}
	switch n := len(others); {
	case err != nil:
		return id, nil, err
	case n > 0:
		return others[n-1].ID, others[:n-1], nil
	case id != store.CountID{}:
		return id, nil, nil
	case place != "":
		return id, nil, store.Absent("no count of %s here", place)
	}
	return id, nil, store.Absent("no count here")
}

// SayCounts names counts with their places: 2031-08-31 of N1, 3 of K1 K2.
func SayCounts(list []CountHead) string {
	var out []string
	for _, h := range list {
		out = append(out, fmt.Sprintf("%s of %s", h.Count, strings.Trim(fmt.Sprint(h.Places), "[]")))
	}
	return strings.Join(out, ", ")
}

// Trend lists the counts before one that have something to judge, at most n of
// them, the latest last.
func Trend(view *store.View, before Count, n int) (out []CountHead, err error) {
	v := read(view)
	ids := countIDs(v)
	own := slices.IndexFunc(ids, func(d datedCount) bool { return d.CountID == before.ID })
	for i := own - 1; i >= 0 && len(out) < n; i-- {
		if h, there := headOfID(v, ids[i].CountID); there && h.Counted > 0 {
			out = append(out, h)
		}
	}
	slices.Reverse(out)
	return out, v.err
}
