package store

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/notes"
	"tinful/store/words"
)

// A StripDown is the notes of a strip-down, or of one evening of it, and the
// camera they are about.
type StripDown struct {
	Kind   string // donor or job
	Camera code.Code
	Notes  notes.File
	Grade  string // of pieces that say nothing, "" for unknown
	Anyway bool   // also a job that is closed
	Typed  bool   // the notes are those of the [Draft], which goes with the booking
	// Photos are the pictures that the notes name, by their names there. Of one that is
	// not among them the name alone is kept, but for what was typed with a [Photo.KeptName].
	Photos map[string]Photo
}

// A Stripped is what a strip-down changed beside bags.
type Stripped struct {
	Steps  []Step   // new ones, with the bags their pieces went to
	Known  []uint64 // numbers of steps that were there already
	Seen   []Seen   // new or changed observations
	Goes   []Goes   // statements that nobody had made
	Was    string   // state of the donor before
	State  string   // and after
	Marked []string // what is worth knowing

	Pictures []Picture // that were taken in
}

// StripDown books a strip-down: its steps, and of a donor what came off as
// bags, what was seen, what it proves, and its state. Pieces of a customer's
// camera stay the customer's: they stand in the steps alone. Every mistake of
// the notes is returned, in order of lines; with one of them nothing must be
// booked. It returns an [ErrRefused] where nothing may be taken from the camera.
func (t *Tx) StripDown(s StripDown) (Stripped, []notes.Problem, error) {
	return newStripper(t, s).bookAll()
}

func newStripper(t *Tx, s StripDown) *stripper {
	return &stripper{t: t, in: s, parts: map[code.Code]Part{}, off: map[code.Code]int64{}}
}

func (w *stripper) bookAll() (Stripped, []notes.Problem, error) {
	if err := w.begin(); err != nil {
		return w.out, nil, err
	}
	if w.read(); len(w.problems) > 0 {
		return w.out, notes.Sorted(w.problems), nil
	}
	for _, do := range []func() error{w.harvest, w.observe, w.prove, w.state} {
		if err := do(); err != nil {
			return w.out, nil, err
		}
	}
	return w.out, nil, nil
}

// A stripper books one strip-down.
type stripper struct {
	t        *Tx
	in       StripDown
	donor    Donor
	job      Job
	had      []Step
	seen     map[code.Code]Seen // as it was before
	steps    []Step             // new ones
	looks    []Seen             // in the order they are told
	parts    map[code.Code]Part // those that came off
	off      map[code.Code]int64
	order    []code.Code
	trays    map[code.Code]bool
	problems []notes.Problem
	out      Stripped
}

func (w *stripper) bad(line int, value, format string, args ...any) {
	w.problems = append(w.problems, notes.Problem{Line: line, Value: value, Text: fmt.Sprintf(format, args...)})
}

func (w *stripper) mark(format string, args ...any) {
	if s := fmt.Sprintf(format, args...); !slices.Contains(w.out.Marked, s) {
		w.out.Marked = append(w.out.Marked, s)
	}
}

// begin reads the camera and refuses one that must not be taken apart.
func (w *stripper) begin() (err error) {
	if w.in.Kind == "job" {
		w.job, err = w.t.Job(w.in.Camera)
		if !w.in.Anyway {
			err = cmp.Or(err, w.job.TakesPieces())
		}
	} else {
		w.donor, err = w.t.Donor(w.in.Camera)
		err = cmp.Or(err, w.donor.Gives())
		w.out.Was = w.donor.State
		if o := w.donor.Owner; err == nil && o != Own && o != "" {
			w.mark("%s belongs to %s, and so does what comes off", w.donor.Code, o)
		}
	}
	if err != nil {
		return err
	}
	if w.had, err = w.t.StepsOf(w.in.Kind, w.in.Camera); err != nil {
		return err
	}
	w.trays = map[code.Code]bool{}
	return cmp.Or(w.typed(), w.t.EachJob(func(j Job) error { w.trays[j.Tray] = true; return nil }), w.readSeen())
}

// typed takes the notes from what was typed, and that out of the draft.
func (w *stripper) typed() error {
	if !w.in.Typed {
		return nil
	}
	d, err := w.t.DraftOf(Ref{w.in.Kind, w.in.Camera})
	if err != nil || len(d.Lines) == 0 {
		return err
	}
	done := w.in.Notes.Done
	w.in.Notes, w.problems = d.notes(w.had)
	w.in.Notes.Done = done
	return remove[Draft](w.t, bDraft, keyDraft(d))
}

func (w *stripper) readSeen() error {
	read := w.t.SeenOn
	if w.in.Kind == "job" {
		read = w.t.SeenOnJob
	}
	all, err := read(w.in.Camera)
	w.seen = map[code.Code]Seen{}
	for _, s := range all {
		w.seen[s.Part] = s
	}
	return err
}

// read turns the notes into records.
func (w *stripper) read() {
	f := w.in.Notes
	if f.Camera != "" && !slices.Contains(w.t.Resolve(f.Camera, w.in.Kind), Ref{w.in.Kind, w.in.Camera}) {
		w.bad(f.Line, f.Camera, "these notes are of another camera: this is %s", w.in.Camera)
	}
	if f.Grade != "" {
		w.in.Grade = f.Grade
		if !slices.Contains(Grades, f.Grade) {
			w.bad(1, f.Grade, "no grade is called so: it is one of %s", strings.Join(Grades, ", "))
		}
	}
	w.look(f.Seen)
	numbers := w.numbers()
	for i, s := range f.Steps {
		had := slices.IndexFunc(w.had, func(h Step) bool { return h.Nth == numbers[i] })
		switch {
		case had < 0:
			w.steps = append(w.steps, w.step(s, numbers[i]))
		case w.had[had].Seat == s.Seat && w.had[had].Text == s.Text:
			w.out.Known = append(w.out.Known, numbers[i])
		default:
			w.bad(s.Line, fmt.Sprint(numbers[i]), "step %d is booked already and reads otherwise: go on with step %d, or take the booking back first",
				numbers[i], w.had[len(w.had)-1].Nth+1)
		}
	}
}

// numbers gives every step its number. Steps without one go on after the last
// that is booked; where the first of them is step 1 once more, they are those
// that are booked.
func (w *stripper) numbers() (out []uint64) {
	all := w.in.Notes.Steps
	var last uint64
	if n := len(w.had); n > 0 && len(all) > 0 && !(w.had[0].Seat == all[0].Seat && w.had[0].Text == all[0].Text) {
		last = w.had[n-1].Nth
	}
	for _, s := range all {
		if last++; s.Nth != 0 {
			last = uint64(s.Nth)
		}
		out = append(out, last)
	}
	return out
}

// step turns one step into its record.
func (w *stripper) step(s notes.Step, nth uint64) Step {
	out := Step{Kind: w.in.Kind, Camera: w.in.Camera, Nth: nth, Seat: s.Seat, Day: w.t.Day(), By: w.t.head.By, Note: s.Note, Facing: s.Facing,
		Turns: s.Turns, Teeth: s.Teeth, Sealed: s.Sealed, Tools: s.Tools, Went: s.Went, Pictures: s.Pictures, Set: s.Set, Stop: s.Stop, Text: s.Text}
	if !slices.Contains(Seats, s.Seat) && s.Seat != "" {
		w.bad(s.Line, s.Seat, "nothing sits there: it is one of %s", strings.Join(Seats, ", "))
	}
	for _, text := range append([]string{s.Text}, s.Pictures...) {
		if _, err := CleanText(text); err != nil {
			w.bad(s.Line, "", "%v", err)
			break
		}
	}
	for _, o := range s.Off {
		if x, ok := w.piece(o); ok {
			out.Off = append(out.Off, x)
		}
	}
	out.Under, out.Over = w.layers(s.Under), w.layers(s.Over)
	for _, x := range w.look(s.Seen) {
		out.Wrong = append(out.Wrong, Wrong{Part: x.Part, Seen: x.Seen})
	}
	for _, text := range s.Wrong {
		out.Wrong = append(out.Wrong, Wrong{Text: text})
	}
	return out
}

// part reads a part as notes name it: by its code, or in quotes by its name.
// Words that name no part are what the piece is called.
func (w *stripper) part(line int, text string, quoted bool) (Part, string, bool) {
	refs := w.t.Resolve(text, "part")
	if quoted {
		refs = nil
		for _, c := range w.t.PartsNamed(words.Fold(text)) {
			refs = append(refs, Ref{"part", c})
		}
	}
	switch {
	case len(refs) == 1:
		p, err := w.t.Part(refs[0].Code)
		if err != nil {
			w.bad(line, text, "%v", err)
		}
		return p, "", err == nil
	case len(refs) > 1:
		var names []string
		for _, r := range refs {
			names = append(names, string(r.Code))
		}
		w.bad(line, text, "this is %s: write the code", strings.Join(names, " and "))
		return Part{}, "", false
	case quoted:
		return Part{}, text, true
	}
	w.bad(line, text, "there is no part %s: write its code, or in quotes what it is", text)
	return Part{}, "", false
}

// piece turns what came off into its record, place and grade with it.
func (w *stripper) piece(o notes.Off) (Off, bool) {
	p, called, ok := w.part(o.Line, o.Part, o.Quoted)
	if !ok {
		return Off{}, false
	}
	if err := CheckWords(cmp.Or(p.Code, code.Code(o.Part)), p, o.Check); err != nil {
		w.bad(o.Line, o.Part, "%v", err)
		return Off{}, false
	}
	x := Off{Part: p.Code, Piece: called, Hole: o.Hole, Hand: o.Hand, Grade: cmp.Or(strings.ToLower(o.Grade), w.in.Grade)}
	if !w.count(&x, o) {
		return x, false
	}
	if x.Grade != "" && !slices.Contains(Grades, x.Grade) {
		w.bad(o.Last, x.Grade, "no grade is called so: it is one of %s", strings.Join(Grades, ", "))
		return x, false
	}
	if p.Code == "" {
		w.mark("%q is no recorded part: it stands in the step and is no stock", called)
		x.Grade = ""
		return x, true
	}
	if hand := p.Marks[dim.Hand]; x.Hand == "" && (hand == "left" || p.Class == "SCR-LH" || strings.HasSuffix(p.Marks[dim.Thread], " LH")) {
		x.Hand = "left"
	}
	if _, had := w.parts[p.Code]; !had {
		w.order = append(w.order, p.Code)
	}
	w.parts[p.Code] = p
	w.off[p.Code] += x.Quantity
	return x, w.store(&x, o, p)
}

// count reads how many came off, in the unit of the part's bags.
func (w *stripper) count(x *Off, o notes.Off) bool {
	x.Unit, x.Quantity = "pc", 1
	lines, err := w.t.LinesOf(x.Part)
	if i := slices.IndexFunc(lines, func(l Line) bool { return l.Owner == Own }); err == nil && i >= 0 && x.Part != "" {
		x.Unit = lines[i].Unit
	}
	if o.Quantity == "" && x.Unit == "pc" {
		return true
	}
	q, err := code.ParseQty(o.Quantity, x.Unit)
	if err != nil && len(lines) == 0 {
		if length, lerr := code.ParseQty(o.Quantity, "mm"); lerr == nil {
			x.Unit, q, err = "mm", length, nil
		}
	}
	switch {
	case o.Quantity == "":
		w.bad(o.Line, o.Part, "it is kept by length: name it, off 40cm %s", o.Part)
	case err != nil:
		w.bad(o.Line, o.Quantity, "%v", err)
	case q.About:
		w.bad(o.Line, o.Quantity, "count what came off")
	case q.N <= 0:
		w.bad(o.Line, o.Quantity, "%d is no number of pieces", q.N)
	default:
		x.Quantity = q.N
		return true
	}
	return false
}

// store finds the grade and the place of a piece from a donor.
func (w *stripper) store(x *Off, o notes.Off, p Part) bool {
	if w.in.Kind == "job" {
		x.Grade = o.Grade
		if o.To != "" {
			w.bad(o.Last, o.To, "what comes off a customer's camera is no stock and goes to no drawer: write where it lies as went %s", o.To)
			return false
		}
		return true
	}
	if x.Grade == "" {
		x.Grade = "unknown"
		if s := w.lookedAs(p.Code); s == "damaged" || s == "stuck" {
			x.Grade = "rework"
		}
	}
	if o.To == "" {
		place, _, err := w.t.placeLike(p, x.Grade, w.trays)
		if err != nil || place == "" {
			w.bad(o.Line, o.Part, "no bag of %s, nor of its kind, lies anywhere yet: say where it goes, to K1", p.Code)
		}
		x.Place = place
		return err == nil && place != ""
	}
	refs := w.t.Resolve(o.To, "place")
	if len(refs) != 1 {
		w.bad(o.Last, o.To, "no place is called so")
		return false
	}
	x.Place = refs[0].Code
	return true
}

// lookedAs is what a part was seen to be, these notes being the latest word.
func (w *stripper) lookedAs(p code.Code) string {
	for _, s := range slices.Backward(w.looks) {
		if s.Part == p {
			return s.Seen
		}
	}
	return w.seen[p].Seen
}

func (w *stripper) layers(list []notes.Layer) []Layer {
	var out []Layer
	for _, l := range list {
		p, called, ok := w.part(l.Line, l.Part, l.Quoted)
		if !ok {
			continue
		}
		x := Layer{Part: p.Code, Piece: called}
		if l.Thick != "" {
			n, _, err := dim.Parse(dim.Thick, "", l.Thick)
			if err != nil {
				w.bad(l.Line, l.Thick, "%v", err)
				continue
			}
			x.Thick = &n
		}
		out = append(out, x)
	}
	return out
}

// look reads what parts were found to be.
func (w *stripper) look(list []notes.Seen) []Seen {
	var out []Seen
	for _, s := range list {
		p, called, ok := w.part(s.Line, s.Part, s.Quoted)
		if ok && p.Code == "" {
			w.bad(s.Line, called, "no part is called so: write what was found in words, wrong %q", called)
		}
		if ok && p.Code != "" {
			out = append(out, Seen{Part: p.Code, Seen: s.Word})
		}
	}
	w.looks = append(w.looks, out...)
	return out
}

// harvest writes the steps, and what came off a donor as bags.
func (w *stripper) harvest() error {
	for _, s := range w.steps {
		for i := range s.Off {
			o := &s.Off[i]
			if w.in.Kind == "job" || o.Part == "" {
				continue
			}
			bag, err := w.t.putAway(Bag{Part: o.Part, Origin: string(w.donor.Code), Quantity: o.Quantity, Unit: o.Unit, Grade: o.Grade,
				Place: o.Place, Owner: or(w.donor.Owner, Own)})
			if err != nil {
				return err
			}
			o.Bag = bag
		}
		if err := w.t.Put(s); err != nil {
			return err
		}
		w.out.Steps = append(w.out.Steps, s)
		if err := w.photograph(s); err != nil {
			return err
		}
	}
	return nil
}

// photograph keeps the pictures of a step.
func (w *stripper) photograph(s Step) error {
	for _, name := range s.Pictures {
		p, here := w.in.Photos[name]
		if w.in.Typed && IsKeptName(name) {
			var err error
			if p, err = KeptPhoto(w.t.tx.DB().Path(), name); err != nil {
				w.mark("%v: its name is kept", err)
			}
			here = err == nil
		}
		if !here {
			continue
		}
		kept, _, err := w.t.Photograph(Ref{w.in.Kind, w.in.Camera}, Shot{Photo: p, Step: s.Nth})
		if err != nil {
			return err
		}
		w.out.Pictures = append(w.out.Pictures, kept)
	}
	return nil
}

// putAway books pieces in: into the bag that pieces like them lie in, else as a new
// one. It returns the code of the bag.
func (t *Tx) putAway(b Bag) (code.Code, error) {
	sister, found, err := t.Sister(b)
	switch {
	case err != nil:
		return "", err
	case found:
		return sister.Code, t.PutMore(sister.Code, code.Qty{N: b.Quantity}, "")
	}
	return t.PutIn(b)
}

// observe writes what was seen. What came off was there; a piece of the grade
// rework, pattern or scrap was damaged.
func (w *stripper) observe() error {
	told := map[code.Code]bool{}
	for _, s := range w.looks {
		told[s.Part] = true
	}
	looks := w.looks
	for _, s := range w.steps {
		for _, o := range s.Off {
			was := w.seen[o.Part].Seen
			if o.Part == "" || told[o.Part] || was != "" && was != "missing" {
				continue
			}
			told[o.Part] = true
			word := "present"
			if o.Grade == "rework" || Worn(o.Grade) {
				word = "damaged"
			}
			looks = append(looks, Seen{Part: o.Part, Seen: word})
		}
	}
	for _, s := range looks {
		if err := w.see(s); err != nil {
			return err
		}
	}
	return nil
}

func (w *stripper) see(s Seen) error {
	was, now, changed := lookedAgain(w.seen[s.Part], s, w.in.Kind, w.in.Camera, w.t.Day())
	if !changed {
		return nil
	}
	if was.Seen != "" {
		w.mark("%s was seen %s on %s, and is %s now", now.Part, was.Seen, was.Date, now.Seen)
	}
	w.seen[now.Part] = now
	w.out.Seen = append(w.out.Seen, now)
	return w.t.Put(now)
}

// lookedAgain is an observation as it is to be written, and whether it says
// something new. A note that is there stays where the word stays.
func lookedAgain(was, s Seen, kind string, camera code.Code, day code.Day) (before, now Seen, changed bool) {
	now = s
	if kind == "job" {
		now.Job = camera
	} else {
		now.Donor = camera
	}
	now.Date = day
	if was.Seen == s.Seen && (s.Note == "" || s.Note == was.Note) {
		return was, was, false
	}
	return was, now, true
}

// state raises the state of a donor: it is opened, has lost something, or is
// stripped.
func (w *stripper) state() error {
	if w.in.Kind == "job" {
		return nil
	}
	now := "opened"
	if len(w.off) > 0 {
		now = "part-stripped"
	}
	if w.in.Notes.Done {
		now = "stripped"
	}
	rank := func(s string) int { return slices.Index(DonorStates, s) }
	w.out.State = w.donor.State
	if len(w.steps) == 0 && !w.in.Notes.Done || rank(now) <= rank(w.donor.State) {
		return nil
	}
	w.out.State, w.donor.State = now, now
	return w.t.Put(w.donor)
}
