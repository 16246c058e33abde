package store

import (
	"fmt"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/thread"
)

// A Camera is what a part is to go into: a model alone, or a job's or donor's
// camera with the shutter, lens and number it is known to have.
type Camera struct {
	Model, Shutter, Lens code.Code
	BodyNo               string
}

// Camera is the camera of a job.
func (j Job) Camera() Camera { return Camera{j.Model, j.Shutter, j.Lens, j.BodyNo} }

// Camera is the camera that a donor was.
func (d Donor) Camera() Camera { return Camera{d.Model, d.Shutter, d.Lens, d.BodyNo} }

// A Verdict is what is known of a part and a camera. Several stand side by
// side where it depends on what the camera carries.
type Verdict struct {
	Degrees  []string  // empty: nothing is recorded
	Goes     Goes      // the statement, where Recorded
	Recorded bool      // somebody stated it; otherwise it follows from the twin or the thread
	Via      code.Code // the model the statement is about
	If       code.Code // it holds only if the camera carries this: look first
	Open     bool      // it is about some numbers, and whether the camera's is one of them is not known: look first
	Reason   string    // why it does not go, in words
}

// Never says that the part must not go in.
func (d Verdict) Never() bool {
	return slices.Contains(d.Degrees, "no") || slices.Contains(d.Degrees, "opposite-hand")
}

// Usable says that something is recorded which lets the part go in.
func (d Verdict) Usable() bool { return len(d.Degrees) > 0 && !d.Never() }

// Kinds of what is not known of a piece and a camera, so that a booking can say so
// and the closing of the job can ask what was learnt.
const (
	NothingRecorded ReasonKind = "nothing-recorded"
	Unproven        ReasonKind = "unproven"
	LookFirst       ReasonKind = "look-first" // it depends on what the camera carries, or on its number
	GradeUnknown    ReasonKind = "grade-unknown"
)

// Doubt is the kind of what is not known, empty for a verdict that decides.
func (d Verdict) Doubt() ReasonKind {
	switch {
	case len(d.Degrees) == 0:
		return NothingRecorded
	case d.If != "" || d.Open:
		return LookFirst
	case slices.Contains(d.Degrees, "unproven"):
		return Unproven
	}
	return ""
}

// Words is the verdict as people read it, with the numbers that it is about.
func (d Verdict) Words() string {
	s := "nothing is recorded"
	switch {
	case d.Never() && d.Reason != "":
		s = strings.Join(d.Degrees, ", ") + ": " + d.Reason
	case len(d.Degrees) > 0:
		s = strings.Join(d.Degrees, ", ")
		if d.Goes.Operation != "" {
			s += ": " + d.Goes.Operation
		} else if d.Goes.Note != "" {
			s += ": " + d.Goes.Note
		}
	}
	if numbers := d.Goes.Numbers(); numbers != "" && !d.Open {
		s += " (numbers " + numbers + ")"
	}
	if on := d.condition(); on != "" {
		return fmt.Sprintf("if %s: %s; look first", on, s)
	}
	return s
}

// condition is what a verdict depends on, empty for nothing.
func (d Verdict) condition() string {
	var on []string
	if d.If != "" {
		on = append(on, fmt.Sprintf("it carries %s", d.If))
	}
	if d.Open {
		on = append(on, "its number is "+d.Goes.Numbers())
	}
	return strings.Join(on, " and ")
}

// Numbers are the body numbers that a statement is about, in words: from 335000,
// to 334999, 300100 to 312999. It is empty where it is about all of them.
func (g Goes) Numbers() string {
	switch {
	case g.From != "" && g.To != "":
		return g.From + " to " + g.To
	case g.From != "":
		return "from " + g.From
	case g.To != "":
		return "to " + g.To
	}
	return ""
}

// Doubts says what is not known of the pieces in a bag and a camera, its grade
// among it; nothing where they are known to go in, or known not to. A bag of no
// known part has none: it cannot go anywhere.
func (v *View) Doubts(b Bag, grade string, cam Camera) (Reasons, error) {
	p, err := v.Part(b.Part)
	if err != nil || cam.Model == "" {
		return nil, nil
	}
	said, err := v.Verdicts(p, cam)
	if err != nil {
		return nil, err
	}
	var out Reasons
	if d, open := doubted(said); open {
		out = append(out, d.open(p.Code, cam.Model))
	}
	if grade == "unknown" {
		out = append(out, Say(GradeUnknown, "%s: its grade is unknown, it was not looked at or cannot be judged loose", b.Code).Of(b.Code))
	}
	return out, nil
}

// open says what a verdict leaves open.
func (d Verdict) open(part, model code.Code) Reason {
	kind := d.Doubt()
	switch kind {
	case NothingRecorded:
		return Say(kind, "nothing is recorded of %s in %s", part, model).Of(part, model)
	case Unproven:
		return Say(kind, "%s is unproven in %s", part, model).Of(part, model)
	}
	return Say(kind, "%s into %s: %s", part, model, d.Words()).Of(part, model)
}

// doubted is the verdict that leaves open whether a part goes in: none where one
// decides, or where all of them are against it.
func doubted(said []Verdict) (best Verdict, open bool) {
	for _, d := range said {
		switch {
		case d.Never():
		case d.Doubt() == "":
			return Verdict{}, false
		case !open || !best.Usable() && d.Usable():
			best, open = d, true
		}
	}
	return best, open || len(said) == 0
}

// Verdicts says what is known of a part and a camera: first the statement
// about the camera's own model, then those about the shutter and lens it
// carries, then what follows from the part's twin, then the thread. A
// statement about a part has a direction and says nothing of the reverse.
func (v *View) Verdicts(p Part, cam Camera) ([]Verdict, error) {
	out, err := v.stated(p.Code, cam, v.GoesOn)
	if err != nil || len(out) > 0 {
		return out, err
	}
	for _, twin := range append(v.TwinsOf(p.Code), nonEmpty(p.Twin)...) {
		other, err := v.stated(twin, cam, v.GoesOn)
		if err != nil {
			return nil, err
		}
		for _, o := range other {
			if o.Usable() {
				return []Verdict{{Degrees: []string{"opposite-hand"}, Via: o.Via, If: o.If,
					Reason: fmt.Sprintf("its twin %s goes in there, and this is the other hand", twin)}}, nil
			}
		}
	}
	return v.byThread(p, cam)
}

func nonEmpty(c code.Code) []code.Code {
	if c == "" {
		return nil
	}
	return []code.Code{c}
}

// Stated says what is stated of a part and a camera, in degrees and numbers alone: for a
// question that has many parts of one model it reads no record of a statement. It is
// nothing where [View.Verdicts] would go on to the twin or the thread.
func (v *View) Stated(part code.Code, cam Camera) ([]Verdict, error) {
	return v.stated(part, cam, v.degreesOn)
}

// A saying tells what is said of a part and one model.
type saying func(part, model code.Code) ([]Goes, error)

// stated looks for statements: about the camera itself, then what it carries.
func (v *View) stated(part code.Code, cam Camera, said saying) ([]Verdict, error) {
	out, err := statedOn(part, cam.Model, cam.BodyNo, said)
	if err != nil || len(out) > 0 {
		return out, err
	}
	m, err := v.Model(cam.Model)
	if err != nil {
		return nil, nil // a camera of a model that is not recorded
	}
	for _, of := range []struct {
		kind  string
		known code.Code
	}{{"shutter", cam.Shutter}, {"lens", cam.Lens}} {
		out, err := v.carriedVerdicts(part, m, of.kind, of.known, said)
		if err != nil || len(out) > 0 {
			return out, err
		}
	}
	return nil, nil
}

func (v *View) carriedVerdicts(part code.Code, m Model, kind string, known code.Code, said saying) ([]Verdict, error) {
	if known != "" {
		return statedOn(part, known, "", said)
	}
	may, err := v.Carried(m, kind)
	if err != nil {
		return nil, err
	}
	var out []Verdict
	any := false
	for _, c := range may {
		d, err := statedOn(part, c, "", said)
		if err != nil {
			return nil, err
		}
		any = any || len(d) > 0
		if len(d) == 0 {
			d = []Verdict{{Via: c}}
		}
		for _, one := range d {
			if len(may) > 1 {
				one.If = c
			}
			out = append(out, one)
		}
	}
	if !any {
		return nil, nil
	}
	return out, nil
}

// Carried lists the models of a kind that a camera may carry.
func (v *View) Carried(m Model, kind string) ([]code.Code, error) {
	var out []code.Code
	for _, c := range m.Carries {
		x, err := v.Model(c)
		if err != nil {
			return nil, err
		}
		if x.Kind == kind {
			out = append(out, c)
		}
	}
	return out, nil
}

func statedOn(part, model code.Code, number string, said saying) ([]Verdict, error) {
	list, err := said(part, model)
	if err != nil {
		return nil, err
	}
	closer := slices.ContainsFunc(list, func(g Goes) bool { return lies(number, g) })
	var out []Verdict
	for _, g := range list {
		if !InRange(number, g.From, g.To) || closer && g.From == "" && g.To == "" {
			continue
		}
		out = append(out, Verdict{Degrees: g.Degrees, Goes: g, Recorded: true, Via: model, Reason: g.Note,
			Open: g.Numbers() != "" && !lies(number, g)})
	}
	return out, nil
}

// lies tells whether a number is known to lie in the numbers of a statement, which
// then goes before one that is about all numbers.
func lies(number string, g Goes) bool {
	_, from := code.CompareNumbers(number, g.From)
	_, to := code.CompareNumbers(number, g.To)
	return (from || to) && InRange(number, g.From, g.To)
}

// InRange says whether a number may lie from one to another; an unknown
// number, or one of another series, may.
func InRange(number, from, to string) bool {
	if from != "" {
		if c, ok := code.CompareNumbers(number, from); ok && c < 0 {
			return false
		}
	}
	if to != "" {
		if c, ok := code.CompareNumbers(number, to); ok && c > 0 {
			return false
		}
	}
	return true
}

// ThreadDiffers tells whether the thread of a part is of another form than that
// of a model, both being known: without a statement such a part is refused.
func ThreadDiffers(p Part, m Model) bool {
	t, err := thread.Parse(p.Marks[dim.Thread])
	return err == nil && thread.Differs(t.Form, m.Form)
}

// byThread refuses a thread of another form where nothing is stated. What sits
// in a shutter or lens is held against that, for it may be of another form than
// the camera.
func (v *View) byThread(p Part, cam Camera) ([]Verdict, error) {
	if p.Marks[dim.Thread] == "" {
		return []Verdict{{}}, nil
	}
	around, err := v.around(p, cam)
	if err != nil {
		return nil, err
	}
	var out []Verdict
	for _, m := range around {
		d := Verdict{Via: m.Code}
		if ThreadDiffers(p, m) {
			d.Degrees, d.Reason = []string{"no"}, threadReason(p, m)
		}
		if len(around) > 1 {
			d.If = m.Code
		}
		out = append(out, d)
	}
	if !slices.ContainsFunc(out, Verdict.Never) {
		return []Verdict{{}}, nil
	}
	return out, nil
}

func threadReason(p Part, m Model) string {
	t, err := thread.Parse(p.Marks[dim.Thread])
	if err != nil {
		return ""
	}
	whose := "the camera's"
	if m.Kind == "shutter" || m.Kind == "lens" {
		whose = "that of " + string(m.Code)
	}
	return fmt.Sprintf("its thread is %s, %s is %s: it binds after a few turns and ruins the hole", thread.FormName(t.Form), whose, thread.FormName(m.Form))
}

// around lists the models whose metal a part may be screwed into: the camera, or
// for a part that sits in a shutter or lens the one it carries or may carry. It
// is empty where that is not recorded.
func (v *View) around(p Part, cam Camera) ([]Model, error) {
	m, err := v.Model(cam.Model)
	if err != nil {
		return nil, nil // a camera of a model that is not recorded
	}
	if p.Seat != "shutter" && p.Seat != "lens" || m.Kind == p.Seat {
		return []Model{m}, nil
	}
	may, err := v.Carried(m, p.Seat)
	if known := map[string]code.Code{"shutter": cam.Shutter, "lens": cam.Lens}[p.Seat]; known != "" {
		may = []code.Code{known}
	}
	var out []Model
	for _, c := range may {
		if x, err := v.Model(c); err == nil {
			out = append(out, x)
		}
	}
	return out, err
}
