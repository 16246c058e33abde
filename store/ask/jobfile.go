package ask

import (
	"tinful/store"
	"tinful/store/code"
)

// A JobFile is a job with all that is known of its camera.
type JobFile struct {
	Job       store.Job
	ModelName string
	Model     store.Model
	Tray      store.Place // empty where it has none
	Pieces    []store.Piece
	Wants     []store.Want
	Seen      []store.Seen
	Steps     []store.Step // of its strip-down
	Olds      []store.Old
	Remarks   []store.Remark
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
func JobFileOf(view *store.View, job code.Code) (JobFile, error) {
	v := read(view)
	f := jobRecord(v, job)
	if v.err != nil {
		return f, v.err
	}
	f.Olds, f.Notes = got(v, v.OldOf, job), notesOf(v, f.Job)
	f.Remarks = got2(v, v.NotesOf, "job", job)
	for _, o := range f.Olds {
		f.name(v, o.Part)
	}
	for _, l := range f.Notes.Lent {
		f.name(v, l.Part)
	}
	f.ToDo = toDo(v, f.Job, f.Notes)
	return f, v.err
}

// JobRecordOf reads of a job's file what was booked to it, without what is known of
// its camera.
func JobRecordOf(view *store.View, job code.Code) (JobFile, error) {
	v := read(view)
	f := jobRecord(v, job)
	return f, v.err
}

// name reads the name of a part, "unsorted" for none.
func (f JobFile) name(v *reader, part code.Code) {
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

func jobRecord(v *reader, job code.Code) JobFile {
	f := JobFile{Job: v.job(job), Pieces: got(v, v.PiecesOf, job), Wants: got(v, v.WantsFor, job), Seen: got(v, v.SeenOnJob, job),
		Steps: got2(v, v.StepsOf, "job", job), names: map[code.Code]string{}}
	m, _ := v.Model(f.Job.Model) // one that is not recorded has no name
	f.ModelName, f.Model = m.Name, m
	f.Tray, _ = v.Place(f.Job.Tray)
	for _, p := range f.Pieces {
		f.name(v, p.Bag.Part)
	}
	for _, w := range f.Wants {
		f.name(v, w.Part)
	}
	for _, s := range f.Seen {
		f.name(v, s.Part)
	}
	return f
}
