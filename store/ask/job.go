package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/words"
)

// A JobNotes is what is worth knowing at the bench about a customer's camera,
// beside the job's own record and pieces.
type JobNotes struct {
	Before   []Earlier // earlier jobs of the same camera, the latest first
	Traps    store.Reasons
	Tools    []string // special tools, of the model and of what it carries
	Cautions []string
	Lacks    []Lack // what cameras of the model most often lack
	Lent     []Lent // what the owner lent to it
}

// An Earlier is an earlier job of the same camera.
type Earlier struct {
	Job    code.Code `json:"job"`
	Model  code.Code `json:"model"`
	Fault  string    `json:"fault,omitempty"`
	State  string    `json:"state,omitempty"`
	Opened string    `json:"opened,omitempty"`
	Closed string    `json:"closed,omitempty"`
	Fitted []string  `json:"fitted,omitempty"` // bag and part, in words
}

// A Lack says how often a part was missing on the parts cameras of a model that
// were looked at for it.
type Lack struct {
	Part     code.Code `json:"part"`
	Name     string    `json:"name"`
	Left     string    `json:"left_hand,omitempty"`
	Missing  int64     `json:"missing"`
	LookedAt int64     `json:"looked_at"`
}

// A Lent is what belongs to a job's owner beside the camera: a parts camera, or
// pieces in a bag.
type Lent struct {
	Donor    code.Code `json:"donor,omitempty"`
	Bag      code.Code `json:"bag,omitempty"`
	Part     code.Code `json:"part,omitempty"`
	Model    code.Code `json:"model,omitempty"`
	Quantity int64     `json:"quantity,omitempty"`
	Place    code.Code `json:"place,omitempty"`
	Note     string    `json:"note,omitempty"`
}

// toolsOf are the tools of a model, named where it is what the camera carries.
func toolsOf(camera, m store.Model) string {
	if m.Code == camera.Code {
		return m.Tools
	}
	return string(m.Code) + ": " + m.Tools
}

// carriedIn lists a job's model and the shutter and lens it carries, or may carry.
func carriedIn(v *reader, j store.Job, m store.Model) []store.Model {
	out := []store.Model{m}
	for _, k := range carriedKinds(j.Camera()) {
		may := []code.Code{k.known}
		if k.known == "" {
			may = got2(v, v.Carried, m, k.kind)
		}
		for _, c := range may {
			out = append(out, v.model(c))
		}
	}
	return out
}

// earlier lists other jobs of the same body number and family.
func earlier(v *reader, j store.Job) (out []Earlier) {
	m, _ := v.Model(j.Model) // one that is not recorded has no family
	kin := v.Family(words.Fold(m.Family))
	for o := range each(v, v.EachJob) {
		same := o.Model == j.Model || m.Family != "" && slices.Contains(kin, o.Model)
		if o.Code == j.Code || !same || !store.SameBody(o.BodyNo, j.BodyNo) {
			continue
		}
		e := Earlier{Job: o.Code, Model: o.Model, Fault: o.Fault, State: o.State, Opened: o.Opened.String(), Closed: o.Closed.String()}
		for _, p := range got(v, v.PiecesOf, o.Code) {
			if part, err := v.Part(p.Bag.Part); err == nil && !p.Held {
				e.Fitted = append(e.Fitted, fmt.Sprintf("%s %s (%s)", part.Code, part.Called(), p.Bag.Code))
			}
		}
		out = append(out, e)
	}
	slices.SortStableFunc(out, func(a, b Earlier) int { return cmp.Compare(b.Opened, a.Opened) })
	return out
}

// lentBy lists the parts cameras and the pieces in the house that belong to a
// customer.
func lentBy(v *reader, owner string) []Lent {
	out := []Lent{}
	for _, b := range notOurs(v) {
		if b.Owner == owner {
			out = append(out, b.Lent)
		}
	}
	return out
}

// A Borrow is a thing in the house that belongs to somebody else.
type Borrow struct {
	Owner string
	Since code.Day
	Lent
}

// mostTraps is how many parts that must not go in are named.
const mostTraps = 5

// A carriedKind is a kind of model that a camera carries, and what is known of it.
type carriedKind struct {
	kind  string
	known code.Code
	ask   store.ReasonKind // which it is
}

func carriedKinds(cam store.Camera) []carriedKind {
	return []carriedKind{{"shutter", cam.Shutter, AskShutter}, {"lens", cam.Lens, AskLens}}
}

// jobTraps names what a camera is easily taken for, and what must not go into it.
func jobTraps(v *reader, j store.Job, m store.Model) (out store.Reasons) {
	if text := numberTrap(v, j.BodyNo, m); text != "" {
		out = append(out, store.Reason{Kind: BodyNumber, Codes: []code.Code{m.Code}, Text: text})
	}
	for _, k := range carriedKinds(j.Camera()) {
		switch may := got2(v, v.Carried, m, k.kind); {
		case k.known == "" && len(may) > 1:
			out = append(out, store.Say(LookWhich, "it carries %s: look which before a part of its %s is promised", others(may, ""), k.kind).Of(may...))
		case k.known != "" && len(may) > 0 && !slices.Contains(may, k.known):
			out = append(out, store.Say(NotCarried, "%s is not known to carry the %s %s: it may have been changed", m.Code, k.kind, k.known).Of(m.Code, k.known))
		}
	}
	never := neverInto(v, m.Code)
	if more := len(never) - mostTraps; more > 0 {
		never = append(never[:mostTraps], store.Say(MoreNever, "%d more parts do not go in", more).Of(m.Code))
	}
	return append(out, never...)
}

// neverInto names the parts that must not go into a model, the other hand first.
func neverInto(v *reader, model code.Code) store.Reasons {
	var hand, other store.Reasons
	v.keep(v.GoesInto(model, func(part code.Code, degrees []string) error {
		if !(store.Verdict{Degrees: degrees}).Never() {
			return nil
		}
		p, reason := v.part(part), ""
		for _, g := range got2(v, v.GoesOn, part, model) {
			if g.Note != "" && (store.Verdict{Degrees: g.Degrees}).Never() {
				reason = ": " + g.Note
			}
		}
		text := store.Say(NeverGoes, "%s %s does not go in (%s)%s", p.Code, p.Name, strings.Join(degrees, ", "), reason).Of(p.Code)
		if slices.Contains(degrees, "opposite-hand") {
			hand = append(hand, text)
		} else {
			other = append(other, text)
		}
		return nil
	}))
	return append(hand, other...)
}

// numberTrap says that a body number lies outside the numbers of its model, and
// which sibling has it.
func numberTrap(v *reader, number string, m store.Model) string {
	if in, known := amongNumbers(number, m.Numbers); in || !known {
		return ""
	}
	text := fmt.Sprintf("%s %s is not among the numbers of %s (%s)", m.Bears(), number, m.Code, m.Numbers)
	for _, c := range v.Family(words.Fold(m.Family)) {
		s, err := v.Model(c)
		if in, _ := amongNumbers(number, s.Numbers); err == nil && in && s.Code != m.Code {
			return text + fmt.Sprintf(": %s has %s; look which it is", s.Code, s.Numbers)
		}
	}
	return text + ": look which model it is"
}

// amongNumbers tells whether a number lies in the numbers of a model, "10001-18420";
// known is false where either is no such thing.
func amongNumbers(number, numbers string) (in, known bool) {
	from, to, ok := strings.Cut(numbers, "-")
	from, to = strings.TrimSpace(from), strings.TrimSpace(to)
	if !ok || strings.ContainsAny(to, "-,;") {
		return false, false
	}
	low, ok1 := code.CompareNumbers(number, from)
	high, ok2 := code.CompareNumbers(number, to)
	known = ok1 && ok2
	return known && low >= 0 && high <= 0, known
}

// jobCautions are the usual cautions for the parts that go into the models, each
// once, after the parts it is about.
func jobCautions(v *reader, models []store.Model) (out []string) {
	var order []string
	about := map[string][]string{}
	for _, m := range models {
		out = append(out, ModelCautions(m)...)
		v.keep(v.GoesInto(m.Code, func(part code.Code, degrees []string) error {
			if !(store.Verdict{Degrees: degrees}).Usable() {
				return nil
			}
			for _, text := range Cautions(v.part(part), m) {
				if about[text] == nil {
					order = append(order, text)
				}
				if !slices.Contains(about[text], string(part)) {
					about[text] = append(about[text], string(part))
				}
			}
			return nil
		}))
	}
	for _, text := range order {
		out = append(out, strings.Join(about[text], ", ")+": "+text)
	}
	return out
}

// jobQuestions are what was not answered at arrival. A closed job has none.
func jobQuestions(v *reader, j store.Job) (out store.Reasons) {
	if j.Closed != 0 {
		return nil
	}
	if j.Agreed == "" {
		out = append(out, store.Say(AskAgreed, "ask whether used or made parts are agreed to").Of(v.Typed("job", j.Code)))
	}
	m, err := v.Model(j.Model)
	if err != nil {
		return out
	}
	for _, k := range carriedKinds(j.Camera()) {
		if may, err := v.Carried(m, k.kind); err == nil && len(may) > 1 && k.known == "" {
			out = append(out, store.Say(k.ask, "look which %s it carries", k.kind).Of(v.Typed("job", j.Code), may[0]))
		}
	}
	return out
}

// named1 is a number of pieces of a part in words, without the number for 0.
func named1(v *reader, part code.Code, n int64) string {
	p, err := v.Part(part)
	text := string(part)
	if err == nil {
		text += " " + p.Called()
	}
	if n > 1 {
		return fmt.Sprintf("%d %s", n, text)
	}
	return text
}

// oldToDo says what is to be done with a customer's piece that is not settled.
func oldToDo(v *reader, o store.Old) store.Reason {
	what := o.Piece
	if o.Part != "" {
		what = named1(v, o.Part, 0)
	}
	if o.Quantity > 1 {
		what = fmt.Sprintf("%d %s", o.Quantity, what)
	}
	switch o.Fate {
	case "lost":
		return store.Say(MakeGood, "%s of the customer's was lost here on %s: make it good and tell the customer", what, o.Day)
	case "envelope":
		return store.Say(HandBack, "hand the old %s back: it lies in envelope %s", what, o.Where)
	}
	return store.Say(HandBack, "hand the old %s back, or ask whether it is wanted", what)
}

// A Wait is a want that could be met today.
type Wait struct {
	Want store.Want
	Bag  string // the bag that could meet it, in words
}

// waitOver names the bag that could meet a want, empty where there is none.
func waitOver(v *reader, w store.Want) string {
	return waitOverFor(v, w, v.PartsToFit())
}

// waitOverFor is waitOver where it is known how to ask for the part.
func waitOverFor(v *reader, w store.Want, parts func(code.Code) (store.Part, error)) string {
	cam := store.Camera{Model: w.Model}
	if w.Job != "" {
		j, err := v.Job(w.Job)
		if err != nil || j.Closed != 0 {
			return ""
		}
		cam = j.Camera()
	}
	p := got(v, parts, w.Part)
	bag := goodBag(v, p.Code)
	if bag == "" || cam.Model != "" && !goesAsItIs(v, p, cam) {
		return ""
	}
	return bag
}

// goodBag is the first bag of a part that has good pieces of the workshop's free, in words,
// empty for none.
func goodBag(v *reader, part code.Code) string {
	for l := range each(v, func(fn func(store.Line) error) error { return v.EachLineOf(part, fn) }) {
		good := slices.Contains([]string{"ready", "new", "made", "usable"}, l.Grade)
		if l.Owner == store.Own && good && l.Free() > 0 {
			return fmt.Sprintf("%s has %s free in %s", l.Bag, store.Amount(l.Free(), l.Unit, l.About), l.Place)
		}
	}
	return ""
}

// lacksOf counts the parts that were seen missing on the parts cameras of a model,
// the most often missing first. What was not looked at counts for nothing.
func lacksOf(v *reader, model code.Code) []Lack {
	by := map[code.Code]Lack{}
	for _, d := range v.DonorsOf(model) {
		for _, s := range got(v, v.SeenOn, d) {
			l := by[s.Part]
			l.LookedAt++
			if s.Seen == "missing" {
				l.Missing++
			}
			by[s.Part] = l
		}
	}
	out := []Lack{}
	for part, l := range by {
		if l.Missing > 0 {
			p := v.part(part)
			l.Part, l.Name, l.Left = part, p.Name, store.LeftHand(p)
			out = append(out, l)
		}
	}
	slices.SortFunc(out, func(a, b Lack) int {
		return cmp.Or(cmp.Compare(b.Missing, a.Missing), cmp.Compare(a.LookedAt, b.LookedAt), cmp.Compare(a.Part, b.Part))
	})
	return out
}

// notOurs lists what is not the workshop's, bags read in the order in which they lie in the
// file.
func notOurs(v *reader) []Borrow {
	owned := ownedByOthers(v)
	out := make([]Borrow, len(owned))
	var t tags
	var order []code.Ranked // of the bags
	for i, o := range owned {
		if o.kind == "donor" {
			out[i] = o.borrow(v)
		} else {
			order = append(order, code.Ranked{By: tagged(&t, o.code), At: int32(i)})
		}
	}
	code.Rank(order)
	bags := make([]code.Code, len(order))
	for i, x := range order {
		bags[i] = owned[x.At].code
	}
	n := 0
	v.keep(v.EachBagOf(bags, func(b store.Bag, st store.State) {
		at := order[n].At
		out[at], n = owned[at].bag(b, st), n+1
	}))
	return out
}

// An owned is a parts camera, or a bag that holds something, of somebody else.
type owned struct {
	owner, kind string
	code        code.Code
}

// ownedByOthers lists what is not the workshop's, by owner, parts cameras first.
func ownedByOthers(v *reader) (out []owned) {
	v.keep(v.EachOwned(func(owner, kind string, c code.Code) error {
		out = append(out, owned{owner, kind, c})
		return nil
	}))
	slices.SortStableFunc(out, func(a, b owned) int { return cmp.Or(cmp.Compare(a.owner, b.owner), cmp.Compare(b.kind, a.kind)) })
	return out
}

// borrow is what there is to say of it.
func (o owned) borrow(v *reader) Borrow {
	if o.kind == "donor" {
		d := v.donor(o.code)
		return Borrow{o.owner, cmp.Or(d.Bought, d.Booked), Lent{Donor: o.code, Model: d.Model, Place: d.Place, Note: d.Note}}
	}
	st, b := v.state(o.code), v.bag(o.code)
	return o.bag(b, st)
}

func (o owned) bag(b store.Bag, st store.State) Borrow {
	return Borrow{o.owner, b.Booked, Lent{Bag: o.code, Part: b.Part, Quantity: st.OnHand(), Place: st.Place, Note: b.Note}}
}

// notesOf gathers what is worth knowing about the camera of a job, which need not be in
// the store yet.
func notesOf(v *reader, j store.Job) JobNotes {
	n := JobNotes{Before: earlier(v, j), Lacks: lacksOf(v, j.Model), Lent: lentBy(v, j.Owner)}
	m, err := v.Model(j.Model)
	if err != nil {
		return n // a model that is not recorded teaches nothing
	}
	cams := carriedIn(v, j, m)
	for _, c := range cams {
		if c.Tools != "" && !slices.Contains(n.Tools, toolsOf(m, c)) {
			n.Tools = append(n.Tools, toolsOf(m, c))
		}
	}
	n.Traps, n.Cautions = jobTraps(v, j, m), jobCautions(v, cams)
	return n
}

// toDo says what is still to do about a job, each in a sentence.
func toDo(v *reader, j store.Job, n JobNotes) store.Reasons {
	out := jobQuestions(v, j)
	for _, p := range got(v, v.PiecesOf, j.Code) {
		if !p.Held {
			continue
		}
		kind, text := HeldStill, "%s is held and not fitted"
		if j.Closed != 0 {
			kind, text = HeldAfter, "%s is held and the job is closed"
		}
		out = append(out, store.Say(kind, text, named1(v, p.Bag.Part, p.N)).Of(p.Bag.Code))
	}
	for _, w := range got(v, v.WantsFor, j.Code) {
		if w.Met != 0 {
			continue
		}
		text := fmt.Sprintf("%s is wanted since %s", named1(v, w.Part, 0), w.Date)
		if bag := waitOver(v, w); bag != "" {
			text += "; the wait is over: " + bag
		}
		out = append(out, store.Say(Waits, "%s", text).Of(w.Part))
	}
	for _, o := range got(v, v.OldOf, j.Code) {
		if o.Open() {
			out = append(out, oldToDo(v, o))
		}
	}
	for _, l := range n.Lent {
		thing := string(l.Donor)
		if l.Bag != "" {
			thing = fmt.Sprintf("%s (%s)", l.Bag, named1(v, l.Part, l.Quantity))
		}
		out = append(out, store.Say(HandBack, "give %s back to %s: it was lent", thing, j.Owner).Of(cmp.Or(l.Bag, l.Donor)))
	}
	return out
}

// waitsOver lists the open wants, for no job that is closed, of which a bag of the
// workshop's own has a piece free that may go in as it is.
func waitsOver(v *reader) (out []Wait) {
	for w := range each(v, v.EachWant) {
		if w.Met == 0 {
			out = append(out, Wait{Want: w})
		}
	}
	var parts tags
	order := make([]code.Ranked, len(out)) // as what is asked for lies in the file
	for i := range order {
		order[i] = code.Ranked{By: tagged(&parts, out[i].Want.Part), At: int32(i)}
	}
	code.Rank(order)
	fit := v.PartsToFit()
	for _, x := range order {
		w := &out[x.At]
		w.Bag = waitOverFor(v, w.Want, fit)
	}
	return slices.DeleteFunc(out, func(w Wait) bool { return w.Bag == "" })
}
