package store

import (
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/dim"
)

// What a workbook holds beside the records of its first ten sheets: see whole.go. Rows
// that tell more of a part, bag, donor or job are put into its record before that is
// planned; the others become records of their own.

// A borrowed is a record that a row of another sheet needs and that has no row of its own.
type borrowed struct {
	sheet string // the other
	i     int    // its row
}

// cell names a cell for a person.
func (p *Plan) cell(sheet string, i int, heading string) (name, cell, value string) {
	if l, ok := p.lent[sheet][i]; ok {
		return p.load.Cell(l.sheet, l.i, "")
	}
	return p.load.Cell(sheet, i, heading)
}

// rowTally counts row i of a sheet: of one that is lent nothing but that it is refused.
func (p *Plan) rowTally(sheet string, i int) *Tally {
	if _, ok := p.lent[sheet][i]; ok {
		return &Tally{}
	}
	return p.tally(sheet)
}

// A folder puts rows of another sheet into records of one kind.
type folder[T any] struct {
	p    *Plan
	kind *kindOf[T]
	list *List[T]
	code func(T) code.Code
	have *code.Numbers // where records stand in list
}

func newFolder[T any](p *Plan, kind *kindOf[T], list *List[T], own func(T) code.Code) *folder[T] {
	return &folder[T]{p: p, kind: kind, list: list, code: own}
}

// record is where the record stands that row i of another sheet tells more of, and as it
// is in the store; -1 where there is none, which is a problem.
func (f *folder[T]) record(sheet string, i int, heading string, empty T) (at int, was *T, err error) {
	if f.have == nil {
		f.have = &code.Numbers{}
		for i, x := range f.list.All() {
			f.have.Set(f.code(x), i)
		}
	}
	own := f.code(empty)
	if f.p.view != nil {
		if was, err = f.kind.stored(f.p.view, f.kind.key(empty)); err != nil {
			return -1, nil, err
		}
	}
	at, here := f.have.Get(own)
	switch {
	case here:
		return at, was, nil
	case was == nil:
		if !slices.Contains(f.p.load.Flawed[f.kind.sheet], own) {
			f.p.problem(sheet, i, heading, "there is no %s %s%s", f.kind.bucket, own, f.p.nowhere())
		}
		return -1, nil, nil
	}
	at = f.list.Len()
	f.have.Set(own, at)
	f.list.Add(empty)
	if f.p.lent[f.kind.sheet] == nil {
		f.p.lent[f.kind.sheet] = map[int]borrowed{}
	}
	f.p.lent[f.kind.sheet][at] = borrowed{sheet, i}
	return at, was, nil
}

// tell counts a row by what it does to a record that is there.
func (p *Plan) tell(sheet string, there, same bool) {
	switch t := p.tally(sheet); {
	case same:
		t.Same++
	case there:
		t.Changed++
	default:
		t.New++
	}
}

// foldIn puts the rows of the sheets Signs, Made and Measured, and the lines of
// estimates, into their records.
func (p *Plan) foldIn() error {
	l := p.load
	if len(l.Signs)+len(l.Made)+len(l.Measured)+len(l.Papers) == 0 {
		return nil
	}
	donors := newFolder(p, donorKind, &l.Donors, func(d Donor) code.Code { return d.Code })
	for i, s := range l.Signs {
		at, was, err := donors.record("Signs", i, "Camera", Donor{Code: s.Donor})
		if err != nil {
			return err
		}
		if at < 0 {
			continue
		}
		same := was != nil && slices.Contains(was.Signs, s.Text)
		p.tell("Signs", false, same)
		l.Donors.Change(at, func(d *Donor) {
			if len(d.Signs) == 0 && was != nil {
				d.Signs = slices.Clone(was.Signs)
			}
			if !slices.Contains(d.Signs, s.Text) {
				d.Signs = append(d.Signs, s.Text)
			}
		})
	}
	bags := newFolder(p, bagKind, &l.Bags, func(b Bag) code.Code { return b.Code })
	for i, m := range l.Made {
		at, was, err := bags.record("Made", i, "Bag", Bag{Code: m.Bag})
		if err != nil {
			return err
		}
		if at < 0 {
			continue
		}
		l.Bags.Change(at, func(b *Bag) { b.Material, b.Pattern, b.Minutes = m.Material, m.Pattern, m.Minutes })
		had := was != nil && was.Material+string(was.Pattern) != ""
		p.tell("Made", had, was != nil && was.Material == or(m.Material, was.Material) && (m.Pattern == "" || m.Pattern == was.Pattern) && (m.Minutes == 0 || m.Minutes == was.Minutes))
	}
	parts := newFolder(p, partKind, &l.Parts, func(x Part) code.Code { return x.Code })
	for i, m := range l.Measured {
		var had map[dim.Field]Reading
		twice, there := false, false
		note := func(into *map[dim.Field]Reading) {
			if *into == nil {
				*into = map[dim.Field]Reading{}
			}
			if _, twice = (*into)[m.Field]; !twice {
				(*into)[m.Field] = m.Reading
			}
		}
		if m.Part != "" {
			at, was, err := parts.record("Measured", i, "Part", Part{Code: m.Part})
			if err != nil {
				return err
			}
			if there = at >= 0; there {
				l.Parts.Change(at, func(x *Part) { note(&x.Readings) })
			}
			if was != nil {
				had = was.Readings
			}
		} else {
			at, was, err := bags.record("Measured", i, "Bag", Bag{Code: m.Bag})
			if err != nil {
				return err
			}
			if there = at >= 0; there {
				l.Bags.Change(at, func(b *Bag) { note(&b.Readings) })
			}
			if was != nil {
				had = was.Readings
			}
		}
		if !there {
			continue
		}
		if twice {
			p.problem("Measured", i, "Measure", "this measure stands in a row before: one reading a measure is kept")
			continue
		}
		old, known := had[m.Field]
		p.tell("Measured", known, known && reflect.DeepEqual(old, m.Reading))
	}
	return p.foldEstimates()
}

// foldEstimates puts the lines of estimates into their jobs.
func (p *Plan) foldEstimates() error {
	l := p.load
	jobs := newFolder(p, jobKind, &l.Jobs, func(j Job) code.Code { return j.Code })
	for i, r := range l.Papers {
		if r.What != PaperEstimate {
			continue
		}
		c, err := code.Parse(r.Name)
		if err != nil {
			p.problem("Papers", i, "Name", "%v", err)
			continue
		}
		at, was, err := jobs.record("Papers", i, "Name", Job{Code: c})
		if err != nil {
			return err
		}
		if at < 0 {
			continue
		}
		n := JobLine{r.Text, r.Sum}
		same := was != nil && slices.ContainsFunc(was.Lines, func(x JobLine) bool { return reflect.DeepEqual(x, n) })
		p.tell("Papers", false, same)
		l.Jobs.Change(at, func(j *Job) {
			if len(j.Lines) == 0 && was != nil {
				j.Lines = slices.Clone(was.Lines)
			}
			if !slices.ContainsFunc(j.Lines, func(x JobLine) bool { return reflect.DeepEqual(x, n) }) {
				err = j.Line(n, false)
			}
		})
		if err != nil {
			return err
		}
	}
	return nil
}

// planOwn sorts records of a kind that has no planning of its own into new, changed and
// same. row is the row of a record; mayChange says whether one that is there may be
// changed, and if not, what is to be said.
func planOwn[T any](p *Plan, k *kindOf[T], sheet string, recs []T, row func(i int) int, mayChange func(was, now T) string) error {
	t := p.tally(sheet)
	for i, rec := range recs {
		var was *T
		var err error
		if p.view != nil {
			if was, err = k.stored(p.view, k.key(rec)); err != nil {
				return err
			}
		}
		now, changed := rec, false
		if was != nil {
			now, changed = merge(*was, rec)
		}
		switch {
		case was != nil && !changed:
			t.Same++
		case was != nil && mayChange(*was, now) != "":
			p.problem(sheet, row(i), "", "%s", mayChange(*was, now))
		case p.refused(sheet, row(i), k.breaches(p, was, now)):
		case was == nil:
			t.New++
			p.keep(now)
		default:
			t.Changed++
			p.own = append(p.own, now)
		}
	}
	return nil
}

// ownRow is the row of a record where every record has one.
func ownRow(i int) int { return i }

func anyChange[T any](_, _ T) string { return "" }

// planWhole plans the sheets whose rows become records of their own.
func (p *Plan) planWhole() error {
	for _, step := range []func() error{p.planOld, p.planSteps, p.planCounts, p.planNotes, p.planPapers, p.planPictures} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// planOld gives pieces without a number the next of their job, but for those that are
// there.
func (p *Plan) planOld() error {
	last := map[code.Code]uint64{}
	had := map[code.Code][]Old{}
	for i := range p.load.Old {
		o := &p.load.Old[i]
		if _, met := last[o.Job]; !met && p.view != nil {
			all, err := p.view.OldOf(o.Job)
			if err != nil {
				return err
			}
			had[o.Job] = all
			for _, x := range all {
				last[o.Job] = max(last[o.Job], x.Nth)
			}
		}
		if o.Quantity == 0 {
			o.Quantity = 1
		}
		if o.Nth == 0 {
			at := slices.IndexFunc(had[o.Job], func(x Old) bool {
				return x.Part == o.Part && x.Piece == o.Piece && x.Quantity == o.Quantity && x.Why == o.Why && x.Day == o.Day
			})
			if o.Nth = last[o.Job] + 1; at >= 0 {
				o.Nth = had[o.Job][at].Nth
				had[o.Job] = slices.Delete(had[o.Job], at, at+1)
			}
		}
		last[o.Job] = max(last[o.Job], o.Nth)
	}
	return planOwn(p, oldKind, "Old", p.load.Old, ownRow, func(was, now Old) string {
		if was.Part == now.Part && was.Piece == now.Piece {
			return ""
		}
		return fmt.Sprintf("piece %d of job %s is another here: without a number it is added", was.Nth, was.Job)
	})
}

// planSteps takes the rows of steps together.
func (p *Plan) planSteps() error {
	var steps []Step
	var first []int
	for i, r := range p.load.Steps {
		var ok bool
		if r.Kind, ok = p.kindOf("Steps", i, "Camera", r.Kind, r.Camera, "donor", "job"); !ok {
			continue
		}
		if n := len(steps) - 1; n >= 0 && steps[n].Kind == r.Kind && steps[n].Camera == r.Camera && steps[n].Nth == r.Nth {
			s := &steps[n]
			own := r
			own.Off, own.Under, own.Over, own.Wrong, own.Pictures = nil, nil, nil, nil, nil
			if _, differs := merge(*s, own); differs {
				p.problem("Steps", i, "Step", "this row says otherwise than the first of step %d: what is said of the step stands there", r.Nth)
			}
			s.Off, s.Under, s.Over = append(s.Off, r.Off...), append(s.Under, r.Under...), append(s.Over, r.Over...)
			s.Wrong, s.Pictures = append(s.Wrong, r.Wrong...), append(s.Pictures, r.Pictures...)
			continue
		}
		steps, first = append(steps, r), append(first, i)
	}
	return planOwn(p, stepKind, "Steps", steps, func(i int) int { return first[i] }, func(was, _ Step) string {
		return fmt.Sprintf("step %d of %s %s reads otherwise here, and stays as it was booked", was.Nth, was.Kind, was.Camera)
	})
}

// planCounts takes the rows of counts together. Their numbers of entries are those that
// the entries get here.
func (p *Plan) planCounts() error {
	var counts []Count
	var first []int
	for i, r := range p.load.Counts {
		if n := len(counts) - 1; n >= 0 && counts[n].Number == r.Number {
			counts[n].Places, counts[n].Loose = append(counts[n].Places, r.Places...), append(counts[n].Loose, r.Loose...)
			continue
		}
		counts, first = append(counts, r), append(first, i)
	}
	t := p.tally("Counts")
	for i, c := range counts {
		if p.view != nil {
			was, err := countKind.stored(p.view, countKind.key(c))
			if err != nil {
				return err
			}
			if was != nil && was.Day == c.Day && slices.Equal(was.Places, c.Places) {
				t.Same++ // what it read stands in the book
				continue
			}
			if was != nil {
				p.problem("Counts", first[i], "Count", "count %d is another one here, begun on %s", c.Number, was.Day)
				continue
			}
		}
		c.Cut = p.renumbered(c.Cut)
		if !p.refused("Counts", first[i], countKind.breaches(p, nil, c)) {
			t.New++
			p.keep(c)
		}
	}
	return nil
}

// planNotes gives remarks without a number the next of their thing, but for those that
// are there.
func (p *Plan) planNotes() error {
	type thing struct {
		kind string
		code code.Code
	}
	last, had := map[thing]uint64{}, map[thing][]Remark{}
	var notes []Remark
	var rows []int
	for i, n := range p.load.Notes {
		var ok bool
		if n.Kind, ok = p.kindOf("Notes", i, "Thing", n.Kind, n.Code, NoteOn...); !ok {
			continue
		}
		of := thing{n.Kind, n.Code}
		if _, met := last[of]; !met && p.view != nil {
			all, err := p.view.NotesOf(n.Kind, n.Code)
			if err != nil {
				return err
			}
			had[of] = all
			for _, x := range all {
				last[of] = max(last[of], x.Nth)
			}
		}
		if n.Nth == 0 {
			at := slices.IndexFunc(had[of], func(x Remark) bool { return x.Text == n.Text && (n.Day == 0 || x.Day == n.Day) })
			if n.Nth = last[of] + 1; at >= 0 {
				n.Nth = had[of][at].Nth
				had[of] = slices.Delete(had[of], at, at+1)
			}
		}
		last[of] = max(last[of], n.Nth)
		notes, rows = append(notes, n), append(rows, i)
	}
	return planOwn(p, noteKind, "Notes", notes, func(i int) int { return rows[i] }, func(was, now Remark) string {
		if was.Text == now.Text {
			return ""
		}
		return fmt.Sprintf("note %d on %s %s reads otherwise here: without a number it is added", was.Nth, was.Kind, was.Code)
	})
}

// kindOf is what a code is the code of, where that was not written.
func (p *Plan) kindOf(sheet string, i int, heading, kind string, c code.Code, kinds ...string) (string, bool) {
	if kind != "" {
		if !slices.Contains(kinds, kind) {
			p.problem(sheet, i, heading, "a %s has none: it is one of %s", kind, strings.Join(kinds, ", "))
			return "", false
		}
		return kind, true
	}
	var is []string
	for _, k := range kinds {
		if p.has(k, c) { // a bucket is called what people call the kind
			is = append(is, k)
		}
	}
	switch len(is) {
	case 1:
		return is[0], true
	case 0:
		p.problem(sheet, i, heading, "there is no %s%s", c, p.nowhere())
	default:
		p.problem(sheet, i, heading, "%s is a %s and a %s: write %s:%s", c, is[0], is[1], is[0], c)
	}
	return "", false
}

// planPapers takes the rows of papers together.
func (p *Plan) planPapers() error {
	rows := p.load.Papers
	var shop Shop
	shopAt := -1
	for i := 0; i < len(rows); i++ {
		r := rows[i]
		var err error
		switch r.What {
		case PaperCurrency:
			p.Currency = r.Text
			p.tell("Papers", false, p.view != nil)
		case PaperShop, PaperAddress, PaperTerms:
			if shopAt < 0 {
				shopAt = i
			}
			switch r.What {
			case PaperShop:
				shop.Name = r.Text
			case PaperTerms:
				shop.Terms = r.Text
			default:
				shop.Lines = append(shop.Lines, r.Text)
			}
		case PaperSheet:
			err = planOwn(p, paperKind, "Papers", []Paper{{r.Name, r.Text}}, func(int) int { return i }, anyChange)
		case PaperLabel, PaperTyped, PaperMonth:
			j := i + 1
			for j < len(rows) && rows[j].What == r.What && rows[j].Name == r.Name {
				j++
			}
			err = p.planPaper(rows[i:j], i)
			i = j - 1
		}
		if err != nil {
			return err
		}
	}
	if shopAt < 0 {
		return nil
	}
	return planOwn(p, shopKind, "Papers", []Shop{shop}, func(int) int { return shopAt }, anyChange)
}

// planPaper plans what stands in several rows, the first of which is row i.
func (p *Plan) planPaper(rows []PaperRow, i int) error {
	first := rows[0]
	at := func(int) int { return i }
	if first.What == PaperMonth {
		m := Month{Name: first.Name, Day: first.Day, By: first.By, Last: first.Entry, Sheet: wholeOf(rows)}
		if m.Last = p.renumbered(m.Last); p.view != nil && p.view.at(bMonth, monthKind.key(m)) != nil {
			m.Last = 0 // that of the store stands
		}
		return planOwn(p, monthKind, "Papers", []Month{m}, at, func(was, _ Month) string {
			return fmt.Sprintf("%s was handed over here on %s: the sheet stays as it was given", was.Name, was.Day)
		})
	}
	kind, c, err := thingOf(first.Name)
	if err != nil {
		p.problem("Papers", i, "Name", "%v", err)
		return nil
	}
	if first.What == PaperLabel {
		text := ""
		for n, r := range rows {
			for k := int64(1); n > 0 && k < r.Line-rows[n-1].Line || n == 0 && k < r.Line; k++ {
				text += "\n"
			}
			if n > 0 {
				text += "\n"
			}
			text += r.Text
		}
		return planOwn(p, labelKind, "Papers", []Label{{Kind: kind, Code: c, Text: text, Day: first.Day}}, at, anyChange)
	}
	d := Draft{Kind: kind, Camera: c}
	for _, r := range rows {
		d.Lines = append(d.Lines, r.Text)
	}
	if p.view != nil && p.view.at(bDraft, keyDraft(d)) != nil {
		p.tally("Papers").Same++ // what is typed here goes on
		return nil
	}
	return planOwn(p, draftKind, "Papers", []Draft{d}, at, anyChange)
}

// A numbering are the numbers that the entries of a workbook get, in the order of those
// that they had where it is from.
type numbering struct {
	was   []uint32 // the numbers they had, rising
	order []int32  // what each is: a bag of the plan by its place, or the complement of a row of Moves
	bags  []uint64 // by place
	rows  []uint64 // by row of Moves
}

// numberAll numbers the new entries in that order, with nothing between them. It does
// nothing where not all of them tell their number.
func (p *Plan) numberAll(rows []int32) {
	keys := make([]uint64, 0, p.bags.Len()+len(rows)) // the number, then what has it
	for i, b := range p.bags.All() {
		if b.Split == "" {
			keys = append(keys, b.Entry<<32|uint64(uint32(i)))
		}
	}
	for _, r := range rows {
		keys = append(keys, p.load.Moves.At(int(r)).Seq<<32|uint64(uint32(^r)))
	}
	slices.Sort(keys)
	for i, k := range keys {
		if k>>32 == 0 || i > 0 && keys[i-1]>>32 == k>>32 {
			return
		}
	}
	if len(keys) == 0 {
		return
	}
	n := &numbering{bags: make([]uint64, p.bags.Len()), rows: make([]uint64, p.load.Moves.Len())}
	for i, k := range keys {
		what := int32(uint32(k))
		if n.was, n.order = append(n.was, uint32(k>>32)), append(n.order, what); what >= 0 {
			n.bags[what] = p.number(i)
		} else {
			n.rows[^what] = p.number(i)
		}
	}
	p.numbered = n
}

// renumbered is the number that the last entry up to one has here.
func (p *Plan) renumbered(was uint64) uint64 {
	switch {
	case was == 0:
		return 0
	case p.numbered == nil && p.view != nil && p.load.Since > 0:
		return was // of this store
	case p.numbered == nil:
		return p.number(-1)
	}
	at, _ := slices.BinarySearch(p.numbered.was, uint32(min(was, math.MaxUint32-1))+1)
	return p.number(at - 1)
}
