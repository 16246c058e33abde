package tell

import (
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
)

// Looked prints what a look noted, and what it changed.
func Looked(s *Screen, res store.Result, l ask.Looked) {
	if res.Booking.Number == 0 {
		s.Println(NotedAlready(l))
		return
	}
	for _, r := range l.Remarks {
		s.Warnf("%s", r.Text)
	}
	s.Println(strings.Join(WithUndo(LookedWords(l), res), "\n"))
	for _, n := range LookedNotes(l) {
		s.Notef("%s", n)
	}
}

// NotedAlready says that nothing of what was seen is new.
func NotedAlready(l ask.Looked) string { return string(l.On.Code) + ": all of that is noted already" }

// LookedNotes are what else is said of what was seen.
func LookedNotes(l ask.Looked) (out []string) {
	if n := l.Asked - len(l.Now); n > 0 {
		out = append(out, "noted already: "+Many(n, "part"))
	}
	if l.On.Kind == "job" {
		out = append(out, fmt.Sprintf("job %s: what is seen counts for the odds, its pieces are no stock", l.On.Code))
	}
	return out
}

// CameraWords say which camera it is: "PC-08, C-1, body 1234".
func CameraWords(s ask.Subject) string {
	body := s.Cam.BodyNo
	if body != "" {
		body = "body " + body
	}
	return strings.Join(Filled(string(s.Ref.Code), string(s.Cam.Model), body), ", ")
}

// LookedWords are what a look noted, each in a line.
func LookedWords(l ask.Looked) (lines []string) {
	for i, x := range l.Now {
		line := fmt.Sprintf("%s %s  %s", x.Part, l.Name(x.Part), x.Seen)
		if was := l.Before[i]; was.Seen != "" && was.Seen != x.Seen {
			line += fmt.Sprintf("   was %s on %s", was.Seen, was.Date)
		}
		lines = append(lines, line)
	}
	if l.History != "" {
		lines = append(lines, fmt.Sprintf("%s  history %s", l.On.Code, l.History))
	}
	return lines
}
