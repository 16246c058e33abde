package store

import (
	"encoding/binary"
	"strings"
	"sync"

	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/words"
)

// A Row is one key of an index and what it holds.
type Row struct {
	Bucket     string
	Key, Value []byte
}

// rows returns every index key of a record. Booking writes the difference of
// two calls, bulk load sorts them, check compares them: nothing else decides
// what an index holds.
func rows(rec any) []Row {
	switch r := rec.(type) {
	case State:
		return rowsState(r)
	case balanced:
		return rowsBalanced(r)
	case Entry:
		return rowsEntry(r)
	case Booking:
		return rowsBooking(r)
	}
	for _, k := range kinds {
		if all, mine := k.rowsOf(rec); mine {
			return all
		}
	}
	return nil
}

func rowsCode(kind string, c code.Code) []Row {
	return []Row{{bCode, keyCodeIndex(kind, c), nil}}
}

func rowsPart(p Part) []Row {
	out := rowsCode("part", p.Code)
	if p.Same != "" {
		return out // a second name: it is found by its code alone
	}
	if name := words.Fold(p.Name); name != "" {
		out = append(out, Row{bName, keyName("part", name, p.Code), nil})
	}
	tf, n := partWords(p)
	for w, c := range tf {
		out = append(out, Row{bWord, keyWord(w, p.Code), []byte{byte(min(c, 255)), byte(min(n, 255))}})
	}
	v := dimValue(p)
	if p.Class != "" {
		out = append(out, Row{bClass, keyClass(p.Class, p.Code), nil})
	}
	for _, f := range indexed() {
		if x, ok := p.Dims[f]; ok {
			out = append(out, Row{bDim, keyDim(f, x, p.Code), v})
		}
	}
	if t, err := thread.Parse(p.Marks[dim.Thread]); err == nil && p.Marks[dim.Thread] != "" {
		out = append(out, Row{bDim, keyDim(fieldMajor, t.Major, p.Code), v}, Row{bDim, keyDim(fieldPitch, t.Pitch, p.Code), v})
	}
	if p.Twin != "" {
		out = append(out, Row{bTwin, join(p.Twin, p.Code), nil})
	}
	for _, h := range p.Holds {
		out = append(out, Row{bHeldIn, join(h, p.Code), nil})
	}
	return append(out, rowsWorth(p)...)
}

// indexed are the measures that have an index, in the order of the sheet.
var indexed = sync.OnceValue(func() (fields []dim.Field) {
	for _, in := range dim.Table() {
		if in.Indexed {
			fields = append(fields, in.Field)
		}
	}
	return fields
})

// rowsWorth returns what choosing parts to count asks of a part, so that it
// reads no records.
func rowsWorth(p Part) []Row {
	var cents code.Cents
	if p.Value != nil {
		cents = *p.Value
	}
	if cents == 0 && !p.CountFirst {
		return nil
	}
	return []Row{{bWorth, keyCode(p.Code), append(binary.AppendVarint(nil, int64(cents)), truth(p.CountFirst))}}
}

func truth(b bool) byte {
	if b {
		return 1
	}
	return 0
}

// dimValue is what the dimension index holds beside its key: the class and
// every indexed measure, so that a search by several looks into no part.
func dimValue(p Part) []byte {
	b := append([]byte{byte(len(p.Class))}, p.Class...)
	for _, f := range indexed() {
		if x, ok := p.Dims[f]; ok {
			b = binary.AppendVarint(append(b, byte(f)), x)
		}
	}
	return b
}

// partWords counts the folded words a part is found by, and their number.
func partWords(p Part) (map[string]int, int) {
	tf, n := map[string]int{}, 0
	add := func(text string) {
		for _, w := range words.Tokens(text) {
			tf[w]++
			n++
		}
	}
	add(p.Name)
	for _, a := range p.Aliases {
		add(a)
	}
	for _, m := range p.MakerNos {
		add(m)
	}
	return tf, n
}

func rowsDonor(d Donor) []Row {
	out := append(rowsCode("donor", d.Code), Row{bDonorByModel, join(d.Model, d.Code), nil})
	if d.Lot != "" {
		out = append(out, Row{bDonorByLot, join(d.Lot, string(d.Code)), nil})
	}
	return append(out, rowsOwner(d.Owner, "donor", d.Code)...)
}

// rowsOwner returns the row of what belongs to somebody else than the workshop.
func rowsOwner(owner, kind string, c code.Code) []Row {
	if owner == "" || owner == Own {
		return nil
	}
	return []Row{{bOwner, join(owner, kind, string(c)), nil}}
}

// rowsBag returns no row for a code that is its own forgiving reading: there are many
// bags, and that one should be there is told by its balance.
func rowsBag(b Bag) []Row {
	if code.Loose(string(b.Code)) == string(b.Code) {
		return nil
	}
	return rowsCode("bag", b.Code)
}

// rowsJob returns by its tray a job that has one or whose camera is in the house.
func rowsJob(j Job) []Row {
	out := rowsCode("job", j.Code)
	if s := stands(j); s != jobGone || j.Tray != "" {
		out = append(out, Row{bJobByTray, join(j.Tray, j.Code), []byte{s}})
	}
	return out
}

// rowsOld returns the row of a customer's piece that is to be handed back or made good.
func rowsOld(o Old) []Row {
	if !o.Open() {
		return nil
	}
	return []Row{{bOldOpen, keyOld(o), nil}}
}

func rowsModel(m Model) []Row {
	out := rowsCode("model", m.Code)
	for _, a := range append([]string{m.Name}, m.Aliases...) {
		if f := words.Fold(a); f != "" {
			out = append(out, Row{bName, keyName("model", f, m.Code), nil})
		}
	}
	for _, c := range m.Carries {
		out = append(out, Row{bCarried, join(c, m.Code), nil})
	}
	if f := words.Fold(m.Family); f != "" {
		out = append(out, Row{bFamily, join(f, string(m.Code)), nil})
	}
	return out
}

func rowsWant(w Want) []Row {
	open := []byte{truth(w.Met == 0)}
	out := []Row{{bWantByPart, keyWantByPart(w), open}}
	if w.Job != "" {
		out = append(out, Row{bWantByJob, keyWantByJob(w), open})
	}
	return out
}

func rowsState(s State) []Row {
	var out []Row
	if s.Place != "" {
		out = append(out, Row{bBagByPlace, join(s.Place, s.Bag), nil})
	}
	if s.Grade != "" {
		out = append(out, Row{bBagByGrade, join(s.Grade, string(s.Bag)), nil})
	}
	if len(s.HeldFor) > 0 || len(s.LentTo) > 0 {
		out = append(out, Row{bOut, keyCode(s.Bag), nil})
	}
	return out
}

// A balanced bag is what the list of a part's bags follows from.
type balanced struct {
	Bag   Bag
	State State
}

// rowsBalanced returns the row by which a part knows its bag, no part what is
// unsorted: with it stands all that an answer tells of the bag and that choosing
// bags to count asks, so that neither reads bag or balance. By its origin a bag stands
// with the day its pieces last came in, by its owner one that holds something.
func rowsBalanced(r balanced) []Row {
	b := r.Bag
	if b.Code == "" {
		return nil
	}
	out := []Row{{bBagByPart, join(b.Part, b.Code), lineOf(b, r.State).pack()}}
	if b.Origin != "" {
		out = append(out, Row{bBagByOrigin, join(b.Origin, string(b.Code)), binary.AppendVarint(nil, int64(r.State.Came()))})
	}
	if r.State.OnHand() != 0 {
		out = append(out, rowsOwner(b.Owner, "bag", b.Code)...)
	}
	return out
}

func rowsEntry(e Entry) []Row {
	out := rowsReading(e)
	if e.Job != "" {
		out = append(out, Row{bBagByJob, keyBagByJob(e), nil})
	}
	return out
}

// rowsReading returns the row of a reading. That it was taken back is told by
// its booking.
func rowsReading(e Entry) []Row {
	if e.What != Counted || e.Undoes != 0 {
		return nil
	}
	v := append(binary.AppendVarint(nil, e.Quantity), truth(e.About))
	return []Row{{bReading, keyReading(e), append(v, e.Bag...)}}
}

func rowsBooking(b Booking) []Row {
	out := []Row{{bBookingByWho, keyBookingByWho(b), nil}}
	if b.Undoes != 0 {
		out = append(out, Row{bBookingByUndo, keySeq(b.Undoes), keySeq(b.Number)})
	}
	return out
}

// A figured part is what the list of shortages follows from.
type figured struct {
	Part   Part
	Figure Figure
}

// rowsShort returns the row of a part that has fewer free than it should keep.
func rowsShort(f figured) []Row {
	if f.Part.Keep == nil || f.Part.Same != "" || f.Figure.Free() >= *f.Part.Keep {
		return nil
	}
	v := binary.AppendVarint(nil, f.Figure.Free())
	v = binary.AppendVarint(v, *f.Part.Keep)
	v = binary.AppendVarint(v, f.Figure.Held)
	return []Row{{bShort, keyCode(f.Part.Code), append(v, f.Part.Name...)}}
}

// watched are the parts that say how many to keep, with what [rowsShort] asks of them.
type watched map[code.Code]watch

type watch struct {
	name string
	keep int64
}

func (w watched) add(p Part) {
	if p.Keep != nil && p.Same == "" {
		w[code.Code(strings.Clone(string(p.Code)))] = watch{strings.Clone(p.Name), *p.Keep} // nothing else of a row is kept
	}
}

// rows calls fn with the rows of what runs short.
func (w watched) rows(of *sums, fn func([]Row)) {
	for c, p := range w {
		fn(rowsShort(figured{Part{Code: c, Name: p.name, Keep: &p.keep}, of.of(c)}))
	}
}

// sums are the figures of parts, as their bags come to them.
type sums struct {
	parts code.Index
	all   []Figure
}

// add adds the balance of a bag, if it counts.
func (s *sums) add(b Bag, st State) {
	if !isStock(b) {
		return
	}
	n, fresh := s.parts.Add(b.Part)
	if fresh {
		s.all = append(s.all, Figure{})
	}
	s.all[n] = s.all[n].add(st, 1)
}

func (s *sums) of(part code.Code) Figure {
	if n, ok := s.parts.Number(part); ok {
		return s.all[n]
	}
	return Figure{}
}

// each calls fn for the figures that are not zero.
func (s *sums) each(fn func(part code.Code, f Figure) error) error {
	for n, f := range s.all {
		if f == (Figure{}) {
			continue
		}
		if err := fn(s.parts.At(n), f); err != nil {
			return err
		}
	}
	return nil
}
