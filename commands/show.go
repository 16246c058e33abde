package commands

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/thread"
	"tinful/store/words"
)

func show(c *call) error {
	return c.looks(func(l *lookup) {
		ref := shown(l)
		switch {
		case l.Err != nil:
			return
		case c.Bool("steps"):
			showSteps(l, ref)
			return
		}
		if showThing(l, ref); l.Err != nil || c.JSON() {
			return
		}
		if noted, err := l.NotesOf(ref.Kind, ref.Code); err == nil {
			c.Lines("noted", tell.RemarkLines(noted), false)
		} else {
			l.Err = err
		}
		if kept := got(l, l.PicturesOf, ref); len(kept) > 0 {
			c.Lines("pictures", append(tell.PictureLines(kept), "tinful photo "+string(ref.Code)+" says where they lie"), false)
		}
	})
}

func showThing(l *lookup, ref store.Ref) {
	switch ref.Kind {
	case "part":
		showPart(l, ref.Code)
	case "bag":
		showBag(l, ref.Code)
	case "model":
		showModel(l, ref.Code)
	case "donor":
		showDonor(l, ref.Code)
	case "job":
		showJob(l, ref.Code)
	default:
		showPlace(l, ref.Code)
	}
}

// shown is the thing that the arguments name: a code, or the words of a part.
func shown(l *lookup) store.Ref {
	args := l.Args()
	if len(args) == 1 {
		token := l.meant(args[0])
		switch named := l.Resolve(token); {
		case len(named) == 1:
			return named[0]
		case len(named) > 0 || line.IsCode(token):
			return l.thing(token)
		}
	}
	return store.Ref{Kind: "part", Code: l.part(args...).Code}
}

// A shelf reads bags with their parts' names, every part once.
type shelf struct {
	v     *store.View
	parts map[code.Code]sketched
}

// A sketched part is what [store.View.PartSketch] returned.
type sketched struct {
	store.Part
	err error
}

func newShelf(v *store.View) *shelf {
	return &shelf{v, map[code.Code]sketched{}}
}

func (s *shelf) part(c code.Code) (store.Part, error) {
	p, ok := s.parts[c]
	if !ok {
		p.Part, p.err = s.v.PartSketch(c)
		s.parts[c] = p
	}
	return p.Part, p.err
}

// name is the name of a part, "unsorted" for none.
func (s *shelf) name(part code.Code) string {
	p, err := s.part(part)
	return ask.Called(part, p.Called(), err)
}

// bagRows reads bags in order of codes, as JSON or as rows: bag, part, free, on hand,
// grade, place, origin; and what was booked in of each.
func bagRows(l *lookup, s *shelf, list []code.Code) (answers []map[string]any, rows [][]string, drawn []store.Drawn) {
	answers, rows, drawn = []map[string]any{}, make([][]string, 0, len(list)), make([]store.Drawn, 0, len(list))
	if l.Err != nil {
		return answers, rows, drawn
	}
	l.Err = l.EachBagOf(list, func(b store.Bag, st store.State) {
		if d, ok := store.DrawnOf(b, st); ok {
			drawn = append(drawn, d)
		}
		if l.JSON() {
			answers = append(answers, bagAnswer(b, st))
			return
		}
		rows = append(rows, []string{string(b.Code), s.name(b.Part), store.Amount(b.Free(st), b.Unit, st.About), store.Amount(st.OnHand(), b.Unit, st.About),
			st.Grade, string(st.Place), b.Origin})
	})
	return answers, rows, drawn
}

// bagTable prints bags without the column of that number, which the page says
// already; -1 leaves none out.
func bagTable(c *call, title string, rows [][]string, without int) {
	head := []string{"bag", "part", ">free", ">on hand", "grade", "place", "origin"}
	drop := func(row []string) []string {
		if without < 0 {
			return row
		}
		return slices.Delete(slices.Clone(row), without, without+1)
	}
	t := c.WideTable(drop(head)...)
	for _, row := range rows {
		t.Row(drop(row)...)
	}
	c.Listed(title, t)
}

func showBag(l *lookup, own code.Code) {
	s := newShelf(l.View)
	b, st := got(l, l.Bag, own), got(l, l.State, own)
	entries := got(l, l.EntriesOf, own)
	var lacks store.Reasons
	if st.OnHand() > 0 {
		lacks = got(l, l.UnitDoubt, b)
	}
	covering := asked(l, ask.SheetCovering, own)
	if l.Err != nil {
		return
	}
	if l.JSON() {
		answer := bagAnswer(b, st)
		answer["last_counted"] = st.Read
		if covering != nil {
			answer["covering"] = covering
		}
		if list := ask.BagMeasured(b); len(list) > 0 {
			answer["measured"] = list
		}
		if len(lacks) > 0 && lacks[0].Kind == store.FromOutside {
			answer["outside"] = lacks
		} else if len(lacks) > 0 {
			answer["incomplete"] = lacks
		}
		list := tell.Each(entries, func(e store.Entry) tell.EntryJSON { return tell.EntryAnswer(e, b.Part) })
		answer["entries"], answer["held_for"], answer["lent_to"] = list, owedAnswers("job", st.HeldFor), owedAnswers("to", st.LentTo)
		l.Err = l.PrintJSON(map[string]any{"bag": tell.Known(answer)})
		return
	}
	amount := func(n int64) string { return store.Amount(n, b.Unit, st.About) }
	l.Printf("%s  %s\n", b.Code, strings.TrimSpace(s.name(b.Part)+" "+string(b.Part)))
	p := l.WideTable()
	p.Fact("on hand", fmt.Sprintf("%s, %s free", amount(st.OnHand()), amount(b.Free(st))))
	p.Fact("held", owedWords(st.HeldFor, "for job"))
	p.Fact("lent", owedWords(st.LentTo, "to"))
	p.Fact("fitted", owedWords(st.FittedIn, "in job"))
	for _, r := range lacks {
		p.Fact("unit", r.Text)
	}
	coveringFacts(p, covering)
	p.Fact("grade", st.Grade)
	p.Fact("looks", b.Looks)
	p.Fact("place", placeWords(l.View, st.Place))
	p.Fact("origin", originWords(l.View, b))
	if b.Owner != store.Own {
		p.Fact("owner", cmp.Or(b.Owner, "nobody is named"))
	}
	p.Fact("number", b.Number)
	p.Fact("goes with", ask.BagWords(l.View, code.Code(b.GoesWith)))
	p.Fact("cost", tell.Money(b.Cost))
	p.Fact("made", madeWords(b))
	p.Fact("booked", b.Booked.String())
	if st.Read != 0 {
		p.Fact("counted", fmt.Sprintf("%s on %s by %s", store.Amount(st.ReadN, b.Unit, st.ReadAbout), st.Read, cmp.Or(st.ReadBy, "somebody")))
	}
	p.Fact("note", b.Note)
	l.Show(p)
	l.Lines("measured", tell.Each(ask.BagMeasured(b), ask.Measured.Words), false)
	t := l.WideTable("day", "what", ">", "", "why")
	for _, e := range entries {
		t.Row(e.Day.String(), e.What.String(), entryAmount(e, b.Unit), entryWhere(e), entryWhy(e))
	}
	l.Listed("the book", t)
}

// coveringFacts are the facts of a covering, if it is one.
func coveringFacts(p *tell.Table, of *ask.Covering) {
	if of == nil {
		return
	}
	for _, f := range of.Facts() {
		p.Fact(f[0], f[1])
	}
}

// entryAmount is the number of an entry, empty where none moves.
func entryAmount(e store.Entry, unit string) string {
	if e.What == store.Moved || e.What == store.Graded {
		return ""
	}
	return store.Amount(e.Quantity, unit, e.About)
}

// entryWhere is the job, place, grade, bag or person of an entry.
func entryWhere(e store.Entry) string {
	switch {
	case e.What == store.Cut:
		into := ""
		if e.To != "" {
			into = "into " + words.And(e.Into())
		}
		return strings.Join(tell.Filled(into, tell.ForWhich(e)), " ")
	case e.Job != "":
		return "job " + string(e.Job)
	case e.To != "":
		return "to " + e.To
	}
	return ""
}

func entryWhy(e store.Entry) string {
	why := e.Why
	if e.Unsure {
		why = strings.TrimSpace(why + " (which bag: unsure)")
	}
	return why
}

func owedAnswers(name string, list []store.Owed) []map[string]any {
	return tell.Each(list, func(o store.Owed) map[string]any {
		return map[string]any{name: o.Who, "quantity": o.N}
	})
}

func owedWords(list []store.Owed, to string) string {
	out := tell.Each(list, func(o store.Owed) string { return fmt.Sprintf("%d %s %s", o.N, to, o.Who) })
	return strings.Join(out, ", ")
}

func placeWords(v *store.View, place code.Code) string {
	if p, err := v.Place(place); err == nil && p.Where != "" {
		return string(place) + ", " + p.Where
	}
	return string(place)
}

func originWords(v *store.View, b store.Bag) string {
	if d, err := v.Donor(code.Code(b.Origin)); err == nil {
		return strings.Join(tell.Filled(b.Origin, string(d.Model), d.History), ", ")
	}
	if b.Split != "" {
		return b.Origin + ", split from " + string(b.Split)
	}
	if b.Cut != "" {
		return b.Origin + ", cut from " + string(b.Cut)
	}
	return b.Origin
}

// paid is price and post of a donor, nil where neither is known.
func paid(d store.Donor) *code.Cents {
	if d.Price == nil && d.Post == nil {
		return nil
	}
	sum := d.Paid()
	return &sum
}

// madeWords say what pieces were made from, after what and in how long, empty where
// nothing is known of it.
func madeWords(b store.Bag) string {
	var out []string
	if b.Material != "" {
		out = append(out, "from "+b.Material)
	}
	if b.Pattern != "" {
		out = append(out, "after "+string(b.Pattern))
	}
	if b.Minutes != 0 {
		out = append(out, fmt.Sprintf("in %d minutes", b.Minutes))
	}
	return strings.Join(out, ", ")
}

func showDonor(l *lookup, own code.Code) {
	d, seen := got(l, l.Donor, own), got(l, l.SeenOn, own)
	s := newShelf(l.View)
	bags, rows, drawn := bagRows(l, s, l.BagsFrom(string(own)))
	if l.Err != nil {
		return
	}
	remarks, err := ask.RemarksOnFacts(l.View, ask.DonorFacts{Donor: d, Seen: seen, Drawn: drawn, Part: s.part}, l.dayNow(l.View))
	if l.Err = err; err == nil && l.JSON() {
		answer := donorAnswer(d, seen, bags)
		answer["remarks"] = remarks
		l.Err = l.PrintJSON(map[string]any{"donor": answer})
		return
	}
	lot := asked(l, ask.LotWords, d)
	steps, err := l.StepsOf("donor", own)
	if l.Keep(err); l.Err != nil {
		return
	}
	l.Printf("%s  %s\n", d.Code, strings.Join(tell.Filled(string(d.Model), modelName(l.View, d.Model)), ", "))
	donorFacts(l.call, l.View, d, lot, tell.StepsDone(own, steps), remarks)
	tell.Seen(l.Screen, s.name, seen)
	bagTable(l.call, "bags from it", rows, 6)
}

// numberLabel is what the number of a camera, or of a shutter or lens by itself, stands
// behind.
func numberLabel(v *store.View, model code.Code) string {
	m, _ := v.Model(model) // one that is not recorded is a camera
	return m.NumberLabel()
}

// donorFacts prints what is noted of a donor, and what of it is worth a look.
func donorFacts(c *call, v *store.View, d store.Donor, lot, steps string, remarks store.Reasons) {
	p := c.WideTable()
	p.Fact(numberLabel(v, d.Model), d.BodyNo)
	p.Fact("shutter", strings.Join(tell.Filled(string(d.Shutter), d.ShutterNo), ", "))
	p.Fact("lens", strings.Join(tell.Filled(string(d.Lens), d.LensNo), ", "))
	p.Fact("history", d.History)
	p.Fact("signs", strings.Join(d.Signs, "; "))
	p.Fact("state", d.State)
	if d.Owner != store.Own {
		p.Fact("owner", d.Owner)
	}
	p.Fact("place", placeWords(v, d.Place))
	p.Fact("bought", strings.Join(tell.Filled(d.Bought.String(), d.From, d.Lot), ", "))
	p.Fact("why", d.Why)
	p.Fact("paid", tell.Money(paid(d)))
	p.Fact("lot", lot)
	p.Fact("worth", tell.Money(d.Worth))
	p.Fact("steps", steps)
	p.Fact("note", d.Note)
	for _, r := range remarks {
		p.Fact("look at", r.Text)
	}
	c.Show(p)
}

func donorAnswer(d store.Donor, seen []store.Seen, bags []map[string]any) map[string]any {
	return tell.Known(map[string]any{
		"donor": d.Code, "model": d.Model, "history": d.History, "state": d.State, "owner": d.Owner, "cost_cents": paid(d), "seen": tell.SeenAnswers(seen), "bags": bags,
		"signs": d.Signs, "why": d.Why,
		"bought": d.Bought, "from": d.From, "lot": d.Lot, "price_cents": d.Price, "post_cents": d.Post, "body_no": d.BodyNo, "shutter": d.Shutter,
		"shutter_no": d.ShutterNo, "lens": d.Lens, "lens_no": d.LensNo, "place": d.Place, "worth_cents": d.Worth, "booked": d.Booked, "note": d.Note,
	})
}

func modelName(v *store.View, model code.Code) string {
	m, err := v.Model(model)
	if err != nil {
		return ""
	}
	return m.Name
}

func showModel(l *lookup, own code.Code) {
	m := got(l, l.Model, own)
	s := newShelf(l.View)
	goes, t := []map[string]any{}, l.WideTable("part", "name", "goes")
	l.Keep(l.GoesInto(own, func(part code.Code, degrees []string) error {
		goes = append(goes, map[string]any{"part": part, "degree": strings.Join(degrees, ";")})
		t.Row(string(part), s.name(part), strings.Join(degrees, ", "))
		return nil
	}))
	if l.Err != nil {
		return
	}
	if l.JSON() {
		l.Err = l.PrintJSON(map[string]any{"model": tell.Known(map[string]any{
			"model": m.Code, "kind": m.Kind, "maker": m.Maker, "name": m.Name, "family": m.Family, "aliases": m.Aliases, "years": m.Years, "numbers": m.Numbers,
			"carries": m.Carries, "scale": m.Scale, "thread_form": m.Form, "told_by": m.ToldBy, "tools": m.Tools, "hazard": m.Hazard, "note": m.Note,
			"carried_by": l.CarriedBy(own), "donors": l.DonorsOf(own), "goes": goes,
		})})
		return
	}
	l.Printf("%s  %s\n", m.Code, m.Name)
	p := l.WideTable()
	p.Fact("kind", m.Kind)
	p.Fact("maker", m.Maker)
	p.Fact("family", m.Family)
	p.Fact("also", strings.Join(m.Aliases, "; "))
	p.Fact("years", m.Years)
	p.Fact("numbers", m.Numbers)
	p.Fact("carries", tell.Commas(m.Carries))
	p.Fact("carried by", tell.Commas(l.CarriedBy(own)))
	p.Fact("scale", m.Scale)
	if m.Form != "" {
		p.Fact("thread", thread.FormName(m.Form))
	}
	p.Fact("told by", m.ToldBy)
	p.Fact("tools", m.Tools)
	p.Fact("donors", tell.Commas(l.DonorsOf(own)))
	p.Fact("hazard", m.Hazard)
	p.Fact("note", m.Note)
	l.Show(p)
	tell.Care(l.Screen, ask.ModelCautions(m))
	l.Listed("what is said of parts", t)
}

func showPlace(l *lookup, own code.Code) {
	pl := got(l, l.Place, own)
	bags, rows, _ := bagRows(l, newShelf(l.View), l.BagsAt(own))
	cameras := asked(l, ask.StandIn, own)
	trayOf := []code.Code{}
	l.Keep(l.EachJob(func(j store.Job) error {
		if j.Tray == own {
			trayOf = append(trayOf, j.Code)
		}
		return nil
	}))
	if l.Err != nil {
		return
	}
	if l.JSON() {
		l.Err = l.PrintJSON(map[string]any{"place": tell.Known(map[string]any{"place": own, "where": pl.Where, "for": pl.For, "bags": bags, "tray_of": trayOf,
			"donors": tell.StandAnswers(cameras)})})
		return
	}
	l.Println(strings.TrimSpace(string(pl.Code) + "  " + pl.Where))
	p := l.WideTable()
	p.Fact("for", pl.For)
	if store.IsTray(pl) {
		p.Fact("tray of job", tell.Commas(trayOf))
	} else {
		p.Fact("cameras of jobs", tell.Commas(trayOf))
	}
	l.Show(p)
	tell.Stand(l.Screen, cameras)
	bagTable(l.call, "bags", rows, 5)
}

func showJob(l *lookup, own code.Code) {
	f := asked(l, ask.JobRecordOf, own)
	switch {
	case l.Err != nil:
	case l.JSON():
		answer := tell.JobAnswer(f)
		answer["seen"] = tell.SeenAnswers(f.Seen)
		l.Err = l.PrintJSON(map[string]any{"job": answer})
	default:
		tell.JobRecord(l.Screen, f, nil)
	}
}
