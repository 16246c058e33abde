package store

import (
	"cmp"
	"errors"
	"slices"

	"tinful/store/code"
	"tinful/store/words"
)

// Paper reads a paper by its name.
func (v *View) Paper(name string) (Paper, error) { return get[Paper](v, bPaper, []byte(name), name) }

// Papers lists the papers that are kept.
func (v *View) Papers() ([]Paper, error) { return list[Paper](v, bPaper, nil) }

// LastLabel is what the last label of a thing said; nothing where none was printed.
func (v *View) LastLabel(r Ref) (Label, error) {
	l, err := get[Label](v, bLabel, keyLabel(Label{Kind: r.Kind, Code: r.Code}), string(r.Code))
	if errors.Is(err, ErrNotFound) {
		err = nil
	}
	return l, err
}

// Labelled keeps what the labels of things said, where that is something else than
// the last ones did.
func (t *Tx) Labelled(all []Label) error {
	for _, l := range all {
		was, err := t.LastLabel(Ref{l.Kind, l.Code})
		if err != nil {
			return err
		}
		if was.Text == l.Text {
			continue
		}
		l.Day = t.Day()
		if err := t.Put(l); err != nil {
			return err
		}
	}
	return nil
}

// Shop is the workshop as its papers name it; empty where nobody said.
func (v *View) Shop() (Shop, error) {
	s, err := get[Shop](v, bShop, []byte(bShop), "")
	if errors.Is(err, ErrNotFound) {
		err = nil
	}
	return s, err
}

// NotesOf lists the remarks on a thing, the first first.
func (v *View) NotesOf(kind string, c code.Code) ([]Remark, error) {
	return list[Remark](v, bNote, prefix(kind, string(c)))
}

// EachNote calls fn for every remark.
func (v *View) EachNote(fn func(Remark) error) error { return each(v, bNote, fn) }

// Remark keeps a remark on a thing, dated with the booking.
func (t *Tx) Remark(r Ref, text string) (Remark, error) {
	was, err := t.NotesOf(r.Kind, r.Code)
	if err != nil {
		return Remark{}, err
	}
	n := Remark{Kind: r.Kind, Code: r.Code, Nth: 1, Day: t.Day(), By: t.head.By, Text: text}
	if len(was) > 0 {
		n.Nth = was[len(was)-1].Nth + 1
	}
	return n, t.Put(n)
}

// Line sets a line of the estimate: a new one, or the sum of one that is there. Without
// a text all lines are taken away, with gone the line alone.
func (j *Job) Line(l JobLine, gone bool) error {
	if l.Text == "" {
		j.Lines = nil
		return nil
	}
	i := slices.IndexFunc(j.Lines, func(x JobLine) bool { return words.Fold(x.Text) == words.Fold(l.Text) })
	j.Lines = slices.Clone(j.Lines)
	switch {
	case gone && i < 0:
		return Absent("job %s has no line %q", j.Code, l.Text)
	case gone:
		j.Lines = slices.Delete(j.Lines, i, i+1)
	case i < 0:
		j.Lines = append(j.Lines, l)
	default:
		j.Lines[i] = l
	}
	return nil
}

// RemarksWith lists the remarks that have all of some words, the latest first.
func (v *View) RemarksWith(all []string) (out []Remark, err error) {
	err = v.EachNote(func(r Remark) error {
		if words.In(r.Text, all) {
			out = append(out, r)
		}
		return nil
	})
	slices.SortStableFunc(out, func(a, b Remark) int { return cmp.Compare(b.Day, a.Day) })
	return out, err
}
