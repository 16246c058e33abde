package commands

import (
	"cmp"
	"strconv"
	"strings"

	"tinful/commands/line"
	"tinful/commands/tell"
	"tinful/store"
	"tinful/store/ask"
	"tinful/store/code"
	"tinful/store/dim"
	"tinful/store/words"
)

// cut lays panels out on the coverings that are here, and books it where that is said.
func cut(c *call) error {
	if c.Bool("waste") {
		return cutWaste(c)
	}
	q, err := cutFlags(c)
	if err != nil {
		return err
	}
	if c.IsSet("failed") {
		return cutFailed(c, q)
	}
	inHand := ""
	if !c.IsSet("for") && len(c.Args()) == 0 {
		if inHand, err = c.handJob(); err != nil {
			return err
		}
	}
	if c.Bool("book") {
		return cutBooked(c, q, inHand)
	}
	var found ask.Cutting
	var day code.Day
	err = c.looks(func(l *lookup) {
		day = c.dayNow(l.View)
		q, found = layoutFor(l, inHand, q)
	})
	if err != nil {
		return err
	}
	if found.File, err = writeLayout(c, found, day); err != nil {
		return err
	}
	if len(found.Sheets) > 0 {
		keepLayout(c, q, found)
	}
	if err := c.told(nil, found, func() { tell.Cut(c.Screen, found) }); err != nil {
		return err
	}
	return c.orNothing(found.Placed() > 0, noCut(found))
}

// noCut says that nothing is cut, and no more than is proven.
func noCut(found ask.Cutting) string {
	switch {
	case found.Panels == 0:
		return "there is no panel to cut"
	case found.Most > 0:
		return "nothing is found that can be cut from what is here"
	}
	return "nothing can be cut from what is here"
}

// cutFlags reads what the flags say.
func cutFlags(c *call) (q ask.CutQuery, err error) {
	if c.Bool("book") && (c.IsSet("output") || c.IsSet("failed")) {
		return q, line.Usagef("--book books a layout: draw it before with -o, and say --failed by itself")
	}
	q = ask.CutQuery{Margin: ask.UsualMargin, Turn: c.Bool("turn"), Anyway: c.Bool("anyway")}
	for _, f := range []struct {
		flag string
		at   *int64
	}{{"margin", &q.Margin}, {"kerf", &q.Kerf}} {
		if text := c.String(f.flag); text != "" {
			if *f.at, err = dim.ParseLength(text); err != nil {
				return q, line.Usagef("--%s: %w", f.flag, err)
			}
			if *f.at > mostMargin {
				return q, line.Usagef("--%s %s: it is %s mm at most", f.flag, text, dim.Format(dim.Width, mostMargin))
			}
		}
	}
	if text := c.String("spare"); text != "" {
		if q.Spare = strings.EqualFold(text, "largest"); !q.Spare {
			return q, line.Usagef("--spare %s: write --spare largest, or one more of a panel: p69=2", text)
		}
	}
	if text := c.String("sheets"); text != "" {
		if q.Sheets, err = strconv.Atoi(text); err != nil || q.Sheets < 1 {
			return q, line.Usagef("--sheets %s: say how many new sheets at most, 1 or more", text)
		}
	}
	return q, nil
}

// mostMargin is the widest margin and kerf, in micrometres.
const mostMargin = 100_000

// mostCut is how many panels one layout has at most.
const mostCut = 500

// cutWhat reads which panels are to be cut, and from what.
func cutWhat(l *lookup, inHand string, q *ask.CutQuery) {
	q.Camera.Model = l.code(l.String("for"), "model")
	if l.IsSet("job") || inHand != "" {
		if l.IsSet("for") {
			l.Keep(line.Usagef("--for and --job say two things: write one"))
		}
		j := l.job(inHand)
		q.Job, q.Camera = j, j.Camera()
	}
	var parts []string
	for _, a := range l.Args() {
		s, is, err := cutSize(a)
		l.Keep(err)
		if is {
			q.Sizes = append(q.Sizes, s)
		} else {
			parts = append(parts, a)
		}
	}
	if len(parts) > 0 {
		q.Panels = wantedParts(l, partsTyped(parts))
	}
	if q.Camera.Model == "" && len(q.Panels) == 0 && len(q.Sizes) == 0 {
		l.Keep(line.Usagef("which panels? --for MODEL, --job JOB, or panels and sizes: cut p69 p70=2 56x40"))
	}
	onlyCoverings(l, *q)
	for _, text := range l.List("from") {
		bag := l.thing(text, "bag").Code
		mayCut(l, bag, q.Job, q.Anyway)
		q.From = append(q.From, bag)
	}
}

// cutSize reads 56x40 or 56x40=2; it is false for what is no size.
func cutSize(text string) (ask.CutSize, bool, error) {
	size, number, counted := strings.Cut(text, "=")
	if _, _, is := dim.CutSize(size); !is {
		return ask.CutSize{}, false, nil
	}
	w, l, err := dim.ParseSize(size)
	if err != nil {
		return ask.CutSize{}, true, line.AsUsage(err)
	}
	n := 1
	if counted {
		if n, err = strconv.Atoi(number); err != nil || n < 1 || n > mostCut {
			return ask.CutSize{}, true, line.Usagef("%s: say a number of pieces from 1 to %d", text, mostCut)
		}
	}
	return ask.CutSize{Width: w, Length: l, N: int64(n)}, true, nil
}

// onlyCoverings refuses parts that are cut from no sheet.
func onlyCoverings(l *lookup, q ask.CutQuery) {
	n := int64(0)
	for _, w := range q.Panels {
		if p := got(l, l.Part, w.Part); l.Err == nil && !words.Under(p.Class, store.Covering) {
			l.Err = notCovering(p)
		}
		n += w.Need
	}
	for _, s := range q.Sizes {
		n += s.N
	}
	if n > mostCut {
		l.Keep(line.Usagef("%d pieces are too many for one layout: %d at most", n, mostCut))
	}
}

func notCovering(p store.Part) error {
	return line.Usagef("%s %s is no covering: cut lays out panels", p.Code, p.Name)
}

// mayCut refuses a bag that nothing can be cut from.
func mayCut(l *lookup, bag code.Code, job store.Job, worn bool) {
	b, st := got(l, l.Bag, bag), got(l, l.State, bag)
	if l.Err != nil {
		return
	}
	if _, is, err := l.SheetOf(bag); err != nil || !is {
		l.Err = cmp.Or(err, refusef("%s is no covering", bag))
		return
	}
	l.Err = l.MayTake(b, st, store.Use{What: store.Cut, Owner: job.Owner, Job: job.Code, N: 1, Worn: worn})
}
