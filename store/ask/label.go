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
	v := labels(view)
	l := labelOf(v, r)
	return l, v.err
}

// A labeller reads what labels need, and every part and drawer once.
type labeller struct {
	*reader
	parts map[code.Code]partWords
	hoods map[code.Code][]look    // of a place
	tells map[[2]code.Code]string // a part in a place
	stems map[string]int          // of the codes of models: see stem
}

// partWords are what the label of a part says, wherever the part lies.
type partWords struct {
	stops             []string
	wound, word, care string
	flank             string // of its thread
	look              look
}

func labels(view *store.View) *labeller {
	return &labeller{read(view), map[code.Code]partWords{}, map[code.Code][]look{}, map[[2]code.Code]string{}, nil}
}

// bag fills the label of a bag.
func (l *Label) bag(v *labeller) {
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
	l.part(v, b.Part, st.Place)
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

// part says what a part is, and what it is taken for in a place.
func (l *Label) part(v *labeller, c, place code.Code) {
	p := v.words(c)
	l.Stops = append(l.Stops, p.stops...)
	l.Wound, l.Word, l.Care = p.wound, p.word, p.care
	at := [2]code.Code{c, place}
	if _, known := v.tells[at]; !known {
		v.tells[at] = p.look.tells(v.hood(place))
	}
	l.Tells = filled(v.tells[at], p.flank)
}

// words are what a part says.
func (v *labeller) words(c code.Code) partWords {
	w, known := v.parts[c]
	if known {
		return w
	}
	p := v.part(c)
	w = partWords{stops: notFor(v, p), word: cmp.Or(p.Name, words.ClassName(p.Class)), care: strings.Join(Cautions(p, store.Model{}), ". "), look: lookOf(p)}
	if left := store.LeftHand(p); left != "" {
		w.stops = append(w.stops, left)
	}
	if words.Under(p.Class, "SPR") {
		w.wound = p.Marks[dim.Hand]
	}
	if t, err := thread.Parse(p.Marks[dim.Thread]); err == nil && thread.FlankWord(t.Form) != "" {
		w.flank = thread.FlankWord(t.Form) + " deg"
	}
	v.parts[c] = w
	return w
}

// hood are the parts that lie in a place, none for no place.
func (v *labeller) hood(place code.Code) []look {
	looks, known := v.hoods[place]
	if known || place == "" {
		return looks
	}
	met := map[code.Code]bool{"": true}
	for _, b := range got(v.reader, v.Countable, place) {
		if !met[b.Part] {
			met[b.Part] = true
			looks = append(looks, v.words(b.Part).look)
		}
	}
	v.hoods[place] = looks
	return looks
}

// notFor says for which models a part is not, those of one reason together: what was
// stated, and what follows from the twin that goes there.
func notFor(v *labeller, p store.Part) (out []string) {
	why := map[string][]code.Code{}
	stated := map[code.Code]bool{}
	for _, g := range got(v.reader, v.GoesOf, p.Code) {
		stated[g.Model] = true
		if (store.Verdict{Degrees: g.Degrees}).Never() && g.Numbers() == "" {
			reason := neverWhy(v, p, g)
			why[reason] = append(why[reason], g.Model)
		}
	}
	for _, twin := range twinsOf(v.reader, p) {
		for _, g := range got(v.reader, v.GoesOf, twin) {
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
func neverWhy(v *labeller, p store.Part, g store.Goes) string {
	if slices.Contains(g.Degrees, "opposite-hand") {
		return otherHand(p)
	}
	m := v.known(g.Model)
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
func shortModels(v *labeller, list []code.Code) (out []string) {
	if v.stems == nil {
		v.stems = map[string]int{}
		for m := range each(v.reader, v.EachModel) {
			v.stems[stem(m.Code)]++
		}
	}
	have := map[string][]code.Code{}
	for _, c := range list {
		have[stem(c)] = append(have[stem(c)], c)
	}
	for _, s := range slices.Sorted(maps.Keys(have)) {
		if n := len(have[s]); n > 1 && n == v.stems[s] {
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
func (l *Label) donor(v *labeller) {
	d := v.donor(l.Thing.Code)
	m := v.known(d.Model)
	l.owner(d.Owner)
	l.Place, l.Word = d.Place, cmp.Or(m.Name, string(d.Model))
	l.Tells = filled(prefixed("body ", d.BodyNo), prefixed("shutter ", d.ShutterNo))
	l.Lines = texts(filled(d.State, d.History), prefixed("bought ", d.Bought.String()), d.Why)
	l.Care = strings.Join(ModelCautions(m), ". ")
	var lacks []code.Code
	for _, s := range got(v.reader, v.SeenOn, d.Code) {
		if s.Seen == "missing" {
			lacks = append(lacks, s.Part)
		}
	}
	if len(lacks) > 0 {
		l.Lines = append(l.Lines, "lacks "+words.List(lacks, ", "))
	}
}

// job fills the ticket of a customer's camera, with a part to tear off for its owner.
func (l *Label) job(v *labeller) {
	j := v.job(l.Thing.Code)
	m := v.known(j.Model)
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
	v := labels(view)
	var bags []code.Code
	switch {
	case w.Drawers:
		for p := range each(v.reader, v.EachPlace) {
			out = append(out, labelOf(v, store.Ref{Kind: "place", Code: p.Code}))
		}
		return out, v.err
	case w.Place != "":
		bags = v.BagsAt(w.Place)
	case w.Donor != "":
		bags = v.BagsFrom(string(w.Donor))
	default:
		for b := range each(v.reader, v.EachBag) {
			bags = append(bags, b.Code)
		}
	}
	for _, c := range bags {
		if v.state(c).OnHand() <= 0 {
			continue
		}
		r := store.Ref{Kind: "bag", Code: c}
		l := labelOf(v, r)
		if !w.New || got(v.reader, v.LastLabel, r).Text != l.Text() {
			out = append(out, l)
		}
	}
	slices.SortStableFunc(out, func(a, b Label) int { return cmp.Compare(a.Place, b.Place) })
	return out, v.err
}

func labelOf(v *labeller, r store.Ref) Label {
	l := Label{Thing: r, Typed: v.Typed(r.Kind, r.Code)}
	switch r.Kind {
	case "bag":
		l.bag(v)
	case "part":
		l.part(v, r.Code, "")
	case "donor":
		l.donor(v)
	case "job":
		l.job(v)
	case "place":
		p := got(v.reader, v.Place, r.Code)
		l.Word, l.Tells, l.Lines = string(p.Code), p.Where, texts(p.For)
	}
	return l
}
