package store

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"

	bolt "go.etcd.io/bbolt"

	"tinful/store/code"
	"tinful/store/notes"
)

// A Draft is what was typed of a strip-down and is not booked yet: lines of notes,
// parts by their codes. It is written line by line, outside the book, so that whoever
// is interrupted loses nothing but the line being typed.
type Draft struct {
	Kind   string    `cbor:"-"` // donor or job, told by the key
	Camera code.Code `cbor:"-"` // told by the key
	Lines  []string  `cbor:"3,keyasint,omitempty"`
}

// DraftOf is what was typed about a camera, without lines where that is nothing.
func (v *View) DraftOf(on Ref) (Draft, error) {
	d := Draft{Kind: on.Kind, Camera: on.Code}
	all, err := list[Draft](v, bDraft, keyDraft(d))
	for _, x := range all {
		if x.Camera == on.Code { // PC-1 begins PC-10
			d = x
		}
	}
	return d, err
}

// notes are the lines as notes, their steps numbered on from the last that is booked.
func (d Draft) notes(had []Step) (notes.File, []notes.Problem) {
	f, problems := notes.Parse(strings.Join(d.Lines, "\n"))
	next := int64(1)
	if n := len(had); n > 0 {
		next += int64(had[n-1].Nth)
	}
	for i := range f.Steps {
		f.Steps[i].Nth = next + int64(i)
	}
	return f, problems
}

// pictures are those that the lines name and whose files are kept already.
func (d Draft) pictures() (out []string) {
	f, _ := notes.Parse(strings.Join(d.Lines, "\n"))
	for _, s := range f.Steps {
		out = append(out, slices.DeleteFunc(s.Pictures, func(name string) bool { return !IsKeptName(name) })...)
	}
	return out
}

// A Jotting is a line that is typed while a camera is taken apart.
type Jotting struct {
	On     Ref
	Line   string
	Chosen []code.Code // the parts that are meant by words which several are called by, in their order
	Called bool        // words that name no part are what the piece is called: no stock
	Ahead  bool        // it was found without a step, and stands before the first
	Back   bool        // no line: the last one is taken back
	Grade  string      // of pieces that say nothing, "" for unknown
	Anyway bool        // also of a job that is closed
}

// A Jotted is what is typed so far, as it would be booked.
type Jotted struct {
	Steps    []Step // numbered as they will be
	Seen     []Seen
	Parts    map[code.Code]Part // of the steps
	Marked   []string
	In       bool            // the line went into the last of the steps
	Back     string          // the line that was taken back
	Problems []notes.Problem // what is wrong with the line; then nothing is kept
}

// errTrial ends a booking that is only tried.
var errTrial = errors.New("tried")

// Jot keeps one line typed beside a camera, or takes the last one back, and returns
// what is typed so far. It books nothing. It returns a [ChoiceError] or an
// [UnknownError] for words that name several parts or none.
func (s *Store) Jot(h Head, j Jotting) (out Jotted, err error) {
	h, err = h.clean()
	if err != nil {
		return out, err
	}
	var d Draft
	err = s.update(func(btx *bolt.Tx) error {
		t := newTx(btx, h)
		if d, err = t.DraftOf(j.On); err == nil {
			err = t.jot(&d, j, &out)
		}
		if err == nil {
			err = t.tryOut(d, j, &out)
		}
		if err == nil {
			err = errTrial
		}
		return err
	})
	if !errors.Is(err, errTrial) || len(out.Problems) > 0 || j.Line == "" && !j.Back {
		if errors.Is(err, errTrial) {
			err = nil
		}
		return out, err
	}
	return out, s.update(func(btx *bolt.Tx) error { return d.keep(btx) })
}

// jot adds the line to a draft, or takes its last one away.
func (t *Tx) jot(d *Draft, j Jotting, out *Jotted) error {
	switch n := len(d.Lines); {
	case j.Back && n == 0:
		return refuse("nothing is typed of %s that could be taken back", d.Camera)
	case j.Back:
		out.Back, d.Lines = d.Lines[n-1], d.Lines[:n-1]
		return nil
	case j.Line == "":
		return nil
	}
	text, err := t.spoken(*d, j, out)
	if err != nil || len(out.Problems) > 0 {
		return err
	}
	if j.Ahead {
		d.Lines = slices.Insert(d.Lines, 0, text)
	} else {
		d.Lines = append(d.Lines, text)
	}
	return nil
}

// tryOut books a draft on trial.
func (t *Tx) tryOut(d Draft, j Jotting, out *Jotted) error {
	if len(out.Problems) > 0 {
		return nil
	}
	had, err := t.StepsOf(d.Kind, d.Camera)
	if err != nil {
		return err
	}
	f, problems := d.notes(had)
	w := newStripper(t, StripDown{Kind: d.Kind, Camera: d.Camera, Notes: f, Grade: j.Grade, Anyway: j.Anyway})
	res, more, err := w.bookAll()
	out.Steps, out.Seen, out.Marked, out.Parts = res.Steps, res.Seen, res.Marked, w.parts
	out.In = len(f.Steps) > 0 && !j.Ahead
	if problems = append(problems, more...); j.Line != "" {
		out.Problems = problems
	} else { // whatever is wrong, the last line can be taken back
		for _, p := range problems {
			out.Marked = append(out.Marked, p.Value+": "+p.Text)
		}
	}
	return err
}

// keep writes a draft, or takes it away when nothing is left of it.
func (d Draft) keep(btx *bolt.Tx) error {
	b, err := btx.CreateBucketIfNotExists([]byte(bDraft))
	if err != nil {
		return err
	}
	if len(d.Lines) == 0 {
		return b.Delete(keyDraft(d))
	}
	v := &View{tx: btx}
	x, err := encode(bDraft, keyDraft(d), v.LastBooking(), d)
	return cmp.Or(err, b.Put(keyDraft(d), x))
}

// spoken is a line as notes have it. A line with something that comes off begins a
// step, where its first part sits; any other goes on with the last step.
func (t *Tx) spoken(d Draft, j Jotting, out *Jotted) (string, error) {
	l, mistake := notes.Typed(j.Line)
	if mistake != "" {
		out.Problems = []notes.Problem{{Line: 1, Value: j.Line, Text: mistake}}
		return "", nil
	}
	s := &speech{t: t, Jotting: j, seat: l.Seat}
	opens, looks := l.Seat != "", true
	var clauses []string
	for _, c := range l.Clauses {
		text, err := s.clause(c)
		if err != nil {
			return "", err
		}
		clauses = append(clauses, text)
		opens = opens || c.Word == "off"
		looks = looks && slices.Contains(SeenWords, c.Word)
	}
	text, last := strings.Join(clauses, ", "), d.seat()
	if opens || last == "" && !looks {
		text = fmt.Sprintf("step %s: %s", or(s.seat, or(last, "body")), text)
	}
	return text, nil
}

// seat is where the last step is, empty where none is begun.
func (d Draft) seat() string {
	for _, line := range slices.Backward(d.Lines) {
		if rest, ok := strings.CutPrefix(line, "step "); ok {
			seat, _, _ := strings.Cut(rest, ":")
			return seat
		}
	}
	return ""
}

// A speech finds the parts that a line speaks of.
type speech struct {
	t *Tx
	Jotting
	seat string // where the step is
}

// clause is a clause with the codes of its parts.
func (s *speech) clause(c notes.Clause) (string, error) {
	if len(c.Part) == 0 || c.Quoted {
		return c.With(), nil
	}
	grade := ""
	parts, err := s.meant(c.Part)
	if n := len(c.Part) - 1; err != nil && n > 0 {
		switch word := strings.ToLower(c.Part[n]); {
		case slices.Contains(SeenWords, c.Word):
			parts, err = s.each(c.Part, err)
		case c.Word == "off" && slices.Contains(Grades, word):
			grade = ", grade " + word
			parts, err = s.meant(c.Part[:n])
		}
	}
	if errors.Is(err, ErrNotFound) && s.Called && (c.Word == "off" || c.Word == "under" || c.Word == "over") {
		return c.With(), nil
	}
	if err != nil {
		return "", err
	}
	return c.With(parts...) + grade, nil
}

// meant is the code of the part that words mean, the words behind a code being a check.
func (s *speech) meant(typed []string) ([]string, error) {
	if len(typed) > 1 && len(s.t.Resolve(typed[0], "part", "bag")) > 0 {
		p, _, err := s.t.PartCalled(typed[0])
		if err == nil && CheckWords(p.Code, p, typed[1:]) == nil {
			typed = typed[:1]
		}
	}
	p, _, err := s.t.PartCalled(typed...)
	if several, ok := errors.AsType[*ChoiceError](err); ok && len(s.Chosen) > 0 {
		i := slices.IndexFunc(several.Rows, func(r Choice) bool { return r.Code == s.Chosen[0] })
		if i >= 0 {
			p, err, s.Chosen = several.Rows[i].Part, nil, s.Chosen[1:]
		}
	}
	if err != nil {
		return nil, err
	}
	if s.seat == "" {
		s.seat = p.Seat
	}
	return []string{string(p.Code)}, nil
}

// each reads words as a part each; as they are one name otherwise, it fails as that did.
func (s *speech) each(typed []string, whole error) ([]string, error) {
	var out []string
	for _, word := range typed {
		one, err := s.meant([]string{word})
		if err != nil {
			return nil, whole
		}
		out = append(out, one...)
	}
	return out, nil
}
