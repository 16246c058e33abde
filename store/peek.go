package store

import (
	"bytes"
	"cmp"
	"fmt"
	"iter"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/dim"
)

// A peeked record is the CBOR of one that agrees with its sum, of which single fields are
// read where decoding all of it would cost more than the answer. A question that goes
// through most of a store peeks.
type peeked []byte

// peek opens a record.
func peek(bucket string, key, frame []byte) (peeked, error) {
	_, body, err := unseal(bucket, key, frame)
	if err != nil {
		return nil, fmt.Errorf("%s %s: %w", bucket, readable(key), err)
	}
	return body, nil
}

// peek opens the record that the cursor came to.
func (c *cursor) peek(k, x []byte) (peeked, error) {
	_, body, err := c.shelf.unseal(k, x)
	if err != nil {
		return nil, fmt.Errorf("%s %s: %w", c.bucket, readable(k), err)
	}
	return body, nil
}

// Kinds of items of CBOR (RFC 8949, 3.1).
const (
	cborUint  = 0
	cborNint  = 1
	cborBytes = 2
	cborText  = 3
	cborArray = 4
	cborMap   = 5
	cborTag   = 6
)

// itemHead reads the head of an item: its kind, its number, and how many bytes the head has;
// none where the item breaks off or has no length.
func itemHead(b []byte) (kind byte, n uint64, size int) {
	if len(b) == 0 {
		return 0, 0, 0
	}
	kind, short := b[0]>>5, b[0]&31
	if short < 24 {
		return kind, uint64(short), 1
	}
	size = 1 + 1<<(short-24)
	if short > 27 || len(b) < size {
		return 0, 0, 0
	}
	for _, x := range b[1:size] {
		n = n<<8 | uint64(x)
	}
	return kind, n, size
}

// itemSizes is how many bytes an item has of which the first byte tells: a number, or a short
// text; 0 for others.
var itemSizes = func() (all [256]byte) {
	for first := range all {
		kind, short := first>>5, first&31
		switch {
		case kind == cborArray, kind == cborMap, kind == cborTag, short > 27:
		case kind != cborBytes && kind != cborText:
			_, _, size := itemHead([]byte{8: 0, 0: byte(first)})
			all[first] = byte(size)
		case short < 24:
			all[first] = byte(1 + short)
		}
	}
	return all
}()

// item is how many bytes the item has that b begins with, 0 where it breaks off.
func item(b []byte) int {
	if len(b) > 0 {
		if size := int(itemSizes[b[0]]); size > 0 && size <= len(b) {
			return size
		}
	}
	return longItem(b)
}

func longItem(b []byte) int {
	at := 0
	for open := uint64(1); open > 0; open-- {
		if at < len(b) {
			if size := int(itemSizes[b[at]]); size > 0 && size <= len(b)-at {
				at += size
				continue
			}
		}
		kind, n, size := itemHead(b[at:])
		if size == 0 {
			return 0
		}
		at += size
		switch kind {
		case cborBytes, cborText:
			if n > uint64(len(b)-at) {
				return 0
			}
			at += int(n)
		case cborArray, cborMap, cborTag:
			if kind == cborTag {
				n = 1
			}
			if n > uint64(len(b)) {
				return 0
			}
			open += n
			if kind == cborMap {
				open += n
			}
		}
	}
	return at
}

// field is the item of a field, nil where the record leaves it out. Fields are in order.
func (p peeked) field(want uint64) []byte {
	for field, x := range p.fields() {
		if field >= want {
			if field == want {
				return x
			}
			break
		}
	}
	return nil
}

// fields yields the fields of a record and their items, in order.
func (p peeked) fields() iter.Seq2[uint64, []byte] {
	return func(yield func(uint64, []byte) bool) {
		kind, n, size := itemHead(p)
		if kind != cborMap {
			return
		}
		for p := p[size:]; n > 0; n-- {
			field, size := uint64(0), 1
			if len(p) > 0 && p[0] < 24 {
				field = uint64(p[0])
			} else if kind, field, size = itemHead(p); kind != cborUint || size == 0 {
				return
			}
			x := p[size:]
			end := item(x)
			if end == 0 || !yield(field, x[:end]) {
				return
			}
			p = x[end:]
		}
	}
}

// text is the text of a field; it dies with the transaction.
func (p peeked) text(field uint64) []byte { return textItem(p.field(field)) }

func textItem(x []byte) []byte {
	if kind, n, size := itemHead(x); kind == cborText && uint64(len(x)-size) == n {
		return x[size:]
	}
	return nil
}

// number is the number of a field, 0 where the record leaves it out.
func (p peeked) number(field uint64) int64 { return numberItem(p.field(field)) }

func numberItem(x []byte) int64 {
	switch kind, n, size := itemHead(x); {
	case size == 0:
	case kind == cborUint:
		return int64(n)
	case kind == cborNint:
		return -1 - int64(n)
	}
	return 0
}

// textsItem calls fn for the texts of a list.
func textsItem(x []byte, fn func(text []byte)) {
	kind, n, size := itemHead(x)
	if kind != cborArray {
		return
	}
	for x = x[size:]; n > 0; n-- {
		kind, length, size := itemHead(x)
		if kind != cborText || length > uint64(len(x)-size) {
			return
		}
		fn(x[size : size+int(length)])
		x = x[size+int(length):]
	}
}

// A Statement is what a list of what is in a camera asks of a [Goes] that belongs there.
type Statement struct {
	Part, Model code.Code
	From, To    string
	PerBody     int64 // 1 where nobody said
	Counted     bool  // somebody said
}

// EachBelonging calls fn for every statement that means that a part sits in one of some
// models ([Goes.Belongs]), in order of part and model, where the part is recorded and no
// second name.
func (v *View) EachBelonging(models map[code.Code]bool, fn func(Statement)) error {
	parts, recorded := v.cursor(bPart), false
	var last code.Code
	var err error
	wanted := func(part, model []byte) bool {
		if !models[code.Code(model)] || err != nil {
			return false
		}
		if last == "" || string(part) != string(last) {
			last, recorded = code.Code(part), false
			if k, x := parts.onto(part); bytes.Equal(k, part) {
				recorded, err = isRecorded(k, x)
			}
		}
		return recorded
	}
	read := v.statements(nil, wanted, func(s Statement, sits bool) {
		if sits {
			fn(s)
		}
	})
	return cmp.Or(read, err)
}

// BelongingOf lists the statements that mean that a part sits in a model, in order of models.
func (v *View) BelongingOf(part code.Code) (out []Statement, err error) {
	err = v.statements(prefix(part), nil, func(s Statement, sits bool) {
		if sits {
			out = append(out, s)
		}
	})
	return out, err
}

// BelongingOn lists the statements that a part sits in a model: more than one where they
// hold for different numbers.
func (v *View) BelongingOn(part, model code.Code) (out []Statement, err error) {
	_, out, err = v.SaidOn(part, model)
	return out, err
}

// SaidOn is how many statements there are about a part and a model, and those by which it
// sits there.
func (v *View) SaidOn(part, model code.Code) (n int, sitting []Statement, err error) {
	err = v.statements(prefix(part, model), nil, func(s Statement, sits bool) {
		if n++; sits {
			sitting = append(sitting, s)
		}
	})
	return n, sitting, err
}

// SaidBriefly is SaidOn without how many pieces one model holds. It reads no record.
func (v *View) SaidBriefly(part, model code.Code) (n int, sitting []Statement) {
	v.scan(bGoesByModel, prefix(model, part), func(rest, x []byte) error {
		n++
		if (Goes{Degrees: strings.Split(string(x), ";")}).Belongs() {
			from, to, _ := bytes.Cut(rest, []byte{0})
			sitting = append(sitting, Statement{Part: part, Model: model, From: string(from), To: string(to)})
		}
		return nil
	})
	return n, sitting
}

// statements calls fn for the statements that begin so and are wanted, all where wanted is
// nil.
func (v *View) statements(pre []byte, wanted func(part, model []byte) bool, fn func(s Statement, sits bool)) error {
	var part code.Code
	models := map[string]code.Code{}
	c := v.cursor(bGoes)
	for k, x := c.seek(pre); k != nil && bytes.HasPrefix(k, pre); k, x = c.next() {
		p, err := c.peek(k, x)
		if err != nil {
			return err
		}
		own, rest, _ := bytes.Cut(k, []byte{0})
		model, rest, _ := bytes.Cut(rest, []byte{0})
		from, to, whole := bytes.Cut(rest, []byte{0})
		if !whole {
			return fmt.Errorf("%w: a record lies under a key that is none of its kind", ErrDamaged)
		}
		if wanted != nil && !wanted(own, model) {
			continue
		}
		s, sits := Statement{PerBody: 1}, false
		for field, x := range p.fields() {
			if field == 3 {
				n, all := 0, true
				textsItem(x, func(degree []byte) { n, all = n+1, all && belongs(string(degree)) })
				sits = n > 0 && all
			}
			if field == 4 {
				s.PerBody, s.Counted = numberItem(x), true
			}
			if field >= 4 {
				break
			}
		}
		if string(own) != string(part) {
			part = code.Code(own)
		}
		s.Part, s.Model, s.From, s.To = part, models[string(model)], string(from), string(to)
		if s.Model == "" {
			s.Model = code.Code(model)
			models[string(model)] = s.Model
		}
		fn(s, sits)
	}
	c.done()
	return nil
}

// IsRecorded says whether a part is recorded under this code and is no second name.
func (v *View) IsRecorded(c code.Code) (bool, error) {
	x := v.at(bPart, keyCode(c))
	if x == nil {
		return false, nil
	}
	return isRecorded(keyCode(c), x)
}

func isRecorded(key, x []byte) (bool, error) {
	p, err := peek(bPart, key, x)
	same := p.text(16)
	return err == nil && (len(same) == 0 || bytes.Equal(same, key)), err
}

// A Drawn is what was booked in of a bag from its origin.
type Drawn struct {
	Bag, Part code.Code
	Pieces    int64
	Unit      string
}

// DrawnOf is what was booked in of a bag, false for one that [View.DrawnFrom] leaves out.
func DrawnOf(b Bag, st State) (Drawn, bool) {
	return Drawn{b.Code, b.Part, st.BookedIn, b.Unit}, b.Cut == "" && st.BookedIn > 0 && b.Part != ""
}

// DrawnFrom lists what was booked in from an origin, in order of bags, without what was
// taken back and what is unsorted.
func (v *View) DrawnFrom(origin string) ([]Drawn, error) {
	var out []Drawn
	err := v.scan(bBagByOrigin, prefix(origin), func(bag, _ []byte) error {
		b, err := v.peekAt(bBag, bag)
		if err != nil {
			return err
		}
		if len(b.text(26)) > 0 {
			return nil // cut here: the sheet it was cut from came
		}
		st, err := v.peekAt(bState, bag)
		if n := st.number(2); err == nil && n > 0 && len(b.text(2)) > 0 {
			out = append(out, Drawn{code.Code(bag), code.Code(b.text(2)), n, string(b.text(5))})
		}
		return err
	})
	return out, err
}

// peekAt peeks at a record that an index names.
func (v *View) peekAt(bucket string, key []byte) (peeked, error) {
	x := v.at(bucket, key)
	if x == nil {
		return nil, lacking(bucket, string(key))
	}
	return peek(bucket, key, x)
}

// EachHeldIn calls fn for every part that a unit contains, and the unit.
func (v *View) EachHeldIn(fn func(part, unit code.Code)) {
	v.scan(bHeldIn, nil, func(k, _ []byte) error {
		part, unit, _ := bytes.Cut(k, []byte{0})
		fn(code.Code(part), code.Code(unit))
		return nil
	})
}

// PartNames returns what tells of parts that are asked for in order of codes what they are
// called: see [Part.Called].
func (v *View) PartNames() func(c code.Code) (string, error) {
	parts, left := v.partsAlong(), map[string]string{} // what is said of a thread
	return func(c code.Code) (string, error) {
		p, err := parts(c)
		name, same := p.called(left)
		if err == nil && isOther(same, c) {
			p, err = v.peekPart(code.Code(same))
			name, _ = p.called(left)
		}
		return name, err
	}
}

// called is what a part is called, and what it was joined to.
func (p peeked) called(left map[string]string) (called string, same []byte) {
	name, said, same := p.handed(left)
	return calledWith(string(name), said), same
}

// PartHands returns what tells of parts that are asked for in order of codes what their
// hand is: see [LeftHand]. It reads no record of a part that has no thread.
func (v *View) PartHands() func(part []byte) (string, error) {
	threaded := map[string]bool{}
	v.scan(bDim, []byte{byte(fieldMajor)}, func(k, _ []byte) error {
		threaded[string(k[8:])] = true
		return nil
	})
	for _, c := range v.PartsOfClass(classLeft, false) {
		threaded[string(c)] = true
	}
	parts, left := v.partsAlong(), map[string]string{}
	return func(part []byte) (string, error) {
		if !threaded[string(part)] {
			return "", nil
		}
		p, err := parts(code.Code(part))
		_, said, _ := p.handed(left)
		return said, err
	}
}

// handed is the name of a part, what is said of its hand, and what it was joined to.
func (p peeked) handed(left map[string]string) (name []byte, said string, same []byte) {
	var class, cell []byte
	for field, x := range p.fields() {
		switch field {
		case 2:
			name = textItem(x)
		case 3:
			class = textItem(x)
		case 8:
			cell = peeked(x).text(uint64(dim.Thread))
		case 16:
			same = textItem(x)
		}
	}
	said, ok := left[string(cell)]
	switch {
	case string(class) == classLeft:
		said = LeftHand(Part{Class: classLeft})
	case !ok:
		said = LeftHand(Part{Marks: map[dim.Field]string{dim.Thread: string(cell)}})
		left[string(cell)] = said
	}
	return name, said, same
}

// threadOf is the thread alone of the words of a part.
func threadOf(marks peeked) map[dim.Field]string {
	if cell := marks.text(uint64(dim.Thread)); len(cell) > 0 {
		return map[dim.Field]string{dim.Thread: string(cell)}
	}
	return nil
}

func (v *View) peekPart(c code.Code) (peeked, error) {
	x := v.at(bPart, keyCode(c))
	if x == nil {
		return nil, cmp.Or(v.torn(bPart, keyCode(c)), Absent("no %s %s here", bPart, c))
	}
	return peek(bPart, keyCode(c), x)
}

// PartSeats returns what tells of parts that are asked for in order of codes where they
// sit: nothing of a part that cannot be read, of a second name that of the part it was
// joined to.
func (v *View) PartSeats() func(c code.Code) string {
	peeks := v.partPeeks()
	return func(c code.Code) string {
		p, _ := peeks(c)
		return oneOfThe(Seats, p.text(4))
	}
}

// PartsToFit returns what tells of parts that are asked for in order of codes what
// [View.Verdicts] asks: code, seat, twin and thread; of a second name those of the part it
// was joined to. It returns [ErrNotFound] for a part that is not here.
func (v *View) PartsToFit() func(c code.Code) (Part, error) {
	peeks := v.partPeeks()
	return func(c code.Code) (Part, error) {
		p, err := peeks(c)
		return p.toFit(c), err
	}
}

func (p peeked) toFit(c code.Code) (part Part) {
	for field, x := range p.fields() {
		switch field {
		case 1:
			if part.Code = c; string(textItem(x)) != string(c) {
				part.Code = code.Code(textItem(x))
			}
		case 4:
			part.Seat = oneOfThe(Seats, textItem(x))
		case 8:
			part.Marks = threadOf(x)
		case 12:
			part.Twin = code.Code(textItem(x))
		}
	}
	return part
}

// partPeeks peeks at parts that are asked for in order of codes, or what they were joined to.
func (v *View) partPeeks() func(c code.Code) (peeked, error) {
	parts := v.partsAlong()
	return func(c code.Code) (p peeked, err error) {
		p, err = parts(c)
		if same := p.text(16); err == nil && isOther(same, c) {
			p, err = v.peekPart(code.Code(same))
		}
		return p, err
	}
}

// partsAlong peeks at parts that are asked for in order of codes, second names among them.
func (v *View) partsAlong() func(c code.Code) (peeked, error) {
	at := v.cursor(bPart)
	return func(c code.Code) (peeked, error) {
		k, x := at.onto(keyCode(c))
		if string(k) != string(c) {
			return v.peekPart(c)
		}
		return at.peek(k, x)
	}
}

// isOther says that what a part was joined to is another.
func isOther(same []byte, c code.Code) bool { return len(same) > 0 && string(same) != string(c) }

// JobStands returns what tells of jobs that are asked for in order of codes their state and
// the day on which they were closed, as they stand beside what is held for them; nothing
// of a job that is not here.
func (v *View) JobStands() func(c code.Code) (state string, closed code.Day, err error) {
	at := v.cursor(bJob)
	return func(c code.Code) (string, code.Day, error) {
		k, x := at.onto(keyCode(c))
		if string(k) != string(c) {
			return "", 0, v.torn(bJob, keyCode(c))
		}
		p, err := at.peek(k, x)
		state, closed := []byte(nil), code.Day(0)
		for field, x := range p.fields() {
			switch field {
			case 9:
				state = textItem(x)
			case 15:
				closed = code.Day(numberItem(x))
			}
		}
		return oneOfThe(JobStates, state), closed, err
	}
}

// EachJobSketch calls fn for every job with its model, history and the day on which it was
// opened, in order of codes.
func (v *View) EachJobSketch(fn func(Job) error) error {
	c, models := v.cursor(bJob), map[string]code.Code{}
	for k, x := c.first(); k != nil; k, x = c.next() {
		p, err := c.peek(k, x)
		if err != nil {
			return err
		}
		if err := fn(jobSketchOf(p, models)); err != nil {
			return err
		}
	}
	return nil
}

// jobSketchOf keeps the codes of models, which many jobs share.
func jobSketchOf(p peeked, models map[string]code.Code) (j Job) {
	for field, x := range p.fields() {
		switch field {
		case 2:
			m, ok := models[string(textItem(x))]
			if !ok {
				m = code.Code(textItem(x))
				models[string(m)] = m
			}
			j.Model = m
		case 14:
			j.Opened = code.Day(numberItem(x))
		case 20:
			j.History = oneOfThe(Histories, textItem(x))
		}
	}
	return j
}

// An Outside is a bag of which something is held or lent.
type Outside struct {
	Bag, Part, Place []byte
	Unit             string
	About            bool
	HeldFor, LentTo  []Taken
	Book             []uint64 // numbers of the bag's entries, by day, then number, where something is lent
}

// A Taken is an [Owed] whose name is good until fn returns.
type Taken struct {
	Who []byte
	N   int64
}

// EachOutside calls fn for every bag of which something is held or lent, in order of bags.
// What an Outside leads to is good until fn returns.
func (v *View) EachOutside(fn func(Outside) error) error {
	bags, balance := v.cursor(bBag), v.LentAndHeld()
	return v.scan(bOut, nil, func(key, _ []byte) error {
		out, err := balance(key)
		if err != nil {
			return err
		}
		b, err := bags.record(key)
		if err != nil {
			return err
		}
		for field, x := range b.fields() {
			switch field {
			case 2:
				out.Part = textItem(x)
			case 5:
				out.Unit = oneOfThe(Units, textItem(x))
			}
			if field >= 5 {
				break
			}
		}
		return fn(out)
	})
}

// LentAndHeld returns what tells of bags that are asked for in order of codes what is held
// and lent of them, without part and unit. What an Outside leads to is good until the next.
func (v *View) LentAndHeld() func(bag []byte) (Outside, error) {
	states := v.cursor(bState)
	var held, lent []Taken
	var book []uint64
	return func(bag []byte) (Outside, error) {
		out := Outside{Bag: bag}
		st, err := states.record(bag)
		held, lent, book = held[:0], lent[:0], book[:0]
		for field, x := range st.fields() {
			switch field {
			case 11:
				held = takenItem(held, x)
			case 12:
				lent = takenItem(lent, x)
			case 14:
				out.About = true
			case 15:
				out.Place = textItem(x)
			case 23:
				book = numbersItem(book, x)
			}
			if field >= 15 && len(lent) == 0 || field >= 23 {
				break
			}
		}
		out.HeldFor, out.LentTo, out.Book = held, lent, book
		return out, err
	}
}

// record goes on to a record that is there.
func (c *cursor) record(key []byte) (peeked, error) {
	k, x := c.onto(key)
	if !bytes.Equal(k, key) {
		return nil, lacking(c.bucket, string(key))
	}
	return c.peek(key, x)
}

// Books returns what tells of bags that are asked for in order of codes the numbers of their
// entries, by day, then number. They are good until the next.
func (v *View) Books() func(bag code.Code) ([]uint64, error) {
	states := v.cursor(bState)
	var book []uint64
	return func(bag code.Code) ([]uint64, error) {
		st, err := states.record(keyCode(bag))
		book = numbersItem(book[:0], st.field(23))
		return book, err
	}
}

// owed is a list of [Owed].
func (p peeked) owed(field uint64) (out []Owed) {
	for _, x := range takenItem(nil, p.field(field)) {
		out = append(out, Owed{string(x.Who), x.N})
	}
	return out
}

func takenItem(out []Taken, x []byte) []Taken {
	kind, n, size := itemHead(x)
	if kind != cborArray {
		return out
	}
	for x = x[size:]; n > 0; n-- {
		end := item(x)
		if end == 0 {
			return out
		}
		one := peeked(x[:end])
		out = append(out, Taken{one.text(1), one.number(2)})
		x = x[end:]
	}
	return out
}

// numbers is a list of numbers.
func (p peeked) numbers(field uint64) []uint64 { return numbersItem(nil, p.field(field)) }

func numbersItem(out []uint64, x []byte) []uint64 {
	kind, n, size := itemHead(x)
	if kind != cborArray {
		return out
	}
	out = slices.Grow(out, int(min(n, uint64(len(x)))))
	for x = x[size:]; n > 0; n-- {
		kind, number, size := itemHead(x)
		if kind != cborUint || size == 0 {
			return out
		}
		out, x = append(out, number), x[size:]
	}
	return out
}

// oneOfThe is a word, the same text for each of those that a list has.
func oneOfThe(list []string, x []byte) string {
	for _, w := range list {
		if w == string(x) {
			return w
		}
	}
	return string(x)
}

// PartSketch reads of a part its code, name, class, seat and thread, how many to keep, how
// long finding another takes and what it contains; a second name leads to the part it was joined to.
func (v *View) PartSketch(c code.Code) (Part, error) {
	p, err := v.peekPart(c)
	if same := code.Code(p.text(16)); err == nil && same != "" && same != c {
		p, err = v.peekPart(same)
	}
	return sketchOf(p), err
}

func sketchOf(p peeked) (part Part) {
	for field, x := range p.fields() {
		switch field {
		case 1:
			part.Code = code.Code(textItem(x))
		case 2:
			part.Name = string(textItem(x))
		case 3:
			part.Class = string(textItem(x))
		case 4:
			part.Seat = oneOfThe(Seats, textItem(x))
		case 8:
			part.Marks = threadOf(x)
		case 9:
			n := numberItem(x)
			part.Keep = &n
		case 10:
			part.Weeks = numberItem(x)
		case 13:
			textsItem(x, func(c []byte) { part.Holds = append(part.Holds, code.Code(c)) })
		}
	}
	return part
}

// EachDonorOf calls fn with the code of every parts camera of a model, in order, which is
// good until fn returns.
func (v *View) EachDonorOf(model code.Code, fn func(donor []byte)) {
	v.scan(bDonorByModel, prefix(model), func(donor, _ []byte) error { fn(donor); return nil })
}

// A DonorPeek is a parts camera as whoever goes through many asks. Its bytes are good until
// the next is asked for.
type DonorPeek struct {
	Shutter, Lens []byte
	State         string
	Bought        code.Day
	Dealer        bool // the workshop bought it, and who sold it and for how much is noted
}

// DonorPeeks returns what peeks at parts cameras that are asked for in order of codes.
func (v *View) DonorPeeks() func(c code.Code) (DonorPeek, error) {
	at := v.cursor(bDonor)
	return func(c code.Code) (DonorPeek, error) {
		if x, ok := v.memo.record(bDonor, keyCode(c)); ok {
			return donorPeekOf(x.(Donor)), nil
		}
		k, x := at.onto(keyCode(c))
		if string(k) != string(c) {
			return DonorPeek{}, cmp.Or(v.torn(bDonor, keyCode(c)), Absent("no %s %s here", bDonor, c))
		}
		p, err := at.peek(k, x)
		return peekDonor(p), err
	}
}

func donorPeekOf(d Donor) DonorPeek {
	return DonorPeek{[]byte(d.Shutter), []byte(d.Lens), d.State, d.Bought, d.From != "" && d.Price != nil && d.Owner == Own}
}

func peekDonor(p peeked) (d DonorPeek) {
	from, priced := false, false
	for field, x := range p.fields() {
		switch field {
		case 3:
			d.Bought = code.Day(numberItem(x))
		case 4:
			from = len(textItem(x)) > 0
		case 6:
			priced = true
		case 9:
			d.Shutter = textItem(x)
		case 11:
			d.Lens = textItem(x)
		case 14:
			d.State = oneOfThe(DonorStates, textItem(x))
		case 15:
			d.Dealer = from && priced && string(textItem(x)) == Own
			return d // what follows is not asked
		}
	}
	return d
}

// EachDonorSketch calls fn for every parts camera with its code, model, day of purchase,
// state, owner and place, in order of codes.
func (v *View) EachDonorSketch(fn func(Donor) error) error {
	c := v.cursor(bDonor)
	for k, x := c.first(); k != nil; k, x = c.next() {
		p, err := c.peek(k, x)
		if err != nil {
			return err
		}
		if err := fn(donorSketchOf(p)); err != nil {
			return err
		}
	}
	return nil
}

func donorSketchOf(p peeked) (d Donor) {
	for field, x := range p.fields() {
		switch field {
		case 1:
			d.Code = code.Code(textItem(x))
		case 2:
			d.Model = code.Code(textItem(x))
		case 3:
			d.Bought = code.Day(numberItem(x))
		case 14:
			d.State = oneOfThe(DonorStates, textItem(x))
		case 15:
			if d.Owner = Own; string(textItem(x)) != Own {
				d.Owner = string(textItem(x))
			}
		case 16:
			d.Place = code.Code(textItem(x))
		}
	}
	return d
}

// EachNamedFrom calls fn for every part that has a folded word which begins so; for some
// of them several times.
func (v *View) EachNamedFrom(start string, fn func(part code.Code)) {
	v.scan(bWord, []byte(start), func(rest, _ []byte) error {
		_, part, _ := bytes.Cut(rest, []byte{0})
		fn(code.Code(part))
		return nil
	})
}

// OwedOf reads of a bag what is held and what is fitted for which job.
func (v *View) OwedOf(bag code.Code) (State, error) {
	p, err := v.peekAt(bState, keyCode(bag))
	return State{Bag: bag, HeldFor: p.owed(11), FittedIn: p.owed(13)}, err
}

// BookedIn is how much was booked in of a bag.
func (v *View) BookedIn(bag code.Code) (int64, error) {
	p, err := v.peekAt(bState, keyCode(bag))
	return p.number(2), err
}

// EachMoment calls fn for every entry of a bag, by day, then number, as [View.MomentNo]
// has it.
func (v *View) EachMoment(bag code.Code, fn func(Entry)) error {
	book, err := v.BookOf(bag)
	c := v.cursor(bEntry)
	for _, seq := range book {
		e, err := v.moment(c, seq)
		if err != nil {
			return err
		}
		fn(e)
	}
	return err
}

// Moments calls fn for entries whose numbers ascend, as [View.MomentNo] has them, with the
// place in seqs: those that lie behind one key are read together. Of one word alone where it
// is not 0.
func (v *View) Moments(seqs []uint64, what What, fn func(n int, e Entry)) error {
	c, goesOn, n := v.cursor(bEntry), false, 0
	for n < len(seqs) {
		if len(v.pending) > 0 && seqs[n] >= v.pending[0].Seq {
			e, err := v.MomentNo(seqs[n])
			if err != nil {
				return err
			}
			if what == 0 || e.What == what {
				fn(n, e)
			}
			n++
			continue
		}
		var k, x []byte
		if goesOn { // mostly the next key has it
			k, x = c.next()
		}
		if k == nil {
			if k, x = c.before(keySeq(seqs[n] + 1)); k == nil {
				return lacking("entry", seqs[n])
			}
			goesOn = false
		}
		before := n
		at, err := chunkOf(k, x)
		for err == nil && n < len(seqs) && at.to(seqs[n]) {
			wanted := what == 0 || What(peeked(at.entry).number(4)) == what
			for ; n < len(seqs) && seqs[n] == at.seq; n++ {
				if wanted {
					e := readMoment(at.entry)
					e.Seq, e.Booking = at.seq, at.booking
					fn(n, e)
				}
			}
		}
		switch err, found := cmp.Or(err, at.err), n > before; {
		case err != nil:
			return err
		case !found && !goesOn:
			return lacking("entry", seqs[n])
		default:
			goesOn = found
		}
	}
	return nil
}

// MomentNo reads of an entry its day, word and job, to whom it went, when that should be
// back, and what it takes back.
func (v *View) MomentNo(seq uint64) (Entry, error) { return v.moment(v.cursor(bEntry), seq) }

func (v *View) moment(c *cursor, seq uint64) (e Entry, err error) {
	if len(v.pending) > 0 && seq >= v.pending[0].Seq {
		return v.EntryNo(seq)
	}
	if k, x := c.before(keySeq(seq + 1)); k != nil {
		err = unpacked(k, x, func(booking, at uint64, x []byte) error {
			if at == seq {
				e = readMoment(x)
				e.Seq, e.Booking = seq, booking
			}
			return nil
		})
	}
	if err == nil && e.Seq == 0 {
		err = lacking("entry", seq)
	}
	return e, err
}

func readMoment(p peeked) (e Entry) {
	for field, x := range p.fields() {
		switch field {
		case 3:
			e.Day = code.Day(numberItem(x))
		case 4:
			e.What = What(numberItem(x))
		case 8:
			e.Job = code.Code(textItem(x))
		case 9:
			e.To = string(textItem(x))
		case 14:
			e.Undoes = uint64(numberItem(x))
		case 17:
			e.Due = code.Day(numberItem(x))
		}
	}
	return e
}

// BookOf lists the numbers of the entries of a bag, by day, then number.
func (v *View) BookOf(bag code.Code) ([]uint64, error) {
	p, err := v.peekAt(bState, keyCode(bag))
	return p.numbers(23), err
}
