package ask

import (
	"tinful/store"
	"tinful/store/code"
)

// A JobFile is a job with all that is known of its camera.
type JobFile struct {
	Job       store.Job
	ModelName string
	Tray      store.Place // empty where it has none
	Pieces    []store.Piece
	Wants     []store.Want
	Seen      []store.Seen
	Steps     []store.Step // of its strip-down
	Olds      []store.Old
	Notes     JobNotes
	ToDo      store.Reasons
	names     map[code.Code]string
}

// Name is the name of a part that the file speaks of.
func (f JobFile) Name(part code.Code) string { return f.names[part] }

// OldsOpen are the old pieces that are still to be handed back or made good.
func (f JobFile) OldsOpen() (open []store.Old) {
	for _, o := range f.Olds {
		if o.Open() {
			open = append(open, o)
		}
	}
	return open
}

// JobFileOf reads the file of a job.
func JobFileOf(v *store.View, job code.Code) (JobFile, error) {
	f, err := JobRecordOf(v, job)
	if err != nil {
		return f, err
	}
	if f.Olds, err = v.OldOf(job); err != nil {
		return f, err
	}
	if f.Notes, err = NotesOf(v, f.Job); err != nil {
		return f, err
	}
	for _, o := range f.Olds {
		f.name(v, o.Part)
	}
	for _, l := range f.Notes.Lent {
		f.name(v, l.Part)
	}
	f.ToDo, err = ToDo(v, f.Job, f.Notes)
	return f, err
}

// JobRecordOf reads of a job's file what was booked to it, without what is known of
// its camera.
func JobRecordOf(v *store.View, job code.Code) (f JobFile, err error) {
	if f.Job, err = v.Job(job); err != nil {
		return f, err
	}
	m, _ := v.Model(f.Job.Model) // one that is not recorded has no name
	f.ModelName, f.names = m.Name, map[code.Code]string{}
	f.Tray, _ = v.Place(f.Job.Tray)
	for _, read := range []func() error{
		func() error { f.Pieces, err = v.PiecesOf(job); return err },
		func() error { f.Wants, err = v.WantsFor(job); return err },
		func() error { f.Seen, err = v.SeenOnJob(job); return err },
		func() error { f.Steps, err = v.StepsOf("job", job); return err },
	} {
		if err := read(); err != nil {
			return f, err
		}
	}
	for _, p := range f.Pieces {
		f.name(v, p.Bag.Part)
	}
	for _, w := range f.Wants {
		f.name(v, w.Part)
	}
	for _, s := range f.Seen {
		f.name(v, s.Part)
	}
	return f, nil
}

// name reads the name of a part, "unsorted" for none.
func (f JobFile) name(v *store.View, part code.Code) {
	if _, known := f.names[part]; known {
		return
	}
	p, err := v.Part(part)
	switch {
	case part == "":
		p.Name = "unsorted"
	case err != nil:
		p.Name = string(part)
	}
	f.names[part] = p.Called()
}
