package ask

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"tinful/store"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/nest"
	"tinful/store/words"
)

// UsualMargin is left around every panel, micrometres. Source: the trade's costing of
// panels with 4 mm all round.
const UsualMargin = 4_000

// KeptSide is how long both sides of what is left must be to be kept as an offcut,
// micrometres (ours). Nothing is kept of a panel of a camera.
const KeptSide = 30_000

// The kinds of reasons of a layout.
const (
	NoSize       store.ReasonKind = "no-size"
	HasAlready   store.ReasonKind = "has-already"
	OtherGrain   store.ReasonKind = "another-grain"
	OtherColour  store.ReasonKind = "another-colour"
	ToThin       store.ReasonKind = "to-thin"
	NotThinned   store.ReasonKind = "not-thinned"
	MarginWould  store.ReasonKind = "margin"
	TurnedWould  store.ReasonKind = "turned-panel"
	SheetWould   store.ReasonKind = "more-sheets"
	PanelAsStock store.ReasonKind = "panel-as-stock"
)

// A CutQuery asks how panels are cut from the coverings that are here. Lengths are
// micrometres.
type CutQuery struct {
	Camera store.Camera // all panels of it where none is named
	Job    store.Job    // for which what is held for it, or is its customer's, may be cut
	Panels []Wanted
	Sizes  []CutSize
	From   []code.Code // bags, none for all that suit
	Margin int64       // around every panel
	Kerf   int64
	Turn   bool // the grain does not matter
	Spare  bool // one more of the largest panel
	Anyway bool // what is graded scrap or pattern is cut too, and for a closed job
	Sheets int  // new sheets at most, 0 for as many as there are

	work int64 // steps that a layout may take, 0 for the usual number
}

// A CutSize is a number of pieces of a size that is no part.
type CutSize struct {
	Width, Length int64
	N             int64
}

// Name is a size as it is typed.
func (s CutSize) Name() string {
	return dim.Format(dim.Width, s.Width) + "x" + dim.Format(dim.Length, s.Length)
}

// A Cutting is how panels are cut. Lengths are millimetres, x along a sheet's width, y
// along its length, from its lower left as it is seen from outside.
type Cutting struct {
	Sheets      []CutSheet    `json:"sheets"`
	Unplaced    []string      `json:"unplaced"`    // once a piece
	Proven      bool          `json:"proven"`      // no layout places more, or needs fewer sheets or pieces
	BestLeft    bool          `json:"best_left"`   // and none of them leaves a larger rectangle
	Fewest      int           `json:"fewest_new"`  // new sheets that are needed at least
	Most        int           `json:"most_placed"` // pieces that any layout places at most, proven
	AreaWouldDo bool          `json:"area_would_do"`
	WouldDo     store.Reasons `json:"would_do"`
	Margin      float64       `json:"margin"`
	Kerf        float64       `json:"kerf"`
	Panels      int           `json:"panels"`               // pieces that were asked for
	Needed      float64       `json:"needed_cm2,omitempty"` // with their margins
	There       float64       `json:"there_cm2,omitempty"`  // of what they may be cut from
	Notes       store.Reasons `json:"notes"`
	Cautions    []string      `json:"cautions"`
	File        string        `json:"file,omitempty"` // where it was drawn
}

// MarshalJSON has the kinds beside the texts.
func (c Cutting) MarshalJSON() ([]byte, error) {
	type plain Cutting
	return store.JSON(struct {
		plain
		WouldDoKinds []store.ReasonKind `json:"would_do_kind"`
		NotesKinds   []store.ReasonKind `json:"notes_kind"`
	}{plain(c), store.ReasonKinds(c.WouldDo), store.ReasonKinds(c.Notes)})
}

// New is how many new sheets are cut into.
func (c Cutting) New() (n int) {
	for _, s := range c.Sheets {
		if s.New {
			n++
		}
	}
	return n
}

// Placed is how many pieces have a place.
func (c Cutting) Placed() int { return c.Panels - len(c.Unplaced) }

// A CutSheet is one piece of covering as it is cut.
type CutSheet struct {
	Part   code.Code     `json:"sheet"`
	Name   string        `json:"name"`
	Bag    code.Code     `json:"bag"`
	Place  code.Code     `json:"place,omitempty"`
	New    bool          `json:"new"` // never cut before
	W      float64       `json:"w"`
	H      float64       `json:"h"`
	Runs   string        `json:"runs"` // along which side the grain runs
	Thick  float64       `json:"thick,omitempty"`
	Placed []PlacedPanel `json:"placed"`
	Cuts   []CutLine     `json:"cuts"` // in their order
	Waste  int64         `json:"waste_mm2"`
	Left   []CutRect     `json:"left"` // large enough to be kept

	Flaws []dim.Spot `json:"-"`
}

// MarshalJSON has the flaws as they are typed.
func (s CutSheet) MarshalJSON() ([]byte, error) {
	type plain CutSheet
	return store.JSON(struct {
		plain
		Flaws string `json:"flaws,omitempty"`
	}{plain(s), dim.FormatSpots(s.Flaws)})
}

// A PlacedPanel is a panel as it lies, without its margin.
type PlacedPanel struct {
	Panel string `json:"panel"` // its part, or its size
	CutRect
	Turned bool `json:"turned"` // by a quarter, clockwise
	Spare  bool `json:"spare,omitempty"`

	Outline store.Panel `json:"-"`
}

// HolesOnSheet are the holes of a panel as they lie on the sheet.
func (p PlacedPanel) HolesOnSheet() (out []dim.Spot) {
	um := func(mm float64) int64 { return int64(math.Round(mm * 1000)) }
	for _, h := range p.Outline.Holes {
		if p.Turned {
			h.X, h.Y = h.Y, p.Outline.Width-h.X
			if !h.Round() {
				h.Y -= h.Width
				h.Width, h.Length = h.Length, h.Width
			}
		}
		h.X, h.Y = h.X+um(p.X), h.Y+um(p.Y)
		out = append(out, h)
	}
	return out
}

// A CutRect is a rectangle by its lower left corner.
type CutRect struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
	W float64 `json:"w"`
	H float64 `json:"h"`
}

// A CutLine is a cut from edge to edge of the piece it divides.
type CutLine struct {
	X1 float64 `json:"x1"`
	Y1 float64 `json:"y1"`
	X2 float64 `json:"x2"`
	Y2 float64 `json:"y2"`
}

// An askedPanel is a number of pieces that are to be cut.
type askedPanel struct {
	store.Panel
	n     int64
	spare bool
}

func (a askedPanel) called() string {
	return cmp.Or(string(a.Part), CutSize{a.Width, a.Length, 1}.Name())
}

// A cutStock is a bag of covering that panels may be cut from.
type cutStock struct {
	store.Sheet
	name  string
	place code.Code
	n     int64
	fresh bool
}

// FindCut lays panels out on the coverings that are here. Panels that look alike are cut
// from one covering: the one that has room for most of them, without thinning before with,
// and of these by what [nest] says is best.
func FindCut(v *store.View, q CutQuery) (Cutting, error) {
	r := read(v)
	out := Cutting{Sheets: []CutSheet{}, Unplaced: []string{}, Proven: true, BestLeft: true, Margin: mm(q.Margin), Kerf: mm(q.Kerf), Cautions: []string{}}
	panels := askedPanels(r, q, &out)
	stock := cutStocks(r, q, &out)
	for _, look := range looksOf(panels) {
		if r.err != nil {
			break
		}
		r.keep(out.cutLook(q, look, stock))
	}
	out.cutNotes(panels, stock, q)
	out.Cautions = deferring(append(usual("scalpel"), CutCare...))
	return out, r.err
}

// CutCare are the cautions of new coverings besides that of the blade. Source: common
// practice, from memory.
var CutCare = []string{
	"under an old covering lie green dust and bumps of corrosion: copper salts, somewhat poisonous: do not brush or sand dry, damp wipe, gloves, mask, wash hands",
	"solvents and glue are highly flammable: ventilate, no flame or spark, gloves, used rags in a closed metal can; try the glue on a scrap, some swell a covering so that cut pieces no longer fit",
}

func mm(um int64) float64 { return dim.Number(dim.Width, um) }

// askedPanels are the panels of a query, each kind once.
func askedPanels(v *reader, q CutQuery, out *Cutting) (list []askedPanel) {
	wanted := q.Panels
	if q.Camera.Model != "" && len(q.Panels)+len(q.Sizes) == 0 {
		wanted = out.lacking(v, q.Job.Code, panelsOf(v, q.Camera))
	}
	for _, w := range wanted {
		p := got(v, v.PanelOf, w.Part)
		if p.Width == 0 || p.Length == 0 {
			out.Notes = append(out.Notes, store.Say(NoSize, "%s %s is left out: its width and length are not recorded", w.Part, p.Name).Of(w.Part))
			continue
		}
		if i := slices.IndexFunc(list, func(a askedPanel) bool { return a.Part == w.Part }); i >= 0 {
			list[i].n += w.Need
			continue
		}
		list = append(list, askedPanel{Panel: p, n: w.Need})
	}
	for _, s := range q.Sizes {
		list = append(list, askedPanel{Panel: store.Panel{Width: s.Width, Length: s.Length, Runs: store.Sides[0], Up: store.Sides[0]}, n: s.N})
	}
	if q.Spare && len(list) > 0 {
		most := slices.MaxFunc(list, func(a, b askedPanel) int { return cmp.Compare(a.Width*a.Length, b.Width*b.Length) })
		most.n, most.spare = 1, true
		list = append(list, most)
	}
	for _, a := range list {
		out.Panels += int(a.n)
	}
	return list
}

// lacking leaves out what is held for a job or fitted in it already.
func (c *Cutting) lacking(v *reader, job code.Code, wanted []Wanted) (list []Wanted) {
	has, bags := map[code.Code]int64{}, map[code.Code][]code.Code{}
	if job != "" {
		for _, bag := range v.BagsFor(job) {
			s, b := v.state(bag), v.bag(bag)
			if n := s.HeldForJob(job) + s.FittedInJob(job); n > 0 {
				has[b.Part] += n
				bags[b.Part] = append(bags[b.Part], bag)
			}
		}
	}
	for _, w := range wanted {
		if n := min(has[w.Part], w.Need); n > 0 {
			c.Notes = append(c.Notes, store.Say(HasAlready, "%d %s %s left out: job %s has %s", n, w.Part, v.part(w.Part).Name, job, words.List(bags[w.Part], "and")).Of(w.Part))
			w.Need -= n
		}
		if w.Need > 0 {
			list = append(list, w)
		}
	}
	return list
}

// panelsOf are the panels of a camera, as many as it holds of each; one where nobody said.
func panelsOf(v *reader, cam store.Camera) (list []Wanted) {
	for _, c := range v.PartsOfClass(store.Covering, false) {
		p := v.part(c)
		if is := got(v, v.IsPanel, p); !is || !fits(v, p, cam).usable {
			continue
		}
		list = append(list, Wanted{Part: c, Need: max(1, got2(v, v.PerCamera, c, cam))})
	}
	return list
}

// cutStocks are the bags that may be cut from; a panel of a camera only where it is named.
func cutStocks(v *reader, q CutQuery, out *Cutting) (list []cutStock) {
	for _, c := range v.PartsOfClass(store.Covering, true) {
		for _, s := range stockOf(v, c, q.Job, q.Anyway) {
			named := slices.Contains(q.From, s.Bag)
			switch {
			case len(q.From) > 0 && !named || s.Panel && !named:
				continue
			case s.Width == 0 || s.Length == 0:
				out.Notes = append(out.Notes, store.Say(NoSize, "%s %s is left out: its width and length are not recorded", s.Bag, s.name).Of(s.Bag))
				continue
			}
			if s.Panel {
				out.Notes = append(out.Notes, store.Say(PanelAsStock, "%s is a panel of a camera: it is used %s mm inside its edge and around its holes", s.Bag, dim.Format(dim.Width, s.Edge)).Of(s.Bag))
			}
			list = append(list, s)
		}
	}
	return list
}

// stockOf are the bags of a covering that something may be cut from, counted by the piece:
// for a job those too that are held for it or are its customer's.
func stockOf(v *reader, part code.Code, job store.Job, worn bool) (list []cutStock) {
	p := v.part(part)
	for _, l := range cuttable(v, part, job, worn) {
		if l.Unit != "" && l.Unit != store.Units[0] {
			continue
		}
		s, ok, err := v.SheetOf(l.Bag)
		v.keep(err)
		if ok {
			fresh := !s.Panel && s.Width == p.Dims[dim.Width] && s.Length == p.Dims[dim.Length]
			list = append(list, cutStock{s, p.Name, l.Place, l.Free, fresh})
		}
	}
	return list
}

// cuttable are the bags of a part of which pieces may be cut up, with how many.
func cuttable(v *reader, part code.Code, job store.Job, worn bool) (list []BagLine) {
	for _, c := range v.BagsOf(part) {
		b, l := bagLine(v, c)
		use := store.Use{What: store.Cut, Job: job.Code, Owner: job.Owner, N: 1, Worn: worn}
		if st := v.state(c); v.MayTake(b, st, use) == nil {
			l.Free = use.Free(st)
			list = append(list, l)
		}
	}
	slices.SortFunc(list, bestBag)
	return list
}

// looksOf parts panels by grain and colour: what is to look alike is cut from one covering.
// What has neither goes with the first.
func looksOf(panels []askedPanel) (looks [][]askedPanel) {
	look := func(a askedPanel) string { return strings.ToLower(a.Grain + ";" + a.Colour) }
	for _, a := range panels {
		i := slices.IndexFunc(looks, func(l []askedPanel) bool { return look(l[0]) == look(a) })
		if look(a) == ";" && i < 0 && len(looks) > 0 {
			i = 0
		}
		if i < 0 {
			looks = append(looks, []askedPanel{a})
			continue
		}
		looks[i] = append(looks[i], a)
	}
	if len(looks) > 1 && look(looks[0][0]) == ";" {
		looks[1] = append(looks[1], looks[0]...)
		looks = looks[1:]
	}
	return looks
}

// cutLook lays out panels that look alike, and takes what they use off the stock.
func (c *Cutting) cutLook(q CutQuery, panels []askedPanel, stock []cutStock) error {
	var best *tried
	most, proven := 0, true
	for _, pool := range poolsOf(q, panels, stock) {
		t, err := try(q, panels, pool)
		if err != nil {
			return err
		}
		most, proven = max(most, t.answer.Most), proven && t.answer.Proven
		if best == nil || t.better(best) {
			best = t
		}
	}
	if best == nil {
		best = &tried{panels: panels}
		for _, a := range panels {
			best.answer.Left = append(best.answer.Left, int(a.n))
		}
		best.answer.Proven, best.answer.BestLeft = true, true
	}
	c.Most += most
	c.Proven = c.Proven && (proven || best.left() == 0) // another covering may have room for more
	c.add(best)
	for _, l := range best.answer.Layouts {
		for i := range stock {
			if stock[i].Bag == best.pool[l.Sheet].Bag {
				stock[i].n--
			}
		}
	}
	if len(best.pool) > 0 && best.left() > 0 {
		return c.wouldDo(q, best)
	}
	return nil
}

// poolsOf are the coverings that panels may be cut from, each a list of bags: those of one
// part, or those that were named.
func poolsOf(q CutQuery, panels []askedPanel, stock []cutStock) (pools [][]cutStock) {
	for _, s := range stock {
		if s.n < 1 {
			continue
		}
		if len(q.From) == 0 && slices.ContainsFunc(panels, func(a askedPanel) bool { u := a.Suits(s.Sheet); return u.Grain || u.Colour || u.Never }) {
			continue
		}
		i := slices.IndexFunc(pools, func(p []cutStock) bool { return len(q.From) > 0 || p[0].Part == s.Part })
		if i < 0 {
			pools = append(pools, []cutStock{s})
			continue
		}
		pools[i] = append(pools[i], s)
	}
	return pools
}

// A tried is a layout of panels on one covering.
type tried struct {
	panels []askedPanel
	pool   []cutStock
	thin   bool // a sheet that is cut from has to be thinned
	answer nest.Answer
}

func (t *tried) left() int { return t.answer.Score.Left }

func (t *tried) better(o *tried) bool {
	count := func(b bool) int { return map[bool]int{true: 1}[b] }
	a, b := t.answer.Score, o.answer.Score
	return cmp.Or(cmp.Compare(a.Left, b.Left), cmp.Compare(count(t.thin), count(o.thin)), cmp.Compare(a.New, b.New),
		cmp.Compare(a.OnNew, b.OnNew), cmp.Compare(a.Broken, b.Broken)) < 0
}

// problemOf is what is to be laid out.
func problemOf(q CutQuery, panels []askedPanel, pool []cutStock) nest.Problem {
	p := nest.Problem{Margin: q.Margin, Kerf: q.Kerf, Most: q.Sheets, Work: q.work}
	for _, a := range panels {
		p.Panels = append(p.Panels, nest.Panel{W: a.Width, H: a.Length, Count: int(a.n), Across: a.Runs == store.Sides[1], Free: q.Turn})
	}
	for _, s := range pool {
		n := nest.Sheet{W: s.Width, H: s.Length, Count: int(s.n), New: s.fresh, Across: s.Runs == store.Sides[1], Edge: s.Edge}
		for _, f := range s.Flaws {
			x1, y1, x2, y2 := f.Box()
			n.Flaws = append(n.Flaws, nest.Rect{X: x1, Y: y1, W: x2 - x1, H: y2 - y1})
		}
		p.Sheets = append(p.Sheets, n)
	}
	return p
}

func try(q CutQuery, panels []askedPanel, pool []cutStock) (*tried, error) {
	t := &tried{panels: panels, pool: pool}
	var err error
	if t.answer, err = nest.Solve(problemOf(q, panels, pool)); err != nil {
		return nil, store.Misread("%d kinds of panels are too many for one layout: cut some of them first", len(panels))
	}
	for _, l := range t.answer.Layouts {
		for _, n := range l.Placed {
			t.thin = t.thin || panels[n.Panel].Suits(pool[l.Sheet].Sheet).Thin > 0
		}
	}
	return t, nil
}

// add adds a layout to the answer.
func (c *Cutting) add(t *tried) {
	a := t.answer
	c.Proven, c.BestLeft = c.Proven && a.Proven, c.BestLeft && a.BestLeft
	c.Fewest += a.Fewest
	for i, n := range a.Left {
		for range n {
			c.Unplaced = append(c.Unplaced, t.panels[i].called())
		}
	}
	for _, l := range a.Layouts {
		s := t.pool[l.Sheet]
		c.Sheets = append(c.Sheets, sheetOf(l, s, t.panels))
		c.thinNotes(l, s, t.panels)
	}
}

func sheetOf(l nest.Layout, s cutStock, panels []askedPanel) CutSheet {
	out := CutSheet{Part: s.Part, Name: s.name, Bag: s.Bag, Place: s.place, New: s.fresh, W: mm(s.Width), H: mm(s.Length), Runs: s.Runs,
		Thick: dim.Number(dim.Thick, s.Thick), Placed: []PlacedPanel{}, Cuts: []CutLine{}, Left: []CutRect{}, Flaws: s.Flaws}
	waste := s.Width * s.Length
	for _, n := range l.Placed {
		a := panels[n.Panel]
		out.Placed = append(out.Placed, PlacedPanel{a.called(), rectOf(n.Rect), n.Turned, a.spare, a.Panel})
		waste -= n.Area()
	}
	for _, k := range l.Cuts {
		out.Cuts = append(out.Cuts, CutLine{mm(k.X1), mm(k.Y1), mm(k.X2), mm(k.Y2)})
	}
	for _, r := range l.Rest {
		if !s.Panel && min(r.W, r.H) >= KeptSide {
			out.Left = append(out.Left, rectOf(r))
			waste -= r.Area()
		}
	}
	out.Waste = waste / 1_000_000
	return out
}

func rectOf(r nest.Rect) CutRect { return CutRect{mm(r.X), mm(r.Y), mm(r.W), mm(r.H)} }

// thinNotes say what has to be thinned, and how.
func (c *Cutting) thinNotes(l nest.Layout, s cutStock, panels []askedPanel) {
	most, never := int64(0), false
	for _, n := range l.Placed {
		u := panels[n.Panel].Suits(s.Sheet)
		most, never = max(most, u.Thin), never || u.Never
	}
	switch {
	case never:
		c.Notes = append(c.Notes, store.Say(NotThinned, "%s is %s mm too thick, and %s is not thinned", s.Bag, dim.Format(dim.Thick, most), s.Material).Of(s.Bag))
	case most > 0:
		c.Notes = append(c.Notes, store.Say(ToThin, "%s is %s mm thick: take %s mm off its flesh side by shaving, paring or sanding before it is cut", s.Bag, dim.Format(dim.Thick, s.Thick), dim.Format(dim.Thick, most)).Of(s.Bag))
	}
}

// wouldDo says what would place all panels where area alone would do.
func (c *Cutting) wouldDo(q CutQuery, t *tried) error {
	needed, there := int64(0), int64(0)
	for _, a := range t.panels {
		needed += a.n * (a.Width + 2*q.Margin) * (a.Length + 2*q.Margin)
	}
	fresh := []int64{}
	for _, s := range t.pool {
		w, l := s.Usable()
		for range s.n {
			if s.fresh {
				fresh = append(fresh, w*l)
			} else {
				there += w * l
			}
		}
	}
	slices.Sort(fresh)
	slices.Reverse(fresh)
	for i, a := range fresh {
		if q.Sheets == 0 || i < q.Sheets {
			there += a
		}
	}
	c.Needed, c.There = float64(needed)/1e8, float64(there)/1e8
	c.AreaWouldDo = needed <= there
	q.work = wouldWork
	for _, say := range []func(CutQuery, *tried) (store.Reason, bool, error){marginWould, turnWould, sheetWould} {
		reason, would, err := say(q, t)
		if err != nil {
			return err
		}
		if would {
			c.WouldDo = append(c.WouldDo, reason)
		}
	}
	return nil
}

// marginWould looks for the widest smaller margin, in whole millimetres, with which all
// panels have a place.
func marginWould(q CutQuery, t *tried) (store.Reason, bool, error) {
	for m := (q.Margin - 1) / 1000 * 1000; q.Margin > 0 && m >= 0; m -= 1000 {
		q.Margin = m
		if o, err := try(q, t.panels, t.pool); err != nil || o.left() == 0 {
			return store.Say(MarginWould, "a margin of %s mm", dim.Format(dim.Width, m)), err == nil, err
		}
	}
	return store.Reason{}, false, nil
}

// turnWould looks for one panel that would have to lie across the grain, else whether it
// would help to turn any.
func turnWould(q CutQuery, t *tried) (store.Reason, bool, error) {
	if q.Turn {
		return store.Reason{}, false, nil
	}
	for i, a := range t.panels {
		if a.Width == a.Length {
			continue
		}
		p := problemOf(q, t.panels, t.pool)
		p.Panels[i].Count--
		one := p.Panels[i]
		one.Count, one.Across = 1, !one.Across
		p.Panels = append(p.Panels, one)
		if o, err := nest.Solve(p); err != nil || o.Score.Left == 0 {
			return store.Say(TurnedWould, "one %s turned by a quarter, across the grain", a.called()).Of(nonZero(a.Part)...), err == nil, err
		}
	}
	q.Turn = true
	o, err := try(q, t.panels, t.pool)
	return store.Say(TurnedWould, "panels turned by a quarter, across the grain"), err == nil && o.left() == 0, err
}

func nonZero(c code.Code) []code.Code {
	if c == "" {
		return nil
	}
	return []code.Code{c}
}

// wouldWork is how many steps each thing that would do is looked for.
const wouldWork = 500_000

// mostMore is how many further sheets are thought of.
const mostMore = 3

// sheetWould looks how many more new sheets of the covering would be enough.
func sheetWould(q CutQuery, t *tried) (store.Reason, bool, error) {
	at := slices.IndexFunc(t.pool, func(s cutStock) bool { return s.fresh })
	if at < 0 {
		return store.Reason{}, false, nil
	}
	another := t.pool[at]
	another.Flaws = nil
	for another.n = 1; another.n <= mostMore; another.n++ {
		with := q
		if q.Sheets > 0 {
			with.Sheets += int(another.n)
		}
		if o, err := try(with, t.panels, append(slices.Clone(t.pool), another)); err != nil || o.left() == 0 {
			count := map[int64]string{1: "one more sheet", 2: "two more sheets", 3: "three more sheets"}[another.n]
			return store.Say(SheetWould, "%s of %s, %s", count, another.Part, store.SizeWords(another.Width, another.Length)).Of(another.Part), err == nil, err
		}
	}
	return store.Reason{}, false, nil
}

// cutNotes say which coverings are here that look otherwise.
func (c *Cutting) cutNotes(panels []askedPanel, stock []cutStock, q CutQuery) {
	for _, s := range stock {
		var grain, colour, never bool
		for _, a := range panels {
			u := a.Suits(s.Sheet)
			grain, colour, never = grain || u.Grain, colour || u.Colour, never || u.Never
		}
		what := fmt.Sprintf("%s %s, %s", s.Bag, s.name, store.SizeWords(s.Width, s.Length))
		taken := ""
		if len(q.From) == 0 {
			taken = ", not taken"
		}
		switch {
		case grain:
			c.Notes = append(c.Notes, store.Say(OtherGrain, "another grain%s: %s, %s", taken, what, s.Grain).Of(s.Bag))
		case colour:
			c.Notes = append(c.Notes, store.Say(OtherColour, "another colour%s: %s, %s", taken, what, s.Colour).Of(s.Bag))
		case never && taken != "":
			c.Notes = append(c.Notes, store.Say(NotThinned, "too thick%s: %s, %s mm, and %s is not thinned", taken, what, dim.Format(dim.Thick, s.Thick), s.Material).Of(s.Bag))
		}
	}
}
