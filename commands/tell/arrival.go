package tell

import (
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
)

// Arrival prints that a customer's camera came in, and what is known of it.
func Arrival(s *Screen, res store.Result, f ask.JobFile) {
	head := f.Job.Words() + " arrived"
	if f.Job.Tray != "" {
		head += ", tray " + string(f.Job.Tray)
	}
	s.Println(strings.Join(WithUndo([]string{head}, res), "\n"))
	lent := Each(f.Notes.Lent, func(l ask.Lent) string {
		return strings.Join(Filled(string(l.Donor)+string(l.Bag), string(l.Model), string(l.Part), l.Note), ", ")
	})
	s.Lines("lent to it by "+f.Job.Owner, lent, false)
	JobNotes(s, f.Notes)
	s.Lines("still to do", Hinted(f.ToDo), false)
}

// TrayNotes say what is worth knowing about the tray that an arrival got.
func TrayNotes(s *Screen, in store.Arrived) {
	for _, text := range TrayWords(in) {
		s.Notef("%s", text)
	}
}

// TrayWords are what is worth knowing about the tray that an arrival got.
func TrayWords(in store.Arrived) (out []string) {
	tray := in.Tray.Place.Code
	if in.Full {
		out = append(out, fmt.Sprintf("no tray is free%s: edit the job with --tray when one is", takenWords(in.Taken)))
	}
	if in.Tray.Done != "" {
		out = append(out, fmt.Sprintf("tray %s is named by job %s, which is closed: is its camera out of it?", tray, in.Tray.Done))
	}
	if in.Tray.Full {
		out = append(out, fmt.Sprintf("pieces of the workshop's own lie in tray %s: tinful show %s", tray, tray))
	}
	return out
}

// takenWords say which job has which tray.
func takenWords(trays []store.Tray) string {
	out := Each(trays, func(t store.Tray) string { return fmt.Sprintf("%s has job %s", t.Place.Code, t.Job) })
	if len(out) == 0 {
		return " (no place is a job tray)"
	}
	return " (" + strings.Join(out, ", ") + ")"
}
