package store

import (
	"cmp"

	"tinful/store/code"
)

// A Looking is what was seen on a camera, a parts camera or a customer's.
type Looking struct {
	On      Ref    // donor or job
	Seen    []Seen // of parts, in words
	Note    string // for those without one of their own
	History string // what the camera went through, empty where nobody says
	Anyway  bool   // of a job that is closed, too
}

// A LookNews is what a look said that is new.
type LookNews struct {
	Asked       int    // how many parts were spoken of
	Now, Before []Seen // observations that say something new, and what they were before
	History     string // as it was noted
}

// Look writes what was seen. A customer's camera counts as observed; its pieces never
// are stock.
func (t *Tx) Look(l Looking) (LookNews, error) {
	out := LookNews{Asked: len(l.Seen), History: l.History}
	read, kind, camera := t.SeenOn, l.On.Kind, l.On.Code
	if kind == "job" {
		read = t.SeenOnJob
	}
	if err := t.lookedOver(l); err != nil {
		return out, err
	}
	all, err := read(camera)
	if err != nil {
		return out, err
	}
	had := map[code.Code]Seen{}
	for _, s := range all {
		had[s.Part] = s
	}
	for _, s := range l.Seen {
		s.Note = cmp.Or(s.Note, l.Note)
		was, is, changed := lookedAgain(had[s.Part], s, kind, camera, t.head.Day)
		if !changed {
			continue
		}
		had[s.Part] = is
		out.Now, out.Before = append(out.Now, is), append(out.Before, was)
		if err := t.Put(is); err != nil {
			return out, err
		}
	}
	return out, nil
}

// lookedOver notes what a camera went through, and refuses a job that is closed.
func (t *Tx) lookedOver(l Looking) error {
	if l.On.Kind == "job" {
		j, err := t.Job(l.On.Code)
		if err == nil && !l.Anyway {
			err = j.TakesPieces()
		}
		if err != nil || l.History == "" {
			return err
		}
		j.History = l.History
		return t.Put(j)
	}
	d, err := t.Donor(l.On.Code)
	if err != nil || l.History == "" {
		return err
	}
	d.History = l.History
	return t.Put(d)
}
