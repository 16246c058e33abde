package ask

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/nest"
	"tinful/store/ways"
	"tinful/store/words"
)

// Kinds of reasons of a sheet that a panel can be cut from.
const (
	WhySize store.ReasonKind = "size"
	WhyAlso store.ReasonKind = "also"
)

// A FoundSheet is a piece of covering that a panel can be cut from. Lengths are
// millimetres.
type FoundSheet struct {
	Bag     code.Code     `json:"bag"`
	Part    code.Code     `json:"part"`
	Name    string        `json:"name"`
	Place   code.Code     `json:"place,omitempty"`
	Free    int64         `json:"free"`
	Width   float64       `json:"width"`
	Length  float64       `json:"length"`
	Thick   float64       `json:"thick,omitempty"`
	Thin    float64       `json:"thin"`    // what has to come off its flesh side
	Another bool          `json:"another"` // of another grain or colour
	Panel   bool          `json:"panel"`   // a panel of a camera
	Why     store.Reasons `json:"why"`

	area  int64
	stock store.Sheet
}

// MarshalJSON writes it with the kinds of its reasons beside them.
func (f FoundSheet) MarshalJSON() ([]byte, error) {
	type plain FoundSheet
	return store.JSON(struct {
		plain
		WhyKind []store.ReasonKind `json:"why_kind"`
	}{plain(f), store.ReasonKinds(f.Why)})
}

// SheetsFor lists the pieces of covering that are free and that a panel can be cut
// from with its grain, around flaws, with a margin: those that need no thinning first,
// then what is broken into least; another grain or colour is last.
func SheetsFor(v *store.View, p store.Panel) ([]FoundSheet, error) {
	r := read(v)
	var out []FoundSheet
	if p.Width == 0 || p.Length == 0 {
		return nil, nil
	}
	for _, part := range r.PartsOfClass(store.Covering, true) {
		if part == p.Part {
			continue // that is the panel itself
		}
		for _, s := range stockOf(r, part, store.Job{}, false) {
			if !p.Suits(s.Sheet).Never && hasRoom(s.Sheet, []store.Panel{p}) {
				out = append(out, foundSheet(s, p))
			}
		}
	}
	slices.SortStableFunc(out, func(a, b FoundSheet) int {
		return cmp.Or(cmp.Compare(bit(a.Another), bit(b.Another)), cmp.Compare(a.Thin, b.Thin), cmp.Compare(a.area, b.area), cmp.Compare(a.Bag, b.Bag))
	})
	if i := slices.IndexFunc(out, func(f FoundSheet) bool { return f.Thin > 0 }); i >= 0 {
		out[i].Why = append(out[i].Why, store.Say(ToThin, "%s", thinning).Of(out[i].Bag))
	}
	return out, r.err
}

func bit(b bool) int {
	if b {
		return 1
	}
	return 0
}

func foundSheet(s cutStock, p store.Panel) FoundSheet {
	suit := p.Suits(s.Sheet)
	out := FoundSheet{Bag: s.Bag, Part: s.Part, Name: s.name, Place: s.place, Free: s.n, Width: dim.Number(dim.Width, s.Width),
		Length: dim.Number(dim.Length, s.Length), Thick: dim.Number(dim.Thick, s.Thick), Thin: dim.Number(dim.Thick, suit.Thin),
		Another: suit.Grain || suit.Colour, Panel: s.Panel, area: s.Width * s.Length, stock: s.Sheet}
	add := func(kind store.ReasonKind, format string, args ...any) {
		out.Why = append(out.Why, store.Say(kind, format, args...).Of(s.Bag))
	}
	size := store.SizeWords(s.Width, s.Length)
	if s.Thick != 0 {
		size += ", " + dim.Format(dim.Thick, s.Thick) + " mm thick"
	}
	add(WhySize, "%s", size)
	if s.Panel {
		add(WhySize, "a panel of a camera: used 3 mm inside its edge and around its holes")
	}
	if len(s.Flaws) > 0 && !s.Panel {
		add(WhySize, "flaws left out: %s", dim.FormatSpots(s.Flaws))
	}
	if suit.Grain {
		add(OtherGrain, "another grain: %s", s.Grain)
	}
	if suit.Colour {
		add(OtherColour, "another colour: %s", s.Colour)
	}
	if suit.Thin > 0 {
		add(ToThin, "%s mm too thick", dim.Format(dim.Thick, suit.Thin))
	}
	return out
}

// thinning is how a covering is thinned, said once an answer. Source: common practice,
// the figures of edges from memory.
const thinning = "shave, pare or sand the flesh side; where it runs under a trim or round an edge 0.15 to 0.25 mm over 3 to 5 mm, square at a rim"

// roomWork is how many steps it is looked for whether one piece has room.
const roomWork = 200_000

// hasRoom tells whether panels can all be cut from one piece of covering.
func hasRoom(s store.Sheet, panels []store.Panel) bool {
	if s.Width == 0 || s.Length == 0 {
		return false
	}
	q := CutQuery{Margin: UsualMargin, work: roomWork}
	var asked []askedPanel
	for _, p := range panels {
		asked = append(asked, askedPanel{Panel: p, n: 1})
	}
	a, err := nest.Solve(problemOf(q, asked, []cutStock{{Sheet: s, n: 1}}))
	return err == nil && a.Score.Left == 0
}

// findSheets adds what a panel of the size that was asked for can be cut from.
func findSheets(v *reader, q Query) (out []FoundSheet) {
	w, okW := q.Dims[dim.Width]
	l, okL := q.Dims[dim.Length]
	if !ofCovering(q) || !okW || !okL || w.Want <= 0 || l.Want <= 0 || q.Camera.Model != "" {
		return nil
	}
	thick := q.Dims[dim.Thick].Want
	p := store.Panel{Width: w.Want, Length: l.Want, Runs: store.Sides[0], Thick: thick, Most: thick, Grain: q.Marks[dim.Grain], Colour: q.Marks[dim.Colour]}
	out, err := SheetsFor(v.View, p)
	v.keep(err)
	return out
}

// ofCovering tells whether coverings are looked for: by the class, or by a word for it.
func ofCovering(q Query) bool {
	if len(q.Class) > 0 {
		return len(q.Class) == 1 && q.Class[0] == store.Covering
	}
	return slices.ContainsFunc(q.Words, func(w string) bool {
		of, _ := words.ClassOf(w)
		return slices.Equal(of, []string{store.Covering})
	})
}

// coveringWords takes words out of a query that are the grain or the colour of a
// covering that is recorded: fine, black.
func coveringWords(v *reader, q *Query) {
	if !ofCovering(*q) || len(q.Dims) == 0 || len(q.Words) == 0 {
		return
	}
	known := map[dim.Field]map[string]string{dim.Grain: {}, dim.Colour: {}}
	for _, c := range v.PartsOfClass(store.Covering, true) {
		for f, of := range known {
			if m := v.part(c).Marks[f]; m != "" {
				of[words.Fold(m)] = m
			}
		}
	}
	marks := map[dim.Field]string{}
	for f, m := range q.Marks {
		marks[f] = m
	}
	var rest []string
	for _, w := range q.Words {
		f := dim.Field(0)
		for _, try := range []dim.Field{dim.Grain, dim.Colour} {
			if known[try][words.Fold(w)] != "" && marks[try] == "" {
				f = try
				break
			}
		}
		if f == 0 {
			rest = append(rest, w)
			continue
		}
		marks[f] = known[f][words.Fold(w)]
	}
	q.Words, q.Marks = rest, marks
}

// sheets adds the pieces of covering that the panel can be cut from, and says which
// other panels the camera lacks that the same piece gives as well.
func (n *needer) sheets() {
	is := got(n.v, n.v.IsPanel, n.p)
	if !n.fit.usable || !is {
		return
	}
	p := got(n.v, n.v.PanelOf, n.p.Code)
	list, err := SheetsFor(n.v.View, p)
	n.v.keep(err)
	lacks := n.lackingPanels()
	for _, f := range list {
		why := slices.Clone(f.Why)
		if also := alsoFrom(f.stock, p, lacks); len(also) > 0 {
			why = append(why, store.Say(WhyAlso, "gives %s as well, which the camera may lack", strings.Join(codesText(also), ", ")).Of(also...))
		}
		work := "cut it to the panel"
		if f.Thin > 0 {
			work += fmt.Sprintf(", %g mm thinner", f.Thin)
		}
		degrees := []string{"rework"}
		if f.Another {
			degrees = append(degrees, "looks-wrong")
		}
		n.add(ways.Candidate{Kind: ways.Sheet, Degrees: degrees, Free: f.Free, Code: string(f.Bag), Opening: float64(len(n.list))},
			Way{Bag: f.Bag, Part: f.Part, Place: f.Place, Work: work, Why: why})
	}
	if len(list) > 0 {
		n.out.Cautions = append(n.out.Cautions, deferring(usual("scalpel"))...)
	}
}

// lackingPanels are the other panels of the camera of which none is free, or that are
// wanted for it.
func (n *needer) lackingPanels() (out []store.Panel) {
	if n.cam.Model == "" {
		return nil
	}
	for _, c := range n.v.PartsOfClass(store.Covering, false) {
		p := n.v.part(c)
		if c == n.p.Code || !got(n.v, n.v.IsPanel, p) || !fits(n.v, p, n.cam).usable || len(usableBags(n.v, c)) > 0 && !n.wanted(c) {
			continue
		}
		if panel := got(n.v, n.v.PanelOf, c); panel.Width != 0 && panel.Length != 0 {
			out = append(out, panel)
		}
	}
	return out
}

// wanted tells whether somebody asked for a part for the camera and it is not met.
func (n *needer) wanted(part code.Code) bool {
	return slices.ContainsFunc(got(n.v, n.v.WantsOf, part), func(w store.Want) bool {
		return w.Met == 0 && (w.Model == n.cam.Model || w.Job != "" && w.Job == n.job)
	})
}

// alsoFrom are the panels that a piece of covering gives beside one, as many as have
// room together.
func alsoFrom(s store.Sheet, p store.Panel, lacks []store.Panel) (out []code.Code) {
	all := []store.Panel{p}
	for _, l := range lacks {
		if hasRoom(s, append(slices.Clone(all), l)) {
			all, out = append(all, l), append(out, l.Part)
		}
	}
	return out
}

func codesText(all []code.Code) (out []string) {
	for _, c := range all {
		out = append(out, string(c))
	}
	return out
}
