package tell

import (
	"cmp"
	"fmt"
	"strings"

	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
)

// A Namer says what a part is called.
type Namer func(part code.Code) string

// Job prints a job whole.
func Job(s *Screen, f ask.JobFile) {
	JobRecord(s, f, func() {
		s.Lines("lent to it by "+f.Job.Owner, Lent(f.Name, f.Notes.Lent), false)
		Olds(s, f.Name, f.Olds)
	})
	s.Lines("noted", RemarkLines(f.Remarks), false)
	JobNotes(s, f.Notes)
	s.Lines("still to do", Hinted(f.ToDo), false)
}

// JobRecord prints a job's record, its pieces, what between prints, and its wants.
func JobRecord(s *Screen, f ask.JobFile, between func()) {
	s.Printf("%s  %s\n", f.Job.Code, strings.Join(Filled(string(f.Job.Model), f.ModelName), ", "))
	s.Facts(JobFacts(f))
	Seen(s, f.Name, f.Seen)
	for _, held := range []bool{false, true} {
		t := s.WideTable("bag", "part", ">")
		for _, p := range f.Pieces {
			if p.Held == held {
				t.Row(string(p.Bag.Code), f.Name(p.Bag.Part), store.Amount(p.N, p.Bag.Unit, false))
			}
		}
		s.Listed(map[bool]string{false: "fitted", true: "held"}[held], t)
	}
	if between != nil {
		between()
	}
	t := s.WideTable()
	for _, w := range f.Wants {
		t.Row(WantRow(f.Name, w)...)
	}
	s.Listed("wanted", t)
}

// JobFacts are what the record of a job says, in the order it is told.
func JobFacts(f ask.JobFile) Facts {
	j := f.Job
	var p Facts
	p.Add(f.Model.NumberLabel(), j.BodyNo)
	p.Add("shutter", string(j.Shutter))
	p.Add("lens", string(j.Lens))
	p.Add("owner", j.Owner)
	p.Add("history", j.History)
	p.Add("fault", j.Fault)
	p.Add("came with", j.Accessories)
	p.Add("state", j.State)
	p.Add("tray", strings.Join(Filled(string(j.Tray), f.Tray.Where), ", "))
	p.Add("used parts", map[string]string{"yes": "agreed to", "no": "not wanted"}[j.Agreed])
	p.Add("promised", j.Promised.String())
	p.Add("value", Money(j.Value))
	for _, l := range j.Lines {
		p.Add("estimate", strings.Join(Filled(l.Text, Money(l.Sum)), ": "))
	}
	p.Add("opened", j.Opened.String())
	p.Add("closed", j.Closed.String())
	p.Add("steps", StepsDone(j.Code, f.Steps))
	p.Add("note", j.Note)
	return p
}

// StepsDone says how far a strip-down is, empty where there is no step.
func StepsDone(camera code.Code, all []store.Step) string {
	if len(all) == 0 {
		return ""
	}
	last := all[len(all)-1]
	text := fmt.Sprintf("%d to %s: show %s --steps", len(all), last.Day, camera)
	if last.Stop != "" {
		text += "; stopped: " + last.Stop
	}
	return text
}

// JobNotes prints what is known of the camera and its model.
func JobNotes(s *Screen, n ask.JobNotes) {
	s.Lines("here before", EarlierWords(n.Before), false)
	s.Lines("most often missing on its parts cameras", LackWords(n.Lacks), false)
	s.Lines("tools", n.Tools, false)
	s.Lines("traps", Hinted(n.Traps), true)
	Care(s, n.Cautions)
}

// Lent are the things that somebody lent, each in words.
func Lent(name Namer, list []ask.Lent) []string {
	var out []string
	for _, l := range list {
		text := strings.Join(Filled(string(l.Donor), string(l.Model)), " ")
		if l.Bag != "" {
			text = fmt.Sprintf("%s %s, %d", l.Bag, name(l.Part), l.Quantity)
		}
		if l.Place != "" {
			text += " in " + string(l.Place)
		}
		out = append(out, strings.Join(Filled(text, l.Note), "; "))
	}
	return out
}

// EarlierWords are earlier jobs of a camera, each in words.
func EarlierWords(list []ask.Earlier) []string {
	var out []string
	for _, e := range list {
		text := fmt.Sprintf("job %s, %s", e.Job, cmp.Or(strings.Join(Filled(e.Opened, e.Closed), " to "), "no day"))
		text += ": " + strings.Join(Filled(e.Fault, e.State), ", ")
		if len(e.Fitted) > 0 {
			text += "; fitted " + strings.Join(e.Fitted, ", ")
		}
		out = append(out, text)
	}
	return out
}

// mostLacks is how many missing parts are named.
const mostLacks = 3

// LackWords are the parts that cameras of a model lack most often, each in words.
func LackWords(list []ask.Lack) []string {
	return Each(list[:min(len(list), mostLacks)], func(l ask.Lack) string {
		return fmt.Sprintf("%s %s: on %d of %d looked at", l.Part, l.Called(), l.Missing, l.LookedAt)
	})
}

// JobAnswer is a job as JSON with its pieces and wants.
func JobAnswer(f ask.JobFile) map[string]any {
	j := f.Job
	fitted, held, wanted := []map[string]any{}, []map[string]any{}, []map[string]any{}
	for _, p := range f.Pieces {
		a := Known(map[string]any{"bag": p.Bag.Code, "part": p.Bag.Part, "quantity": p.N, "unit": p.Bag.Unit})
		if p.Held {
			held = append(held, a)
		} else {
			fitted = append(fitted, a)
		}
	}
	for _, w := range f.Wants {
		wanted = append(wanted, WantAnswer(w))
	}
	return Known(map[string]any{
		"job": j.Code, "history": j.History, "model": j.Model, "body_no": j.BodyNo, "shutter": j.Shutter, "lens": j.Lens, "owner": j.Owner, "fault": j.Fault,
		"accessories": j.Accessories, "state": j.State, "tray": j.Tray, "agreed": j.Agreed, "promised": j.Promised, "value_cents": j.Value,
		"opened": j.Opened, "closed": j.Closed, "note": j.Note, "fitted": fitted, "held": held, "wants": wanted,
	})
}

// A JobLineJSON is a line of an estimate as JSON.
type JobLineJSON struct {
	Text string      `json:"text"`
	Sum  *code.Cents `json:"sum_cents,omitempty"`
}

// JobLines are the lines of an estimate as JSON.
func JobLines(list []store.JobLine) []JobLineJSON {
	return Each(list, func(l store.JobLine) JobLineJSON { return JobLineJSON(l) })
}

// JobFileAnswer is a job as JSON with all that is known of its camera.
func JobFileAnswer(f ask.JobFile) map[string]any {
	a := JobAnswer(f)
	a["old"], a["todo"], a["lent"], a["lacks"] = OldAnswers(f.Olds), f.ToDo, f.Notes.Lent, f.Notes.Lacks
	for name, list := range map[string][]string{"traps": store.Texts(f.Notes.Traps), "tools": f.Notes.Tools, "cautions": f.Notes.Cautions} {
		a[name] = append([]string{}, list...)
	}
	a["traps_kind"], a["todo_kind"] = store.ReasonKinds(f.Notes.Traps), store.ReasonKinds(f.ToDo)
	a["before"] = append([]ask.Earlier{}, f.Notes.Before...)
	a["notes"], a["lines"] = Each(f.Remarks, RemarkAnswer), JobLines(f.Job.Lines)
	return a
}

// Seen prints what was seen on a camera.
func Seen(s *Screen, name Namer, seen []store.Seen) {
	t := s.WideTable()
	for _, x := range seen {
		t.Row(x.Seen, string(x.Part), name(x.Part), x.Note)
	}
	s.Listed("seen at arrival", t)
}

// SeenAnswers are observations as JSON.
func SeenAnswers(list []store.Seen) []map[string]any {
	return Each(list, func(x store.Seen) map[string]any {
		return Known(map[string]any{"part": x.Part, "seen": x.Seen, "date": x.Date, "note": x.Note})
	})
}
