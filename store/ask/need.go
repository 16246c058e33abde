package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/ways"
	"tinful/store/words"
)

// Needed is the answer of [Need]: every way to get a part into a camera.
type Needed struct {
	Part     code.Code `json:"part"`
	Name     string    `json:"name"`
	Model    code.Code `json:"model,omitempty"`
	Goes     string    `json:"goes,omitempty"` // what is known of the part and the camera
	Ways     []Way     `json:"ways"`
	Traps    []string  `json:"traps"`
	Cautions []string  `json:"cautions,omitempty"`
	Wanted   bool      `json:"wanted"` // set by the caller when it noted the want
}

// A Way is one way to get the part, with its reasons.
type Way struct {
	Way    string    `json:"way"`  // bag, sibling, near, donor, unit or make
	Rank   int       `json:"rank"` // from 1
	Bag    code.Code `json:"bag,omitempty"`
	Part   code.Code `json:"part,omitempty"` // what is taken: the part, its sibling, or the unit
	Donor  code.Code `json:"donor,omitempty"`
	Degree string    `json:"degree,omitempty"`
	Place  code.Code `json:"place,omitempty"`
	Grade  string    `json:"grade,omitempty"`
	Free   int64     `json:"free"` // pieces that may be taken; of a donor, those it should still hold
	// Of a donor: how likely it holds the part, and what opening it costs.
	Chance  *Chance     `json:"chance,omitempty"`
	Opening *code.Cents `json:"opening_cents,omitempty"`
	Why     []string    `json:"why"`
}

// A fit is what all verdicts on a part and a camera come to.
type fit struct {
	usable  bool     // there is a way in
	never   bool     // it must not go in, in none of the cases
	cond    bool     // it depends on what the camera carries
	degrees []string // of the best usable verdict
	proof   string   // the evidence for that, in words
	words   string   // all verdicts, as people read them
}

func fits(v *store.View, p store.Part, cam store.Camera) (fit, error) {
	all, err := v.Verdicts(p, cam)
	if err != nil {
		return fit{}, err
	}
	var out fit
	var said []string
	best := -1
	for i, d := range all {
		out.never = out.never || d.Never()
		if !slices.Contains(said, d.Words()) {
			said = append(said, d.Words())
		}
		if d.Usable() && (best < 0 || ways.Degree(d.Degrees) < ways.Degree(all[best].Degrees)) {
			best = i
		}
	}
	out.words = strings.Join(said, "; ")
	if best >= 0 {
		d := all[best]
		out.usable, out.never, out.cond, out.degrees, out.proof = true, false, d.If != "", d.Degrees, proof(d.Goes)
	}
	return out, nil
}

// proof says how a statement is known: "compared in W2-B by H, 2031-03-01".
func proof(g store.Goes) string {
	if g.Evidence == "" {
		return ""
	}
	s := "known by " + g.Evidence
	if g.Model != "" {
		s += " for " + string(g.Model)
	}
	if g.By != "" {
		s += ", " + g.By
	}
	if g.Date != 0 {
		s += ", " + g.Date.String()
	}
	return s
}

// Need lists every way to get a part into a camera, best first, and what to
// beware of. Without a model it lists where the part is. owner is the owner of
// the job's camera, "" for none: what is a customer's is offered only for a job
// of the same owner, what is held for none. It returns [store.ErrNotFound] for
// a part or model that is not here.
func Need(v *store.View, part code.Code, cam store.Camera, owner string) (Needed, error) {
	n := &needer{v: v, cam: cam, owner: owner}
	p, err := v.Part(part)
	if err != nil {
		return n.out, err
	}
	n.p = p
	n.out = Needed{Part: p.Code, Name: p.Name, Model: cam.Model, Ways: []Way{}, Traps: []string{}}
	for _, step := range []func() error{n.verdict, n.bags, n.siblings, n.near, n.donors, n.units, n.make, n.twins, n.misfits, n.alike} {
		if err := step(); err != nil {
			return n.out, err
		}
	}
	for i, at := range ways.Rank(n.cands) {
		w := n.list[at]
		w.Rank = i + 1
		n.out.Ways = append(n.out.Ways, w)
	}
	for _, c := range Cautions(p, n.model) {
		if !slices.Contains(n.out.Cautions, c) {
			n.out.Cautions = append(n.out.Cautions, c)
		}
	}
	return n.out, nil
}

type needer struct {
	v     *store.View
	p     store.Part
	cam   store.Camera
	model store.Model
	owner string
	fit   fit
	cands []ways.Candidate
	list  []Way // beside cands
	out   Needed
}

func (n *needer) trap(format string, args ...any) {
	if s := fmt.Sprintf(format, args...); !slices.Contains(n.out.Traps, s) {
		n.out.Traps = append(n.out.Traps, s)
	}
}

func (n *needer) add(c ways.Candidate, w Way) {
	w.Way, w.Degree, w.Grade, w.Free = c.Kind.String(), strings.Join(c.Degrees, ";"), c.Grade, c.Free
	if c.Grade == "pattern" {
		w.Way = ways.Make.String()
		w.Why = append([]string{"pattern: only to copy, not to fit"}, w.Why...)
	}
	if w.Why == nil {
		w.Why = []string{}
	}
	n.cands, n.list = append(n.cands, c), append(n.list, w)
}

// verdict finds what is known of the part and the camera.
func (n *needer) verdict() error {
	if n.cam.Model == "" {
		n.fit = fit{usable: true}
		return nil
	}
	var err error
	if n.model, err = n.v.Model(n.cam.Model); err != nil {
		return err
	}
	if n.fit, err = fits(n.v, n.p, n.cam); err != nil {
		return err
	}
	n.out.Goes = n.fit.words
	switch {
	case n.fit.never:
		n.trap("%s %s does not go into %s: %s", n.p.Code, n.p.Name, n.cam.Model, n.fit.words)
	case !n.fit.usable:
		n.trap("nothing is recorded about %s in %s: compare and measure before it is fitted", n.p.Code, n.cam.Model)
	}
	return nil
}

// mine says whether a thing of an owner may be taken for the job.
func mine(of, owner string) bool {
	return of == store.Own || of != "" && of != store.OwnerHeld && of == owner
}

// bags adds the part's bags that may be taken.
func (n *needer) bags() error {
	if n.fit.usable {
		return n.bagsOf(n.p, ways.Bag, n.fit, nil)
	}
	return nil
}

func (n *needer) bagsOf(p store.Part, kind ways.Kind, ft fit, why []string) error {
	for _, c := range n.v.BagsOf(p.Code) {
		s, err := n.v.State(c)
		if err != nil {
			return err
		}
		if s.Free() <= 0 {
			continue
		}
		b, err := n.v.Bag(c)
		if err != nil {
			return err
		}
		if !mine(b.Owner, n.owner) {
			continue
		}
		if err := n.incomplete(p, b); err != nil {
			return err
		}
		n.add(ways.Candidate{Kind: kind, Degrees: ft.degrees, If: ft.cond, Grade: s.Grade, Free: s.Free(), Code: string(c)},
			Way{Bag: c, Part: p.Code, Place: s.Place, Why: append(slices.Clone(why), n.reasons(ft, b, s)...)})
	}
	return nil
}

// incomplete warns of a unit whose donor gave what it holds as well.
func (n *needer) incomplete(u store.Part, b store.Bag) error {
	for _, held := range u.Holds {
		if _, err := n.alsoGave(u, b, held); err != nil {
			return err
		}
	}
	return nil
}

// alsoGave says, as a trap, that the donor of a unit gave a part of the unit
// by itself.
func (n *needer) alsoGave(u store.Part, b store.Bag, held code.Code) (bool, error) {
	if _, err := n.v.Donor(code.Code(b.Origin)); err != nil {
		return false, nil // bought, made or unknown
	}
	taken, err := takenFrom(n.v, held)
	if taken[b.Origin] > 0 {
		n.trap("%s in %s cannot be complete: %s gave a %s as well", u.Code, b.Code, b.Origin, held)
	}
	return taken[b.Origin] > 0, err
}

// reasons says why a bag will do, and what of it to know.
func (n *needer) reasons(ft fit, b store.Bag, s store.State) []string {
	var why []string
	if n.cam.Model != "" {
		why = append(why, ft.words)
	}
	if ft.proof != "" {
		why = append(why, ft.proof)
	}
	if b.Owner != store.Own {
		why = append(why, "belongs to "+b.Owner+": for this owner's camera only")
	}
	if s.Grade == "unknown" {
		why = append(why, "not inspected, or cannot be judged loose")
	}
	for _, w := range []string{b.Looks, b.Note} {
		if w != "" {
			why = append(why, w)
		}
	}
	return why
}

// siblings adds the bags of parts of the same name and class that go in, and
// names those that do not.
func (n *needer) siblings() error {
	if n.cam.Model == "" {
		return nil
	}
	for _, c := range n.v.PartsNamed(words.Fold(n.p.Name)) {
		if c == n.p.Code {
			continue
		}
		p, err := n.v.Part(c)
		if err != nil {
			return err
		}
		if p.Class != n.p.Class {
			continue
		}
		ft, err := fits(n.v, p, n.cam)
		if err != nil {
			return err
		}
		if ft.never {
			n.trap("%s has the same name and does not go into %s: %s", c, n.cam.Model, ft.words)
		}
		if ft.usable {
			if err := n.bagsOf(p, ways.Sibling, ft, []string{string(c) + " has the same name and goes in"}); err != nil {
				return err
			}
		}
	}
	return nil
}

// donors adds the parts cameras that should still hold the part.
func (n *needer) donors() error {
	if !n.fit.usable {
		return nil
	}
	list, lacks, err := newLooking(n.v).holders(n.p, n.owner)
	if err != nil {
		return err
	}
	for _, h := range list {
		opening := openingCost(h.donor)
		n.add(ways.Candidate{Kind: ways.Donor, Degrees: n.fit.degrees, If: n.fit.cond, Grade: h.grade(), Seen: h.seen,
			Opening: float64(opening) / max(h.chance.Mid, 0.001), Meddled: h.donor.History == "meddled", Free: h.left, Code: string(h.donor.Code)},
			Way{Donor: h.donor.Code, Part: n.p.Code, Place: h.donor.Place, Chance: &h.chance, Opening: &opening, Why: n.donorWhy(h)})
	}
	for _, l := range lacks {
		n.trap("%s is no source: %s", l.Donor, l.Seen)
	}
	return nil
}

func (n *needer) donorWhy(h holder) []string {
	why := []string{h.why, "donor " + string(h.donor.Model) + ", " + cmp.Or(h.donor.State, "state unknown")}
	if h.donor.History != "" {
		why = append(why, "history "+h.donor.History)
	}
	why = append(why, h.opening())
	if h.donor.Owner != store.Own {
		why = append(why, "belongs to "+h.donor.Owner+": for this owner's camera only")
	}
	if n.cam.Model != "" {
		why = append(why, n.fit.words)
	}
	return slices.DeleteFunc(why, func(s string) bool { return s == "" })
}

// units adds the units that contain the part and lie here.
func (n *needer) units() error {
	if !n.fit.usable {
		return nil
	}
	for _, c := range n.v.UnitsWith(n.p.Code) {
		u, err := n.v.Part(c)
		if err != nil {
			return err
		}
		for _, bag := range n.v.BagsOf(c) {
			if err := n.unit(u, bag); err != nil {
				return err
			}
		}
	}
	return nil
}

func (n *needer) unit(u store.Part, bag code.Code) error {
	s, err := n.v.State(bag)
	if err != nil || s.Free() <= 0 {
		return err
	}
	b, err := n.v.Bag(bag)
	if err != nil || !mine(b.Owner, n.owner) {
		return err
	}
	if gave, err := n.alsoGave(u, b, n.p.Code); gave || err != nil {
		return err
	}
	why := []string{fmt.Sprintf("%s %s contains it: taking it out breaks up the unit", u.Code, u.Name)}
	n.add(ways.Candidate{Kind: ways.Unit, Degrees: n.fit.degrees, If: n.fit.cond, Grade: s.Grade, Free: s.Free(), Code: string(bag)},
		Way{Bag: bag, Part: u.Code, Place: s.Place, Why: append(why, n.reasons(n.fit, b, s)...)})
	return nil
}

// twins names the part of the other hand.
func (n *needer) twins() error {
	for _, c := range twinsOf(n.v, n.p) {
		t, err := n.v.Part(c)
		if err != nil {
			continue // a twin that is named and not recorded
		}
		n.trap("%s %s is its opposite-hand twin: look at the hand", t.Code, t.Name)
		if n.cam.Model == "" || t.Class == n.p.Class && words.Fold(t.Name) == words.Fold(n.p.Name) {
			continue // among the parts of one name it is said already
		}
		ft, err := fits(n.v, t, n.cam)
		if err != nil {
			return err
		}
		if ft.never {
			n.trap("%s %s does not go into %s: %s", t.Code, t.Name, n.cam.Model, ft.words)
		}
	}
	return nil
}

// misfits names the models of the camera's family into which the part is known
// not to go.
func (n *needer) misfits() error {
	kin := n.v.Family(words.Fold(n.model.Family))
	said, err := n.v.GoesOf(n.p.Code)
	if err != nil {
		return err
	}
	for _, g := range said {
		if g.Model == n.cam.Model || n.cam.Model != "" && (n.model.Family == "" || !slices.Contains(kin, g.Model)) {
			continue
		}
		if d := (store.Verdict{Degrees: g.Degrees, Reason: g.Note}); d.Never() {
			n.trap("%s does not go into %s: %s", n.p.Code, g.Model, d.Words())
		}
	}
	return nil
}

// alike names the parts whose thread is easily taken for this one.
func (n *needer) alike() error {
	list, err := lookAlikes(n.v, n.p)
	n.out.Traps = append(n.out.Traps, list...)
	return err
}

// named is how many parts of a thread that looks alike are named.
const named = 5

func lookAlikes(v *store.View, p store.Part) ([]string, error) {
	t, err := thread.Parse(p.Marks[dim.Thread])
	if err != nil {
		return nil, nil
	}
	by := map[string][]string{}
	err = v.Measured(fieldMajor, t.Major-nearMajor, t.Major+nearMajor, func(m store.Measured) error {
		o, err := v.Part(m.Part())
		if err != nil {
			return err
		}
		if other, err := thread.Parse(o.Marks[dim.Thread]); err == nil && thread.LookAlike(t, other) {
			by[other.String()] = append(by[other.String()], string(o.Code))
		}
		return nil
	})
	var out []string
	for cell, codes := range by {
		slices.Sort(codes)
		if more := len(codes) - named; more > 0 {
			codes = append(codes[:named:named], fmt.Sprintf("%d more", more))
		}
		out = append(out, fmt.Sprintf("%s reads the same and is another thread: %s", cell, strings.Join(codes, ", ")))
	}
	slices.Sort(out)
	return out, err
}

// deference ends every caution.
const deference = "follow the safety sheet and your local rules"

// A caution is the usual wording for a hazard. Source: trade practice and
// published notices, as the workshop's reference for hazards collects them.
type caution struct{ hazard, text string }

// hazards lists the usual cautions by words of a part's hazard.
func hazards() []caution {
	return []caution{
		{"stored energy", "spring under tension: wear eye protection, let the spring down before the screw is removed, hold it with a stick of wood, note the turns"},
		{"tension", "spring under tension: wear eye protection, let the spring down before the screw is removed, hold it with a stick of wood, note the turns"},
		{"clock spring", "may fly or cut: open barrels inside a bag"},
		{"solvent", "highly flammable: ventilate, no flame or spark, gloves, used rags in a closed metal can"},
		{"chlorinated", "harmful vapour: do not use, hand in"},
		{"verdigris", "copper salts, somewhat poisonous: do not brush or sand dry, damp wipe, gloves, mask, wash hands"},
		{"lead", "lead: do not file or heat hard, collect filings wet, wash hands, no food at the bench"},
		{"selenium", "the element is of low toxicity, its compounds are dangerous: do not break, heat or grind, bag broken cells"},
		{"mercury", "mercury cell: do not open, gloves for corroded holders, hand in with button cells, kept apart"},
		{"thori", "slightly radioactive lens: do not grind, polish or break, mask and wet wipe for fragments, keep boxed"},
		{"radi", "radium dial: do not open"},
		{"flash", "capacitor may hold a charge after the cell is out: discharge and check before touching"},
		{"capacitor", "capacitor may hold a charge after the cell is out: discharge and check before touching"},
		{"celluloid", "burns fiercely, even without air: keep cool, vented and away from heat, do not seal; sour smell or stickiness means decay"},
		{"asbestos", "asbestos: do not disturb"},
		{"cadmium", "cadmium: do not grind or heat"},
		{"beryllium", "beryllium copper: do not grind or heat"},
		{"mould", "mould: mask"},
		{"foam", "old foam turns to sticky tar that creeps into mechanisms: mask"},
		{"magnet", "magnet: not near meters, blades, watches or pacemakers"},
	}
}

// Cautions lists the usual cautions for a part, each deferring to safety sheets
// and local rules. With a model, a part of a shutter with stored energy says to
// let that shutter down.
func Cautions(p store.Part, m store.Model) []string {
	var out []string
	add := func(text string) {
		if text += "; " + deference; !slices.Contains(out, text) {
			out = append(out, text)
		}
	}
	text := strings.ToLower(p.Hazard)
	if strings.Contains(text, "stored energy") && (p.Seat == "shutter" || m.Kind == "shutter") {
		add("stored energy: let the shutter down before it is opened")
	}
	for _, c := range hazards() {
		if strings.Contains(text, c.hazard) {
			add(c.text)
		}
	}
	if p.Class == "SPR-SPI" {
		add("may fly or cut: open barrels inside a bag")
	}
	if len(out) == 0 && text != "" {
		add(p.Hazard)
	}
	return out
}
