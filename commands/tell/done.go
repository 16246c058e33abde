package tell

import (
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
)

// Done prints what closing a job did, what it taught, and what is still to do.
func Done(s *Screen, res store.Result, closed store.Closed, f ask.JobFile) {
	s.Println(ClosedHead(f.Job) + fmt.Sprintf("   undo: tinful undo %d", res.Booking.Number))
	for _, line := range append(Changes(res), Shortages(res)...) {
		s.Println(line)
	}
	for _, line := range ClosedWords(closed) {
		s.Println(Hang(line, s.Columns(), 5))
	}
	Olds(s, f.Name, f.OldsOpen())
	s.Lines("still to do", Hinted(f.ToDo), false)
}

// ClosedHead says that a job is closed.
func ClosedHead(j store.Job) string {
	head := j.Words() + " is " + j.State
	if j.Tray != "" {
		head += ", in tray " + string(j.Tray)
	}
	return head
}

// ClosedWords say what closing a job taught, and which wants it met.
func ClosedWords(closed store.Closed) []string {
	return append(Each(closed.Learnt, LearntWords), Each(closed.Met, func(w store.Want) string {
		return fmt.Sprintf("%s, wanted since %s, is met", w.Part, w.Date)
	})...)
}

// LearntWords is what closing a job taught about one part.
func LearntWords(l store.Learnt) string {
	head := fmt.Sprintf("%s %s", l.Part.Code, l.Part.Called())
	switch {
	case l.Why.Kind == store.Unsaid:
		return fmt.Sprintf("%s into %s: nothing is recorded, %s", head, l.Goes.Model, l.Why.Text+Advice(l.Why))
	case l.Why.Kind != "":
		return head + ": nothing is learnt, " + l.Why.Text + Advice(l.Why)
	}
	return fmt.Sprintf("%s into %s: %s", head, l.Goes.Model, l.Goes.Words())
}

// LearntAnswers are what closing a job taught, as JSON.
func LearntAnswers(list []store.Learnt) []map[string]any {
	out := []map[string]any{}
	for _, l := range list {
		a := map[string]any{"part": l.Part.Code, "model": l.Goes.Model, "was": l.Was, "why": l.Why.Text, "why_kind": string(l.Why.Kind)}
		if l.Why.Kind == "" {
			a["degree"], a["evidence"], a["note"] = strings.Join(l.Goes.Degrees, ";"), l.Goes.Evidence, l.Goes.Note
		}
		out = append(out, Known(a))
	}
	return out
}
