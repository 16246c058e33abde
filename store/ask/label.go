package ask

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/thread"
	"tinful/store/words"
)

// A Label is what the label of a thing has to say. What stops a hand comes first.
type Label struct {
	Thing    store.Ref
	Stops    []string // what it is not for, that it is left-hand, that it is not to be fitted
	Wound    string   // left or right, of a coil spring
	Word     string   // what it is
	Tells    string   // the measure that tells it from its neighbours in the drawer
	Place    code.Code
	Theirs   string // whose it is, where it is not the workshop's
	Held     string // for whom it is set aside
	From     string // where it came from
	Quantity string
	Lines    []string // what else is worth its room
	Care     string
	Stub     []string // for the owner of a customer's camera
	Typed    code.Code
}

// Text is what the label says, but for how many there are: by it a label is told from
// the last one of the thing.
func (l Label) Text() string {
	all := append(slices.Clone(l.Stops), l.Wound, l.Word, l.Tells, string(l.Place), l.Theirs, l.Held, l.From, l.Care)
	return strings.Join(append(all, l.Lines...), "\n")
}

// LabelOf says what the label of a part, bag, donor, job or place has to say.
func LabelOf(view *store.View, r store.Ref) (Label, error) {
	v := read(view)
	l := labelOf(v, r)
	return l, v.err
}

// bag fills the label of a bag.
func (l *Label) bag(v *reader) {
	b := v.bag(l.Thing.Code)
	st := v.state(b.Code)
	l.Place = st.Place
	l.Quantity = store.Amount(st.OnHand(), b.Unit, st.About)
	if b.Unit != "mm" {
		l.Quantity += " pc"
	}
	switch {
	case slices.Contains(store.Origins, b.Origin):
		l.From = map[string]string{"made": "made here", "several": "from several cameras"}[b.Origin]
	default:
		l.From = "from " + b.Origin
	}
	l.owner(b.Owner)
	for _, o := range st.HeldFor {
		l.Held = strings.TrimPrefix(l.Held+fmt.Sprintf(", held: %d for job %s", o.N, o.Who), ", ")
	}
	switch st.Grade {
	case "pattern":
		l.Stops = append(l.Stops, "NOT to fit: kept to copy")
	case "scrap":
		l.Stops = append(l.Stops, "NOT to fit: scrap")
	case "rework", "unknown":
		l.Lines = append(l.Lines, map[string]string{"rework": "needs work first", "unknown": "not looked at"}[st.Grade])
	}
	if b.Part == "" {
		l.Word = "unsorted"
		return
	}
	var hood []store.Bag
	if st.Place != "" {
		hood = got(v, v.Countable, st.Place)
	}
	l.part(v, b.Part, hood)
}

// owner marks what is not the workshop's.
func (l *Label) owner(owner string) {
	switch owner {
	case store.Own, "":
	case store.OwnerHeld:
		l.Theirs = "NOT STOCK until the notice has run"
	default:
		l.Theirs = "NOT STOCK: " + owner + "'s"
	}
}

// part says what a part is, and what it is taken for in a drawer of bags.
func (l *Label) part(v *reader, c code.Code, hood []store.Bag) {
	p := v.part(c)
	l.Stops = append(l.Stops, notFor(v, p)...)
	if left := store.LeftHand(p); left != "" {
		l.Stops = append(l.Stops, left)
	}
	if words.Under(p.Class, "SPR") {
		l.Wound = p.Marks[dim.Hand]
	}
	l.Word = cmp.Or(p.Name, words.ClassName(p.Class))
	own := lookOf(p)
	var looks []look
	met := map[code.Code]bool{"": true}
	for _, b := range hood {
		if !met[b.Part] {
			met[b.Part] = true
			looks = append(looks, lookOf(v.part(b.Part)))
		}
	}
	l.Tells = own.tells(looks)
	if t, err := thread.Parse(p.Marks[dim.Thread]); err == nil && thread.FlankWord(t.Form) != "" {
		l.Tells += ", " + thread.FlankWord(t.Form) + " deg"
	}
	l.Care = strings.Join(Cautions(p, store.Model{}), ". ")
}

// notFor says for which models a part is not, those of one reason together: what was
// stated, and what follows from the twin that goes there.
func notFor(v *reader, p store.Part) (out []string) {
	why := map[string][]code.Code{}
	stated := map[code.Code]bool{}
	for _, g := range got(v, v.GoesOf, p.Code) {
		stated[g.Model] = true
		if (store.Verdict{Degrees: g.Degrees}).Never() && g.Numbers() == "" {
			reason := neverWhy(v, p, g)
			why[reason] = append(why[reason], g.Model)
		}
	}
	for _, twin := range twinsOf(v, p) {
		for _, g := range got(v, v.GoesOf, twin) {
			if (store.Verdict{Degrees: g.Degrees}).Usable() && !stated[g.Model] {
				stated[g.Model] = true
				why[otherHand(p)] = append(why[otherHand(p)], g.Model)
			}
		}
	}
	for _, reason := range slices.Sorted(maps.Keys(why)) {
		out = append(out, strings.TrimSpace("NOT for "+words.And(shortModels(v, why[reason]))+" "+reason))
	}
	return out
}

// neverWhy is in a few words what keeps a part out of a model, empty where only the
// statement does.
func neverWhy(v *reader, p store.Part, g store.Goes) string {
	if slices.Contains(g.Degrees, "opposite-hand") {
		return otherHand(p)
	}
	m := v.model(g.Model)
	if t, err := thread.Parse(p.Marks[dim.Thread]); err == nil && thread.Differs(t.Form, m.Form) {
		return "(" + thread.FlankWord(m.Form) + " deg)"
	}
	return ""
}

// otherHand is which hand takes a part's place where its own does not go in.
func otherHand(p store.Part) string {
	switch handOf(p) {
	case "left":
		return "(right-hand)"
	case "right":
		return "(left-hand)"
	}
	return "(other hand)"
}

// shortModels writes W3 for W3-A and W3-B, where these are all there are.
func shortModels(v *reader, list []code.Code) (out []string) {
	all := map[string]int{}
	for m := range each(v, v.EachModel) {
		all[stem(m.Code)]++
	}
	have := map[string][]code.Code{}
	for _, c := range list {
		have[stem(c)] = append(have[stem(c)], c)
	}
	for _, s := range slices.Sorted(maps.Keys(have)) {
		if n := len(have[s]); n > 1 && n == all[s] {
			out = append(out, s)
			continue
		}
		for _, c := range have[s] {
			out = append(out, string(c))
		}
	}
	return out
}

// stem is the code of a model without its last field: W3 of W3-A.
func stem(c code.Code) string {
	if i := strings.LastIndexByte(string(c), '-'); i > 0 {
		return string(c[:i])
	}
	return string(c)
}

// donor fills the tag of a parts camera.
func (l *Label) donor(v *reader) {
	d := v.donor(l.Thing.Code)
	m, _ := v.Model(d.Model) // one that is not recorded has no name
	l.owner(d.Owner)
	l.Place, l.Word = d.Place, cmp.Or(m.Name, string(d.Model))
	l.Tells = filled(prefixed("body ", d.BodyNo), prefixed("shutter ", d.ShutterNo))
	l.Lines = texts(filled(d.State, d.History), prefixed("bought ", d.Bought.String()), d.Why)
	l.Care = strings.Join(ModelCautions(m), ". ")
	var lacks []code.Code
	for _, s := range got(v, v.SeenOn, d.Code) {
		if s.Seen == "missing" {
			lacks = append(lacks, s.Part)
		}
	}
	if len(lacks) > 0 {
		l.Lines = append(l.Lines, "lacks "+words.List(lacks, ", "))
	}
}

// job fills the ticket of a customer's camera, with a part to tear off for its owner.
func (l *Label) job(v *reader) {
	j := v.job(l.Thing.Code)
	m, _ := v.Model(j.Model) // one that is not recorded has no name
	shop, err := v.Shop()
	v.keep(err)
	name := cmp.Or(m.Name, string(j.Model))
	l.Held = "NOT STOCK: " + cmp.Or(j.Owner, "a customer") + "'s camera"
	if j.Agreed == "no" {
		l.Stops = append(l.Stops, "NO used or made parts")
	}
	l.Word, l.Place, l.Tells = name, j.Tray, prefixed("body ", j.BodyNo)
	l.Lines = texts(j.Fault, prefixed("with ", j.Accessories), prefixed("promised ", j.Promised.String()))
	l.Care = strings.Join(ModelCautions(m), ". ")
	l.Stub = texts(shop.Name, "repair "+string(j.Code), name, prefixed("body ", j.BodyNo), prefixed("with ", j.Accessories),
		prefixed("came ", j.Opened.String()), prefixed("promised ", j.Promised.String()))
}

// texts are those of some texts that say something.
func texts(all ...string) []string {
	return slices.DeleteFunc(all, func(s string) bool { return s == "" })
}

func prefixed(before, s string) string {
	if s == "" {
		return ""
	}
	return before + s
}

// LabelsWanted lists the things of a choice of labels, in the order of their places.
type LabelsWanted struct {
	Place, Donor code.Code
	Drawers      bool // every place
	New          bool // bags whose label says something else than their last one
}

// Labels says what the labels of a choice have to say. Empty bags have none.
func Labels(view *store.View, w LabelsWanted) (out []Label, err error) {
	v := read(view)
	var bags []code.Code
	switch {
	case w.Drawers:
		for p := range each(v, v.EachPlace) {
			out = append(out, labelOf(v, store.Ref{Kind: "place", Code: p.Code}))
		}
		return out, v.err
	case w.Place != "":
		bags = v.BagsAt(w.Place)
	case w.Donor != "":
		bags = v.BagsFrom(string(w.Donor))
	default:
		for b := range each(v, v.EachBag) {
			bags = append(bags, b.Code)
		}
	}
	for _, c := range bags {
		if v.state(c).OnHand() <= 0 {
			continue
		}
		r := store.Ref{Kind: "bag", Code: c}
		l := labelOf(v, r)
		if !w.New || got(v, v.LastLabel, r).Text != l.Text() {
			out = append(out, l)
		}
	}
	slices.SortStableFunc(out, func(a, b Label) int { return cmp.Compare(a.Place, b.Place) })
	return out, v.err
}

func labelOf(v *reader, r store.Ref) Label {
	l := Label{Thing: r, Typed: v.Typed(r.Kind, r.Code)}
	switch r.Kind {
	case "bag":
		l.bag(v)
	case "part":
		l.part(v, r.Code, nil)
	case "donor":
		l.donor(v)
	case "job":
		l.job(v)
	case "place":
		p := got(v, v.Place, r.Code)
		l.Word, l.Tells, l.Lines = string(p.Code), p.Where, texts(p.For)
	}
	return l
}
