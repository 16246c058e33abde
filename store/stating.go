package store

import (
	"fmt"
	"slices"
	"strings"

	"tinful/store/dim"
	"tinful/store/thread"
)

// A Stating is what a person states of a part, a model and perhaps numbers; what is
// not said stays as it was stated before.
type Stating struct {
	Goes                                                                     // what is said
	HasDegree, HasPerBody, HasWhere, HasOperation, HasEvidence, HasNote bool // said, be it empty
}

// SayGoes writes a statement, and returns what was stated before and what is now. A
// new one says that the part goes in as it is, the two having been compared, unless
// it says otherwise. It refuses to say so of what is stated, or follows from thread or
// twin, as never going in, unless the degree is said.
func (t *Tx) SayGoes(s Stating) (was, now Goes, err error) {
	p, err := t.Part(s.Part)
	if err != nil {
		return was, now, err
	}
	m, err := t.Model(s.Model)
	if err != nil {
		return was, now, err
	}
	if was, err = t.statedFor(s.Goes); err != nil {
		return was, now, err
	}
	again := len(was.Degrees) > 0 && !s.HasDegree
	switch {
	case again && (Verdict{Degrees: was.Degrees}).Never():
		return was, was, refuseAs(NeverStated, "of %s in %s it is recorded: %s", p.Code, m.Code, was.Words()).of(p.Code, m.Code)
	case again && !s.HasPerBody && !s.HasWhere && !s.HasOperation && !s.HasEvidence && !s.HasNote:
		return was, was, nil
	case !again && !s.HasDegree:
		if err := t.mayState(p, m); err != nil {
			return was, now, err
		}
	}
	now = s.over(was)
	now.By, now.Date = t.head.By, t.head.Day
	return was, now, t.Put(now)
}

// over is a statement with what is said put in its place.
func (s Stating) over(was Goes) Goes {
	now := was
	if now.Degrees = was.Degrees; s.HasDegree {
		now.Degrees = s.Degrees
	} else if len(was.Degrees) == 0 {
		now.Degrees = []string{"direct"}
	}
	if s.HasPerBody {
		now.PerBody = s.PerBody
	}
	if s.HasWhere {
		now.Where = s.Where
	}
	if s.HasNote {
		now.Note = s.Note
	}
	switch {
	case s.HasOperation:
		now.Operation = s.Operation
	case !slices.Contains(now.Degrees, "rework"):
		now.Operation = ""
	}
	switch {
	case s.HasEvidence:
		now.Evidence = s.Evidence
	case now.Evidence == "" || !slices.Equal(now.Degrees, was.Degrees):
		now.Evidence = "compared"
	}
	return now
}

// statedFor is what is stated of a part, a model and the same numbers, or a new
// statement that says nothing yet.
func (v *View) statedFor(g Goes) (Goes, error) {
	said, err := v.GoesOn(g.Part, g.Model)
	for _, was := range said {
		if was.From == g.From && was.To == g.To {
			return was, err
		}
	}
	return Goes{Part: g.Part, Model: g.Model, From: g.From, To: g.To}, err
}

// mayState refuses to turn into "direct", unsaid, what follows from the thread or the
// twin: that a part never goes in.
func (v *View) mayState(p Part, m Model) error {
	if ThreadDiffers(p, m) {
		return refuseAs(NeverFollows, "the thread of %s is %s and that of %s is %s: it binds after a few turns and ruins the hole",
			p.Code, p.Marks[dim.Thread], m.Code, thread.FormName(m.Form)).of(p.Code, m.Code)
	}
	said, err := v.GoesOn(p.Code, m.Code)
	if err != nil || len(said) > 0 {
		return err
	}
	verdicts, err := v.Verdicts(p, Camera{Model: m.Code})
	for _, d := range verdicts {
		if d.Never() && d.If == "" {
			return refuseAs(NeverFollows, "%s does not go into %s: %s", p.Code, m.Code, d.Words()).of(p.Code, m.Code)
		}
	}
	return err
}

// Words is a statement in words: "rework (file the end), tried by R".
func (g Goes) Words() string {
	text := strings.Join(g.Degrees, ", ")
	if g.Operation != "" {
		text += " (" + g.Operation + ")"
	}
	if g.PerBody != nil {
		text += fmt.Sprintf(", %d a body", *g.PerBody)
	}
	if g.Where != "" {
		text += ", " + g.Where
	}
	if numbers := g.Numbers(); numbers != "" {
		text += ", numbers " + numbers
	}
	if g.Evidence != "" {
		text += "; " + g.Evidence
		if g.By != "" {
			text += " by " + g.By
		}
		if g.Date != 0 {
			text += " on " + g.Date.String()
		}
	}
	if g.Note != "" {
		text += "; " + g.Note
	}
	return text
}
