package store

import (
	"fmt"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/words"
)

// A Closing is what a person says when a job is done.
type Closing struct {
	Job      code.Code
	State    string               // one of ClosedStates; empty: ready
	Answers  map[code.Code]Answer // by bag, what became of each fitted piece
	KeepHeld bool                 // what is held stays held
}

// An Answer says of the pieces fitted from one bag what was learnt.
type Answer struct {
	Evidence string // run: the camera was tested with them; tried: they were put in
	Unused   bool   // they were not used and go back into their bag
	Went     string // one of WentWords, where nobody has stated how the part goes in; empty: nobody said
	Work     string // for rework, what was done to it
}

// A Learnt is what closing a job taught about one part.
type Learnt struct {
	Part Part
	Goes Goes   // the statement as it stands now, where there is one
	Was  string // the evidence before, empty where nothing was stated
	Why  Reason // why nothing was learnt, without a kind where something was
}

// Kinds of reasons why closing a job taught nothing about a part; beside the first
// two stand part and model, beside the others the part.
const (
	Unsaid         ReasonKind = "unsaid"
	Forbidden      ReasonKind = "forbidden"
	NumberUnknown  ReasonKind = "number-unknown"
	ShutterUnknown ReasonKind = "shutter-unknown"
	LensUnknown    ReasonKind = "lens-unknown"
)

// A Closed is what closing a job did beside its entries.
type Closed struct {
	Job    Job
	Learnt []Learnt
	Met    []Want // wants that are met: the part is fitted
}

// Done closes a job: what is held for it is free again, what was not used goes back,
// what was fitted becomes statements about the job's model with the evidence
// answered, and wants of what was fitted are met. Of a closed job only the state
// changes, unless answers are given. It is refused without an answer for each bag
// that something is fitted from.
func (t *Tx) Done(c Closing) (Closed, error) {
	j, err := t.Job(c.Job)
	if err != nil {
		return Closed{}, err
	}
	if j.Closed != 0 && c.State == "" {
		return Closed{}, refuseAs(JobDone, "job %s was closed on %s (%s) already", j.Code, j.Closed, j.State).of(j.Code)
	}
	if c.State = or(c.State, ClosedStates[0]); !slices.Contains(ClosedStates, c.State) {
		return Closed{}, Misread("%v", words.NotOneOf("state", ClosedStates, c.State))
	}
	pieces, err := t.PiecesOf(j.Code)
	if err != nil {
		return Closed{}, err
	}
	if err := t.answered(j, c, pieces); err != nil {
		return Closed{}, err
	}
	out := Closed{}
	if err := t.settlePieces(j, c, pieces); err != nil {
		return out, err
	}
	if out.Learnt, err = t.learn(j, c, pieces); err != nil {
		return out, err
	}
	if out.Met, err = t.metBy(j, c, pieces); err != nil {
		return out, err
	}
	j.State, j.Closed = c.State, t.head.Day
	if c.State == "collected" || c.State == "refused" {
		full, err := t.holdsOwn(j.Tray)
		if err != nil {
			return out, err
		}
		if !full { // else out goes on telling of what lies there
			j.Tray = ""
		}
	}
	out.Job = j
	return out, t.Put(j)
}

// DoneAsks lists what closing a job has to know: of each fitted piece what became of
// it, and then, for all those of which nobody has stated it, how they went in.
func (v *View) DoneAsks(job code.Code) ([]Question, error) {
	j, err := v.Job(job)
	if err != nil {
		return nil, err
	}
	pieces, err := v.PiecesOf(job)
	if err != nil {
		return nil, err
	}
	var out []Question
	went := Question{What: AskWent, Words: WentWords}
	for _, p := range pieces {
		if p.Held {
			continue
		}
		out = append(out, Question{What: AskTested, Pieces: []Piece{p}, Words: []string{Tested, PutIn, Unused}})
		open, err := v.wentOpen(j, p)
		if err != nil {
			return nil, err
		}
		if open {
			went.Pieces = append(went.Pieces, p)
		}
	}
	if len(went.Pieces) > 0 {
		out = append(out, went)
	}
	return out, nil
}

// wentOpen tells whether nobody has stated how a piece goes into a job's camera, and
// nothing forbids it.
func (v *View) wentOpen(j Job, piece Piece) (bool, error) {
	if piece.Bag.Part == "" {
		return false, nil
	}
	p, err := v.Part(piece.Bag.Part)
	if err != nil {
		return false, err
	}
	g, why, err := v.Statement(p, j.Camera())
	return why.Kind == "" && unproven(g) && v.MayGo(p, j) == nil, err
}

// unproven tells whether a statement does not say how the part goes in.
func unproven(g Goes) bool { return len(g.Degrees) == 0 || slices.Contains(g.Degrees, "unproven") }

// answered refuses a closing that leaves a fitted piece without an answer, and
// answers that do not go together.
func (t *Tx) answered(j Job, c Closing, pieces []Piece) error {
	var open []string
	for _, p := range pieces {
		a, ok := c.Answers[p.Bag.Code]
		if !p.Held && !ok {
			open = append(open, string(p.Bag.Code))
		}
		if err := a.sound(p.Bag.Code); err != nil {
			return err
		}
	}
	if len(open) == 0 || j.Closed != 0 && len(c.Answers) == 0 {
		return nil
	}
	return refuseAs(Untold, "was the camera of job %s tested with what is fitted in it (%s)?", j.Code, strings.Join(open, ", ")).of(j.Code)
}

// sound refuses an answer about a bag whose words do not go together.
func (a Answer) sound(bag code.Code) error {
	switch {
	case a.Went != "" && !slices.Contains(WentWords, a.Went):
		return Misread("%v", words.NotOneOf("went", WentWords, a.Went))
	case a.Went == "rework" && a.Work == "":
		return Misread("rework of %s names what was done to it", bag)
	case a.Unused && a.Went != "":
		return Misread("%s was not used, and so did not go in", bag)
	}
	return nil
}

// settlePieces frees what is held and takes back what was not used.
func (t *Tx) settlePieces(j Job, c Closing, pieces []Piece) error {
	for _, p := range pieces {
		k := Take{Bag: p.Bag.Code, N: p.N, Job: j.Code}
		switch {
		case p.Held && !c.KeepHeld:
			if err := t.Unhold(k); err != nil {
				return err
			}
		case !p.Held && c.Answers[p.Bag.Code].Unused:
			k.Why = "not used"
			if err := t.Return(k); err != nil {
				return err
			}
		}
	}
	return nil
}

// usedParts are the parts of the pieces that stay in the camera, each once with
// the strongest answer.
func usedParts(c Closing, pieces []Piece) (parts []code.Code, answers map[code.Code]Answer) {
	answers = map[code.Code]Answer{}
	for _, p := range pieces {
		a, ok := c.Answers[p.Bag.Code]
		if p.Held || !ok || a.Unused || p.Bag.Part == "" {
			continue
		}
		was, known := answers[p.Bag.Part]
		if !known {
			parts = append(parts, p.Bag.Part)
		}
		if !known || stronger(a.Evidence, was.Evidence) {
			was, a = a, was
		}
		if was.Went == "" {
			was.Went, was.Work = a.Went, a.Work
		}
		answers[p.Bag.Part] = was
	}
	return parts, answers
}

// stronger tells whether evidence a is stronger than b; any is stronger than none.
func stronger(a, b string) bool {
	rank := func(e string) int {
		if i := slices.Index(Evidences, e); i >= 0 {
			return i
		}
		return len(Evidences)
	}
	return rank(a) < rank(b)
}

// learn turns what was fitted into statements.
func (t *Tx) learn(j Job, c Closing, pieces []Piece) ([]Learnt, error) {
	var out []Learnt
	parts, answers := usedParts(c, pieces)
	for _, part := range parts {
		p, err := t.Part(part)
		if err != nil {
			return nil, err
		}
		l, err := t.learnOne(p, j, answers[part])
		if err != nil {
			return nil, err
		}
		out = append(out, l)
	}
	return out, nil
}

// learnOne states that a part went into a job's camera, as what is stated has it,
// else as was answered; without an answer nothing is recorded. Evidence is raised,
// never lowered. What must not go in teaches nothing: the person says so by hand.
func (t *Tx) learnOne(p Part, j Job, a Answer) (Learnt, error) {
	l := Learnt{Part: p}
	if !slices.Contains(Evidences, a.Evidence) {
		return l, Misread("%v", words.NotOneOf("evidence", Evidences, a.Evidence))
	}
	g, why, err := t.Statement(p, j.Camera())
	if err != nil {
		return l, err
	}
	l.Goes, l.Was = g, g.Evidence
	switch {
	case why.Kind != "":
		l.Why = why
	case t.MayGo(p, j) != nil:
		l.Why = Say(Forbidden, "it is recorded that it does not go in there").Of(p.Code, g.Model)
	case !unproven(g) && a.Went != "":
		return l, refuseAs(Stated, "how %s goes into %s is stated already: %s", p.Code, g.Model, strings.Join(g.Degrees, ", ")).of(p.Code, g.Model)
	case unproven(g) && a.Went == "":
		l.Why = Say(Unsaid, "nobody said how it went in").Of(p.Code, g.Model)
	}
	if l.Why.Kind != "" {
		return l, nil
	}
	evidence := a.Evidence
	if unproven(g) {
		g.Degrees, g.Operation = []string{a.Went}, a.Work
	}
	if a.Went == "looked" {
		g.Degrees, evidence = []string{"unproven"}, "compared"
	}
	if stronger(evidence, g.Evidence) {
		g.Evidence, g.By, g.Date = evidence, t.head.By, t.head.Day
	}
	g.Note = noteBody(g.Note, evidence, j)
	l.Goes = g
	return l, t.Put(g)
}

// mostBodies is how many cameras a statement names in its note, the latest.
const mostBodies = 3

// noteBody adds to a statement's note in which camera it was learnt.
func noteBody(note, evidence string, j Job) string {
	in := "job " + string(j.Code)
	if strings.ContainsAny(j.BodyNo, "0123456789") {
		in = fmt.Sprintf("body %s (job %s)", j.BodyNo, j.Code)
	}
	var kept, bodies []string
	for bit := range strings.SplitSeq(note, "; ") {
		switch {
		case bit == "" || strings.HasSuffix(bit, " in "+in):
		case strings.HasPrefix(bit, "run in ") || strings.HasPrefix(bit, "tried in ") || strings.HasPrefix(bit, "compared in "):
			bodies = append(bodies, bit)
		default:
			kept = append(kept, bit)
		}
	}
	bodies = append(bodies, evidence+" in "+in)
	return strings.Join(append(kept, bodies[max(0, len(bodies)-mostBodies):]...), "; ")
}

// metBy meets the open wants of a job for parts that are fitted in it.
func (t *Tx) metBy(j Job, c Closing, pieces []Piece) ([]Want, error) {
	parts, _ := usedParts(c, pieces)
	wants, err := t.WantsFor(j.Code)
	if err != nil {
		return nil, err
	}
	var met []Want
	for _, w := range wants {
		if w.Met != 0 || !slices.Contains(parts, w.Part) {
			continue
		}
		w.Met = t.head.Day
		if err := t.Put(w); err != nil {
			return nil, err
		}
		met = append(met, w)
	}
	return met, nil
}
