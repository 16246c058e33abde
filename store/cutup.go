package store

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store/code"
	"tinful/store/cost"
	"tinful/store/dim"
	"tinful/store/words"
)

// A CutUp is pieces of one bag of covering that are used up, and what arises from them.
type CutUp struct {
	Bag   code.Code
	N     int64     // pieces
	Job   code.Code // for whose camera, empty for none
	Model code.Code // for which model, where no job says it
	Why   string    // what spoilt them, where nothing arises; why it is cut though a rule is against it
	// Cost is what the pieces cost, nil where nobody knows: what arises bears it by area,
	// that of the waste too.
	Cost   *code.Cents
	Into   []CutPiece
	Anyway bool
}

// A CutPiece is a panel, several alike, or an offcut that arises. Lengths are
// micrometres.
type CutPiece struct {
	Part          code.Code // empty for what stays a piece of the sheet
	Width, Length int64
	N             int64
	Held          int64     // so many are set aside for the job
	Turned        bool      // by a quarter, across the grain
	Offcut        bool      // what is left: as the sheet is
	X, Y          int64     // where the lower left of an offcut lay on the sheet
	Place         code.Code // empty for where its sisters lie, else the sheet
}

// NotCut is the kind of a refusal: nothing on hand of the part was cut here.
const NotCut ReasonKind = "not-cut"

// CutUp books pieces of covering as used up and what arises from them as new bags, and
// returns their codes. It refuses what fitting them would refuse.
func (t *Tx) CutUp(k CutUp) ([]code.Code, error) {
	b, st, err := t.BagState(k.Bag)
	if err != nil {
		return nil, err
	}
	s, is, err := t.SheetOf(k.Bag)
	if err == nil && !is {
		err = refuse("%s is no covering", k.Bag)
	}
	use := Use{What: Cut, Job: k.Job, N: k.N, Worn: k.Anyway || len(k.Into) == 0}
	if k.Job != "" && err == nil {
		var j Job
		if j, err = t.Job(k.Job); err == nil && len(k.Into) > 0 && !k.Anyway {
			err = j.TakesPieces()
		}
		use.Owner = j.Owner
	}
	if len(k.Into) == 0 && k.Why == "" {
		err = cmp.Or(err, error(refuseAs(NoWhy, "what is spoilt needs a reason")))
	}
	if err := cmp.Or(err, positive(k.N), t.MayTake(b, st, use), s.holds(k)); err != nil {
		return nil, err
	}
	made, err := t.arising(k, b, st, s)
	if err != nil {
		return nil, err
	}
	return t.enterCut(k, b, st, made)
}

// holds refuses more than there is of a sheet, and a piece of a panel that would count as
// the panel.
func (s Sheet) holds(k CutUp) error {
	area := k.N * s.Width * s.Length
	for _, p := range k.Into {
		if s.Panel && p.Part == "" {
			return refuse("%s is a panel of a camera: what is cut from it is a part of its own, and %s is only a size", s.Bag, SizeWords(p.Width, p.Length))
		}
		area -= p.N * p.Width * p.Length
	}
	return unless(s.Width == 0 || s.Length == 0 || area >= 0, "%s is %s: more is cut from it than it has", s.Bag, SizeWords(s.Width, s.Length))
}

// arising are the bags that arise, with codes of their own.
func (t *Tx) arising(k CutUp, b Bag, st State, s Sheet) (made []Bag, err error) {
	areas := make([]int64, len(k.Into))
	for i, p := range k.Into {
		areas[i] = p.N * p.Width * p.Length
		n := s.offcut(p, b, st)
		if !p.Offcut {
			if n, err = t.panelFrom(p, b, s); err != nil {
				return nil, err
			}
			n.Place = cmp.Or(p.Place, n.Place, st.Place)
		}
		n.Cut, n.Owner, n.Unit, n.Quantity = b.Code, b.Owner, "pc", p.N
		if n.Code, err = t.OwnCode("bag", ""); err != nil {
			return nil, err
		}
		made = append(made, n)
	}
	if k.Cost != nil {
		for i, c := range cost.Proportional(int64(*k.Cost), areas) {
			share := code.Cents(c)
			made[i].Cost = &share
		}
	}
	return made, nil
}

// panelFrom is the bag of panels that are cut from a sheet. What is no part stays a
// piece of the sheet's own.
func (t *Tx) panelFrom(p CutPiece, b Bag, s Sheet) (Bag, error) {
	part, err := t.Part(cmp.Or(p.Part, s.Part))
	if err != nil {
		return Bag{}, err
	}
	if !words.Under(part.Class, Covering) {
		return Bag{}, refuse("%s %s is no covering", part.Code, part.Name)
	}
	if t.OpenWants(part.Code) > 0 {
		t.Say(Say(WasWanted, "%s was asked for and not found", part.Code).Of(part.Code))
	}
	sheet, err := t.Part(s.Part)
	if err != nil {
		return Bag{}, err
	}
	n := Bag{Part: part.Code, Origin: "made", Grade: "made", Material: string(b.Code) + " " + sheet.Name, Stretch: b.Stretch,
		Dims: map[dim.Field]int64{dim.Width: p.Width, dim.Length: p.Length}}
	if s.Thick != 0 {
		n.Dims[dim.Thick] = s.Thick - OutlineOf(part).Suits(s).Thin
	}
	if runs := acrossIf(s.Runs, p.Turned); runs != or(part.Runs, Sides[0]) {
		n.Runs = runs
	}
	n.Place, _, err = t.PlaceFor(part, n.Grade)
	return n, err
}

// acrossIf is the other side where a piece lies turned.
func acrossIf(runs string, turned bool) string {
	if !turned {
		return runs
	}
	return Sides[1-slices.Index(Sides, runs)]
}

// offcut is the bag of what is left of a sheet: as that is, with the flaws that lie on it.
func (s Sheet) offcut(p CutPiece, b Bag, st State) Bag {
	n := Bag{Part: b.Part, Origin: b.Origin, Grade: st.Grade, Looks: b.Looks, Place: st.Place, Runs: b.Runs, Stretch: b.Stretch,
		Dims: map[dim.Field]int64{dim.Width: p.Width, dim.Length: p.Length}}
	if own := OwnSize(Part{}, b, dim.Thick); own != 0 {
		n.Dims[dim.Thick] = own
	}
	for _, f := range s.Flaws {
		f.X, f.Y = f.X-p.X, f.Y-p.Y
		x1, y1, x2, y2 := f.Box()
		if x2 <= 0 || y2 <= 0 || x1 >= p.Width || y1 >= p.Length {
			continue
		}
		if x1 < 0 || y1 < 0 || x2 > p.Width || y2 > p.Length { // a part of it lies there
			x1, y1, x2, y2 = max(x1, 0), max(y1, 0), min(x2, p.Width), min(y2, p.Length)
			f = dim.Spot{Width: x2 - x1, Length: y2 - y1, X: x1, Y: y1}
		}
		n.Flaws = append(n.Flaws, f)
	}
	return n
}

// enterCut books the cut and the bags that arise.
func (t *Tx) enterCut(k CutUp, b Bag, st State, made []Bag) (codes []code.Code, err error) {
	for _, n := range made {
		codes = append(codes, n.Code)
	}
	held := min(st.HeldForJob(k.Job), k.N)
	if len(made) == 0 { // what is spoilt may be the spare
		held = min(held, max(0, k.N-st.Free()))
	}
	if held > 0 {
		if err := t.Enter(Entry{What: Unheld, Bag: b.Code, Quantity: held, Job: k.Job}); err != nil {
			return nil, err
		}
	}
	err = t.Enter(Entry{What: Cut, Bag: b.Code, Quantity: k.N, Job: k.Job, Model: k.Model, To: Arisen(codes), Why: k.Why})
	for i, n := range made {
		if err == nil {
			_, err = t.PutIn(n)
		}
		if held := k.Into[i].Held; err == nil && held > 0 && b.Ours() {
			err = t.Hold(Take{Bag: n.Code, N: held, Job: k.Job, Why: k.Why, Anyway: k.Anyway})
		}
	}
	return codes, err
}

// Arisen are the bags that arose from a cut as its entry names them: B303; B304.
func Arisen(bags []code.Code) string {
	var out []string
	for _, c := range bags {
		out = append(out, string(c))
	}
	return strings.Join(out, "; ")
}

// ParseArisen reads the bags that arose from a cut.
func ParseArisen(text string) (bags []code.Code, err error) {
	for part := range strings.FieldsFuncSeq(text, func(r rune) bool { return r == ';' || r == ',' }) {
		if part = strings.TrimSpace(part); part == "" {
			continue
		}
		c, err := code.Parse(part)
		if err != nil {
			return nil, fmt.Errorf("%w: cut names the bags that arose, B303; B304", err)
		}
		bags = append(bags, c)
	}
	return bags, nil
}

// Into are the bags that pieces of an entry went over into, or that arose from them.
func (e Entry) Into() []code.Code {
	switch {
	case e.To == "":
	case e.What == Split || e.What == Joined:
		return []code.Code{code.Code(e.To)}
	case e.What == Cut:
		all, _ := ParseArisen(e.To) // what was kept was read before
		return all
	}
	return nil
}
