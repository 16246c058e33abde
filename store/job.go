package store

import (
	"fmt"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/words"
)

// A Tray is a place for the pieces of a job, and who has it.
type Tray struct {
	Place Place
	Job   code.Code // the open job that has it
	Done  code.Code // else the last closed job that names it: its camera may lie there still
	Full  bool      // pieces of the workshop's own lie in it
}

// Trays lists the places that are job trays, told by Where and For, in order of
// codes.
func (v *View) Trays() ([]Tray, error) {
	var out []Tray
	err := v.EachPlace(func(p Place) error {
		if isTray(p) {
			out = append(out, Tray{Place: p})
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	err = v.EachJob(func(j Job) error {
		for i := range out {
			switch {
			case j.Tray != out[i].Place.Code:
			case j.Closed == 0:
				out[i].Job = j.Code
			default:
				out[i].Done = j.Code
			}
		}
		return nil
	})
	for i := range out {
		if err == nil {
			out[i].Full, err = v.holdsOwn(out[i].Place.Code)
		}
	}
	return out, err
}

func (v *View) holdsOwn(place code.Code) (bool, error) {
	for _, c := range v.BagsAt(place) {
		b, err := v.Bag(c)
		if err != nil {
			return false, err
		}
		st, err := v.State(c)
		if err != nil || b.Owner == Own && st.OnHand() > 0 {
			return err == nil, err
		}
	}
	return false, nil
}

// FreeTray picks the tray for a new job: one that no open job has, an empty one
// that no closed job names before the others. It is false where there is none.
func FreeTray(trays []Tray) (Tray, bool) {
	best, found, least := Tray{}, false, 3
	for _, t := range trays {
		inWay := 0
		if t.Done != "" {
			inWay++
		}
		if t.Full {
			inWay++
		}
		if t.Job == "" && inWay < least {
			best, found, least = t, true, inWay
		}
	}
	return best, found
}

// Arrive makes the job of a customer's camera, with the next number. It is
// refused without an owner, and for a camera that an open job has already unless
// anyway is set.
func (t *Tx) Arrive(j Job, anyway bool) (Job, error) {
	if j.Owner == "" || j.Owner == Own || j.Owner == OwnerHeld {
		return j, refuse("whose camera is it? a customer's needs the customer's name")
	}
	var err error
	eachErr := t.EachJob(func(o Job) error {
		if o.Closed == 0 && !anyway && o.Model == j.Model && SameBody(o.BodyNo, j.BodyNo) {
			err = first(err, refuse("%s %s is here already as job %s; --anyway makes a second job of it", o.Model, o.BodyNo, o.Code))
		}
		return nil
	})
	if err := first(eachErr, err); err != nil {
		return j, err
	}
	if j.Code, err = t.NextCode("job"); err != nil {
		return j, err
	}
	Begin(&j, t.head.Day)
	return j, first(t.Put(j), t.Used("job", j.Code), t.Sound())
}

// Words are the job with its model and owner: job 105 (W1-B, customer 5).
func (j Job) Words() string {
	about := slices.DeleteFunc([]string{string(j.Model), j.Owner}, func(s string) bool { return s == "" })
	if len(about) == 0 {
		return fmt.Sprintf("job %s", j.Code)
	}
	return fmt.Sprintf("job %s (%s)", j.Code, strings.Join(about, ", "))
}

// TakesPieces refuses a job that is closed, and says how something is booked to it
// all the same.
func (j Job) TakesPieces() error {
	if j.Closed == 0 {
		return nil
	}
	return refuse("job %s was closed on %s (%s): edit %s --state \"in work\" opens it again, --anyway books to it all the same",
		j.Code, j.Closed, j.State, j.Code)
}

// Reopened takes the day it was closed off a job whose state is that of an open one,
// unless the day is another than before.
func Reopened(was Job, now *Job) {
	if now.Closed == was.Closed && !slices.Contains(ClosedStates, now.State) {
		now.Closed = 0
	}
}

// SameBody tells whether two body numbers are one number. No number, or a word
// without a digit such as "none", is equal to nothing.
func SameBody(a, b string) bool {
	return strings.ContainsAny(a, "0123456789") && code.Loose(a) == code.Loose(b)
}

// A Piece is what one job has of one bag.
type Piece struct {
	Bag  Bag
	N    int64
	Held bool // set aside for it, else fitted in it
}

// PiecesOf lists what is fitted in a job's camera and what is held for it, less
// what came back, in the order it was first booked.
func (v *View) PiecesOf(job code.Code) ([]Piece, error) {
	entries, err := v.EntriesFor(job)
	if err != nil {
		return nil, err
	}
	var out []Piece
	done := map[code.Code]bool{}
	for _, e := range entries {
		if done[e.Bag] || v.bucket(bBag).Get(keyCode(e.Bag)) == nil {
			continue // its booking in was taken back
		}
		done[e.Bag] = true
		b, err := v.Bag(e.Bag)
		if err != nil {
			return nil, err
		}
		st, err := v.State(e.Bag)
		if err != nil {
			return nil, err
		}
		if n := st.FittedInJob(job); n != 0 {
			out = append(out, Piece{b, n, false})
		}
		if n := st.HeldForJob(job); n != 0 {
			out = append(out, Piece{b, n, true})
		}
	}
	return out, nil
}

// A Closing is what a person says when a job is done.
type Closing struct {
	Job      code.Code
	State    string               // one of ClosedStates; empty: ready
	Answers  map[code.Code]Answer // by bag, what became of each fitted piece
	KeepHeld bool                 // what is held stays held
}

// An Answer says of the pieces fitted from one bag what was learnt.
type Answer struct {
	Evidence string   // run: the camera was tested with them; tried: they were put in
	Unused   bool     // they were not used and go back into their bag
	Degrees  []string // how the part goes in, where that was unproven or not recorded; empty: direct, or as it was
	Work     string   // for the degree rework, what was done to it
}

// A Learnt is what closing a job taught about one part.
type Learnt struct {
	Part Part
	Goes Goes   // the statement as it stands now, where there is one
	Was  string // the evidence before, empty where nothing was stated
	Why  string // why nothing was learnt, else empty
}

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
		return Closed{}, refuse("job %s was closed on %s (%s) already; done %s --state collected changes its state, edit %s --state \"in work\" opens it again",
			j.Code, j.Closed, j.State, j.Code, j.Code)
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

// answered refuses a closing that leaves a fitted piece without an answer.
func (t *Tx) answered(j Job, c Closing, pieces []Piece) error {
	var open []string
	for _, p := range pieces {
		if _, ok := c.Answers[p.Bag.Code]; !p.Held && !ok {
			open = append(open, string(p.Bag.Code))
		}
	}
	if len(open) == 0 || j.Closed != 0 && len(c.Answers) == 0 {
		return nil
	}
	return refuse("was the camera of job %s tested with what is fitted in it (%s)? say --tested or --not-tested, and --unused BAG for what was not used",
		j.Code, strings.Join(open, ", "))
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
			answers[p.Bag.Part] = a
		}
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

// learnOne states that a part went into a job's camera: directly, unless something
// is stated, whose degree stays. Evidence is raised, never lowered. What must not go
// in teaches nothing: the person says so with goes.
func (t *Tx) learnOne(p Part, j Job, a Answer) (Learnt, error) {
	l := Learnt{Part: p}
	if !slices.Contains(Evidences, a.Evidence) {
		return l, Misread("%v", words.NotOneOf("evidence", Evidences, a.Evidence))
	}
	g, why, err := t.Statement(p, j.Camera())
	if err != nil {
		return l, err
	}
	if l.Goes, l.Was = g, g.Evidence; why != "" {
		l.Why = why
		return l, nil
	}
	if err := t.MayGo(p, j); err != nil {
		l.Why = "it is recorded that it does not go in there; goes " + string(p.Code) + " " + string(g.Model) + " --degree ... says otherwise"
		return l, nil
	}
	if len(a.Degrees) > 0 && (len(g.Degrees) == 0 || slices.Contains(g.Degrees, "unproven")) {
		g.Degrees, g.Operation = a.Degrees, a.Work
	}
	if len(g.Degrees) == 0 {
		g.Degrees = []string{"direct"}
	}
	if stronger(a.Evidence, g.Evidence) {
		g.Evidence, g.By, g.Date = a.Evidence, t.head.By, t.head.Day
	}
	g.Note = noteBody(g.Note, a.Evidence, j)
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
		case strings.HasPrefix(bit, "run in ") || strings.HasPrefix(bit, "tried in "):
			bodies = append(bodies, bit)
		default:
			kept = append(kept, bit)
		}
	}
	bodies = append(bodies, evidence+" in "+in)
	return strings.Join(append(kept, bodies[max(0, len(bodies)-mostBodies):]...), "; ")
}

// Statement is the statement that a camera's own fitting bears on: the one about
// its model and number, else the one about the shutter or lens it carries, else a
// new one that says nothing yet. Why says, in words, where none can be picked.
func (v *View) Statement(p Part, cam Camera) (g Goes, why string, err error) {
	said, err := v.GoesOn(p.Code, cam.Model)
	if err != nil {
		return g, "", err
	}
	if len(said) > 0 {
		return pickStatement(p, cam, said)
	}
	m, err := v.Model(cam.Model)
	if err != nil {
		return Goes{Part: p.Code, Model: cam.Model}, "", nil
	}
	for _, k := range []struct {
		kind  string
		known code.Code
	}{{"shutter", cam.Shutter}, {"lens", cam.Lens}} {
		may := nonEmpty(k.known)
		if len(may) == 0 {
			if may, err = v.Carried(m, k.kind); err != nil {
				return g, "", err
			}
		}
		for _, c := range may {
			if said, err = v.GoesOn(p.Code, c); err != nil {
				return g, "", err
			}
			if len(said) == 0 && p.Seat != k.kind {
				continue
			}
			if len(may) > 1 {
				return g, fmt.Sprintf("its %s is not noted: edit the job with --%s, then goes %s says it", k.kind, k.kind, p.Code), nil
			}
			if len(said) > 0 {
				return said[0], "", nil
			}
			return Goes{Part: p.Code, Model: c}, "", nil
		}
	}
	return Goes{Part: p.Code, Model: cam.Model}, "", nil
}

// pickStatement picks of several statements the one for a body number.
func pickStatement(p Part, cam Camera, said []Goes) (Goes, string, error) {
	var holds []Goes
	for _, g := range said {
		if InRange(cam.BodyNo, g.From, g.To) {
			holds = append(holds, g)
		}
	}
	switch len(holds) {
	case 0: // stated of other numbers alone: this one is a statement of its own
		return Goes{Part: p.Code, Model: cam.Model, From: cam.BodyNo, To: cam.BodyNo}, "", nil
	case 1:
		return holds[0], "", nil
	}
	return Goes{}, fmt.Sprintf("it depends on the body number, which is not noted: goes %s %s --from-no ... says it", p.Code, cam.Model), nil
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

// TakeOut notes a piece that came out of a customer's camera, or that was lost of
// it: it is the customer's and never stock. It gets the next number of its job.
// Returned and refused are settled at once.
func (t *Tx) TakeOut(o Old, anyway bool) (Old, error) {
	if _, err := t.jobFor(Take{Job: o.Job, Anyway: anyway}); err != nil {
		return o, err
	}
	had, err := t.OldOf(o.Job)
	if err != nil {
		return o, err
	}
	o.Nth = 1
	if n := len(had); n > 0 {
		o.Nth = had[n-1].Nth + 1
	}
	o.Day, o.By = t.head.Day, or(o.By, t.head.By)
	o.Settled = settledOn(o.Fate, t.head.Day)
	return o, first(t.Put(o), t.Sound())
}

// settledOn is the day a piece is settled by what becomes of it, 0 while it lies
// here in an envelope or is lost and not made good.
func settledOn(fate string, day code.Day) code.Day {
	if fate == "returned" || fate == "refused" {
		return day
	}
	return 0
}

// Settle says what becomes of a customer's old piece: a Fate with its envelope, or
// an empty fate that settles it as it is. A piece that is settled stays so.
func (t *Tx) Settle(job code.Code, nth uint64, fate, where, note string) (Old, error) {
	o, err := get[Old](&t.View, bOld, keyOld(Old{Job: job, Nth: nth}), fmt.Sprintf("%s/%d", job, nth))
	if err != nil {
		return o, err
	}
	if o.Settled != 0 {
		return o, refuse("piece %d of job %s was settled on %s (%s) already", nth, job, o.Settled, or(o.Fate, "as it is"))
	}
	was := o.Fate
	if fate != "" {
		o.Fate = fate
	}
	o.Where, o.Note = or(where, o.Where), or(note, o.Note)
	if o.Settled = settledOn(o.Fate, t.head.Day); fate == "" {
		o.Settled = t.head.Day
	}
	if was == "lost" && fate != "" {
		o.Note = strings.TrimPrefix(o.Note+"; found again", "; ")
	}
	return o, first(t.Put(o), t.Sound())
}

// Open tells whether a customer's piece is still to be handed back or made good.
func (o Old) Open() bool { return o.Settled == 0 }
