package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/odds"
	"tinful/store/thread"
	"tinful/store/ways"
	"tinful/store/words"
)

// Kinds of reasons of [Need], beside those of find.
const (
	WhyGoes     store.ReasonKind = "goes"
	WhyProof    store.ReasonKind = "proof"
	WhySibling  store.ReasonKind = "sibling"
	WhyNear     store.ReasonKind = "near"
	WhyUntried  store.ReasonKind = "untried"
	WhyKnownFor store.ReasonKind = "known-for"
	WhyHeld     store.ReasonKind = "held"
	WhyLent     store.ReasonKind = "lent"
	WhyOwner    store.ReasonKind = "owner"
	WhyLooks    store.ReasonKind = "looks"
	WhyNote     store.ReasonKind = "note"
	WhyPattern  store.ReasonKind = "pattern"
	WhyScrap    store.ReasonKind = "scrap"
	WhySeen     store.ReasonKind = "seen"
	WhyCamera   store.ReasonKind = "camera"
	WhyHistory  store.ReasonKind = "history"
	WhyOpening  store.ReasonKind = "opening"
	WhyUnit     store.ReasonKind = "unit"
	WhyWire     store.ReasonKind = "wire"
	NoSource    store.ReasonKind = "no-source"
	Instead     store.ReasonKind = "instead"
	LooksAlike  store.ReasonKind = "looks-alike"
)

// A Request is what [Need] is asked. Without a model it is asked where the part is.
type Request struct {
	Part   code.Code
	Camera store.Camera
	Job    code.Code // for which it is wanted, "" for none
	Owner  string    // of the job's camera, "" for none
}

// Needed is the answer of [Need]: every way to get a part into a camera.
type Needed struct {
	Part     code.Code     `json:"part"`
	Name     string        `json:"name"`
	Model    code.Code     `json:"model,omitempty"`
	Goes     string        `json:"goes,omitempty"` // what is known of the part and the camera
	Ways     []Way         `json:"ways"`
	WhyNot   store.Reasons `json:"why_not"` // what is no way as things stand, and why: pieces held, lent, of others
	Traps    store.Reasons `json:"traps"`
	Cautions []string      `json:"cautions,omitempty"`
	Wanted   bool          `json:"wanted"`          // set by the caller when it noted the want
	Tells    string        `json:"tells,omitempty"` // its hand and thread, in words

	usable bool // something is recorded that lets it go in
}

// MarshalJSON writes the answer with the kinds of its reasons beside them.
func (n Needed) MarshalJSON() ([]byte, error) {
	type plain Needed
	return store.JSON(struct {
		plain
		WhyNotKind []store.ReasonKind `json:"why_not_kind"`
		TrapsKind  []store.ReasonKind `json:"traps_kind"`
	}{plain(n), store.ReasonKinds(n.WhyNot), store.ReasonKinds(n.Traps)})
}

// Found tells whether a way leads to a piece that is here and known to go in: how
// to make one is none, and what only measures alike is none yet.
func (n Needed) Found() bool {
	return slices.ContainsFunc(n.Ways, func(w Way) bool { return w.Way != "make" && w.Way != "near" })
}

// ToWant tells whether the part is worth a want: it may go in, and is not found.
func (n Needed) ToWant() bool { return n.usable && !n.Found() }

// A Way is one way to get the part, with its reasons.
type Way struct {
	Way    string    `json:"way"`  // bag, sibling, near, donor, unit, sheet or make
	Rank   int       `json:"rank"` // from 1
	Bag    code.Code `json:"bag,omitempty"`
	Part   code.Code `json:"part,omitempty"` // what is taken: the part, its sibling, or the unit
	Donor  code.Code `json:"donor,omitempty"`
	Degree string    `json:"degree,omitempty"`
	Place  code.Code `json:"place,omitempty"`
	Grade  string    `json:"grade,omitempty"`
	Free   int64     `json:"free"`           // pieces that may be taken; of a donor, those it should still hold
	Unit   string    `json:"-"`              // of these, mm where they are sold by length
	Work   string    `json:"work,omitempty"` // what must be done to it
	// Of a donor: how likely it holds the part, and what opening it costs.
	Chance  *odds.Chance  `json:"chance,omitempty"`
	Opening *code.Cents   `json:"opening_cents,omitempty"`
	Why     store.Reasons `json:"why"`
	Tells   string        `json:"tells,omitempty"`      // the hand and thread of what is taken
	Left    string        `json:"left_hand,omitempty"`  // LEFT-HAND, loosens clockwise: of its thread
	Look    bool          `json:"look_first,omitempty"` // the degree depends on what the camera carries, or on its number
}

// MarshalJSON writes the way with the kinds of its reasons beside them.
func (w Way) MarshalJSON() ([]byte, error) {
	type plain Way
	return store.JSON(struct {
		plain
		WhyKind []store.ReasonKind `json:"why_kind"`
	}{plain(w), store.ReasonKinds(w.Why)})
}

// A fit is what all verdicts on a part and a camera come to.
type fit struct {
	usable  bool     // there is a way in
	never   bool     // it must not go in, in none of the cases
	cond    bool     // it depends on what the camera carries, or on its number
	degrees []string // of the best usable verdict
	work    string   // what that one says must be done
	proof   string   // the evidence for that, in words
	words   string   // all verdicts, as people read them
}

func fits(v *reader, p store.Part, cam store.Camera) fit {
	var out fit
	var said []string
	all := got2(v, v.Verdicts, p, cam)
	for _, d := range all {
		out.never = out.never || d.Never()
		if !slices.Contains(said, d.Words()) {
			said = append(said, d.Words())
		}
	}
	out.words = strings.Join(said, "; ")
	if best := bestOf(all); best != nil {
		out.usable, out.never, out.cond, out.degrees, out.work, out.proof = true, false, best.Doubt() == store.LookFirst, best.Degrees, best.Goes.Operation, proof(best.Goes)
	}
	return out
}

// bestOf is the best of some verdicts that let a part go in, nil for none.
func bestOf(all []store.Verdict) (best *store.Verdict) {
	for i, d := range all {
		if d.Usable() && (best == nil || ways.Degree(d.Degrees) < ways.Degree(best.Degrees)) {
			best = &all[i]
		}
	}
	return best
}

// goesAsItIs tells whether a part goes into a camera for certain and without work.
func goesAsItIs(v *reader, p store.Part, cam store.Camera) bool {
	said := got2(v, v.Stated, p.Code, cam)
	if len(said) == 0 {
		said = got2(v, v.Verdicts, p, cam)
	}
	best := bestOf(said)
	return best != nil && best.Doubt() != store.LookFirst &&
		!slices.ContainsFunc(best.Degrees, func(d string) bool { return d != "direct" && d != "looks-wrong" && d != "unit" })
}

// proof says how a statement is known: "compared in W2-B by H, 2031-03-01".
func proof(g store.Goes) string {
	if g.Evidence == "" {
		return ""
	}
	return filled("known by "+g.Evidence+prefixed(" for ", string(g.Model)), g.By, g.Date.String())
}

// Need lists every way to get a part into a camera, best first, and what to beware
// of. What is set aside for the job comes first. What is a customer's is offered
// only for a job of the same owner, what is held for none. It returns
// [store.ErrNotFound] for a part or model that is not here.
func Need(v *store.View, q Request) (Needed, error) {
	n := &needer{v: read(v), cam: q.Camera, job: q.Job, owner: q.Owner}
	n.p = n.v.part(q.Part)
	n.out = Needed{Part: n.p.Code, Name: n.p.Name, Tells: HandAndThread(n.p), Model: n.cam.Model, Ways: []Way{}}
	for _, step := range []func(){n.verdict, n.bags, n.siblings, n.near, n.donors, n.units, n.sheets, n.make, n.rank, n.elsewhere, n.twins, n.misfits, n.alike} {
		if step(); n.v.err != nil {
			return n.out, n.v.err
		}
	}
	for _, c := range append(Cautions(n.p, n.model), ModelCautions(n.model)...) {
		if !slices.Contains(n.out.Cautions, c) {
			n.out.Cautions = append(n.out.Cautions, c)
		}
	}
	return n.out, nil
}

// rank puts the ways in order.
func (n *needer) rank() {
	for i, at := range ways.Rank(n.cands) {
		w := n.list[at]
		w.Rank = i + 1
		n.out.Ways = append(n.out.Ways, w)
	}
}

// Suited leaves of a choice between parts those that go into a camera, and says of
// the others why they are left out. Where none goes in, or without a model, all are
// left.
func Suited(v *store.View, e *store.ChoiceError, cam store.Camera) (left store.Reasons, err error) {
	if cam.Model == "" {
		return nil, nil
	}
	r := read(v)
	var may []store.Choice
	for _, row := range e.Rows {
		f := fits(r, row.Part, cam)
		if f.usable {
			may = append(may, row)
			continue
		}
		left = append(left, store.Say(LeftOut, "%s %s is left out for %s: %s", row.Part.Code, row.Part.Name, cam.Model, f.words).Of(row.Part.Code))
	}
	if r.err != nil || len(may) == 0 {
		return nil, r.err
	}
	e.Rows = may
	return left, nil
}

// HandAndThread is what tells a part on a line that names it: the hand of a spring,
// the thread of a screw, and LEFT-HAND where it loosens clockwise.
func HandAndThread(p store.Part) string {
	tells := store.LeftHand(p)
	if h := p.Marks[dim.Hand]; tells == "" && h != "" {
		tells = h + "-hand"
	}
	return filled(tells, p.Marks[dim.Thread])
}

type needer struct {
	v      *reader
	p      store.Part
	cam    store.Camera
	model  store.Model
	job    code.Code
	owner  string
	fit    fit
	counts string // the unit of its bags
	cands  []ways.Candidate
	list   []Way // beside cands
	out    Needed
}

func (n *needer) trap(r store.Reason) {
	if !slices.ContainsFunc(n.out.Traps, func(o store.Reason) bool { return o.Text == r.Text }) {
		n.out.Traps = append(n.out.Traps, r)
	}
}

// never is the trap that a part must not go into the camera; how is what else it is
// known as.
func (n *needer) never(p store.Part, how, why string) {
	n.trap(store.Say(NeverGoes, "%s%s does not go into %s: %s", p.Code, how, n.cam.Model, why).Of(p.Code))
}

func (n *needer) whyNot(kind store.ReasonKind, format string, c code.Code, args ...any) {
	n.out.WhyNot = append(n.out.WhyNot, store.Say(kind, format, append([]any{c}, args...)...).Of(c))
}

func (n *needer) add(c ways.Candidate, w Way) {
	w.Way, w.Degree, w.Grade, w.Free, w.Look = c.Kind.String(), strings.Join(c.Degrees, ";"), c.Grade, c.Free, c.If
	if c.Grade == "pattern" {
		w.Way = ways.Make.String()
		w.Why = append(store.Reasons{store.Say(WhyPattern, "pattern: only to copy, not to fit")}, w.Why...)
	}
	n.cands, n.list = append(n.cands, c), append(n.list, w)
}

// verdict finds what is known of the part and the camera.
func (n *needer) verdict() {
	if n.cam.Model == "" {
		n.fit, n.out.usable = fit{usable: true}, true
		return
	}
	n.model = n.v.model(n.cam.Model)
	n.fit = fits(n.v, n.p, n.cam)
	n.out.Goes, n.out.usable = n.fit.words, n.fit.usable
	switch {
	case n.fit.never:
		n.never(n.p, " "+n.p.Name, n.fit.words)
	case !n.fit.usable:
		n.trap(store.Say(store.NothingRecorded, "nothing is recorded about %s in %s: compare and measure before it is fitted", n.p.Code, n.cam.Model).Of(n.p.Code))
	}
	if text := numberTrap(n.v, n.cam.BodyNo, n.model); text != "" {
		n.trap(store.Say(BodyNumber, "%s", text).Of(n.model.Code))
	}
}

// bags adds the part's bags that may be taken.
func (n *needer) bags() {
	if n.fit.usable {
		n.bagsOf(n.p, ways.Bag, n.fit, nil)
	}
}

func (n *needer) bagsOf(p store.Part, kind ways.Kind, ft fit, why store.Reasons) {
	for _, c := range n.v.BagsOf(p.Code) {
		b, s := n.v.bag(c), n.v.state(c)
		if p.Code == n.p.Code {
			n.counts = b.Unit
		}
		held, use := s.HeldForJob(n.job), store.Use{Owner: n.owner, Job: n.job, Worn: true}
		if use.Free(s) <= 0 || n.v.MayTake(b, s, use) != nil {
			continue
		}
		said := slices.Clone(why)
		if held > 0 {
			said = append(said, store.Say(WhyHeld, "%d held for this job", held).Of(n.job))
		}
		said = append(append(said, n.reasons(ft, b, s)...), n.incomplete(p, b)...)
		n.add(ways.Candidate{Kind: kind, Degrees: ft.degrees, If: ft.cond, Grade: s.Grade, Free: s.Free() + held, Code: string(c), Held: held > 0},
			Way{Bag: c, Part: p.Code, Tells: HandAndThread(p), Left: store.LeftHand(p), Place: s.Place, Work: ft.work, Why: said, Unit: b.Unit})
	}
}

// incomplete says what a unit in a bag lacks, as a trap as well.
func (n *needer) incomplete(u store.Part, b store.Bag) store.Reasons {
	if gone := got(n.v, n.v.UnitLacks, b); len(gone) > 0 {
		n.trap(store.Say(store.Incomplete, "%s in %s cannot be complete: %s gave %s as well", u.Code, b.Code, b.Origin, store.GoneWords(gone)).Of(u.Code, b.Code))
	}
	return got(n.v, n.v.UnitDoubt, b)
}

// A whys gathers reasons about one thing, with what is not said left out.
type whys struct {
	of   code.Code
	list store.Reasons
}

func (w *whys) say(kind store.ReasonKind, text string) {
	if text != "" {
		w.list = append(w.list, store.Reason{Kind: kind, Codes: []code.Code{w.of}, Text: text})
	}
}

// reasons says why a bag will do, and what of it to know.
func (n *needer) reasons(ft fit, b store.Bag, s store.State) store.Reasons {
	why := whys{of: b.Code}
	if n.cam.Model != "" {
		why.say(WhyGoes, ft.words)
	}
	why.say(WhyProof, ft.proof)
	why.say(WhyOwner, belongsTo(b.Owner))
	if s.Grade == "unknown" {
		why.say(store.GradeUnknown, "not inspected, or cannot be judged loose")
	}
	why.say(WhyLooks, b.Looks)
	why.say(WhyNote, b.Note)
	return why.list
}

// belongsTo says whose a thing is that is offered, empty for the workshop's own.
func belongsTo(owner string) string {
	if owner == store.Own {
		return ""
	}
	return "belongs to " + owner + ": for this owner's camera only"
}

// siblings adds the bags of parts of the same name, class and seat that go in, and
// names those that do not.
func (n *needer) siblings() {
	if n.cam.Model == "" {
		return
	}
	for _, c := range n.v.PartsNamed(words.Fold(n.p.Name)) {
		p := n.v.part(c)
		if c == n.p.Code || !n.sibling(p) {
			continue
		}
		ft := fits(n.v, p, n.cam)
		if ft.never {
			n.trap(store.Say(NeverGoes, "%s has the same name and does not go into %s: %s", c, n.cam.Model, ft.words).Of(c))
		}
		if ft.usable {
			n.bagsOf(p, ways.Sibling, ft, store.Reasons{store.Say(WhySibling, "%s has the same name and goes in", c).Of(c)})
		}
	}
}

// sibling tells whether a part is of the same name, class and seat as the one asked
// for.
func (n *needer) sibling(p store.Part) bool {
	return p.Class == n.p.Class && p.Seat == n.p.Seat && words.Fold(p.Name) == words.Fold(n.p.Name)
}

// donors adds the parts cameras that should still hold the part.
func (n *needer) donors() {
	if !n.fit.usable {
		return
	}
	list, lacks := newLooking(n.v).holders(n.p, n.owner)
	for _, h := range list {
		opening := openingCost(h.donor)
		n.add(ways.Candidate{Kind: ways.Donor, Degrees: n.fit.degrees, If: n.fit.cond, Grade: h.grade(), Seen: h.seen,
			Opening: float64(opening) / max(h.chance.Mid, 0.001), Meddled: h.donor.History == "meddled", Free: h.left, Code: string(h.donor.Code)},
			Way{Donor: h.donor.Code, Part: n.p.Code, Tells: n.out.Tells, Left: store.LeftHand(n.p), Place: h.donor.Place, Work: n.fit.work, Chance: &h.chance, Opening: &opening, Why: n.donorWhy(h), Unit: n.counts})
	}
	for _, l := range lacks {
		n.trap(store.Say(NoSource, "%s is no source: %s", l.Donor, l.Seen).Of(l.Donor))
	}
}

func (n *needer) donorWhy(h holder) store.Reasons {
	why := whys{of: h.donor.Code}
	why.say(WhySeen, h.why)
	why.say(WhyCamera, "donor "+string(h.donor.Model)+", "+cmp.Or(h.donor.State, "state unknown"))
	if h.donor.History != "" {
		why.say(WhyHistory, "history "+h.donor.History)
	}
	why.say(WhyOpening, h.opening())
	why.say(WhyOwner, belongsTo(h.donor.Owner))
	if n.cam.Model != "" {
		why.say(WhyGoes, n.fit.words)
	}
	return why.list
}

// units adds the units that contain the part and lie here.
func (n *needer) units() {
	if !n.fit.usable {
		return
	}
	for _, c := range n.v.UnitsWith(n.p.Code) {
		u := n.v.part(c)
		for _, bag := range n.v.BagsOf(c) {
			n.unit(u, bag)
		}
	}
}

func (n *needer) unit(u store.Part, bag code.Code) {
	b, s := n.v.bag(bag), n.v.state(bag)
	if s.Free() <= 0 || !store.MayHave(b.Owner, n.owner) {
		return
	}
	n.incomplete(u, b)
	if slices.ContainsFunc(got(n.v, n.v.UnitLacks, b), func(g store.Gone) bool { return g.Part == n.p.Code }) {
		return
	}
	why := store.Reasons{store.Say(WhyUnit, "%s %s contains it: taking it out breaks up the unit", u.Code, u.Name).Of(u.Code)}
	n.add(ways.Candidate{Kind: ways.Unit, Degrees: n.fit.degrees, If: n.fit.cond, Grade: s.Grade, Free: s.Free(), Code: string(bag)},
		Way{Bag: bag, Part: u.Code, Tells: HandAndThread(u), Place: s.Place, Work: n.fit.work, Why: append(why, n.reasons(n.fit, b, s)...)})
}

// elsewhere names the pieces that are set aside for other jobs, or lent; where no
// way is found, also what is scrap or somebody else's, and what was done instead
// when it was missing before.
func (n *needer) elsewhere() {
	for _, c := range n.v.BagsOf(n.p.Code) {
		b, s := n.v.bag(c), n.v.state(c)
		for _, o := range s.HeldFor {
			if code.Code(o.Who) != n.job {
				n.whyNot(WhyHeld, "%s: %s held for job %s", c, store.Amount(o.N, b.Unit, false), o.Who)
			}
		}
		for _, o := range s.LentTo {
			n.whyNot(WhyLent, "%s: %s lent to %s", c, store.Amount(o.N, b.Unit, false), o.Who)
		}
		switch {
		case n.out.Found() || s.Free() <= 0:
		case !store.MayHave(b.Owner, n.owner):
			n.whyNot(WhyOwner, "%s %s", c, whose(b.Owner))
		case s.Grade == "scrap":
			n.whyNot(WhyScrap, "%s is scrap", c)
		}
	}
	if !n.out.Found() && n.fit.usable {
		n.others()
		n.instead()
	}
}

// whose says why a thing of somebody else is not to be taken.
func whose(owner string) string {
	if owner == store.OwnerHeld {
		return "is an uncollected repair whose notice runs"
	}
	return "is " + owner + "'s"
}

// others names the parts cameras of others that may hold the part.
func (n *needer) others() {
	all := newLooking(n.v).sources(n.p, func(d *store.Donor) bool { return !emptied(d.State) && !store.MayHave(d.Owner, n.owner) })
	slices.SortFunc(all, func(a, b source) int { return cmp.Compare(a.donor.Code, b.donor.Code) })
	for _, s := range all {
		n.whyNot(WhyOwner, "%s %s", s.donor.Code, whose(s.donor.Owner))
	}
}

// instead says what was done the last times the part was missing.
func (n *needer) instead() {
	for _, w := range got(n.v, n.v.WantsOf, n.p.Code) {
		if w.Instead != "" {
			n.out.WhyNot = append(n.out.WhyNot, store.Say(Instead, "done instead on %s%s: %s", w.Met, forWhom(w), w.Instead).Of(w.Job))
		}
	}
}

// forWhom is for which job or model a want is, in words.
func forWhom(w store.Want) string {
	return prefixed(" for ", strings.TrimSpace(prefixed("job ", string(w.Job))+" "+string(w.Model)))
}

// twins names the part of the other hand.
func (n *needer) twins() {
	for _, c := range twinsOf(n.v, n.p) {
		t, err := n.v.Part(c)
		if err != nil {
			continue // a twin that is named and not recorded
		}
		n.trap(twinTrap(t))
		if n.cam.Model == "" || n.sibling(t) {
			continue // among the parts of one name it is said already
		}
		if ft := fits(n.v, t, n.cam); ft.never {
			n.never(t, " "+t.Name, ft.words)
		}
	}
}

// misfits names the models of the camera's family into which the part is known
// not to go.
func (n *needer) misfits() {
	kin := n.v.Family(words.Fold(n.model.Family))
	for _, g := range got(n.v, n.v.GoesOf, n.p.Code) {
		if g.Model == n.cam.Model || n.cam.Model != "" && (n.model.Family == "" || !slices.Contains(kin, g.Model)) {
			continue
		}
		if d := (store.Verdict{Degrees: g.Degrees, Goes: g, Reason: g.Note}); d.Never() {
			n.trap(store.Say(NeverGoes, "%s does not go into %s: %s", n.p.Code, g.Model, d.Words()).Of(n.p.Code, g.Model))
		}
	}
}

// alike names the parts whose thread is easily taken for this one.
func (n *needer) alike() {
	t, err := thread.Parse(n.p.Marks[dim.Thread])
	if err != nil {
		return
	}
	by := map[string][]code.Code{}
	n.v.keep(n.v.Measured(fieldMajor, t.Major-nearMajor, t.Major+nearMajor, func(m store.Measured) error {
		o := n.v.part(m.Part())
		if other, err := thread.Parse(o.Marks[dim.Thread]); err == nil && thread.LookAlike(t, other) {
			by[other.String()] = append(by[other.String()], o.Code)
		}
		return nil
	}))
	var out store.Reasons
	for cell, codes := range by {
		slices.Sort(codes)
		text := words.List(codes[:min(len(codes), named)], ", ")
		if more := len(codes) - named; more > 0 {
			text += fmt.Sprintf(", %d more", more)
		}
		out = append(out, store.Say(LooksAlike, "%s reads the same and is another thread: %s", cell, text).Of(codes...))
	}
	n.out.Traps = append(n.out.Traps, ordered(out)...)
}

// named is how many parts of a thread that looks alike are named.
const named = 5
