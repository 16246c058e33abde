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
func LabelOf(v *store.View, r store.Ref) (Label, error) {
	l := Label{Thing: r, Typed: v.Typed(r.Kind, r.Code)}
	var err error
	switch r.Kind {
	case "bag":
		err = l.bag(v)
	case "part":
		err = l.part(v, r.Code, nil)
	case "donor":
		err = l.donor(v)
	case "job":
		err = l.job(v)
	case "place":
		p, e := v.Place(r.Code)
		l.Word, l.Tells, l.Lines, err = string(p.Code), p.Where, texts(p.For), e
	}
	return l, err
}

// bag fills the label of a bag.
func (l *Label) bag(v *store.View) error {
	b, err := v.Bag(l.Thing.Code)
	if err != nil {
		return err
	}
	st, err := v.State(b.Code)
	if err != nil {
		return err
	}
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
		return nil
	}
	var hood []store.Bag
	if st.Place != "" {
		if hood, err = v.Countable(st.Place); err != nil {
			return err
		}
	}
	return l.part(v, b.Part, hood)
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
func (l *Label) part(v *store.View, c code.Code, hood []store.Bag) error {
	p, err := v.Part(c)
	if err != nil {
		return err
	}
	never, err := notFor(v, p)
	if err != nil {
		return err
	}
	l.Stops = append(l.Stops, never...)
	if left := store.LeftHand(p); left != "" {
		l.Stops = append(l.Stops, left)
	}
	if words.Under(p.Class, "SPR") {
		l.Wound = p.Marks[dim.Hand]
	}
	l.Word = cmp.Or(p.Name, words.ClassName(p.Class))
	own := lookOf(p)
	var looks []look
	met := map[code.Code]bool{}
	for _, b := range hood {
		if b.Part == "" || met[b.Part] {
			continue
		}
		met[b.Part] = true
		o, err := v.Part(b.Part)
		if err != nil {
			return err
		}
		looks = append(looks, lookOf(o))
	}
	l.Tells = own.tells(looks)
	if t, err := thread.Parse(p.Marks[dim.Thread]); err == nil && thread.FlankWord(t.Form) != "" {
		l.Tells += ", " + thread.FlankWord(t.Form) + " deg"
	}
	if all := Cautions(p, store.Model{}); len(all) > 0 {
		l.Care = strings.Join(all, ". ")
	}
	return nil
}

// notFor says for which models a part is not, those of one reason together: what was
// stated, and what follows from the twin that goes there.
func notFor(v *store.View, p store.Part) ([]string, error) {
	said, err := v.GoesOf(p.Code)
	if err != nil {
		return nil, err
	}
	why := map[string][]code.Code{}
	stated := map[code.Code]bool{}
	for _, g := range said {
		stated[g.Model] = true
		if !(store.Verdict{Degrees: g.Degrees}).Never() || g.Numbers() != "" {
			continue
		}
		reason, err := neverWhy(v, p, g)
		if err != nil {
			return nil, err
		}
		why[reason] = append(why[reason], g.Model)
	}
	for _, twin := range twinsOf(read(v), p) {
		theirs, err := v.GoesOf(twin)
		if err != nil {
			return nil, err
		}
		for _, g := range theirs {
			if (store.Verdict{Degrees: g.Degrees}).Usable() && !stated[g.Model] {
				stated[g.Model] = true
				why[otherHand(p)] = append(why[otherHand(p)], g.Model)
			}
		}
	}
	var out []string
	for _, reason := range slices.Sorted(maps.Keys(why)) {
		models, err := shortModels(v, why[reason])
		if err != nil {
			return nil, err
		}
		out = append(out, strings.TrimSpace("NOT for "+words.And(models)+" "+reason))
	}
	return out, nil
}

// neverWhy is in a few words what keeps a part out of a model, empty where only the
// statement does.
func neverWhy(v *store.View, p store.Part, g store.Goes) (string, error) {
	if slices.Contains(g.Degrees, "opposite-hand") {
		return otherHand(p), nil
	}
	m, err := v.Model(g.Model)
	t, bad := thread.Parse(p.Marks[dim.Thread])
	if err == nil && bad == nil && thread.Differs(t.Form, m.Form) {
		return "(" + thread.FlankWord(m.Form) + " deg)", nil
	}
	return "", err
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
func shortModels(v *store.View, list []code.Code) (out []string, err error) {
	all := map[string]int{}
	err = v.EachModel(func(m store.Model) error { all[stem(m.Code)]++; return nil })
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
	return out, err
}

// stem is the code of a model without its last field: W3 of W3-A.
func stem(c code.Code) string {
	if i := strings.LastIndexByte(string(c), '-'); i > 0 {
		return string(c[:i])
	}
	return string(c)
}

// donor fills the tag of a parts camera.
func (l *Label) donor(v *store.View) error {
	d, err := v.Donor(l.Thing.Code)
	if err != nil {
		return err
	}
	m, _ := v.Model(d.Model) // one that is not recorded has no name
	l.owner(d.Owner)
	l.Place, l.Word = d.Place, cmp.Or(m.Name, string(d.Model))
	l.Tells = strings.Join(texts(prefixed("body ", d.BodyNo), prefixed("shutter ", d.ShutterNo)), ", ")
	l.Lines = texts(strings.Join(texts(d.State, d.History), ", "), prefixed("bought ", d.Bought.String()), d.Why)
	l.Care = strings.Join(ModelCautions(m), ". ")
	seen, err := v.SeenOn(d.Code)
	if err != nil {
		return err
	}
	var lacks []string
	for _, s := range seen {
		if s.Seen == "missing" {
			lacks = append(lacks, string(s.Part))
		}
	}
	if len(lacks) > 0 {
		l.Lines = append(l.Lines, "lacks "+strings.Join(lacks, ", "))
	}
	return nil
}

// job fills the ticket of a customer's camera, with a part to tear off for its owner.
func (l *Label) job(v *store.View) error {
	j, err := v.Job(l.Thing.Code)
	if err != nil {
		return err
	}
	m, _ := v.Model(j.Model) // one that is not recorded has no name
	shop, err := v.Shop()
	if err != nil {
		return err
	}
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
	return nil
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
func Labels(v *store.View, w LabelsWanted) (out []Label, err error) {
	var bags []code.Code
	switch {
	case w.Drawers:
		err = v.EachPlace(func(p store.Place) error {
			l, err := LabelOf(v, store.Ref{Kind: "place", Code: p.Code})
			out = append(out, l)
			return err
		})
		return out, err
	case w.Place != "":
		bags = v.BagsAt(w.Place)
	case w.Donor != "":
		bags = v.BagsFrom(string(w.Donor))
	default:
		err = v.EachBag(func(b store.Bag) error { bags = append(bags, b.Code); return nil })
	}
	for _, c := range bags {
		if err != nil {
			break
		}
		var st store.State
		if st, err = v.State(c); err != nil || st.OnHand() <= 0 {
			continue
		}
		var l Label
		var was store.Label
		r := store.Ref{Kind: "bag", Code: c}
		if l, err = LabelOf(v, r); err == nil && w.New {
			was, err = v.LastLabel(r)
		}
		if err == nil && !(w.New && was.Text == l.Text()) {
			out = append(out, l)
		}
	}
	slices.SortStableFunc(out, func(a, b Label) int { return cmp.Compare(a.Place, b.Place) })
	return out, err
}
