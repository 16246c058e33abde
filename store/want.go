package store

import "tinful/store/code"

// WantedSince is the day since which a part is wanted for a job, 0 where it is not.
func (v *View) WantedSince(part, job code.Code) (code.Day, error) {
	had, err := v.WantsOf(part)
	for _, w := range had {
		if job != "" && w.Job == job && w.Met == 0 {
			return w.Date, err
		}
	}
	return 0, err
}

// NoteWant writes a want; two on one day are two.
func (t *Tx) NoteWant(w Want) ([]Want, error) {
	had, err := t.WantsOf(w.Part)
	if err != nil {
		return nil, err
	}
	for _, h := range had {
		if h.Date == w.Date && h.Model == w.Model && h.Job == w.Job {
			w.Nth = max(w.Nth, h.Nth+1)
		}
	}
	return []Want{w}, t.Put(w)
}

// SettleWants closes the open wants of a part today: those for the model or job, or all
// where none is named. What was done instead is noted where nothing was wanted, too. It
// returns [ErrNotFound] where nothing is open.
func (t *Tx) SettleWants(asked Want) ([]Want, error) {
	had, err := t.WantsOf(asked.Part)
	if err != nil {
		return nil, err
	}
	var met []Want
	for _, w := range had {
		other := asked.Job != "" && w.Job != asked.Job || asked.Job == "" && asked.Model != "" && w.Model != asked.Model
		if w.Met != 0 || other {
			continue
		}
		w.Met, w.Instead = t.Day(), asked.Instead
		if asked.Note != "" {
			w.Note = asked.Note
		}
		if err := t.Put(w); err != nil {
			return nil, err
		}
		met = append(met, w)
	}
	switch {
	case len(met) == 0 && asked.Instead != "":
		asked.Met = t.Day()
		return t.NoteWant(asked)
	case len(met) == 0:
		return nil, Absent("nothing open is wanted of %s", asked.Part)
	}
	return met, nil
}
